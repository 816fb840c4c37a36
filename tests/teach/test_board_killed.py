"""The board as a program that is killed: whatever it has answered is in its journal, and the next run goes on from there."""

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from guide.record.journal import read_journal
from guide.teach.board import board_of
from tests.fakes import program

ROOT = Path(__file__).parents[2]
FULL = os.environ.get("FRAYWORK_FULL") == "1"
CLASS = """\
class: Two cushions
project: ../window-seat-cushion
seats: 2
hours: [2027-03-06 10:00-13:00, 2027-03-06 14:00-16:30]
stations: {machine: 1, iron: 1}
prepared: [cut, stack, quilt, join, snip]
home: [wash]
"""


@pytest.fixture
def home(tmp_path):
    """A folder with the example and a class."""
    made = tmp_path / "sessions" / "window-seat-cushion"
    made.mkdir(parents=True)
    shutil.copy(ROOT / "sessions" / "window-seat-cushion" / "project.yaml", made)
    folder = tmp_path / "sessions" / "two"
    folder.mkdir()
    (folder / "class.yaml").write_text(CLASS, encoding="utf-8")
    return tmp_path


def start(home):
    environ = {"PATH": "/usr/bin:/bin", "HOME": str(home), "PYTHONPATH": str(ROOT), "LANG": "C.UTF-8", "TERM": "xterm"}
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    command = [sys.executable, *program("class", "follow", "sessions/two")]
    return subprocess.Popen(command, cwd=home, env=environ, encoding="utf-8", **pipes)


def answered(one) -> list[str]:
    """One board as it was printed, up to the word that was said last; nothing where the program has died."""
    lines = []
    for line in one.stdout:
        lines.append(line.rstrip())
        if lines[-1].startswith("Seat ") or lines[-1].startswith("3 Enter"):
            return lines
    return []


@pytest.mark.parametrize("seed", range(12 if FULL else 1))
def test_killed_at_any_key_no_answered_record_is_lost(home, seed):
    """kill -9 after some keys, half of the time with one more on its way: all answered presses are there, in order.

    The same command goes on with the same file, and shows what was reached.
    """
    rng = Random(seed)
    pressed = []
    for _ in range(3 if FULL else 2):
        one = start(home)
        assert answered(one), one.stderr.read()
        for _ in range(rng.randint(1, 4)):
            seat = rng.randint(1, 2)
            one.stdin.write(f"{seat}\n")
            one.stdin.flush()
            said = answered(one)[-1]
            if "●" in said:
                pressed.append((seat, said.partition(": ")[2].removesuffix(" ●")))
        if rng.random() < 0.5:
            one.stdin.write("1\n")
            one.stdin.flush()
        one.send_signal(signal.SIGKILL)
        one.communicate()
        (path,) = (home / "sessions" / "two").glob("board-*.jsonl")
        found = read_journal(path)
        done = [(event.make, event.name) for event in found.events if event.what == "step_done"]
        assert done[: len(pressed)] == pressed
        assert len(done) <= len(pressed) + 1  # what was on its way may be saved and not answered
        pressed = done
    reached = board_of(found.events).reached
    assert {(seat, name) for seat, names in reached.items() for name in names} == set(pressed)
