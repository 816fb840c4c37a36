"""Closures and kinds that makers add in YAML alone: ties, buttons with buttonholes, a table runner."""

import json
import re
import shutil
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest

from guide.commands.sessions import read_session
from guide.errors import NeedsMending
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.places import from_texts, open_project
from guide.read.project import read_project
from guide.read.template import check_texts
from guide.show.plan_lines import plan_lines
from guide.show.report import plan_report
from guide.show.words import render_step
from tests.fakes import run
from tests.plan.article import IN
from tests.plan.sums_of import WORKFLOWS, ZIP, cushion, shipped

KINDS = Path(__file__).parent / "kinds"
NAMES = sorted(folder.name for folder in KINDS.iterdir())


@pytest.fixture
def plan_of(tmp_path):
    def plan(name: str, *changes: str) -> Plan:
        opened = open_project(KINDS / name, {"FRAYWORK_HOME": str(tmp_path)}, changes)
        assert check_texts(opened.language) == []
        return make_plan(opened.project, opened.language)

    return plan


def value(plan, name):
    return plan.quantities[name].value


def cut_from(plan, material):
    """Every part cut from a material, by name and size in mm, as the cutting plan lays it."""
    cloths = [c for cutting in plan.cutting if cutting.material == material for c in cutting.cloths]
    return Counter(
        (p.part, *sorted((round(p.width_mm, 2), round(p.height_mm, 2)))) for c in cloths for p in c.placements
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_kind_added_in_yaml_plans_from_cutting_to_washing(plan_of, name):
    """Every step has words and a pace, and its words name only what applies."""
    plan = plan_of(name)
    assert plan.steps[0].stage == "cut"
    for step in plan.steps:
        texts = render_step(plan, step)
        assert texts["do"]
        assert "does not apply" not in " ".join(texts.values()), step.key
        assert step.pace_s > 0, step.key


def test_ties_are_cut_from_the_first_print_and_the_back_in_two_hemmed_panels(plan_of):
    """4 pairs are 8 ties of 12 by 1.97 in; two panels of (13 1/4 + 2)/2 + 2·1 = 9 5/8 in [identity]."""
    plan = plan_of("tied-cushion")
    assert cut_from(plan, "barley")["tie", 50.0, 304.8] == 4 * 2
    assert cut_from(plan, "rust")["back panel", round(9.625 * IN, 2), round(21.25 * IN, 2)] == 2
    assert value(plan, "tie_space") == pytest.approx(20 * IN / 4)
    laid = 2 * (9.625 - 2) * IN - value(plan, "panel_height")
    assert laid == pytest.approx(value(plan, "tie_overlap"))


def test_a_patchwork_back_under_a_closure_of_ones_own_is_one_whole_sheet(plan_of):
    """Fifteen squares, twelve short seams of 5 1/4 and two long ones of 21 1/4 in: 63 + 42 1/2 in [identity]."""
    plan = plan_of("tied-cushion", "back=patchwork")
    assert value(plan, "back_squares") == 15
    assert value(plan, "back_short_seams") == 12
    assert value(plan, "back_long_seams") == 2
    assert value(plan, "stitched_back") == pytest.approx((12 * 5.25 + 2 * 21.25) * IN)


def test_a_step_of_ones_own_stands_where_it_says(plan_of):
    """`before: assemble/pin` puts pulling the ties straight before pinning, though its stage comes earlier."""
    keys = [step.key for step in plan_of("tied-cushion").steps]
    assert keys.index("ties/pull") + 1 == keys.index("assemble/pin")
    assert keys.index("ties/hem") < keys.index("ties/pull")
    assert not any(key.startswith("closure/") for key in keys)


def test_own_inputs_have_defaults_and_limits(plan_of):
    """What a project does not write is the stage's default; 30 cm ties if none are given."""
    plan = plan_of("tied-cushion")
    assert value(plan, "tie_length") == pytest.approx(12 * IN)
    assert value(plan, "tie_width") == pytest.approx(50)
    with pytest.raises(Exception, match="at most 12"):
        plan_of("tied-cushion", "tie_pairs=13")


def test_a_buttonhole_lets_its_button_through_and_buttons_stand_evenly(plan_of):
    """Across plus thickness, 18 + 3 = 21 mm [practice]; 4 buttons leave 5 equal spaces [identity]."""
    plan = plan_of("buttoned-cushion")
    assert value(plan, "buttonhole") == pytest.approx(18 + 3)
    assert value(plan, "button_space") * 5 == pytest.approx(value(plan, "face_width"))
    assert value(plan, "buttonholes") == 2 * 4


def test_button_panels_are_cut_for_both_makes(plan_of):
    """Two panels a cushion; 27 cm panel, 2 in band: (270 + 50.8)/2 + 2·50.8 = 262 mm by 39 cm [identity]."""
    plan = plan_of("buttoned-cushion")
    assert cut_from(plan, "slate")["button panel", 262.0, 390.0] == 2 * 2


def test_buttons_are_bought_for_every_make(plan_of):
    """Four a cushion, two cushions: eight at 0.60 are 4.80 [identity]."""
    (line,) = [buy for buy in plan_of("buttoned-cushion").shopping if buy.item == "button"]
    assert (line.quantity, line.cost) == ("8", "4.80")


def test_a_runner_has_both_faces_an_edge_line_and_no_pad(plan_of):
    """A kind with no back is sewn as a throw is: layers of the blocks alone, edge line before its snips."""
    plan = plan_of("table-runner")
    keys = [step.key for step in plan.steps]
    assert keys.index("runner/pockets") < keys.index("assemble/edge") < keys.index("assemble/snips")
    assert not any(key.startswith("closure/") or key == "assemble/outer" for key in keys)
    assert value(plan, "layers_outer") == 2
    assert value(plan, "pad_width") is None
    assert cut_from(plan, "barley")["weight pocket", round(3 * IN, 2), round(3 * IN, 2)] == 4


def test_a_step_for_each_print_stands_once_for_every_print_with_its_row(plan_of):
    """Three prints, three labels, in the project's order; their squares are all of them [identity: 28 of 2]."""
    plan = plan_of("table-runner")
    labels = [step for step in plan.steps if step.id == "label"]
    assert [step.row["print"] for step in labels] == ["barley", "slate", "rust"]
    assert [step.row["letter"] for step in labels] == ["A", "B", "C"]
    assert sum(step.row["squares"] for step in labels) == 28 * 2
    assert render_step(plan, labels[1])["do"].startswith("B: ")


def test_a_runner_hangs_equally_at_both_ends(plan_of):
    """14 blocks of 5 in are 70 in; on a 60 in table 5 in hang at each end [identity]."""
    plan = plan_of("table-runner")
    assert value(plan, "runner_hang") == pytest.approx(5 * IN)
    (step,) = [step for step in plan.steps if step.key == "runner/try"]
    assert step.measure == "runner_hang"
    assert plan.steps[plan.steps.index(step) - 1].key == "wash/fluff"
    assert value(plan_of("table-runner", "table_length=80 in"), "runner_hangs") is False


@pytest.mark.parametrize("name", NAMES)
def test_a_kind_added_in_yaml_is_rehearsed_and_logged(name, tmp_path, monkeypatch):
    """`guide follow --rehearse` plays it through; counted time is pieces × starter pace, its steps in the log."""
    folder = tmp_path / "sessions" / name
    shutil.copytree(KINDS / name, folder)
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    assert run(["follow", f"sessions/{name}", "--rehearse"]) == 0
    (journal,) = (folder / "rehearsals").glob("*.jsonl")
    at = read_session(journal)
    assert at.record is not None
    counted = {key: one.counted_ms for key, one in at.record.steps.items()}
    assert counted == {step.key: round(step.pieces * step.pace_s * 1000) for step in at.plan.steps}
    log = journal.with_suffix(".html").read_text(encoding="utf-8")
    own = [step.title for step in at.plan.steps if step.stage in {"ties", "buttons", "runner"}]
    assert len(own) >= 2
    assert all(title in log for title in own)


def table_of(plan):
    """The lines of the plan's table, their blanks made one."""
    return [" ".join(line.split()) for line in plan_lines(plan_report(plan))]


def test_a_closures_own_numbers_stand_in_the_plans_table(plan_of):
    """By the names the maker gave: 20/4 in from tie to tie, panels (13 1/4 + 2)/2 + 2 by 21 1/4 in [identity]."""
    table = table_of(plan_of("tied-cushion"))
    assert [line for line in table if line.startswith("Hem the back and sew its ties ")]
    assert {"tie panel length 9 5/8 in", "tie panel width 21 1/4 in", "tie space 5 in", "ties 8"} <= set(table)


def test_a_stage_that_is_not_gone_through_shows_no_numbers(plan_of):
    """Its file is read for every project beside it; its sums are for those that ask for its steps."""
    plan = plan_of("table-runner", "stages=[cut, stack, quilt, join, snip, assemble, wash]")
    assert not [line for line in table_of(plan) if line.startswith("runner hang")]
    assert "runner hang 5 in" in table_of(plan_of("table-runner"))


@pytest.mark.parametrize(
    ("name", "closure", "line"),
    [
        ("tied-cushion", "{type: ties, price: 1.20}", ("closure, ties", "1", "1.20", "1.20")),
        ("buttoned-cushion", "{type: buttons, price: 2.45}", ("closure, buttons", "2", "2.45", "4.90")),
        ("tied-cushion", "{type: envelope, price: 0.80}", ("closure, envelope", "1", "0.80", "0.80")),
    ],
)
def test_a_price_of_what_closes_it_is_bought_for_every_make(plan_of, name, closure, line):
    """One a make, whatever the closure is [identity: 2 · 2.45 is 4.90]."""
    bought = [buy for buy in plan_of(name, f"closure={closure}").shopping if buy.item.startswith("closure")]
    assert [(buy.item, buy.quantity, buy.price, buy.cost) for buy in bought] == [line]


def test_a_price_that_is_tried_takes_the_place_of_the_one_written():
    """`--set closure={…}` takes all of it out that stood there: 0.80, not the file's 3.20."""
    text = json.dumps(cushion(closure=ZIP | {"price": 3.2}))
    project, loaded = read_project(text, "project.yaml", shipped().stages, ["closure={type: envelope, price: 0.80}"])
    assert loaded.problems == []
    assert project.closure_price == Decimal("0.80")


def test_what_closes_it_costs_nothing_where_no_price_is_given(plan_of):
    """Ties are cut from the cloth, and hems need nothing: there is no such line to buy."""
    for closure in ("ties", "{type: envelope}"):
        assert not [b for b in plan_of("tied-cushion", f"closure={closure}").shopping if b.item.startswith("closure")]


@pytest.mark.parametrize(
    ("closure", "said"),
    [
        ("{type: ties, end_gap: 1 in}", "a closure of ties has no end_gap; take it out, or write type: zip"),
        ("{type: ties, hem: 1 in}", "a closure of ties has no hem; take it out, or write type: envelope"),
    ],
)
def test_keys_of_another_closure_are_refused_on_one_of_ones_own(plan_of, closure, said):
    """They would do nothing, and silently."""
    with pytest.raises(NeedsMending, match=re.escape(said)):
        plan_of("tied-cushion", f"closure={closure}")


def test_in_a_journals_text_they_are_a_hint():
    """They were taken when it was worked: its session is still read."""
    folder = KINDS / "tied-cushion"
    stages = {file.stem: file.read_text(encoding="utf-8") for file in WORKFLOWS.glob("*.yaml")}
    stages["ties"] = (folder / "workflows" / "ties.yaml").read_text(encoding="utf-8")
    text = (folder / "project.yaml").read_text(encoding="utf-8")
    written = text.replace("closure: ties", "closure: {type: ties, end_gap: 1 in, price: 1.20}")
    assert written != text
    project, _ = from_texts(written, stages, "project.yaml")
    assert project.closure == "ties"
    assert project.given["zip_end_gap"].value is None


SMALL = "swallowed by children under three; leave it off, or write for: anyone"
CORD = "wind round a child under one; leave it off, or write for: child or for: anyone"
PULL = "{pull_length: {is: length, default: 0 mm, cord: true, small_part: true, says: a loop on the slider}}"


@pytest.mark.parametrize(
    ("name", "changes", "said"),
    [
        ("tied-cushion", ("for=infant",), f"closure: a closure of ties: .*{CORD}"),
        ("tied-cushion", ("for=infant", "closure={type: ties}"), f"closure.type: a closure of ties: .*{CORD}"),
        ("tied-cushion", ("for=infant", "tie_length=10 cm"), CORD),  # of any length
        ("buttoned-cushion", ("for=infant",), f"closure.type: a closure of buttons: .*{SMALL}"),
        ("buttoned-cushion", ("for=child",), f"closure.type: a closure of buttons: .*{SMALL}"),
    ],
)
def test_what_a_child_could_swallow_or_be_caught_in_is_refused_by_its_key(plan_of, name, changes, said):
    """Small parts under three [memory: CPSC], cords of any length under one [practice]; the mend beside it."""
    with pytest.raises(NeedsMending, match=said):
        plan_of(name, *changes)


@pytest.mark.parametrize(
    ("name", "whom"), [("tied-cushion", "child"), ("tied-cushion", "anyone"), ("buttoned-cushion", "anyone")]
)
def test_it_is_no_more_than_that_which_is_refused(plan_of, name, whom):
    """Ties on a cushion for a child of two, buttons on one for anyone."""
    assert plan_of(name, f"for={whom}").steps


def own_stage(folder, written, stage):
    """A project of its own with a stage beside it."""
    (folder / "workflows").mkdir(parents=True)
    (folder / "workflows" / "own.yaml").write_text(stage, encoding="utf-8")
    text = (KINDS / "tied-cushion" / "project.yaml").read_text(encoding="utf-8")
    text = text.replace("closure: ties\ntie_pairs: 4\ntie_length: 12 in\n", f"closure: {{type: envelope}}\n{written}")
    text = re.sub("stages: .*", "stages: [cut, stack, quilt, join, snip, closure, assemble, wash, own]", text)
    (folder / "project.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("written", "stage", "said"),
    [
        ("for: child\npull_length: 3 cm\n", f"stage: own\ntitle: Own\ninputs: {PULL}\n", f"pull_length: pull_length: .*{SMALL}"),
        ("for: infant\n", "stage: own\ntitle: Own\nparts:\n  - {name: streamer, cord: true, cloth: first, width: 2 * inch, height: 9 * inch, count: make}\n", f"stages: the part streamer: .*{CORD}"),
        ("for: infant\n", "stage: own\ntitle: Own\nparts:\n  - {name: hanging loop, cloth: first, width: 2 * inch, height: 9 * inch, count: make}\n", f"stages: the part hanging loop: .*{CORD}"),
        ("for: infant\n", f"stage: own\ntitle: Own\ninputs: {PULL}\n", ""),
        ("for: infant\n", "stage: own\ntitle: Own\nparts:\n  - {name: streamer, cord: true, when: quilting == 'none', cloth: first, width: 2 * inch, height: 9 * inch, count: make}\n", ""),
    ],
)  # fmt: skip
def test_what_a_stage_of_ones_own_brings_is_refused_too(tmp_path, written, stage, said):
    """By what its part or key says of itself, or by its name; what a project has none of is not there."""
    folder = own_stage(tmp_path / "own", written, stage)
    opened = lambda: open_project(folder, {"FRAYWORK_HOME": str(tmp_path)})  # noqa: E731
    if said:
        with pytest.raises(NeedsMending, match=said):
            opened()
    else:
        assert opened().project.for_whom == "infant"


def test_a_journal_from_before_that_rule_is_still_read():
    """A session of a tied cushion for an infant was good when it was worked."""
    folder = KINDS / "tied-cushion"
    stages = {file.stem: file.read_text(encoding="utf-8") for file in WORKFLOWS.glob("*.yaml")}
    stages["ties"] = (folder / "workflows" / "ties.yaml").read_text(encoding="utf-8")
    text = (folder / "project.yaml").read_text(encoding="utf-8") + "for: infant\n"
    project, _ = from_texts(text, stages, "project.yaml")
    assert (project.for_whom, project.closure) == ("infant", "ties")
