"""Where marks and letters lie in a drawing: worked by hand from the sizes given, on a pen of 2 mm to 1 mm of paper.

A drawing's width of the work is its paper less its margins, so each `k` below is width / (paper - left - right).
"""

import xml.etree.ElementTree as ET

import pytest

from guide.plan.model import Placement
from guide.show.faces import back_rows
from guide.show.pages.step_art import step_pictures
from guide.show.pictures.cloth import FILLS, looks
from guide.show.pictures.cutting import cutting_plan
from guide.show.pictures.faces import face
from guide.show.pictures.lettering import wide
from guide.show.pictures.quilting import quilting
from guide.show.pictures.seam import raw_edge_seam
from guide.show.pictures.svg import Pen
from guide.show.pictures.zipper import zip_lengths
from guide.show.report import report
from tests.show import samples

K = 2.0


def parts(svg, **attributes):
    """The elements that carry these attributes, in drawing order."""
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [one for one in ET.fromstring(str(svg)).iter() if wanted.items() <= one.attrib.items()]


def words(svg, text):
    (one,) = [one for one in ET.fromstring(str(svg)).iter() if one.text == text and one.tag.endswith("text")]
    return one


def at(one, *names):
    return [float(one.get(name)) for name in names]


@pytest.mark.parametrize(("paper_mm", "drawn"), [(0.25, "0.5"), (0.35, "0.7"), (1.4, "2.8")])
def test_a_line_is_as_thick_on_paper_whatever_the_drawing_s_scale(paper_mm, drawn):
    """[identity] 2 mm of drawing to 1 mm of paper: twice the number."""
    assert Pen(K).line(paper_mm) == drawn


def test_what_lies_inside_is_drawn_thinner_than_what_is_cut():
    """Lines of 0.25 and 0.35 mm, next to each other in the row of widths of ISO 128 [memory]; twice that, k being 2."""
    svg = quilting(
        square_mm=56 * K, seam_mm=10, box_mm=60, wadding_mm=80, pattern="cross",
        square_text="s", inner_text="i", line_text="l",
    )  # fmt: skip
    (wadding,) = parts(svg, data_wadding_mm="80")
    assert at(wadding, "x", "y", "width", "stroke-width") == [16, 16, 80, 0.5]  # (112 - 80) / 2 from either edge
    svg = raw_edge_seam(length_mm=67 * K, seam_mm=12, free_end_mm=9, run_text="r", free_text="f", seam_text="s")
    (cloth,) = parts(svg, width="134")
    assert at(cloth, "height", "stroke-width") == [pytest.approx(0.34 * 134), 0.7]


def test_the_number_of_a_strip_stands_clear_of_the_cloth_at_the_strip_s_middle():
    """[identity] A strip from 10 to 40 mm: at 25. Left of the cloth however wide the letter, and inside the margin of 9."""
    placed = Placement("p", 0, 10, 50, 30, turned=False, strip=7, order=1)
    svg = cutting_plan(
        [placed], width_mm=89 * K, length_mm=60, selvedge_mm=0, look=None, title="t", width_text="w", length_text="l",
        part_texts={},
    )  # fmt: skip
    x, y, size = at(words(svg, "7"), "x", "y", "font-size")
    half = wide("7", size, bold=True) / 2
    assert -9 * K <= x - half < x + half <= 0
    assert y == 25


def test_dimension_lines_of_a_zip_lie_under_the_cloth_each_clear_of_the_letters_above():
    """[practice] From the inside out, the shortest nearest: opening, zip, seam; the ticks reach 1.2 mm of paper."""
    svg = zip_lengths(
        seam_mm=112 * K, cut_mm=200, opening_mm=180, box_mm=6, slider_mm=25,
        seam_text="a", cut_text="b", opening_text="c", end_text="d", box_text="e", slider_text="f",
    )  # fmt: skip
    (cloth,) = parts(svg, fill="#f4efe4")
    top, high = at(cloth, "y", "height")
    foot = top + high
    for name, text in (("opening", "opening c"), ("zip", "zip cut to b"), ("seam", "seam a")):
        (line,) = parts(svg, data_dimension=name)
        assert at(line, "y1") == at(line, "y2")
        assert at(line, "y1")[0] - 1.2 * K > foot
        y, size = at(words(svg, text), "y", "font-size")
        assert at(line, "y1")[0] < y - size / 2
        foot = y + size / 2
    assert foot < top + high + 29 * K  # the margin below


def test_the_stitched_box_is_as_far_from_the_teeth_as_the_plan_says():
    """[identity] The sample's gap, and twice it from side to side."""
    told = report(samples.plan())
    gap = told.quantities["zip_box_gap"].value
    (box,) = parts(step_pictures(told)["zip"], data_line="box")
    assert at(box, "y", "height") == pytest.approx([-gap, 2 * gap], abs=1e-3)


def test_seams_are_drawn_frayed_where_nothing_is_said_a_thread_each_1_25_mm_of_paper():
    """[identity] Two squares of 66.5 mm side by side on 66.5 mm of paper: one seam of 66.5 mm, ⌊66.5 / 2.5⌋ threads."""
    sizes = {"pitch_mm": 66.5, "fringe_mm": 8, "title": "t", "width_text": "w", "height_text": "h"}
    found = looks([("a", "A"), ("b", "B")])
    combs = parts(face([["a", "b"]], found, **sizes), **{"class": "fringe"})
    assert combs[0].get("d").count("M") == 26
    assert len(combs) == 2  # the seam's, and the edge's
    assert len(parts(face([["a", "b"]], found, frayed=False, **sizes), **{"class": "fringe"})) == 1


def test_a_check_is_as_wide_as_what_lies_between():
    """[practice] Gingham: bars and gaps of one width, so what repeats is two bars wide."""
    size, marks = FILLS["check"]
    upright, level = (ET.fromstring(one) for one in marks("#000").replace("><", ">\n<").split("\n"))
    assert [*at(upright, "width", "height"), *at(level, "width", "height")] == [size / 2, size, size, size / 2]


def test_the_joints_of_bricks_stay_in_their_tile():
    """[identity] The upper joint lies at 0.2: half its stroke above it, or the tile's edge would cut it."""
    joint = ET.fromstring(FILLS["brick"][1]("#000"))
    assert joint.get("d").startswith("M0 0.2H4")
    assert at(joint, "stroke-width") == [2 * 0.2]


@pytest.mark.parametrize(("narrow", "than"), [("ilt", "abc"), ("abc", "ABC"), ("ABC", "MW@"), ("...", "mmm")])
def test_letters_are_reckoned_as_wide_as_they_are(narrow, than):
    """[practice] Narrow, usual, capital, wide, in every proportional face; twice the size is twice the width."""
    assert wide(narrow, 10, bold=True) < wide(than, 10, bold=True)
    assert wide(narrow, 20) == 2 * wide(narrow, 10)


def test_narrow_letters_find_room_in_a_typewriter_s_face_too():
    """Every letter of Courier is 0.6 em wide [source: Adobe's metrics of Courier, WX 600], and it may be all there is.

    [identity] In letters of 7.5 pixels that is 4.5, which a screen in whole pixels makes 5.
    """
    assert wide("i" * 30, 7.5) >= 30 * 5


def test_a_panel_of_its_own_for_a_back_lies_as_it_is_seen():
    """Its stacks hold one print each: nothing is mirrored."""
    told = report(samples.plan())
    assert back_rows(told)[0][0] == samples.plan().backing.blocks[0].stack[0]
