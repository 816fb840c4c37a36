"""The program through its front door, in a folder of its own, with no file of the tester's read or written."""

import shutil
from pathlib import Path

import msgspec
import pytest

from tests.fakes import midday, run

ROOT = Path(__file__).parent.parent.parent


class Said(msgspec.Struct):
    """What a command printed, and the code it ended with."""

    code: int
    out: str
    err: str


@pytest.fixture
def workshop(tmp_path, monkeypatch):
    """A folder with the demo project in it, and nothing else."""
    demo = tmp_path / "sessions" / "window-seat-cushion"
    demo.mkdir(parents=True)
    shutil.copy(ROOT / "sessions" / "window-seat-cushion" / "project.yaml", demo)
    monkeypatch.setenv("FRAYWORK_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("FRAYWORK_MAKER", raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def guide(workshop, capsys):
    """Call a command as `guide("plan", "--json")`: the first at midday, each a minute after the one before."""
    clock = midday()

    def call(*argv: str) -> Said:
        code = run(argv, clock)
        clock.run(60)
        said = capsys.readouterr()
        return Said(code, said.out, said.err)

    return call
