"""What is said is said in the project's units and words: no inch to a metric maker, no wadding to an American."""

import json
import re

import pytest

from guide.commands.why import why_lines
from guide.plan.make import make_plan
from guide.show.plan_lines import plan_lines
from guide.show.report import report
from guide.show.words import render_step, shown_values, value_text
from tests.plan.sums_of import ENVELOPE, THROW, WORKFLOWS, cushion, read, shipped

METRIC = {
    "units": "metric",
    "square": "13 cm",
    "seam": "15 mm",
    "wadding": {"gap": "15 mm", "width": "2.4 m"},
    "snips": {"every": "12 mm", "clear": "3 mm"},
    "prints": [{"name": name, "width": "110 cm", "selvedge": "1 cm"} for name in ("leaf", "check", "dot", "stripe")],
}
ZIP = {"type": "zip", "end_gap": "25 mm", "stop_gap": "12 mm", "box_gap": "6 mm"}
CLOSURES = {
    "zip across": {"closure": ZIP | {"after_row": 1}},
    "zip down, plain back": {"closure": ZIP | {"after_column": 1}, "back": {"plain": "dot"}},
    "envelope": {"closure": {"type": "envelope", "overlap": "10 cm", "hem": "25 mm"}},
    "envelope, defaults": {"closure": {"type": "envelope", "double_hem": False}},
    "throw": THROW,
    "tiny squares": {"square": "7 cm", "grid": {"across": 2, "down": 2}, "closure": ZIP | {"after_row": 1}},
}


def everything_said(plan) -> str:
    """Every text of the plan: its table with every number, its steps' words, values, cues and tools."""
    out = plan_lines(report(plan), 100, everything=False)
    for step in plan.steps:
        out += [*render_step(plan, step).values(), step.cue or "", *step.tools]
        out += [f"{value} {label}" for value, label in shown_values(plan, step)]
    return "\n".join(out)


@pytest.mark.parametrize("name", CLOSURES)
def test_a_metric_maker_reads_no_inch_and_no_yard(name):
    """Table, shopping, warnings and every step's words, for every closure."""
    plan = make_plan(read(cushion(**METRIC | CLOSURES[name])), shipped())
    said = everything_said(plan)
    assert not re.findall(r"[\d⅛¼⅜½⅝¾⅞] ?(?:in|inch|inches|yd|yards|sq in)\b", said)
    assert re.search(r"\d (?:cm|mm)\b", said)


def test_a_metric_maker_reads_tolerances_in_whole_mm(guide, workshop):
    """2, 3 and 6 mm for the inch maker's 1/16, 1/8 and 1/4 in; and no sum comes out in tenths [practice: no ruler has them].

    What is said to be about so much, or within it, needs no ≈ besides.
    """
    plan = make_plan(read(cushion(**METRIC | CLOSURES["zip across"] | {"snips": None})), shipped())
    said = everything_said(plan)
    assert {m[1] for m in re.finditer(r"[Ww]ithin (≈? ?[\d.]+ mm)", said)} == {"2 mm", "3 mm", "6 mm"}
    assert not re.search(r"\b(about|every|within|more than|miss by|up to) ≈", said, re.IGNORECASE)
    assert not re.search(r"\d\.\d mm", said.replace("2.5 mm", ""))


def test_an_inch_maker_reads_inches_and_stitches_in_mm():
    """The other way round: no cm; a stitch is in mm to everyone [practice], and so is what lies under a foot.

    At 0.25 mm a layer squeezed: 12 layers at a crossing are 3 mm, 9 at the outer seam's thickest 2.25 [identity].
    """
    said = everything_said(make_plan(read(cushion()), shipped()))
    assert not re.findall(r"\d ?cm\b", said)
    assert {m[1] for m in re.finditer(r"(\d\S*) mm\b", said)} <= {"2.5", "5", "3", "2.25"}


@pytest.mark.parametrize("changes", [{}, {"closure": ENVELOPE}, THROW, {"hold_with": "pins", "wadding": "none"}])
def test_an_american_maker_reads_american_words(changes):
    """Wadding is batting, a zip a zipper, a pad a pillow form, tacking basting, an unpicker a seam ripper [practice]."""
    plan = make_plan(read(cushion(words="american", project="Mine", **changes)), shipped())
    said = "\n".join(plan_lines(report(plan), 100))
    said += "\n".join(
        str(getattr(step, key))
        for step in report(plan, texts=True).steps
        for key in ("title", "shows", "tools", "texts")
    )
    said = re.sub(r"'(?:name|key|from)': '[^']*'", "", said)
    british = (
        r"\b(wadding|zips?|pads?|cushions?|tack(?:ing|ed|s)?|unpick(?:er|ing|ed)?|colours?|centre|metres?|selvedges?)\b"
    )
    assert re.findall(british, said, re.IGNORECASE) == []
    if not changes:
        for word in ("batting", "zipper", "pillow form", "basting", "seam ripper"):
            assert word in said.lower()


def test_a_makers_own_names_are_never_turned(guide, workshop):
    """A print called `zip dot` and a notion called `tack box` stay as written, American or not."""
    folder = workshop / "sessions" / "own"
    folder.mkdir()
    data = cushion(words="american", extras=[{"name": "tack box", "price": 3}])
    data["prints"] = [{"name": name, "width": "44 in"} for name in ("zip dot", "pad leaf", "centre", "stripe")]
    (folder / "project.yaml").write_text(json.dumps(data, indent=1), encoding="utf-8")
    said = guide("plan", str(folder)).out
    for name in ("zip dot", "pad leaf", "centre", "tack box"):
        assert name in said


@pytest.mark.parametrize(
    ("value", "dim", "units", "said"),
    [
        (0.0397, "ratio", "inch", "3.97 %"),  # −3 % then −1 % [identity]
        (0.5, "ratio", "metric", "50 %"),
        (60.0, "time", "inch", "60 s"),
        (90.0, "time", "inch", "2 min"),
        (3900.0, "time", "metric", "1 h 05"),
        (645.16 * 12, "area", "inch", "12 sq in"),  # 25.4² mm² each [source: international yard agreement 1959]
        (10_000.0, "area", "metric", "100 cm²"),
        (1234.0, "count", "inch", "1,234"),
        (True, "flag", "inch", "yes"),
    ],
)
def test_every_dimension_has_its_words(value, dim, units, said):
    """A ratio as a percentage, a time as a clock says it, an area in the maker's units."""
    assert value_text(value, dim, units) == said


def test_why_of_a_session_points_into_the_project_as_it_was_then(guide, workshop):
    """The journal keeps the project's text: lines stay right although the file has grown since."""
    folder = workshop / "sessions" / "window-seat-cushion"
    assert guide("follow", str(folder), "--rehearse").code == 0
    journal = str(next((folder / "rehearsals").glob("*.jsonl")))
    before = guide("why", "pitch", journal).out
    text = (folder / "project.yaml").read_text(encoding="utf-8")
    line = next(i for i, one in enumerate(text.split("\n"), 1) if one.startswith("square:"))
    (folder / "project.yaml").write_text("# one\n# two\n" + text, encoding="utf-8")
    assert f"square = 6 in   project.yaml:{line}" in before
    assert guide("why", "pitch", journal).out == before
    assert f"square = 6 in   project.yaml:{line + 2}" in guide("why", "pitch", str(folder)).out


def test_why_as_json_is_the_same_tree(guide):
    """Every branch has its value, formula, values put in and place; leaves are inputs or measures."""
    tree = json.loads(guide("why", "washed_height", "sessions/window-seat-cushion", "--json").out)

    def walk(node):
        yield node
        for inner in node["needs"]:
            yield from walk(inner)

    nodes = {node["name"]: node for node in walk(tree)}
    assert {"washed_height", "face_height", "panel_height", "pitch", "square", "seam", "shrink_length"} <= set(nodes)
    assert nodes["shrink_length"]["text"].endswith(" %")
    for node in nodes.values():
        assert (node["formula"] is None) == (node["with_values"] is None)
        assert node["from"]
    lines = guide("why", "washed_height", "sessions/window-seat-cushion").out
    assert all(name in lines for name in nodes)


def test_why_of_a_stages_default_points_into_the_stage(guide):
    """What the project does not write stands where the stage file says it, on that file's line."""
    stage = (WORKFLOWS / "snip.yaml").read_text(encoding="utf-8").split("\n")
    line = next(i for i, one in enumerate(stage, 1) if one.strip().startswith("last_snip:"))
    assert f"last_snip = 1/4 in   workflows/snip.yaml:{line}" in guide("why", "last_snip").out


def test_why_of_a_text_and_of_what_does_not_apply():
    """An input that is a text, and a number the article has none of, are said and not hidden."""
    from guide.plan.graph import tree

    plan = make_plan(read(cushion(**THROW)), shipped())
    lines = why_lines(tree("zip_cut", plan.quantities, shipped()), plan.quantities, "inch")
    assert lines[0].startswith("zip_cut = does not apply")
    assert why_lines(tree("kind", plan.quantities, shipped()), plan.quantities, "inch")[0].startswith("kind = throw")
