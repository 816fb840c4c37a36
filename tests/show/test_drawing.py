"""Where marks and letters lie in a drawing: worked by hand from the sizes given, on a pen of 2 mm to 1 mm of paper.

A drawing's width of the work is its paper less its margins, so each `k` below is width / (paper - left - right).
"""

import re
import xml.etree.ElementTree as ET

import pytest

from guide.plan.model import Placement
from guide.show.cutting_lines import back_rows
from guide.show.model_plan import ClothReport
from guide.show.pictures.cloth import MARKS, Look, cutting_plan, definitions, looks
from guide.show.pictures.faces import Seen, face
from guide.show.pictures.svg import Pen, wide
from guide.show.pictures.times import DayLine, Stretch, day_bars
from guide.show.report import report
from tests.show import samples

K = 2.0


def parts(svg, **attributes):
    """The elements that carry these attributes, in drawing order."""
    wanted = {name.replace("_", "-"): value for name, value in attributes.items()}
    return [one for one in ET.fromstring(str(svg)).iter() if wanted.items() <= one.attrib.items()]


def marked(svg, name):
    """The elements that carry an attribute."""
    return [one for one in ET.fromstring(str(svg)).iter() if name in one.attrib]


def words(svg, text):
    (one,) = [one for one in ET.fromstring(str(svg)).iter() if one.text == text and one.tag.endswith("text")]
    return one


def at(one, *names):
    return [float(one.get(name)) for name in names]


def cloth_of(*placed, along=False, **size):
    return ClothReport(
        bought=True, placements=placed, strips=(), along=along, selvedge_mm=0, trim_mm=0, width_text="w",
        length_text="l", **size,
    )  # fmt: skip


@pytest.mark.parametrize(("paper_mm", "drawn"), [(0.25, "0.5"), (0.35, "0.7"), (1.4, "2.8")])
def test_a_line_is_as_thick_on_paper_whatever_the_drawing_s_scale(paper_mm, drawn):
    """[identity] 2 mm of drawing to 1 mm of paper: twice the number."""
    assert Pen(K).line(paper_mm) == drawn


def test_the_number_of_a_strip_stands_clear_of_the_cloth_at_the_strip_s_middle():
    """[identity] A strip from 10 to 40 mm: at 25. Left of the cloth however wide the letter, and inside the margin of 9."""
    placed = Placement("p", 0, 10, 50, 30, turned=False, strip=7, order=1)
    cloth = cloth_of(placed, width_mm=89 * K, length_mm=60)
    svg = cutting_plan((), cloth, look=None, title="t", tall_mm=150)
    x, y, size = at(words(svg, "7"), "x", "y", "font-size")
    half = wide("7", size, bold=True) / 2
    assert -9 * K <= x - half < x + half <= 0
    assert y == 25


def test_strips_along_the_grain_are_numbered_above_the_cloth_each_at_its_middle():
    """[identity] Three strips of 20 mm side by side from 5 mm on, two pieces each: at 15, 35 and 55, clear of the cloth."""
    placed = (
        Placement("p", 5 + 20 * i, 30 * j, 20, 30, turned=False, strip=i + 1, order=1)
        for i in range(3)
        for j in range(2)
    )
    svg = cutting_plan((), cloth_of(*placed, along=True, width_mm=89, length_mm=60), look=None, title="t", tall_mm=150)
    places = [at(words(svg, f"{strip}"), "x", "y", "font-size") for strip in (1, 2, 3)]
    assert [x for x, _, _ in places] == [15, 35, 55]
    top = float(re.search(r'viewBox="\S+ (\S+)', svg)[1])
    assert all(top <= y - size / 2 < y + size / 2 <= 0 for _, y, size in places)


@pytest.mark.parametrize(("tall", "told"), [(150.0, range(1, 21)), (60.0, range(1, 21, 2)), (30.0, range(1, 21, 3))])
def test_numbers_of_narrow_strips_never_stand_in_one_another(tall, told):
    """[identity] 20 strips in 60 mm of paper: 3 mm each, under four fifths of a number's 4.6; in 30 mm 1.5 each."""
    placed = (Placement("p", 0, 10 * i, 50, 10, turned=False, strip=i + 1, order=i + 1) for i in range(20))
    cloth = cloth_of(*placed, width_mm=50, length_mm=200)
    svg = cutting_plan((), cloth, look=None, title="t", tall_mm=tall)
    assert [one for one in range(1, 21) if f">{one}</text>" in svg] == list(told)


def test_seams_are_drawn_frayed_where_nothing_is_said_a_thread_each_1_25_mm_of_paper():
    """[identity] Two squares of 64 mm side by side on as much paper: one seam of 64 mm, ⌊64 / 2.5⌋ threads."""
    sizes = {"pitch_mm": 64, "fringe_mm": 8, "title": "t", "width_text": "w", "height_text": "h"}
    found = looks([("a", "A", None), ("b", "B", None)])
    combs = parts(face([["a", "b"]], found, **sizes), **{"class": "fringe"})
    assert combs[0].get("d").count("M") == 25
    assert len(combs) == 2  # the seam's, and the edge's
    assert len(parts(face([["a", "b"]], found, seen=Seen(frayed=False), **sizes), **{"class": "fringe"})) == 1


def figure(kind, wide=12.0, high=9.0):
    """The marks of a kind on a piece of 12 by 9 mm of paper, its unit 9 / 3.2 = 2.8125 mm: paths by stroke or fill."""
    look = Look("a", "A", kind, "#fff", "#000")
    group = ET.fromstring(f"<svg>{definitions(Pen(1.0), {'a': look}, wide, high)}</svg>")[0][0]
    return {"stroke" if "stroke" in one.attrib else "fill": one.get("d") for one in group if one.tag == "path"}


def corners(path):
    """Where a path of straight strokes and boxes begins and goes: its points, relative ones made absolute."""
    at, out = (0.0, 0.0), []
    for command, body in re.findall(r"([MLhvqac])([^MLhvqacz]*)", path):
        values = [float(one) for one in re.findall(r"-?[\d.]+", body)]
        match command:
            case "M" | "L":
                at = (values[0], values[1])
            case "h":
                at = (at[0] + values[0], at[1])
            case "v":
                at = (at[0], at[1] + values[0])
            case _:
                at = (at[0] + values[-2], at[1] + values[-1])
        out.append(at)
    return out


@pytest.mark.parametrize("kind", sorted(set(MARKS) - {"plain"}))
@pytest.mark.parametrize("size", [(12.0, 9.0), (3.0, 3.0), (40.0, 6.0)])
def test_marks_stay_on_their_piece(kind, size):
    """Nothing is cut off at an edge, so nothing needs a clip, and every printer draws lines. [identity]"""
    for path in figure(kind, *size).values():
        points = corners(path)
        assert len(points) > 1
        assert all(-1e-3 <= x <= size[0] + 1e-3 and -1e-3 <= y <= size[1] + 1e-3 for x, y in points)


def test_no_two_kinds_have_the_same_marks():
    """Twelve figures, twelve drawings, by their marks alone: colour has no say."""
    assert len(MARKS) == 12
    assert len({tuple(sorted(figure(kind).items())) for kind in MARKS}) == 12
    assert figure("plain") == {}


def test_each_kind_is_what_it_is_called():
    """[practice] What a maker calls a check, a stripe, a dot …; counts are of places about 2.8125 mm apart on 12 × 9 mm.

    [identity] 12 / 2.8125 = 4.27, 9 / 2.8125 = 3.2: 4 places across, 3 down; half of it 9 and 6.
    """
    boxes = {kind: figure(kind)["fill"].count("z") for kind in ("check", "stripe", "bar", "dot", "leaf")}
    assert boxes == {"check": 9 * 6 / 2, "stripe": 2 * 4, "bar": 3, "dot": 4 + 3 + 4, "leaf": 4 + 3 + 4}
    check = corners(figure("check")["fill"])
    assert check[1][0] - check[0][0] == pytest.approx(12 / 9, abs=2e-3)  # squares and gaps of one width, as on a board
    assert check[2][1] - check[1][1] == pytest.approx(9 / 6, abs=2e-3)
    stripe, bar = corners(figure("stripe")["fill"]), corners(figure("bar")["fill"])
    assert {y for _, y in stripe} == {0.0, 9.0}  # upright, from edge to edge
    assert {x for x, _ in bar} == {0.0, 12.0}  # level
    assert "z" not in figure("ring")["stroke"]  # open rings
    assert figure("ring")["stroke"].count("M") == figure("dot")["fill"].count("M")
    cross = corners(figure("cross")["stroke"])
    assert len(cross) == 4 * (4 + 3 + 4)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in zip(cross[::2], cross[1::2], strict=True))
    twill = corners(figure("twill")["stroke"])
    assert all(b[0] <= a[0] and b[1] >= a[1] and a != b for a, b in zip(twill[::2], twill[1::2], strict=True))
    zigzag, wave = figure("herringbone")["stroke"], figure("wave")["stroke"]
    assert "q" not in zigzag
    assert zigzag.count("M") == 6  # 9 / 1.40625
    assert wave.count("q") == 2 * 2 * 4  # 9 / (1.4 · 2.8125) is 2 waves, each of 4 up and 4 down
    brick = corners(figure("brick")["stroke"])
    level = [a for a, b in zip(brick[::2], brick[1::2], strict=True) if a[1] == b[1]]
    assert len(level) == 5 - 1  # 9 / 1.96875 is 5 courses
    joints = [a[0] for a, b in zip(brick[::2], brick[1::2], strict=True) if a[0] == b[0]]
    assert joints == [3, 6, 9, 1.5, 4.5, 7.5, 10.5, 3, 6, 9, 1.5, 4.5, 7.5, 10.5, 3, 6, 9]  # by turns


def test_a_colour_of_its_own_is_the_cloths_ground():
    """The maker's #rrggbb as it is; the figure darker on light and lighter on dark, half way and more. [identity]"""
    found = looks([("a", "A", "#ffcc00"), ("b", "B", "#102040"), ("moss", "C", None)])
    assert (found["a"].ground, found["a"].figure) == ("#ffcc00", "#806600")
    assert found["b"].ground == "#102040"
    assert found["b"].figure == "#a4aab6"  # 16 + 239 · 0.62 = 164, 32 + 223 · 0.62 = 170, 64 + 191 · 0.62 = 182
    assert found["moss"].ground == "#dfe5cf"


def panel(across, down, seen, letters="ABCDEFGH"):
    sizes = {"pitch_mm": 100, "fringe_mm": 10, "title": "t", "width_text": "w", "height_text": "h"}
    names = [[letters[(r + c) % len(letters)] for c in range(across)] for r in range(down)]
    return face(names, looks([(one, one, None) for one in letters]), **sizes, seen=seen)


@pytest.mark.parametrize("across", [1, 2, 4, 5, 6, 9, 12, 16])
def test_letters_hide_no_more_than_35_percent_of_a_patch(across):
    """A disc's width beside its patch's; where none that is read would fit, rows and columns have their heads alone."""
    drawn = panel(across, 3, Seen())
    discs, texts = (
        marked(drawn, "data-letter"),
        [one.text for one in ET.fromstring(drawn).iter() if one.tag.endswith("text")],
    )
    assert all(2 * float(one.get("r")) <= 0.35 * 100 + 1e-6 for one in discs)
    assert len(discs) == (3 * across if across <= 5 else 0)
    assert {"1", "2"} <= set(texts)
    paper = float(ET.fromstring(drawn).get("viewBox").split()[2]) / float(re.search(r"--wide:([\d.]+)mm", drawn)[1])
    sizes = [float(one.get("font-size")) / paper for one in ET.fromstring(drawn).iter() if one.tag.endswith("text")]
    assert min(sizes) >= 9 / 72 * 25.4  # [identity] 9 pt are 3.175 mm


def test_a_map_to_pin_up_has_lines_every_ten():
    """12 × 31: one line after ten columns, and after ten, twenty and thirty rows."""
    lines = marked(panel(12, 31, Seen(shown_mm=180, heads=True)), "data-ten")
    upright = [float(one.get("x1")) for one in lines if one.get("x1") == one.get("x2")]
    level = [float(one.get("y1")) for one in lines if one.get("y1") == one.get("y2")]
    assert upright == [1000]
    assert level == [1000, 2000, 3000]


@pytest.mark.parametrize(("name", "side"), [("width", "y"), ("height", "x")])
def test_a_dimension_ends_in_short_ticks_across_it(name, side):
    """[practice] As a pattern cutter draws it: at both ends a stroke across, 2.4 mm of paper here."""
    drawn = panel(4, 3, Seen())
    paper = float(ET.fromstring(drawn).get("viewBox").split()[2]) / float(re.search(r"--wide:([\d.]+)mm", drawn)[1])
    (main,) = [one for one in marked(drawn, "data-dimension") if one.get("data-dimension") == name]
    ends = [tuple(float(main.get(f"{way}{end}")) for way in "xy") for end in "12"]
    ticks = []
    for one in (found for found in ET.fromstring(drawn).iter() if found.tag.endswith("line") and found is not main):
        (x1, y1), (x2, y2) = (tuple(float(one.get(f"{way}{end}")) for way in "xy") for end in "12")
        if one.get("data-dimension") is None and ((x1 + x2) / 2, (y1 + y2) / 2) in [pytest.approx(at) for at in ends]:
            ticks.append(float(one.get(f"{side}2")) - float(one.get(f"{side}1")))
    assert ticks == pytest.approx([2.4 * paper] * 2, abs=0.01)


def test_a_panel_turned_like_a_page_keeps_its_columns_numbers():
    """[identity] Three columns and a lettered print: seen from behind, column 1 is at the right, rows stay."""
    heads = {}
    for turned in (False, True):
        drawn = ET.fromstring(panel(3, 2, Seen(turned=turned)))
        found = [one for one in drawn.iter() if one.tag.endswith("text") and one.text.isdigit()]
        heads[turned] = sorted((float(one.get("y")), float(one.get("x")), one.text) for one in found)
    assert [text for _, _, text in heads[False]] == ["1", "2", "3", "1", "2"]
    assert [text for _, _, text in heads[True]] == ["3", "2", "1", "1", "2"]
    assert [at[:2] for at in heads[True]] == [at[:2] for at in heads[False]]


def test_lines_every_ten_are_a_matter_of_the_map_to_pin_up():
    """On a small picture they would be taken for seams or zips; from behind they lie ten columns from the right."""
    assert marked(panel(12, 31, Seen()), "data-ten") == []
    lines = marked(panel(12, 31, Seen(shown_mm=180, heads=True, turned=True)), "data-ten")
    assert [float(one.get("x1")) for one in lines if one.get("x1") == one.get("x2")] == [200]


@pytest.mark.parametrize(("quilted", "straight"), [("cross", False), ("plus", True)])
def test_quilting_is_drawn_as_it_is_sewn(quilted, straight):
    """[practice] Two lines a block: corner to corner, or middle to middle; none where a patch is too small for them."""
    lines = marked(panel(2, 2, Seen(quilted=quilted)), "data-line")
    assert len(lines) == 2 * 4
    assert all((one.get("x1") == one.get("x2") or one.get("y1") == one.get("y2")) == straight for one in lines)
    assert marked(panel(9, 9, Seen(quilted=quilted)), "data-line") == []


@pytest.mark.parametrize(("narrow", "than"), [("ilt", "abc"), ("abc", "ABC"), ("ABC", "MW@"), ("...", "mmm")])
def test_letters_are_reckoned_as_wide_as_they_are(narrow, than):
    """[practice] Narrow, usual, capital, wide, in every proportional face; twice the size is twice the width."""
    assert wide(narrow, 10, bold=True) < wide(than, 10, bold=True)
    assert wide(narrow, 20) == 2 * wide(narrow, 10)


def test_the_day_is_drawn_to_its_clock():
    """[identity] 09:00 to 12:00 is 10800 s: an hour's work, half an hour's wait, a break of 30 min, an hour's work."""
    parts_ = (
        Stretch("work", 0, 3600),
        Stretch("wait", 3600, 5400),
        Stretch("break", 5400, 7200),
        Stretch("work", 7200, 10800),
    )
    drawn = day_bars([DayLine("", "09:00", "12:00", parts_, ((9000, "11:30"),))], 184)
    found = [(one.get("data-kind"), *at(one, "data-start-s", "data-end-s")) for one in marked(drawn, "data-kind")]
    assert found == [("work", 0, 3600), ("wait", 3600, 5400), ("break", 5400, 7200), ("work", 7200, 10800)]
    for one in marked(drawn, "data-kind"):
        ends = at(one, "x1", "x2") if one.tag.endswith("line") else [at(one, "x")[0], sum(at(one, "x", "width"))]
        assert ends == pytest.approx(at(one, "data-start-s", "data-end-s"))
    assert [one.get("data-decide-s") for one in marked(drawn, "data-decide-s")] == ["9000"]
    assert at(words(drawn, "11:30"), "x") == [9000]
    assert "time to decide at 11:30" in drawn


def test_a_panel_of_its_own_for_a_back_lies_as_it_is_seen():
    """Its stacks hold one print each: nothing is mirrored."""
    told = report(samples.plan())
    assert back_rows(told)[0][0] == samples.plan().backing.blocks[0].stack[0]
