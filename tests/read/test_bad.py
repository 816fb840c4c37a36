"""Broken files, one small file a mistake, each with the whole of what is said of it, written by hand.

`tests/bad/project/NAME.yaml` is a project, `tests/bad/stage/NAME.yaml` a stage file beside a good project,
`tests/bad/cloths/NAME.yaml` kinds of cloth likewise, `tests/bad/machines/NAME.yaml` a maker's machines,
`tests/bad/text/NAME.yaml` a stage whose words cannot be printed. `NAME.expected` holds every problem as
`line:column: key: message`, in order. [identity: places counted on the file; wording is the house's own]
"""

import re
import shutil
from itertools import zip_longest
from pathlib import Path

import pytest

from tests.fakes import run

BAD = Path(__file__).parent.parent / "bad"
GOOD = BAD / "good.yaml"
PROJECTS, STAGES, CLOTHS, MACHINES, TEXTS = (
    sorted((BAD / kind).glob("*.yaml")) for kind in ("project", "stage", "cloths", "machines", "text")
)
PROBLEM = re.compile(r"^(?:\S+\.yaml):(\d+:\d+: .*)$")


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """An empty project folder to stand in, with no file of the tester's read."""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    (tmp_path / "bench").mkdir()
    monkeypatch.chdir(tmp_path / "bench")
    return tmp_path / "bench"


def laid(bench: Path, case: Path) -> str:
    """Put a case in place; give the name its file is known by."""
    if case.parent.name == "project":
        shutil.copy(case, bench / "project.yaml")
        return "project.yaml"
    shutil.copy(GOOD, bench / "project.yaml")
    if case.parent.name == "machines":
        (bench.parent / "home").mkdir()
        shutil.copy(case, bench.parent / "home" / "machines.yaml")
        return str(bench.parent / "home" / "machines.yaml")
    (bench / "workflows").mkdir()
    shutil.copy(case, bench / "workflows")
    return f"workflows/{case.name}"


def expected(case: Path, name: str) -> list[str]:
    lines = case.with_suffix(".expected").read_text(encoding="utf-8").split("\n")
    return [f"{name}:{line}" for line in lines if line]


def unlike(said: list[str], wanted: list[str]) -> list[tuple[str | None, str | None]]:
    """The pairs that differ; `[…]` at an end stands for a list that may grow."""
    pairs = zip_longest(said, wanted)
    return [
        (one, other)
        for one, other in pairs
        if one != other and not (one and other and other.endswith("[…]") and one.startswith(other.removesuffix("[…]")))
    ]


def problems(text: str) -> list[str]:
    """The problems among what was printed: the lines that begin with a file and a place."""
    return [line for line in text.split("\n") if PROBLEM.match(line)]


def files(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.parent.rglob("*") if path.is_file()}


def test_the_corpus_is_large():
    """At least 60 broken files, and more kinds of mistake in stages than one."""
    assert len(PROJECTS) + len(STAGES) + len(TEXTS) >= 60
    assert len(STAGES) >= 30
    assert len(CLOTHS) >= 10
    assert len(MACHINES) >= 6


def test_what_is_not_broken_is_good(bench, capsys):
    """The file every broken one was made from has nothing to mend."""
    shutil.copy(GOOD, bench / "project.yaml")
    assert run(["check", "."]) == 0
    assert problems(capsys.readouterr().out) == []


@pytest.mark.parametrize(
    "case", PROJECTS + STAGES + CLOTHS + MACHINES + TEXTS, ids=lambda case: f"{case.parent.name}-{case.stem}"
)
def test_check_says_exactly_what_is_wrong(bench, capsys, case):
    """Every problem at its line and column, all at once, in order; exit 2 and nothing written."""
    name = laid(bench, case)
    before = files(bench)
    code = run(["check", "."])
    said = capsys.readouterr()
    assert unlike(problems(said.out), expected(case, name)) == []
    assert code == 2
    assert "Traceback" not in said.out + said.err
    assert files(bench) == before


@pytest.mark.parametrize(
    "case", PROJECTS + STAGES + CLOTHS + MACHINES, ids=lambda case: f"{case.parent.name}-{case.stem}"
)
def test_plan_refuses_it_in_the_same_words(bench, capsys, case):
    """What `check` says, `plan` says before it plans; nothing on stdout, exit 2, nothing written."""
    name = laid(bench, case)
    before = files(bench)
    code = run(["plan", ".", "--page", "plan.html"])
    said = capsys.readouterr()
    assert unlike(problems(said.err), expected(case, name)) == []
    assert (code, said.out) == (2, "")
    assert files(bench) == before


@pytest.mark.parametrize("case", TEXTS, ids=lambda case: case.stem)
@pytest.mark.parametrize("argv", [["plan", ".", "--page", "plan.html"], ["sheet", "."], ["checklist", "."], ["follow", ".", "--rehearse"]], ids=" ".join)  # fmt: skip
def test_a_text_that_cannot_be_printed_is_told_before_anything_is_written(bench, capsys, case, argv):
    """Whatever prints a stage's words says the same of them as `check` does, before a session or page begins."""
    name = laid(bench, case)
    before = files(bench)
    code = run(argv)
    said = capsys.readouterr()
    assert unlike(problems(said.err), expected(case, name)) == []
    assert code == 2
    assert files(bench) == before


@pytest.mark.parametrize("case", PROJECTS, ids=lambda case: case.stem)
def test_a_caret_stands_under_the_place(bench, capsys, case):
    """Below each problem stand its line and a caret at its column."""
    laid(bench, case)
    run(["check", "."])
    lines = capsys.readouterr().out.split("\n")
    source = case.read_text(encoding="utf-8").split("\n")
    for i, line in enumerate(lines):
        found = re.match(r"^project\.yaml:(\d+):(\d+):", line)
        if found and len(source[int(found[1]) - 1]) < 90 and source[int(found[1]) - 1].strip():
            assert lines[i + 2].index("^") - 4 == int(found[2]) - 1
