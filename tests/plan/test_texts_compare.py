"""What an `if` in a step's words asks: reckoned as formulas are, and refused by `check` where it cannot be."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.commands.sessions import read_session
from guide.plan.make import make_plan
from guide.read.stage_keys import TABLES
from guide.read.template import TemplateProblem, check_texts, plainly, render
from guide.show.words import render_step
from tests.commands.conftest import guide, workshop  # noqa: F401 - fixtures
from tests.plan.sums_of import ENVELOPE, THROW, cushion, read, shipped

DEMO = "sessions/window-seat-cushion"
STAGE = """\
stage: label
title: Label it
work_out:
  label_width: face_width / 4
steps:
  - id: sew
    title: Sew the label on
    before: assemble/pin
    pace: 4 min
    do: Fold a label {{ label_width }} wide{% if label_width > ASKED %}, twice{% else %}, once{% endif %}.
"""


@pytest.fixture
def labelled(workshop):  # noqa: F811
    """The demo with a label's stage, whose text asks whether the label is wider than so much."""

    def lay(asked: str) -> None:
        folder = workshop / DEMO
        (folder / "workflows").mkdir(exist_ok=True)
        (folder / "workflows" / "label.yaml").write_text(STAGE.replace("ASKED", asked), encoding="utf-8")
        project = (folder / "project.yaml").read_text(encoding="utf-8")
        (folder / "project.yaml").write_text(project.replace(", wash]", ", wash, label]"), encoding="utf-8")

    return lay


EVERYWHERE = [
    ["plan", DEMO, "--page", "-"], ["sheet", DEMO, "--markdown", "-o", "-"], ["checklist", DEMO, "-o", "-"],
    ["follow", DEMO, "--rehearse"],
]  # fmt: skip


@pytest.mark.parametrize("argv", EVERYWHERE, ids=lambda argv: argv[0])
def test_every_command_prints_what_check_calls_good(guide, labelled, argv):  # noqa: F811
    """The form that the page on formulas shows."""
    labelled("6 * inch")
    assert guide("check", DEMO).code == 0
    said = guide(*argv)
    assert said.code == 0, said.err


@pytest.mark.parametrize(
    ("asked", "folded"),
    [
        ("6 * inch", "once"), ("5 * inch", "once"), ("4.9 * inch", "twice"), ("126 * mm", "twice"),
        ("12 * cm + 8 * mm", "once"), ("square - seam", "once"), ("9 * seam", "twice"),
    ],
)  # fmt: skip
def test_a_text_compares_lengths_as_formulas_do(guide, labelled, asked, folded):  # noqa: F811
    """Four 6 in squares in a row and seams of 1/2 in: 4 x (6 - 1) = 20 in of face, nothing drawn in; a quarter is 5 in.

    5 in is 127 mm: over 4.9 in, 126 mm and 9 x 1/2 in; not over itself, 128 mm, 6 in and 6 - 1/2 in. [identity]
    """
    labelled(asked)
    assert f"wide, {folded}." in guide("checklist", DEMO, "-o", "-").out


@pytest.mark.parametrize("asked", ["6", "blocks", "'6 in'", "face_width * seam"])
def test_check_refuses_to_compare_a_length_with_something_else(guide, labelled, asked):  # noqa: F811
    """At the line and column of the name, with what to write instead; no command begins with it."""
    labelled(asked)
    said = guide("check", DEMO)
    assert said.code == 2
    at = STAGE.split("\n").index(next(line for line in STAGE.split("\n") if "ASKED" in line)) + 1
    line = STAGE.split("\n")[at - 1]
    assert f"{DEMO}/workflows/label.yaml:{at}:{line.index('label_width') + 1}: steps[0].do: " in said.out
    assert "label_width" in said.out
    if asked == "6":
        assert "length and number do not go together; write 6 * inch" in said.out
    for argv in EVERYWHERE:
        assert guide(*argv).code == 2


@pytest.mark.parametrize("condition", ["mm > 2", "label_width > 6 in", "1 < blocks < 3", "blocks in square", "blocks + 1", "inch", "kind == 'thow'"])  # fmt: skip
def test_what_an_if_cannot_ask_is_told_by_check(guide, labelled, condition):  # noqa: F811
    """Refused in words and with its place, never left to the page that would print it."""
    labelled("6 * inch %}, twice{% endif %}{% if " + condition)
    said = guide("check", DEMO)
    assert said.code == 2
    assert "steps[0].do: " in said.out
    assert guide("sheet", DEMO, "-o", "-").code == 2


NUMBERS = {"a": 1.0, "b": 2.0, "c": 3.0, "nothing": None, "yes": True, "no": False, "word": "row"}


def asks(depth: int = 2):
    """Conditions over a few names, as (text of ours, the same in Python with None where a name does not apply)."""
    sides = st.sampled_from(
        ["a", "b", "c", "(a + b)", "(c - a)", "(2 * b)", "(c / 2)", "(c // 2)", "(c % 2)", "-a", "2", "0"]
    )
    compared = st.tuples(sides, st.sampled_from(["==", "!=", "<", "<=", ">", ">="]), sides).map(" ".join)
    texts = st.sampled_from(
        ["word == 'row'", "word != 'row'", "word == 'column'", "yes", "no", "a", "yes == true", "no != true"]
    )
    leaf = st.one_of(compared, texts)
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            inner.map("(not {})".format),
            st.tuples(inner, st.sampled_from(["and", "or"]), inner).map(lambda p: f"({p[0]} {p[1]} {p[2]})"),
        ),
        max_leaves=6,
    )


@given(asks())
def test_what_an_if_asks_is_answered_as_python_answers_it(condition):
    """[source: The Python Language Reference, 6.10 Comparisons and 6.11 Boolean operations, by Python itself]"""
    wanted = eval(condition.replace("true", "True"), {"__builtins__": {}}, dict(NUMBERS))
    for text in (f"{{% if {condition} %}}yes{{% else %}}no{{% endif %}}", f"{{{{ 'yes' if {condition} else 'no' }}}}"):
        assert render(text, {}, numbers=NUMBERS) == ("yes" if wanted else "no")


@pytest.mark.parametrize(
    ("condition", "so"),
    [
        ("nothing > 1", False), ("not nothing > 1", False), ("nothing", False), ("nothing == none", True), ("a != none", True),
        ("nothing > 1 or a == 1", True), ("nothing > 1 and a == 1", False), ("nothing != 2", False), ("0.1 + 0.2 == 0.3", True),
    ],
)  # fmt: skip
def test_a_name_that_does_not_apply_spreads_as_in_a_formula(condition, so):
    """Neither over nor not over; `or` asks the other. And 0.1 + 0.2 is 0.3, within a billionth, as in formulas."""
    assert render(f"{{% if {condition} %}}yes{{% endif %}}", {}, numbers=NUMBERS) == ("yes" if so else "")


def test_an_if_is_asked_only_where_the_text_comes_to_it():
    """What would divide by nothing behind another if is no mistake; where the text comes to it, it is said."""
    text = "{% if zero != 0 %}{% if 1 / zero > 2 %}much{% endif %}{% endif %}so"
    assert render(text, {}, numbers={"zero": 0.0}) == "so"
    assert render(text, {}, numbers={"zero": 0.25}) == "muchso"
    with pytest.raises(TemplateProblem, match="divides by 0"):
        render("{% if 1 / zero > 2 %}much{% endif %}", {}, numbers={"zero": 0.0})


def test_the_names_a_text_asks_for_are_printed_as_they_were():
    """What an if compares is a number; what a text prints is still as the maker says it; a choice with no else is empty."""
    text = "{{ wide }} and {{ 'wide' if wide > 6 * inch }}{{ wide if wide < 6 * inch }}{{ wide > 6 * inch }}"
    assert render(text, {"wide": "7 in"}, numbers={"wide": 177.8}) == "7 in and wideyes"


def everything(language) -> str:
    """A stage that prints and asks for every name there is, once for each table and once without."""
    out = ["stage: all", "title: All", "steps:"]
    for each, columns in {"": {}, **TABLES}.items():
        names = [*columns, *(name for name in language.dims if name not in columns)]
        dims = language.dims | columns
        for i in range(0, len(names), 15):
            some = names[i : i + 15]
            text = "".join(f"{{{{ {name} }}}} {{% if {name} %}}so{{% endif %}} " for name in some)
            asked = "".join(f"{{{{ 'a' if {name} > {_like(dims[name])} else 'b' }}}}" for name in some if dims[name] not in {"text", "flag"})  # fmt: skip
            out += [f"  - id: a{each}{i}", f"    title: {each} {i}"] + ([f"    each: {each}"] if each else [])
            out += [f'    do: "{text}"', f'    why: "{asked or "So."}"']
    return "\n".join(out) + "\n"


def _like(dim: str) -> str:
    return {"length": "3 * inch", "area": "inch * inch", "time": "none", "weight": "washer_load"}.get(dim, "2")


@pytest.mark.parametrize("article", [{}, {"closure": ENVELOPE}, THROW, {"wadding": "none", "quilting": "none"}, {"make": 3, "units": "metric"}], ids=["zip", "envelope", "throw", "bare", "three"])  # fmt: skip
def test_every_name_there_is_can_be_printed_and_asked_for(tmp_path, monkeypatch, article):
    """What `check` calls good, every step prints: no name lacks, none of any kind of article stops a text."""
    file = tmp_path / "all.yaml"
    file.write_text(everything(shipped()), encoding="utf-8")
    language = shipped(file)
    assert check_texts(language) == []
    plan = make_plan(read(cushion(**article, stages=["cut", "all"]), file), language)
    monkeypatch.setattr("guide.read.template.plainly", lambda text, *_: pytest.fail(text))
    assert sum(bool(render_step(plan, step)["do"]) for step in plan.steps if step.stage == "all") > 5


def test_a_text_may_ask_whether_two_names_say_the_same(tmp_path):
    """Which a formula may not: there what a name can say is known, and a slip would be found."""
    file = tmp_path / "same.yaml"
    text = "So.{% if quilting == hold_with %} Neither.{% endif %}"
    file.write_text(f'stage: same\ntitle: Same\nsteps:\n  - {{id: a, title: A, do: "{text}"}}\n', encoding="utf-8")
    assert check_texts(shipped(file)) == []


def test_a_text_that_cannot_be_printed_says_its_words_plainly():
    """Both ways of each if stand in brackets, what has a value is filled in, and the project's words are used."""
    text = "Lay the wadding {{ wide }} wide{% if wide > 6 %}, {{ tack|upper }}{% elif x %} b{% else %}, once{%endif%}. {{ 'c' if d else e }}{% for i in x %}!"
    assert plainly(text, {"wide": "7 in"}, "american") == "Lay the batting 7 in wide[if wide > 6: , tack|upper | if x: b | otherwise: , once]. 'c' if d else e!"  # fmt: skip


@pytest.mark.parametrize("argv", [["log"], ["price"], ["export", "--json"], ["layout"], ["why", "face_width"], ["check"]], ids=" ".join)  # fmt: skip
def test_a_session_whose_words_cannot_be_printed_has_its_log_and_all_else(guide, labelled, monkeypatch, argv):  # noqa: F811
    """A journal of when `label_width > 6` was taken for good: worked to its end, and logged with its plain words."""
    labelled("6")
    with monkeypatch.context() as then:
        then.setattr("guide.read.template.check_texts", lambda language: [])
        assert guide("follow", DEMO, "--rehearse").code == 0
    (journal,) = Path(DEMO, "rehearsals").glob("*.jsonl")
    said = guide(argv[0], *argv[1:2] * (argv[0] == "why"), str(journal), *argv[1 + (argv[0] == "why") :])
    assert said.code == 0, said.err
    at = read_session(journal)
    (words,) = [render_step(at.plan, step)["do"] for step in at.plan.steps if step.key == "label/sew"]
    assert words == "Fold a label 5 in wide[if label_width > 6: , twice | otherwise: , once]."
