"""Snips, against an article snipped one by one."""

import re
from fractions import Fraction as F
from math import hypot

import pytest

from guide.plan.make import make_plan
from guide.show.pages.step_art import art_of
from guide.show.report import report
from guide.show.words import render_step
from tests.plan.article import IN, Article
from tests.plan.sums_of import THROW, cushion, read, shipped, sums, sums_of

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


@pytest.mark.parametrize(
    ("units", "last", "slit", "said"),
    [("inch", IN / 4, IN / 8, ("1/4 in", "1/8 in")), ("metric", 6.0, 3.0, ("6 mm", "3 mm"))],
)
def test_a_corner_is_snipped_as_far_from_its_turn_as_it_is_drawn(units, last, slit, said):
    """The last snip 1/4 in (6 mm) from the turn, the slit to 1/8 in (3 mm) [practice]: one number, said and drawn."""
    seam = {"seam": "15 mm", "wadding": {"gap": "15 mm"}, "square": "13 cm"} if units == "metric" else {}
    plan = make_plan(read(cushion(units=units, **seam)), shipped())
    assert (plan.quantities["last_snip"].value, plan.quantities["corner_slit"].value) == pytest.approx((last, slit))
    (step,) = [step for step in plan.steps if step.key == "assemble/snips"]
    do = render_step(plan, step)["do"]
    assert f"the last {said[0]} from the turn" in do
    assert f"one slanting slit, to {said[1]} from the turn" in do
    pictures = art_of(report(plan, texts=True))
    svg = re.findall(r"<svg.*?</svg>", str(pictures["assemble/snips"]))[1]
    (end,) = {float(x) for x in re.findall(r'x2="([\d.]+)" y2="\1"[^>]*data-slit-mm', svg)}
    turn = plan.quantities["seam"].value
    assert hypot(turn - end, turn - end) == pytest.approx(slit, abs=0.02)
    snips = sorted(float(x) for x in re.findall(r'<line x1="([\d.]+)" y1="0" x2="\1"', svg))
    assert snips[0] - turn == pytest.approx(last, abs=0.02)
    assert f">{said[0]} from the turn<" in svg.replace("\u00a0", " ")


def test_a_narrower_panel_as_measured_has_fewer_snips_in_its_long_seams():
    """An inch less face is two half-inch snips less on each of two long seams and two edges [identity]."""
    planned = sums()
    made = sums_of(cushion(), {"panel_width": planned["panel_width"] - IN})
    assert planned["snips_panel"] - made["snips_panel"] == 2 * 2
    assert planned["snips_outer"] - made["snips_outer"] == 2 * 2
    assert planned["snips_row"] == made["snips_row"]
