"""Pictures agree with numbers: what is drawn, read back out of the SVG, is what was planned."""

import xml.etree.ElementTree as ET

import pytest
from msgspec.structs import replace

from guide.show.cutting_lines import mirrored
from guide.show.pages.step_art import cutting_pictures, step_pictures, teller
from guide.show.pictures.cloth import MARKS, looks
from guide.show.pictures.faces import face, snip_places, stack_apart
from guide.show.pictures.moves_panel import pinning
from guide.show.pictures.times import time_chart
from guide.show.report import report
from tests.show import samples
from tests.show.test_pages_kinds import plan_of

SVG = "{http://www.w3.org/2000/svg}"


def drawn(svg):
    return ET.fromstring(str(svg))


def marked(svg, name):
    """Every element that carries the data attribute, in drawing order."""
    return [one for one in drawn(svg).iter() if f"data-{name}" in one.attrib]


def mm(one, name):
    return float(one.attrib[name])


@pytest.fixture(scope="module")
def pictures():
    return step_pictures(report(samples.plan()))


def test_every_picture_parses_and_says_what_it_shows(pictures):
    """Well-formed XML, role img, one title that is also the accessible name."""
    for svg in pictures.values():
        root = drawn(svg)
        assert root.tag == f"{SVG}svg"
        assert root.attrib["role"] == "img"
        assert root[0].tag == f"{SVG}title"
        assert root[0].text == root.attrib["aria-label"]
        assert len(root[0].text) > 15


def test_every_reference_inside_a_picture_is_its_own(pictures):
    """Patches point at pieces of cloth of the same picture, and no two pictures share a name."""
    seen = set()
    for name, svg in pictures.items():
        ids = {one.attrib["id"] for one in drawn(svg).iter() if "id" in one.attrib}
        used = {one.attrib["href"][1:] for one in drawn(svg).iter() if one.tag == f"{SVG}use"}
        assert used <= ids
        assert "url(" not in str(svg)
        assert ids, name
        assert not ids & seen
        seen |= ids


def test_the_front_lies_as_it_was_planned(pictures):
    """Each patch stands at (column − 1, row − 1) pitches and holds the stack's first print. [identity] 6 in − 1 in = 127 mm."""
    patches = marked(pictures["front"], "print")
    planned = {(b.row, b.column): b.stack[0] for b in samples.plan().layout.blocks}
    assert {(int(p.get("data-row")), int(p.get("data-column"))): p.get("data-print") for p in patches} == planned
    for patch in patches:
        assert mm(patch, "x") == pytest.approx((int(patch.get("data-column")) - 1) * 127.0, abs=1e-3)
        assert mm(patch, "y") == pytest.approx((int(patch.get("data-row")) - 1) * 127.0, abs=1e-3)
        assert mm(patch, "width") == pytest.approx(127.0, abs=1e-3)


def test_a_cushion_s_back_lies_as_it_was_planned(pictures):
    """[practice] A panel of its own, its right sides up: nothing is turned, so nothing is mirrored."""
    planned = {(b.row, b.column): b.stack[0] for b in samples.plan().backing.blocks}
    patches = marked(pictures["back"], "print")
    assert {(int(p.get("data-row")), int(p.get("data-column"))): p.get("data-print") for p in patches} == planned


def test_turning_the_back_twice_gives_the_front_again():
    """[identity] Mirroring undoes itself."""
    rows = [["a", "b", "c"], ["d", "e", "f"]]
    assert mirrored(mirrored(rows)) == rows
    assert mirrored(rows)[0] == ["c", "b", "a"]


def test_a_dimension_line_is_as_long_as_what_it_names(pictures):
    """The width line of the front runs from edge to edge of the face: 4 · 127 mm."""
    (line,) = [one for one in marked(pictures["front"], "dimension") if one.get("data-dimension") == "width"]
    assert mm(line, "x2") - mm(line, "x1") == pytest.approx(4 * 127.0, abs=1e-3)


def test_cutting_lies_where_the_plan_placed_it():
    """Position, size, strip and order of every part, from the drawing back to the plan."""
    plan = samples.plan()
    first = cutting_pictures(report(plan))[0].picture
    wanted = [(p.x_mm, p.y_mm, p.width_mm, p.height_mm, p.strip, p.order) for p in plan.cutting[0].cloths[0].placements]
    got = [
        (
            *(mm(one, key) for key in ("x", "y", "width", "height")),
            int(one.get("data-strip")),
            int(one.get("data-order")),
        )
        for one in marked(first, "part")
    ]
    assert got == [pytest.approx(row, abs=1e-3) for row in wanted]


def test_parts_keep_off_the_selvedges():
    """The shaded edges are the print's own selvedge wide, and no part lies on them."""
    first = cutting_pictures(report(samples.plan()))[0].picture
    left, right = marked(first, "selvedge")
    assert mm(left, "width") == pytest.approx(12.7)
    for part in marked(first, "part"):
        assert mm(part, "x") >= mm(left, "width") - 1e-3
        assert mm(part, "x") + mm(part, "width") <= mm(right, "x") + 1e-3


@pytest.mark.parametrize(
    ("length_in", "every_in", "count"), [(4, 0.5, 7), (12, 0.5, 23), (5, 0.5, 9), (5, 0.75, 6), (2.25, 0.75, 2)]
)
def test_snips_stand_at_their_true_spacing(length_in, every_in, count):
    """[identity] ⌈length / every⌉ − 1 snips, evenly apart, none at an end; 2 1/4 by 3/4 is exactly three gaps."""
    places = snip_places(length_in * 25.4, every_in * 25.4)
    assert len(places) == count
    gaps = [b - a for a, b in zip([0.0, *places], [*places, length_in * 25.4], strict=True)]
    assert gaps == pytest.approx([length_in * 25.4 / (count + 1)] * (count + 1))
    assert max(gaps) <= every_in * 25.4 + 1e-6


@pytest.mark.parametrize(
    ("after", "seen"), [("after_row", 139.7), ("after_column", 393.7)], ids=["after a row", "after a column"]
)
def test_pins_go_across_the_edge_all_round_and_tops_meet(after, seen):
    """[practice] Seven a side between the corners; a zip down the back lies mirrored, for the front is seen.

    [identity] One square of 5 in and a seam of 1/2 in from the top, or from the right of 21 in.
    """
    whole = report(plan_of({"closure": f"{{type: zip, {after}: 1, end_gap: 1 in}}"}), texts=True)

    def picture(**texts):
        told = {name: replace(whole.quantities[name], text=text) for name, text in texts.items()}
        full = replace(whole, quantities=whole.quantities | told)
        return pinning(teller(full)(next(one for one in full.steps if one.picture == "pinning")))[1]

    svg = picture(pins_in_edge="yes", tops_meet="yes")
    assert len(marked(svg, "pin")) == 4 * 7
    (zipped,) = marked(svg, "zip-mm")
    assert float(zipped.get("data-zip-mm")) == pytest.approx(seen)
    assert "the back's top to the front's top" in [one.text for one in drawn(svg).iter()]
    without = picture(pins_in_edge="no", tops_meet="no")
    assert marked(without, "pin") == []
    assert "the back's top to the front's top" not in [one.text for one in drawn(without).iter()]


def test_the_stack_is_drawn_in_its_order_and_size():
    """Front face on top, wadding smaller and in the middle."""
    svg = stack_apart(
        ["a", "b", "c", "d"],
        looks([(n, n.upper(), None) for n in "abcd"]),
        above=2,
        wadding=True,
        square_mm=152.4,
        wadding_mm=127.0,
    )
    layers = marked(svg, "layer")
    assert [one.get("data-layer") for one in reversed(layers)] == ["a", "b", "wadding", "c", "d"]
    assert [mm(one, "data-size-mm") for one in layers] == [152.4, 152.4, 127.0, 152.4, 152.4]


def test_right_sides_face_out_on_both_faces():
    """[practice] Squares over the wadding right side up, those under it right side down."""
    svg = stack_apart(
        ["a", "b"], looks([("a", "A", None), ("b", "B", None)]), above=1, wadding=False, square_mm=100, wadding_mm=100
    )
    assert "a right side up, b right side down" in drawn(svg).attrib["aria-label"]


def test_the_time_chart_is_to_scale():
    """Bars are as long as the seconds they stand for, forecast and actual on one scale."""
    svg = time_chart([("Quilt", 600.0, 750.0), ("Join", 300.0, 240.0)])
    assert [mm(one, "width") for one in marked(svg, "actual-s")] == [750.0, 240.0]
    assert [mm(one, "x2") for one in marked(svg, "forecast-s")] == [600.0, 300.0]


def test_prints_are_told_apart_without_colour():
    """As many prints as there are fills get fills of their own, by name where the name says it."""
    names = ["moss check", "oat stripe", "clay dot", "plum", "sky leaf", "grey herringbone"]
    found = looks([(name, str(place), None) for place, name in enumerate(names)])
    kinds = [found[name].kind for name in names]
    assert len(set(kinds)) == len(names)
    assert (kinds[0], kinds[1], kinds[2], kinds[4], kinds[5]) == ("check", "stripe", "dot", "leaf", "herringbone")
    assert set(kinds) <= set(MARKS)


def test_hostile_names_stay_words_in_a_picture():
    """A print called like a tag is drawn as text and breaks no markup."""
    name = '"><script>alert(1)</script>&'
    svg = face(
        [[name]], looks([(name, "A", None)]), pitch_mm=100, fringe_mm=10, title=name, width_text=name, height_text="<b>"
    )
    root = drawn(svg)
    assert not [one for one in root.iter() if one.tag.endswith("script")]
    assert root.attrib["aria-label"] == name
