"""The demo's stacks on a real pseudo-terminal, block by block: twelve presses, or thirty-six; every second in its place."""

import shutil

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.show.demo import DEMO
from tests.terminal.pty_term import ROOT, Term

pytestmark = pytest.mark.terminal
UNDER, WADDING, TOP = "stack/under", "stack/wadding", "stack/top"
PATIENCE = 40  # s: what a busy computer may take; never what it takes
PACES = {UNDER: 15, WADDING: 20, TOP: 15}  # s a block, from workflows/stack.yaml


class Maker:
    """Someone at the demo, whose clock goes only when they work."""

    def __init__(self, tmp_path):
        self.folder = tmp_path / "sessions" / "window-seat-cushion"
        self.folder.mkdir(parents=True)
        shutil.copy(DEMO / "project.yaml", self.folder)
        self.told, self.ms = tmp_path / "clock", 0
        self.after(0)
        self.term = None

    def after(self, seconds):
        self.ms += round(seconds * 1000)
        fresh = self.told.with_suffix(".new")
        fresh.write_text(str(self.ms), encoding="ascii")
        fresh.replace(self.told)

    def sit_down(self):
        args = ["-m", "tests.terminal.told", str(self.told), "follow", str(self.folder)]
        env = {"FRAYWORK_HOME": str(self.folder.parent), "PYTHONPATH": str(ROOT)}
        self.term = Term(args, env=env)
        return self

    def key(self, key, text, seconds=1.0):
        """Let seconds go by, press a key, and wait until the screen shows what it led to."""
        self.after(seconds)
        self.term.send(key).wait(text, PATIENCE)
        return self

    def stop(self):
        self.after(1)
        self.term.send("q")
        assert self.term.exit_code(PATIENCE) == 0

    @property
    def record(self):
        (path,) = self.folder.glob("*.jsonl")
        return fold(read_journal(path).events)

    def to_the_stacks(self):
        """Through the first eight steps with two presses each: start, all done."""
        self.sit_down().term.wait("space start", PATIENCE)
        for number in range(1, 9):
            self.key(" ", f"step {number} of 45")
            self.key("a", "●", seconds=20)
        return self


@pytest.fixture
def maker(tmp_path):
    someone = Maker(tmp_path)
    yield someone
    if someone.term:
        someone.term.close()


def test_twelve_presses_over_a_stop_and_an_undo(maker):
    """One press a block: sixty seconds each, a stop after the fifth, one press taken back; 12 presses count 36 pieces."""
    maker.to_the_stacks().key("g", "one press when it is through")
    maker.key(" ", "One block through 3 steps")
    for done in range(1, 6):
        maker.key(" ", f"{done} of 12", seconds=60)
    maker.stop()
    maker.after(3600)
    maker.sit_down().term.wait("Welcome back", PATIENCE)
    maker.key(" ", "5 of 12")
    maker.key(" ", "6 of 12", seconds=60)
    maker.key(" ", "7 of 12", seconds=4).key("u", "6 of 12", seconds=6)  # a press too many
    maker.key(" ", "7 of 12", seconds=50)
    for done in range(8, 12):
        maker.key(" ", f"{done} of 12", seconds=60)
    maker.key(" ", "12 blocks in", seconds=60)
    maker.stop()
    steps = [maker.record.step(key) for key in (UNDER, WADDING, TOP)]
    assert [(one.state, one.pieces_done) for one in steps] == [("done", 12)] * 3
    # [identity] twelve minutes of pressing, one second from the fifth press to the stop, none of the hour away
    assert sum(one.counted_ms for one in steps) == 12 * 60_000 + 1_000
    shares = [one.counted_ms / (721_000 * pace / 50) for one, pace in zip(steps, PACES.values(), strict=True)]
    assert all(abs(share - 1) < 0.001 for share in shares)  # at the usual ratio, 15 : 20 : 15
    pressed = [event for event in read_journal(next(maker.folder.glob("*.jsonl"))).events if event.through]
    assert len(pressed) == 13  # twelve, and the one taken back


def test_thirty_six_presses_over_a_stop_and_an_undo(maker):
    """A press a step: each step's seconds are its own, a stop in the middle of a block and an undo across steps."""
    maker.to_the_stacks().key("g", "one press when it is through").key("g", "a press a step")
    maker.key(" ", "Lay the squares under the wadding   ")
    for block in range(12):
        maker.key(" ", "Centre the wadding   ", seconds=14)
        if block == 3:
            maker.stop()
            maker.after(3600)
            maker.sit_down().term.wait("Welcome back", PATIENCE)
            maker.key(" ", "Centre the wadding   ")
        maker.key(" ", "Lay the squares on top   ", seconds=21)
        if block == 7:
            maker.key("u", "Centre the wadding   ", seconds=2).key(" ", "Lay the squares on top   ", seconds=3)
        maker.key(" ", "under the wadding   " if block < 11 else "Next:", seconds=16)
    maker.stop()
    steps = [maker.record.step(key) for key in (UNDER, WADDING, TOP)]
    assert [(one.state, one.pieces_done) for one in steps] == [("done", 12)] * 3
    # [identity] twelve of each; one second to the stop, five seconds by the undo, both with the wadding in hand
    assert [one.counted_ms for one in steps] == [12 * 14_000, 12 * 21_000 + 1_000 + 5_000, 12 * 16_000]
    assert not any(lap.shared for one in steps for lap in one.laps)
