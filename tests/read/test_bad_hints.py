"""What does no harm is told as a hint, and which project is meant when none is named."""

import os
import shutil
from pathlib import Path

import pytest

from guide.errors import WrongUse
from guide.read.places import find_project
from tests.fakes import run

GOOD = Path(__file__).parent.parent / "bad" / "good.yaml"


def test_a_stage_that_no_project_asks_for_is_hinted_at(tmp_path, monkeypatch, capsys):
    """A new stage file's steps come only with its name under `stages`; a maker who forgot is told. [identity]"""
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    shutil.copy(GOOD, tmp_path / "project.yaml")
    (tmp_path / "workflows").mkdir()
    (tmp_path / "workflows" / "label.yaml").write_text("stage: label\ntitle: Label it\n", encoding="utf-8")
    assert run(["check", "."]) == 0
    said = capsys.readouterr().out
    assert "workflows/label.yaml is read, but its steps are left out" in said
    (tmp_path / "project.yaml").write_text(
        GOOD.read_text(encoding="utf-8") + "stages: [cut, stack, quilt, join, snip, label]\n", encoding="utf-8"
    )
    run(["check", "."])
    assert "left out" not in capsys.readouterr().out


def two_projects(sessions: Path, older: int, newer: int) -> None:
    for name, when in (("first", older), ("second", newer)):
        (sessions / name).mkdir(parents=True)
        file = sessions / name / "project.yaml"
        shutil.copy(GOOD, file)
        os.utime(file, (when, when))


def test_with_none_named_the_project_last_worked_on_is_meant(tmp_path):
    """The one whose file changed last; a journal counts as work too. [identity]"""
    two_projects(tmp_path, 1000, 2000)
    assert find_project(None, tmp_path).parent.name == "second"
    journal = tmp_path / "first" / "2026-03-01.jsonl"
    journal.write_text("", encoding="utf-8")
    assert find_project(None, tmp_path).parent.name == "first"


def test_when_none_was_worked_on_last_it_asks(tmp_path):
    """Two projects of the same age are named, and none is guessed. [identity]"""
    two_projects(tmp_path, 1000, 1000)
    with pytest.raises(WrongUse, match="Which project"):
        find_project(None, tmp_path)


def test_a_plain_name_means_the_project_of_that_name(tmp_path):
    """`guide plan first` finds sessions/first; a path is never looked for elsewhere. [identity]"""
    two_projects(tmp_path, 1000, 2000)
    assert find_project("first", tmp_path) == tmp_path / "first" / "project.yaml"
    for wrong in ("third", "./first"):
        with pytest.raises(WrongUse, match=f"no project at {wrong}. There is: "):
            find_project(wrong, tmp_path)
