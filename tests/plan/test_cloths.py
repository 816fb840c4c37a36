"""Kinds of cloth, each planned and checked by sums worked by hand.

Every figure of a kind is common practice or from memory, with no source [practice, memory]; what follows from it is
arithmetic [identity].
"""

import math
import re
from pathlib import Path

import pytest

from guide.money.checklist import checklist_times
from guide.money.paces import NONE
from guide.plan.make import make_plan
from guide.read.places import open_project
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.price import render_tickets
from guide.show.report import report
from guide.show.report_cautions import washing
from guide.show.words import render_step
from tests.fakes import run
from tests.plan.article import IN
from tests.plan.sums_of import THROW, cushion, read, shipped
from tests.show.samples import record

# kind: g/m², mm squeezed, shrinks along and across, needle, stitch mm, time, layers at a cut, frays, washes [memory]
KINDS = {
    "quilting cotton": (150, 0.25, 0.03, 0.03, 80, 2.5, 1.0, 4, "well", 2),
    "flannelette": (170, 0.3, 0.05, 0.04, 80, 2.5, 1.0, 4, "well", 1),
    "denim": (400, 0.6, 0.05, 0.03, 100, 3.0, 1.4, 2, "well", 3),
    "linen": (190, 0.3, 0.06, 0.04, 90, 2.5, 1.15, 3, "well", 1),
    "canvas": (340, 0.5, 0.05, 0.03, 110, 3.0, 1.4, 2, "well", 3),
    "double gauze": (130, 0.3, 0.08, 0.06, 80, 2.5, 1.2, 2, "well", 1),
    "corduroy": (300, 0.6, 0.04, 0.03, 90, 3.0, 1.25, 2, "well", 2),
    "lawn": (80, 0.15, 0.03, 0.03, 70, 2.0, 1.1, 4, "softly", 2),
    "poplin": (115, 0.2, 0.03, 0.02, 80, 2.5, 1.0, 4, "little", 4),
    "chambray": (140, 0.22, 0.04, 0.03, 80, 2.5, 1.0, 4, "well", 2),
    "seersucker": (120, 0.3, 0.04, 0.03, 80, 2.5, 1.1, 3, "softly", 2),
    "twill": (250, 0.4, 0.04, 0.03, 90, 2.5, 1.15, 3, "well", 2),
}


def prints(*kinds, **more):
    ones = [{"name": f"print {i}", "width": "44 in"} | more for i in range(len(kinds))]
    return [one | ({"made_of": kind} if kind else {}) for one, kind in zip(ones, kinds, strict=True)]


def throw(*kinds, **changes):
    """Three by two blocks of 6 in, one square over the wadding and one under, half-inch seams."""
    size = {
        "grid": {"across": 3, "down": 2}, "square": "6 in", "seam": "1/2 in", "layers": {"above": 1, "below": 1},
        "wadding": {"gap": "1/2 in"}, "prints": prints(*kinds),
    }  # fmt: skip
    return make_plan(read(cushion(**(THROW | size | changes))), shipped())


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_cloth_is_reaches_every_number_it_touches(kind):
    """Layers, thickness, needle, weight, shrinkage, thread and time of one small throw, by hand [identity]."""
    weight, thick, long, wide, needle, stitch, time, cut, *_ = KINDS[kind]
    plan = throw(*[kind] * 4)
    n = plan.number
    assert (n("layers_raw_seam"), n("layers_crossing")) == (4, 8)
    assert n("thick_crossing") == pytest.approx(8 * thick)
    assert n("thick_outer_worst") == pytest.approx(4 * thick)
    assert (n("needle_quilting"), n("needle_crossing"), n("needle_outer")) == (
        max(90, needle), max(90, needle), max(80, needle),
    )  # fmt: skip
    # twelve squares of 6 in, six of wadding of 5 in at 100 g/m², and 0.03 g a metre of thread
    cloth, inside = 12 * (6 * IN / 1000) ** 2 * weight, 6 * (5 * IN / 1000) ** 2 * 100
    assert n("weight_each") == pytest.approx(cloth + inside + 0.03 * n("thread") / 1000)
    # the face is 15 by 10 in; a cloth's length runs down it
    assert n("washed_width") == pytest.approx(15 * IN * (1 - wide))
    assert n("washed_height") == pytest.approx(10 * IN * (1 - long))
    # four row seams of 5 1/4 in sewn, both threads, four layers to go through at each stitch
    assert n("thread_rows") == pytest.approx(4 * 5.25 * IN * (2 + 2 * 4 * thick / stitch))
    assert n("thread_quilting") == pytest.approx(12 * 5 * math.sqrt(2) * IN * (2 + 2 * (2 * thick + 1) / stitch))
    steps = {step.key: step for step in plan.steps}
    assert steps["quilt/cross"].pace_s == pytest.approx(60 * time)
    assert steps["join/rows"].pace_s == pytest.approx(40 * time)
    assert steps["snip/rows"].pace_s / steps["snip/rows"].effort == pytest.approx(2.3 * time)
    assert steps["assemble/edge"].pace_s == pytest.approx((60 + 240 * 50 * IN / 1000) * time)
    assert steps["quilt/mark"].pace_s == 20  # a pen is as quick on any cloth
    cuts = [step for step in plan.steps if step.key.startswith("cut/pieces:print")]
    assert cuts
    for step in cuts:
        assert f"At most {cut} layers at a cut." in render_step(plan, step)["do"]
        assert step.row["layers"] <= cut
        strips, pieces = step.row["strips"], step.row["pieces"]
        assert step.pace_s * step.pieces == pytest.approx((45 * strips + 6 * pieces) * time)


@pytest.mark.parametrize(("kind", "figures"), KINDS.items(), ids=list(KINDS))
def test_a_kind_is_what_the_trade_says_and_says_how_sure_it_is(kind, figures):
    """Each figure where it shows, and beside it that it is common practice or from memory [practice, memory]."""
    cloth = shipped().beside["cloths"][kind]
    said = (
        cloth.weight, cloth.thickness, cloth.shrinks_length, cloth.shrinks_width, cloth.needle, cloth.stitch, cloth.pace,
        cloth.cut_layers, cloth.frays, cloth.fills_after,
    )  # fmt: skip
    assert said == figures
    told = dict(throw(*[kind] * 4).told)[kind]
    assert f"{figures[0]} g/m², {figures[1]:g} mm squeezed" in told
    assert f"frays {figures[8]}, filled out after {'one wash' if figures[9] == 1 else f'{figures[9]} washes'}" in told
    assert re.search(r"\((common practice|from memory)\)", told)


def loads(kind, make, **changes):
    plan = make_plan(read(cushion(**DEMO | {"make": make, "prints": prints(*[kind] * 3)} | changes)), shipped())
    washer = [(step.key, step.title, step.waits_s) for step in plan.steps if step.station == "washer"]
    return plan, washer


DEMO = {  # the shipped example's cushion: sixty 6 in squares, twelve of wadding of 5 in
    "grid": {"across": 4, "down": 3}, "square": "6 in", "seam": "1/2 in", "layers": {"above": 2, "below": 2},
    "wadding": {"gap": "1/2 in"},
}  # fmt: skip


def test_a_load_holds_whole_articles_up_to_its_weight():
    """One of flannelette weighs 237 + 19 g and 2 g of thread: nine to a first load of 2.5 kg, so ten are two [identity].

    Of quilting cotton, 209 + 19 + 2 g, ten are one load of 2.3 kg and eleven are two.
    """
    area, inside = 60 * (6 * IN / 1000) ** 2, 12 * (5 * IN / 1000) ** 2 * 100
    plan, washer = loads("flannelette", 10)
    each = area * 170 + inside + 0.03 * plan.number("thread") / 1000 / 10
    assert plan.number("weight_each") == pytest.approx(each)
    assert 2500 / 10 < each < 2500 / 9
    wash, dry = ("Shake it out and wash", 3600), ("Shake and dry", 3000)
    assert washer == [
        ("wash/load", f"{wash[0]}: load 1 of 2", wash[1]),
        ("wash/dry", f"{dry[0]}: load 1 of 2", dry[1]),
        ("wash/load:1-2", f"{wash[0]}: load 2 of 2", wash[1]),
        ("wash/dry:1-2", f"{dry[0]}: load 2 of 2", dry[1]),
    ]
    said = [render_step(plan, step)["do"] for step in plan.steps if step.id == "load"]
    assert all("(5 together, a bag each)" in one for one in said)
    assert len(loads("quilting cotton", 10)[1]) == 2
    assert len(loads("quilting cotton", 11)[1]) == 4
    assert loads("quilting cotton", 10)[0].number("weight_each") == pytest.approx(230, abs=1.5)
    again = loads("flannelette", 10, washes=2)[1]  # 5 kg then: all ten together
    assert [title for _, title, _ in again[4:]] == [f"{wash[0]}: second wash", f"{dry[0]}: second wash"]


def test_a_washer_is_the_makers_and_what_is_over_it_is_washed_elsewhere(tmp_path):
    """A smaller washer in the maker's own folder, 1 kg of a first wash: four of 0.23 kg to a load [identity]."""
    home = tmp_path / "home" / "workflows"
    home.mkdir(parents=True)
    (home / "mine.yaml").write_text("machine: {first_wash_load: 1 kg}\n", encoding="utf-8")
    project = tmp_path / "project.yaml"
    project.write_text(
        "project: Ten\nkind: cushion\nmake: 10\ngrid: {across: 4, down: 3}\nsquare: 6 in\nseam: 1/2 in\n"
        "layers: {above: 2, below: 2}\nwadding: {gap: 1/2 in}\nprints:\n"
        + "".join(f"  - {{name: print {i}, width: 44 in}}\n" for i in range(3))
        + "closure: {type: zip, after_row: 1}\n",
        encoding="utf-8",
    )
    opened = open_project(project, {"FRAYWORK_HOME": str(tmp_path / "home")})
    plan = make_plan(opened.project, opened.language)
    assert (plan.number("articles_first"), plan.number("loads_first")) == (4, 3)
    heavy = throw("denim", "denim", "denim", grid={"across": 12, "down": 14}, square="8 in")
    # 336 squares of 8 in at 400 g/m² are 5.5 kg: over any load
    assert heavy.number("weight_each") > 336 * (8 * IN / 1000) ** 2 * 400
    (warned,) = [one for one in heavy.warnings if one.name == "washer_load"]
    assert "wash it elsewhere" in warned.text
    assert heavy.number("loads_first") == 1


@pytest.mark.parametrize(
    ("kind", "layers", "thick"),
    [
        ("quilting cotton", 2, 0.0),
        ("quilting cotton", 3, 0.0),
        ("denim", 1, 0.0),
        ("denim", 2, 9.6),
        ("corduroy", 2, 9.6),
    ],
)
def test_a_crossing_is_judged_by_what_it_is_squeezed_to(kind, layers, thick):
    """Over 6 mm a foot does not go: 24 of cotton are 6.0 mm, 16 of denim 9.6 mm [practice]."""
    plan = throw(*[kind] * 6, layers={"above": layers, "below": layers})
    found = {one.name: one.text for one in plan.warnings if one.name == "layers_crossing"}
    assert (f"{thick:.1f} mm where seams cross" in found.get("layers_crossing", "")) == bool(thick)
    assert bool(found) == bool(thick)


def test_a_crossing_of_unlike_cloths_is_as_thick_as_its_own_squares():
    """Twelve blocks of denim over lawn: a mean of 0.375 mm, and whatever meets at the thickest crossing is told."""
    plan = throw("denim", "lawn", layers={"above": 2, "below": 2}, grid={"across": 4, "down": 3}, hold_with="pins")
    each = {"print 0": 0.6, "print 1": 0.15}
    stack = {(b.row, b.column): sum(each[name] for name in b.stack) for b in plan.layout.blocks}
    thickest = max(
        sum(stack[r + i, c + j] for i in (0, 1) for j in (0, 1)) for r in (1, 2) for c in (1, 2, 3)
    )  # fmt: skip
    assert plan.number("cloth_thickness") == pytest.approx(0.375)
    told = [one.text for one in plan.warnings if one.name == "layers_crossing"]
    assert bool(told) == (thickest > 6)
    assert all(f"{thickest:.1f} mm" in one for one in told)


UNLIKE = [  # two kinds, what is warned of, and its reason [practice]
    ("denim", "lawn", "unlike_weight", "5.0 times as heavy"),  # 400 / 80
    ("denim", "quilting cotton", "unlike_weight", "puckers along every seam"),  # 400 / 150
    ("quilting cotton", "poplin", "unlike_fraying", "frays well and print 1 little"),
    ("denim", "linen", "unlike_washes", "after one wash, that of print 0 after 3 washes"),
    ("double gauze", "quilting cotton", "shrink_length", "puckers"),  # 8 % and 3 %
    ("double gauze", "lawn", "shrink_width", "puckers"),  # 6 % and 3 %
]


@pytest.mark.parametrize(("one", "other", "name", "reason"), UNLIKE)
def test_unlike_cloths_in_one_stack_are_warned_of_with_the_reason(one, other, name, reason):
    """What pulls, frays or shrinks unlike its neighbour shows in the fringe or in puckers [practice]."""
    told = {warned.name: warned.text for warned in throw(one, other, one, other).warnings}
    assert reason in told[name]
    alike = {warned.name for warned in throw(one, one, one, one).warnings}
    assert name not in alike


def test_what_a_cloth_asks_for_in_the_wash_is_on_log_and_care_slip():
    """Each kind's own washing, once, after what holds of all [practice]; of cloth without a kind nothing more."""
    plan = throw("double gauze", "denim", "double gauze", "denim")
    full = report(plan, record(plan))
    gauze = "Double gauze: cool, in a bag, for its two layers snag."
    denim = "Denim: cold and alone at first, for dark denim bleeds."
    for render in (render_log, render_tickets):
        page = re.sub(r"\s+", " ", render(full, "markdown"))
        assert (page.count(gauze), page.count(denim)) == (1, 1)
        assert page.index("Wash it cool and gentle") < page.index(gauze)
    assert washing(plan.project).endswith(f"{gauze} {denim}")
    assert washing(throw(*[None] * 4).project).endswith("No hot iron on the wadding.")


def test_a_throws_snips_are_freed_after_its_edge_line():
    """A throw has no outer seam: its drawing speaks of the line its steps speak of."""
    lines = ("edge line", "outer seam")
    for back, line in zip(("none", "patchwork"), lines, strict=True):
        plan = throw(*["denim"] * 4) if back == "none" else make_plan(read(cushion()), shipped())
        page = render_checklist(report(plan, rows=checklist_times(plan, NONE, "10:00"), texts=True), "html")
        drawn = "".join(re.findall(r"<svg.*?</svg>", page, re.DOTALL))
        assert "snip" in drawn
        assert line in page
        assert [one for one in lines if one in drawn] == [line]


def test_cloth_that_slips_is_not_held_by_nothing():
    """Lawn and double gauze creep, cotton clings [practice]."""
    names = {kind: [w.name for w in throw(*[kind] * 4, hold_with="nothing").warnings] for kind in ("lawn", "chambray")}
    assert "hold_with" in names["lawn"]
    assert "hold_with" not in names["chambray"]


def test_a_project_that_names_no_kind_has_the_numbers_of_quilting_cotton_always_had():
    """0.25 mm, 150 g/m², a 2.5 mm stitch, four layers at a cut, its usual time, and no shrinkage of its own [identity].

    So naming quilting cotton, unshrunk, changes no number but the thinnest needle that is asked for.
    """
    none = make_plan(read(cushion()), shipped())
    unshrunk = {"shrinks": {"length": "0 %", "width": "0 %"}}
    named = make_plan(read(cushion(prints=[{"name": n, "width": "44 in", "made_of": "quilting cotton"} | unshrunk
                                          for n in ("leaf", "check", "dot", "stripe")])), shipped())  # fmt: skip
    numbers = [
        {name: q.value for name, q in plan.quantities.items() if name != "cloth_needle"} for plan in (none, named)
    ]
    assert numbers[0] == numbers[1]
    assert [(s.key, s.pace_s) for s in none.steps] == [(s.key, s.pace_s) for s in named.steps]
    said = {
        name: none.quantities[name].value for name in ("cloth_thickness", "stitch_length", "cloth_pace", "cloth_layers")
    }
    assert said == {"cloth_thickness": 0.25, "stitch_length": 2.5, "cloth_pace": 1.0, "cloth_layers": 4.0}
    assert none.quantities["shrink_length"].value == 0
    assert none.told[1:] == ()


def test_what_print_or_project_say_wins_over_the_kind_and_why_says_so(tmp_path, monkeypatch, capsys):
    """print > project > kind of cloth > default: 0.9 mm on one print, 0.4 for the project, denim's 0.6 [identity]."""

    def thickness(print_=None, project=None, kind="denim"):
        ones = prints(kind, kind) if kind else [{"name": f"print {i}", "width": "44 in"} for i in (0, 1)]
        ones[0] |= {"thickness": print_} if print_ else {}
        changes = {"cloth_thickness": project} if project else {}
        return throw(prints=ones, **changes).number("cloth_thickness")

    assert thickness("0.9 mm", "0.4 mm") == pytest.approx((0.9 + 0.4) / 2)
    assert thickness("0.9 mm") == pytest.approx((0.9 + 0.6) / 2)
    assert thickness(None, "0.4 mm") == pytest.approx(0.4)
    assert thickness() == pytest.approx(0.6)
    assert thickness(kind=None) == pytest.approx(0.25)
    written = throw(prints=prints("denim", "denim", shrinks={"length": "1 %", "width": "1 %"}))
    assert written.number("shrink_length") == pytest.approx(0.01)
    assert throw("denim", "denim", stitch={"length": "2.2 mm"}).number("stitch_length") == 2.2
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    Path("project.yaml").write_text(
        "project: Why\nkind: throw\ngrid: {across: 3, down: 2}\nsquare: 6 in\nseam: 1/2 in\n"
        "layers: {above: 1, below: 1}\nprints:\n  - {name: a, width: 44 in, made_of: denim}\n"
        "  - {name: b, width: 44 in, made_of: linen}\n",
        encoding="utf-8",
    )
    assert run(["why", "thick_crossing", "."]) == 0
    said = capsys.readouterr().out
    assert "the mean of denim 0.6 mm (common practice, workflows/cloths.yaml:" in said
    assert "linen 0.3 mm (from memory, workflows/cloths.yaml:" in said
    assert "the kind of cloth" in said


def test_a_kind_of_ones_own_is_four_words_in_a_file(tmp_path, monkeypatch, capsys):
    """12 oz a square yard are 406.9 g/m² [source: international yard and pound agreement 1959]; the rest as denim."""
    home = tmp_path / "home" / "workflows"
    home.mkdir(parents=True)
    (home / "mine.yaml").write_text("cloths:\n  old jeans: {like: denim, weight: 12 oz/yd2}\n", encoding="utf-8")
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    Path("project.yaml").write_text(
        "project: Mine\nkind: throw\ngrid: {across: 3, down: 2}\nsquare: 6 in\nseam: 1/2 in\n"
        "layers: {above: 1, below: 1}\nwadding: {gap: 1/2 in, made_of: felt}\nprints:\n"
        + "".join(f"  - {{name: {n}, width: 58 in, made_of: old jeans}}\n" for n in "abc"),
        encoding="utf-8",
    )
    opened = open_project(Path("project.yaml"), {"FRAYWORK_HOME": str(tmp_path / "home")})
    plan = make_plan(opened.project, opened.language)
    assert plan.number("cloth_weight") == pytest.approx(12 * 28.349523125 / 0.9144**2)
    assert (plan.number("needle_raw_seam"), plan.number("stitch_length")) == (100, 3.0)
    assert (plan.number("wadding_weight"), plan.number("wadding_thickness")) == (180, 0.9)
    assert dict(plan.told)["old jeans"].startswith("407 g/m², 0.6 mm squeezed")
    assert run(["plan", "."]) == 0
    assert "old jeans" in capsys.readouterr().out
