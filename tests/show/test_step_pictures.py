"""Every step at machine, iron, blade or needle has a picture of its own, which shows no word or number of another step."""

import itertools
import math
import os
import re
import xml.etree.ElementTree as ET
from functools import cache

import pytest
from msgspec.structs import replace

from guide.show.pages.step_art import art_of
from guide.show.report import report
from tests.show.test_pages_kinds import KINDS, plan_of

PROJECTS = {
    "zip": {},
    "envelope": KINDS["envelope"] | {"hold_with": "glue", "washes": "2"},
    "throw": KINDS["throw"] | {"hold_with": "pins", "outer_seam_twice": "true"},
    "plain back, zip down, no wadding": KINDS["plain back"] | KINDS["zip along a column"] | KINDS["no wadding"]
    | {"hold_with": "pins", "inside_seams": "overlocked"},
    "plus, tacked, pinked, for a child": KINDS["plus"] | KINDS["for a child"]
    | {"hold_with": "tacking", "inside_seams": "pinked", "washed_first": "true"},
    "metric, American, six, zigzagged, not quilted": KINDS["metric"] | KINDS["american"] | KINDS["six at once"]
    | KINDS["not quilted"] | {"hold_with": "tacking", "inside_seams": "zigzag", "edge_with": "clips"},
}  # fmt: skip
if os.environ.get("FRAYWORK_FULL"):
    PROJECTS |= KINDS
HANDS = {"blade", "needle", "unpicker"}


def told_of(name):
    """The report of the demo with other keys; a key it does not have is written below its own."""
    return report(plan_of(PROJECTS[name]), texts=True)


@cache
def made(name):
    full = told_of(name)
    return full, {key: str(picture) for key, picture in art_of(full).items() if "/" in key}


def at_work(step):
    """Whether it is done at machine, iron, blade or needle."""
    return step.station in {"machine", "iron"} or bool(HANDS & set(step.cautions))


def drawings(svg):
    """The SVGs of a picture: a frame each, without the frame's own number."""
    bare = re.sub(r'<g data-move="\d+">.*?</g>', "", svg)
    return [ET.fromstring(one) for one in re.findall(r"<svg.*?</svg>", bare, re.DOTALL)]


def plainly(text):
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).lower()


@pytest.mark.parametrize("name", PROJECTS)
def test_every_step_at_machine_iron_blade_or_needle_has_a_picture_of_its_own(name):
    """None without, and none that another step has too."""
    full, art = made(name)
    steps = [step for step in full.steps if at_work(step)]
    assert len(steps) >= 15
    assert [step.key for step in steps if step.key not in art] == []
    pairs = {}
    for key, svg in ((key, art.get(key, key)) for key in (step.key for step in steps)):
        pairs.setdefault(re.sub(r"<title>.*?</title>|aria-label=\"[^\"]*\"|p[0-9a-f]{8}-", "", svg), []).append(key)
    assert [keys for keys in pairs.values() if len({key.split(":")[0] for key in keys}) > 1] == []


@pytest.mark.parametrize("name", PROJECTS)
def test_a_picture_shows_no_word_and_no_number_of_another_step(name):
    """What stands in it stands in the step, too: in its texts, labels and sizes, or is a print's name or letter."""
    full, art = made(name)
    names = {word for one in full.prints for word in (one.name.lower(), one.letter.lower())}
    for step in full.steps:
        if step.key not in art:
            continue
        said = plainly(
            " ".join((step.title, *step.texts.values(), *(f"{one.label} {one.text} {one.label}" for one in step.shows)))
        )
        own = cut_by(full, step)
        for one in drawings(art[step.key]):
            for text in (plainly(t.text or "") for t in one.iter() if t.tag.endswith("}text")):
                assert text in said or re.sub(r"^\d+ \w ", "", text.removesuffix(" ↻")) in names | own, (
                    step.key,
                    text,
                    said,
                )
            assert plainly(one.attrib["aria-label"]).startswith(plainly(step.title))


def cut_by(full, step):
    """What only a cutting plan shows: the cloth it is drawn on, its strips by their numbers, its own part's size."""
    if not step.key.startswith("cut/pieces:"):
        return set()
    (cutting,) = [one for one in full.cutting if step.key.startswith(f"cut/pieces:{one.material}:")]
    strips = {str(placed.strip) for cloth in cutting.cloths for placed in cloth.placements}
    sizes = {plainly(text) for cloth in cutting.cloths for text in (cloth.width_text, cloth.length_text)}
    parts = step.key.split(":")[2].split(" and ")
    return strips | sizes | {plainly(one.short_text) for one in cutting.parts if one.name in parts}


def lines(svg, name):
    """The lines of stitches of a name: (x1, y1, x2, y2) each."""
    found = (one for one in svg.iter() if one.get("data-line") == name and one.get("x1"))
    return [tuple(float(one.get(key)) for key in ("x1", "y1", "x2", "y2")) for one in found]


def marked(svg, name):
    return [one for one in svg.iter() if f"data-{name}" in one.attrib]


def frame_of(name, key, place):
    return drawings(made(name)[1][key])[place]


def boxes(svg):
    """The outlines of a drawing: (x, y, width, height) each."""
    found = (one for one in svg.iter() if one.tag.endswith("rect") and one.get("stroke"))
    return [tuple(float(one.get(key)) for key in ("x", "y", "width", "height")) for one in found]


@pytest.mark.parametrize(("name", "key"), [("zip", "quilt/cross"), ("plus, tacked, pinked, for a child", "quilt/plus")])
def test_quilting_runs_from_edge_to_edge_of_the_wadding(name, key):
    """[identity] 5 in of wadding in a 6 in square: lines of 5/6 of the side, or √2 of it aslant; the second over the first."""
    svg = frame_of(name, key, 2)
    (block, wadding), first_and_second = boxes(svg)[:2], lines(svg, "quilt")
    assert wadding[2] / block[2] == pytest.approx(5 / 6, abs=1e-3)
    long = 2**0.5 if key == "quilt/cross" else 1.0
    assert len(first_and_second) == 2
    for x1, y1, x2, y2 in first_and_second:
        assert math.dist((x1, y1), (x2, y2)) / block[2] == pytest.approx(long * 5 / 6, abs=1e-3)
        assert all(wadding[0] - 0.01 <= x <= wadding[0] + wadding[2] + 0.01 for x in (x1, x2))
        assert all(wadding[1] - 0.01 <= y <= wadding[1] + wadding[3] + 0.01 for y in (y1, y2))
    assert lines(frame_of(name, key, 0), "quilt") == first_and_second[:1]


def test_a_raw_edge_seam_leaves_both_ends_free():
    """[identity] Of 6 in: sewn from 3/8 in to 5 5/8 in, half an inch from the edge."""
    svg = frame_of("zip", "join/rows", 1)
    (block,), ((x1, y1, x2, y2),) = boxes(svg)[:1], lines(svg, "seam")
    inch = block[2] / 6
    assert (x1 - block[0], block[0] + block[2] - x2) == pytest.approx((3 / 8 * inch, 3 / 8 * inch), abs=2e-3)
    assert y1 - block[1] == y2 - block[1] == pytest.approx(inch / 2, abs=2e-3)


def test_snips_stop_above_the_stitching_and_short_of_the_panels_edge():
    """[identity] Every 1/2 in, 3/8 in deep of the seam's 1/2 in; [practice] none in the last 3/4 in before the outer seam."""
    for place in (0, 1):
        svg = frame_of("zip", "snip/rows", place)
        (cloth,), ((_, seam, _, _),) = boxes(svg)[:1], lines(svg, "seam")
        half = seam - cloth[1]  # an inch's half, as drawn
        cuts = marked(svg, "snip-mm")
        assert {round(float(one.get("y2")) - cloth[1], 2) for one in cuts} == {round(half * 3 / 4, 2)}
        at = sorted(float(one.get("x1")) for one in cuts)
        assert [b - a for a, b in itertools.pairwise(at)] == pytest.approx([half] * (len(at) - 1), abs=2e-3)
        if place:
            assert cloth[0] + cloth[2] - at[-1] == pytest.approx(1.5 * half, abs=2e-3)
            assert lines(svg, "seam")[0][2] < cloth[0] + cloth[2]


def test_snips_further_apart_than_is_drawn_show_one_and_no_distance():
    """[identity] 34 mm of paper beside a seam of 8 mm: where snips are over 34/8 seams apart, two are never in sight."""
    full = report(plan_of({"snips": "{every: 3 in, at_crossing: 2}"}), texts=True)
    assert full.quantities["snip_every"].value > 34 / 8 * full.quantities["seam"].value
    along = drawings(str(art_of(full)["assemble/snips"]))[0]
    assert len(marked(along, "snip-mm")) == 1
    assert "3 in" not in plainly("".join(along.itertext()))


def test_the_zips_seam_is_sewn_tacked_and_sewn_to_scale():
    """[identity] Of a seam of 21 in: 1 1/2 in sewn, 18 in tacked, 1 1/2 in sewn."""
    svg = frame_of("zip", "closure/zip_seam", 1)
    (cloth,), ((_, _, opens, _), (shuts, *_)), ((x1, _, x2, _),) = (
        boxes(svg)[:1],
        lines(svg, "sewn"),
        lines(svg, "tacked"),
    )
    inch = cloth[2] / 21
    assert (x1, x2) == (opens, shuts)
    assert (opens - cloth[0], x2 - x1) == pytest.approx((1.5 * inch, 18 * inch), abs=2e-3)


def test_the_box_begins_across_the_end_away_from_the_slider():
    """[practice] The slider waits 2 1/2 in from one end; the first stitches cross the other; it is passed on what is sewn."""
    first, _, passed, last = (frame_of("zip", "closure/zip_box", place) for place in range(4))
    (begin,), inch = marked(first, "begin"), 54 / 21
    sliders = [
        [float(one.get("x")) + 1.7 for one in svg.iter() if one.get("rx") == "1"] for svg in (first, passed, last)
    ]
    opening = 2 + 1.5 * inch
    assert sliders[0] == pytest.approx([opening + 18 * inch - 2.5 * inch], abs=2e-3)
    assert float(begin.get("cx")) < opening
    (needle_,) = lines(passed, "box")
    assert needle_[2] < sliders[1][0]  # what is ahead of it is not sewn yet
    (whole,) = [one for one in marked(last, "line") if one.get("data-line") == "box"]
    assert float(whole.get("y")) + float(whole.get("height")) / 2 == pytest.approx(14.5, abs=2e-3)


def test_the_wadding_lies_in_the_middle_with_as_much_bare_all_round():
    """[identity] 5 in of 6 in, half an inch each side."""
    cloth, inner = boxes(frame_of("zip", "stack/wadding", 0))[:2]
    assert inner[2] / cloth[2] == pytest.approx(5 / 6, abs=1e-3)
    assert inner[0] - cloth[0] == inner[1] - cloth[1] == pytest.approx(cloth[2] / 12, abs=1e-3)


def test_an_envelopes_under_panel_lies_first_and_the_one_that_shows_over_it():
    """[practice] Nothing is turned: the last laid is seen. [identity] Two panels of (16 + 4) / 2 in over a front of 16 in."""
    under, over = (frame_of("envelope", "assemble/pin", place) for place in (1, 2))
    (front, *_), hems = boxes(over), [lines(svg, "hem") for svg in (under, over)]
    assert [len(one) for one in hems] == [1, 2]
    assert hems[0][0] == hems[1][0]
    (lap,) = [one for one in marked(over, "dimension") if one.get("data-dimension") == "overlap"]
    assert (float(lap.get("y2")) - float(lap.get("y1"))) / front[3] == pytest.approx(4 / 16, abs=2e-3)


@pytest.mark.parametrize(("name", "kept"), [("plus, tacked, pinked, for a child", "tacked"), ("throw", "pins")])
def test_what_holds_a_stack_is_what_the_project_says(name, kept):
    """No pins where there are none, no tacking where there is none."""
    (top,) = [key for key in made(name)[1] if key.startswith("stack/top")]
    svg = made(name)[1][top]
    assert ('stroke-dasharray="4 2.4"' in svg) == (kept == "tacked")
    last = drawings(svg)[-1]
    assert (len([one for one in last.iter() if one.tag.endswith("circle")]) >= 2) == (kept == "pins")


def test_a_stage_of_a_makers_own_draws_only_what_it_says():
    """The same picture by a step that says none of its sizes has none; an unknown name is refused elsewhere."""
    full, art = made("zip")
    assert "18 in" in art["closure/zip_seam"]
    bare = [replace(one, shows=(), texts={}) for one in full.steps if one.key == "closure/zip_seam"]
    pictures = art_of(replace(full, steps=tuple(bare)))
    texts = [
        one.text for svg in drawings(pictures["closure/zip_seam"]) for one in svg.iter() if one.tag.endswith("}text")
    ]
    assert texts == []
