"""P1 end to end: a real `guide follow` in a terminal, killed at random moments while pieces are counted."""

import os
import random
import re
import shutil
import signal

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.sessions import journals
from tests.fakes import program
from tests.record.faults import FULL

pexpect = pytest.importorskip("pexpect")
pytestmark = pytest.mark.terminal

COUNT = re.compile(r"(\d+) of (\d+) [a-z]+ *\n")
STEP = re.compile(r"step (\d+) of \d+")
DONE = re.compile(r"\n[^\n]+: done, \d+ \w+ in[^\n]*")
COUNTED = re.compile(r"([1-9]\d*) of \d+ \w+ done")


@pytest.fixture
def project(tmp_path):
    from tests.terminal.pty_term import ROOT

    here = tmp_path / "sessions" / "window-seat-cushion"
    here.mkdir(parents=True)
    shutil.copy(ROOT / "sessions" / "window-seat-cushion" / "project.yaml", here)
    return here


def follow(project, *more):
    from tests.terminal.pty_term import Term

    return Term(program("follow", str(project), *more), env={"FRAYWORK_HOME": str(project.parent)})


def kill(term) -> None:
    os.kill(term.child.pid, signal.SIGKILL)
    term.pump(0.3)


def saved(project) -> bytes:
    return b"".join(path.read_bytes() for path in journals(project))


def test_p1_what_the_screen_showed_is_in_the_file_every_time(project):
    """Killed at a random moment after a random number of presses: the pieces shown are in the journal."""
    rng, before, checked = random.Random(7), b"", 0
    for _ in range(50 if FULL else 2):
        term = follow(project)
        term.wait("space", 20)
        for _ in range(rng.randint(2, 4)):
            term.pump(0.42)  # a press sooner than 0.4 s after the last is a bounce
            term.send(" ")
        term.pump(rng.uniform(0.0, 0.3))
        kill(term)
        text = term.text + "\n"
        assert saved(project).startswith(before), "a saved record was touched"
        (path,) = journals(project)
        found = read_journal(path)
        before = saved(project)[: found.size]
        record = fold(found.events)
        step, count = STEP.search(text), COUNT.search(text)
        if step and count and record.order[int(step[1]) - 1 :]:
            key = record.order[int(step[1]) - 1]
            assert record.step(key).pieces_done >= int(count[1]), text
            assert all(record.step(one).state == "done" for one in record.order[: int(step[1]) - 1])
            checked += int(count[1])
    assert checked > 0, "no piece was ever seen: the test would say nothing"


def test_p1_what_the_plain_face_said_is_in_the_file_every_time(project):
    """The same without a screen: steps said to be done, and the pieces of the one in hand."""
    rng, before, told = random.Random(11), 0, 0
    for _ in range(50 if FULL else 2):
        term = follow(project, "--plain")
        term.wait("Enter", 20)
        for _ in range(rng.randint(3, 5)):
            term.pump(0.42)
            term.send("\r")
        term.pump(rng.uniform(0.0, 0.3))
        kill(term)
        raw = term.raw.decode()
        (path,) = journals(project)
        record = fold(read_journal(path).events)
        finished = sum(step.state == "done" for step in record.steps.values())
        done = set(DONE.findall(raw))  # a press too soon after the last may say the same again
        assert finished - before >= len(done), raw
        counts = COUNTED.findall(DONE.split(raw)[-1])
        if counts:
            pieces = max((step.pieces_done for step in record.steps.values() if step.state != "done"), default=None)
            assert pieces is None or pieces >= int(counts[-1]), raw
        before, told = finished, told + len(done) + len(counts)
    assert told > 0, "nothing was ever said: the test would say nothing"
