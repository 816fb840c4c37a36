"""`guide check` on stage files: every mistake at once, each with its line, a caret and what to write."""

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest

from guide.errors import NeedsMending
from guide.plan.day import RULER
from guide.plan.make import LOADED, make_plan
from guide.plan.model import told_first
from guide.plan.warn import PLACES
from guide.read.places import from_texts, read_stages
from guide.read.template import hints
from tests.plan.sums_of import WORKFLOWS, cushion, read, shipped

HEAD = "stage: own\ntitle: A maker's own\n"


@pytest.fixture
def check(workshop, guide):
    """Check one stage file that stands beside a project; what was said, as (code, text)."""

    def call(text: str, name: str = "own"):
        file = workshop / "workflows" / f"{name}.yaml"
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")
        said = guide("check", f"workflows/{name}.yaml")
        return said.code, said.out + said.err

    return call


def pointed_at(said: str, message: str) -> str:
    """What the caret under a message points at: the text of the line from there on."""
    lines = said.split("\n")
    at = next(i for i, line in enumerate(lines) if message in line)
    return lines[at + 1][lines[at + 2].index("^") :]


def step(keys: str) -> str:
    return HEAD + f"steps:\n  - {{id: a, title: Look, pace: 1 min, {keys}}}\n"


@pytest.mark.parametrize(
    ("text", "message", "at"),
    [
        (HEAD + "worked_out: {a: 1}\n", "there is no key worked_out here (did you mean work_out?)", "worked_out"),
        (step("do: Look., tool: [pen]"), "there is no key tool here (did you mean tools?)", "tool:"),
        (HEAD + "work_out:\n  a: squre * 2\n", "there is no squre (did you mean square?)", "squre"),
        (HEAD + "work_out:\n  a: square + blocks\n", "length and number do not go together", "blocks"),
        (HEAD + "work_out:\n  a: 2 * (square\n", "not a formula", ""),
        (HEAD + "work_out:\n  a: 1 if quilting == 'cros' else 2\n", "(did you mean cross?)", "'cros'"),
        (HEAD + "work_out:\n  a: b + 1\n  b: c * 2\n  c: a\n", "needs", ""),
        (HEAD + "work_out:\n  pitch: square\n", "the name pitch is already worked out in", "square"),
        (HEAD + "inputs:\n  seam: {is: length}\n", "the name seam is already an input of every project", ""),
        (HEAD + "work_out:\n  Big: square\n", "write small letters and _", ""),
        (step("do: 'Cut {{ sqare }}.'"), "the text uses sqare, which does not exist (did you mean square?)", "sqare"),
        (step("do: '{{ square.mm }}'"), "is not allowed in a text", ""),
        (step("do: Look., shows: {sqare: each}"), "there is no sqare to show (did you mean square?)", "sqare"),
        (step("do: Look., measure: panel_widht"), "(did you mean panel_width?)", "panel_widht"),
        (step("do: Look., measure: blocks"), "blocks is not a length", "blocks"),
        (step("do: Look., before: quilt/cros"), "there is no step quilt/cros (did you mean quilt/cross?)", "quilt/cros"),
        (step("do: Look., after: own/a"), "own/a, own/a; place one of them elsewhere", "own/a"),
        (step("do: Look., after: join/panel, before: snip/rows"), "write before or after, not both", "snip/rows"),
        (step("do: Look., station: machine"), "a step at the machine needs a caution; write cautions: [needle]", "machine"),
        (step("do: Look., station: iron"), "a step at the iron needs a caution; write cautions: [iron]", "iron"),
        (step("do: Look., tools: [rotary cutter]"), "write blade among the cautions", "[rotary"),
        (step("do: Look., tools: [spray glue]"), "write spray among the cautions", "[spray"),
        (step("do: Look., repeat: square"), "this is a length; a count is wanted here", "square"),
        (step("do: Look., when: square"), "this is a length; yes or no is wanted here", "square"),
        (step("do: Look., each: print"), "did you mean prints?", "print"),
        (step("do: Look., pace: fast").replace("pace: 1 min, ", ""), "'fast' is not a pace", "fast"),
        (step("do: Look.") + "  - {id: a, title: Again, pace: 1 min, do: Look.}\n", "the id a is already used", "a,"),
        (step("do: Look., tools: ['pen {{ pens }}']"), "the tool uses pens, which does not exist", "pens"),
        (step("do: Look., tools: ['pen {{ square }}']"), "the tool uses square, which is not a count", "square"),
        (HEAD.replace("own", "owm"), "write stage: own, or rename the file", "owm"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_where_it_stands_with_what_to_write(check, text, message, at):
    """Ends with 2; the caret stands under what is wrong."""
    code, said = check(text)
    assert code == 2, said
    assert message in said
    assert pointed_at(said, message).startswith(at)
    assert re.search(r"own\.yaml:\d+:\d+: ", said)


def test_a_circle_is_shown_as_the_chain_it_is(check):
    """Every link once, and back to the first; and nothing else is blamed for it."""
    _, said = check(HEAD + "work_out:\n  a: b + 1\n  b: c * 2\n  c: a\n  d: a + 1\n")
    (chain,) = re.findall(r"goes in a circle: ([^;]*);", said)
    names = chain.split(" needs ")
    needs = {"a": "b", "b": "c", "c": "a"}
    assert sorted(names[:-1]) == ["a", "b", "c"]
    assert names[0] == names[-1]
    assert all(needs[one] == other for one, other in pairwise(names))
    assert "1 to mend" in said


def test_steps_that_wait_for_each_other_are_shown_as_a_chain(check):
    """Two steps, each after the other: neither could ever be placed."""
    _, said = check(
        HEAD + "steps:\n  - {id: a, title: A, pace: 1 min, after: own/b, do: A.}\n"
        "  - {id: b, title: B, pace: 1 min, after: own/a, do: B.}\n"
    )
    assert "these steps wait for each other: own/a, own/b, own/a" in said


ALL_AT_ONCE = """\
stage: own
titel: A maker's own
inputs:
  cord: {is: lenght}
work_out:
  a: squre * 2
  b: square + blocks
  c: 2 * (square
  d: c + 1
  e: f
  f: e
steps:
  - {id: one, title: One, pace: fast, do: "{{ nothing_here }}", station: machine}
  - {id: one, title: Two, pace: 1 min, do: "{{ d }} {{ cord }}", shows: {nowhere: x}, tools: [shears]}
"""


def test_all_mistakes_are_told_at_once_and_none_twice(check):
    """Twelve mistakes of every sort in one file; what hangs from a mistake is not blamed for it."""
    code, said = check(ALL_AT_ONCE)
    assert code == 2
    for message in (
        "there is no key titel", "title is missing", "'lenght'", "there is no squre", "length and number", "not a formula",
        "goes in a circle", "'fast' is not a pace", "the text uses nothing_here", "the id one is already used",
        "a step at the machine needs a caution", "there is no nowhere to show", "write blade among the cautions",
    ):  # fmt: skip
        assert message in said, message
    problems = [
        line for line in said.split("\n") if re.match(r"\S+own\.yaml:\d+:\d+: ", line) and "(a hint)" not in line
    ]
    assert len(problems) == 13
    for innocent in ("work_out.d", "uses d", "uses cord"):
        assert innocent not in said


def test_a_file_that_replaces_a_shipped_one_must_give_what_the_others_need(check):
    """A quilting stage without its sums is told at the formulas that miss them, not called good."""
    code, said = check("stage: quilt\ntitle: Tie the blocks\n", "quilt")
    assert code == 2
    assert "there is no quilt_lines" in said
    assert "assemble.yaml:" in said


def test_what_nothing_uses_is_a_hint_and_no_mistake(check):
    """A sum or a key that no formula, text, part or step reads; what a text reads is used."""
    code, said = check(
        HEAD + "inputs:\n  cord: {is: length, default: 1 m}\n  lace: {is: length, default: 1 m}\n"
        "work_out:\n  told: 2 * lace\n  idle: 3\nsteps:\n  - {id: a, title: A, pace: 1 min, do: '{{ told }}'}\n"
    )
    assert code == 0
    assert sorted(re.findall(r"nothing uses (\w+)  \(a hint\)", said)) == ["cord", "idle"]


@pytest.mark.parametrize(
    ("stage_when", "when", "reached"),
    [
        ("closure == 'zip'", "closure == 'envelope'", False),
        ("closure == 'zip'", "closure != 'envelope' and blocks > 2", True),
        ("kind == 'cushion'", "kind == 'throw' and blocks > 2", False),
        ("kind == 'cushion'", "kind == 'throw' or blocks > 2", True),
        ("quilting != 'none'", "quilting == 'plus'", True),
    ],
)
def test_a_step_no_project_can_reach_is_a_hint(check, stage_when, when, reached):
    """A choice that the stage's own `when` rules out, whatever the numbers are."""
    code, said = check(
        HEAD + f"when: {stage_when}\nsteps:\n  - {{id: a, title: A, pace: 1 min, when: {when}, do: Look.}}\n"
    )
    assert code == 0
    assert ("no project can reach the step a" in said) is not reached
    if not reached:
        assert pointed_at(said, "no project can reach").startswith(when)


def test_the_shipped_stages_have_nothing_to_mend_and_nothing_idle(guide):
    """Every shipped sum is read by a formula, a text, a step or the plan's table; every step can be reached."""
    shown = {name for name, label in shipped().labels.items() if label.group}
    shown |= {name for _, *names in PLACES for name in names} | {*LOADED, RULER}
    assert [str(hint) for hint in hints(shipped(), shown)] == []
    for file in sorted(Path(WORKFLOWS).glob("*.yaml")):
        said = guide("check", str(file))
        assert said.code == 0, said.out
        assert "good." in said.err


def test_a_record_stays_readable_when_more_cautions_are_asked_for_than_when_it_was_worked():
    """A file to work from must say its cautions; what a journal keeps of one was worked already."""
    texts = {file.stem: file.read_text(encoding="utf-8") for file in WORKFLOWS.glob("*.yaml")}
    texts["label"] = (
        "stage: label\ntitle: Label\nsteps:\n  - {id: cut, title: Cut, tools: [scissors], station: machine, do: Cut.}\n"
    )
    project = json.dumps(cushion(stages=["cut", "label"]))
    _, language = from_texts(project, texts, "project.yaml")
    assert "label" in [stage.name for stage in language.stages]
    with pytest.raises(NeedsMending, match="nought"):
        from_texts(project, texts | {"label": texts["label"].replace("do: Cut.", "when: nought > 1")}, "project.yaml")


LABELLED = HEAD + "work_out:\n  tag: seam * 2\n  tag_wide: seam * 3\n"


def test_a_label_is_what_a_number_is_called_and_where_the_table_shows_it():
    """Two that share a label are one row, told apart by side where they stand alone; the closure is told first."""
    texts = {path.stem: (path.name, path.read_text(encoding="utf-8")) for path in WORKFLOWS.glob("*.yaml")}
    labels = 'labels:\n  tag: ["tag, cut", closure]\n  tag_wide: ["tag, cut", closure]\n'
    language, problems, _ = read_stages(texts | {"own": ("own.yaml", LABELLED + labels)})
    assert [problem for problem in problems if not problem.hint] == []
    quantities = make_plan(read(cushion()), language).quantities
    assert [quantities[name].called.text for name in ("tag", "tag_wide")] == [
        "tag across, cut",
        "tag down, cut",
    ]
    assert {quantities[name].called.row for name in ("tag", "tag_wide")} == {"tag, cut"}
    told = told_first(quantities)
    assert (
        told.index("zip_cut")
        < told.index("tag")
        < told.index("face_width")
        < told.index("stitched")
        < told.index("blocks")
    )


def test_texts_without_labels_call_their_numbers_what_the_shipped_stages_call_them():
    """As a journal of before keeps them, or a maker's own copy: the same labels as with them."""
    texts = {path.stem: (path.name, path.read_text(encoding="utf-8")) for path in WORKFLOWS.glob("*.yaml")}
    bare = {
        name: (file, re.sub(r"^labels:\n(?:  .*\n)+", "", text, flags=re.MULTILINE))
        for name, (file, text) in texts.items()
    }
    assert all("labels:" not in text for _, text in bare.values())
    assert read_stages(bare)[0].labels == read_stages(texts)[0].labels


@pytest.mark.parametrize(
    ("labels", "wanted"),
    [
        ("  tga: [tag, sizes]", "there is no tga to name (did you mean tag?)"),
        ("  tag: [tag, size]", "there is no group size (did you mean sizes?)"),
        ("  tag: [tag, sizes, pieces]", "write a name and a group, like [sleeve, sizes]"),
        ("  tag: []", "write a name and a group, like [sleeve, sizes]"),
        ("  seam: [edge, sizes]", "seam has a label already: seam"),
    ],
)
def test_a_label_that_cannot_be_is_told_with_its_place(check, labels, wanted):
    """By name or by group, at the line it stands in."""
    code, said = check(f"{LABELLED}labels:\n{labels}\n")
    assert code == 2
    assert wanted in said
