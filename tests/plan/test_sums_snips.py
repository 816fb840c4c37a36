"""Snips, against an article snipped one by one."""

from fractions import Fraction as F

import pytest

from tests.plan.article import IN, Article
from tests.plan.sums_of import THROW, cushion, sums, sums_of

COUNTED = [
    # across, down, square, seam; snips in row seams, panel seams, outer edge [identity, counted on the article]
    (5, 3, "5 1/4 in", "5/8 in", (84, 78, 128)),
    (6, 8, "6 in", "1/2 in", (360, 413, 280)),
    (4, 3, "6 in", "1/2 in", (81, 78, 140)),
]


@pytest.mark.parametrize(("across", "down", "square", "seam", "counted"), COUNTED)
def test_snips_are_those_counted_on_the_article(across, down, square, seam, counted):
    """290 on the cushion, 1,053 on a 6×8 throw of 6 in, 299 on a 4×3 of 6 in, crossings apart [identity].

    The cushion, every 1/2 in: 12 row seams of 4 in with 7 each, 2 long ones of 20 in with 39 each, and round the face
    39 + 39 + 23 + 23 and a slit in each corner.
    """
    kind = {} if across == 5 else THROW | {"wadding": {"gap": "1/2 in"}}
    n = sums(grid={"across": across, "down": down}, square=square, seam=seam, **kind)
    assert (n["snips_row"], n["snips_panel"], n["snips_outer"]) == counted
    assert n["snip_cuts"] - n["snips_crossing"] == sum(counted)


@pytest.mark.parametrize("every", [F(1, 2), F(3, 4), F(1), F(5, 8)])
@pytest.mark.parametrize(
    ("across", "down", "square", "make"), [(5, 3, F(21, 4), 1), (2, 4, F(6), 3), (1, 3, F(7), 1), (5, 1, F(9, 2), 2)]
)
def test_snips_are_those_of_walking_along_every_seam(across, down, square, make, every):
    """One by one between the lines of stitches, none in a line, one slit a corner [identity, walked]."""
    n = sums(
        grid={"across": across, "down": down}, square=f"{float(square)} in", make=make,
        snips={"every": f"{float(every)} in", "clear": "1/8 in", "at_crossing": 2}, **THROW,
    )  # fmt: skip
    article = Article(across, down, square, F(5, 8), every, make)
    assert n["snips_row"] == article.row_snips()
    assert n["snips_panel"] == article.panel_snips()
    assert n["snips_outer"] == article.outer_snips()
    assert n["snips_crossing"] == 2 * article.crossings()


def test_a_snip_that_would_land_in_the_next_line_of_stitches_is_not_counted():
    """2 1/4 in of seam by 3/4 in is exactly three steps, so two snips, in inches and in mm [identity]."""
    inch = sums(square="3 1/2 in", snips={"every": "3/4 in", "clear": "1/8 in", "at_crossing": 0})
    metric = sums(square="88.9 mm", snips={"every": "19.05 mm", "clear": "1/8 in", "at_crossing": 0})
    assert inch["snips_a_row_seam"] == metric["snips_a_row_seam"] == 2


def test_a_snip_is_as_deep_as_the_fringe_less_what_is_kept_clear():
    """A 5/8 in seam, 1/8 in kept: 1/2 in deep, a fringe 5/8 in tall [practice]."""
    n = sums()
    assert n["cut_depth"] == pytest.approx(IN / 2)
    assert n["fringe_height"] == pytest.approx(5 / 8 * IN)


def test_the_last_snip_keeps_a_seam_and_a_quarter_inch_from_the_corner():
    """A 5/8 in seam: 7/8 in of whole cloth on both sides of the turn [practice]."""
    assert sums()["last_snip"] == pytest.approx(7 / 8 * IN)


def test_a_narrower_panel_as_measured_has_fewer_snips_in_its_long_seams():
    """An inch less face is two half-inch snips less on each of two long seams and two edges [identity]."""
    planned = sums()
    made = sums_of(cushion(), {"panel_width": planned["panel_width"] - IN})
    assert planned["snips_panel"] - made["snips_panel"] == 2 * 2
    assert planned["snips_outer"] - made["snips_outer"] == 2 * 2
    assert planned["snips_row"] == made["snips_row"]
