"""Two ways to follow, one core: the same doings on the full screen and in plain lines leave the same events."""

import asyncio
import io
import os
import random

import pytest

from guide.follow.model import Desk
from guide.follow.noting import made
from guide.follow.order import under_needle
from guide.record.journal import read_journal
from guide.show.lines import Talk, follow
from tests.fakes import FakeClock
from tests.terminal.rig import Rig
from tests.terminal.runner import session_in

FULL = bool(os.environ.get("FRAYWORK_FULL"))

# What a maker does: the keys on the screen, and the lines in plain mode.
DOINGS = {
    "big key": (" ", [""]),
    "four done": ("4 ", ["4"]),
    "all done": ("a", ["a"]),
    "undo": ("u", ["u"]),
    "pause": ("p", ["p"]),
    "needle trouble": ("t3", ["t", "3"]),
    "interrupted": ("i", ["i"]),
    "seven minutes": ("7i", ["7 i"]),
    "skip": ("s1", ["s", "1"]),
    "note": ("noat frays\r", ["n", "oat frays"]),
    "photo": ("vphotos/front.jpg\r", ["v", "photos/front.jpg"]),
    "measure": ("m20 3/4\r", ["m", "20 3/4"]),
    "look": ("fb", ["f", "b"]),
    "why": ("ww", ["w", "w"]),
    "lock": ("ll", ["l", "l"]),
    "a wait is over": ("o", ["o"]),
    "leave a question": ("n\x1b", ["n", "."]),
}
OFTEN = ["big key"] * 10 + ["all done"] * 3


def possible(doing, session):
    """Whether its number answers what it asks: a number alone waits for the big key one way and not the other."""
    if session.desk.ask is not None and session.desk.ask.about in {"held", "waited", "measure_done"}:
        return doing == "big key"
    if doing == "measure":
        return bool(made(session.plan, under_needle(session.plan, session.record)))
    if doing in {"needle trouble", "skip", "seven minutes", "four done"}:
        return session.desk.ask is None and session.record.doing == "working"
    return True


class Script:
    """Lines typed one after another, the clock running before each doing."""

    def __init__(self, clock, doings):
        self.clock, self.doings, self.lines = clock, list(doings), []

    def isatty(self):
        return False

    def readline(self):
        if not self.lines and self.doings:
            doing, pause = self.doings.pop(0)
            self.clock.run(pause)
            self.lines = list(DOINGS[doing][1])
        return f"{self.lines.pop(0)}\n" if self.lines else ""


def kept(path):
    """What the events say, without the clocks."""
    return [(e.what, e.step, e.count, e.why, e.name, e.mm, e.text, e.ms, e.of) for e in read_journal(path).events]


@pytest.mark.parametrize("seed", range(5 if FULL else 2))
def test_the_same_doings_leave_the_same_events_either_way(tmp_path, seed):
    """A random session done twice, once with keys and once with lines: the journals say the same."""
    rng = random.Random(seed)
    wished = [rng.choice([*OFTEN, *DOINGS]) for _ in range(1000 if FULL else 220)]
    done = []
    screen, plain = tmp_path / "screen.jsonl", tmp_path / "plain.jsonl"

    async def on_screen():
        clock = FakeClock()
        session = session_in(screen, clock, Desk(guard_ms=0))
        async with Rig(session) as rig:
            rig.screen.tick = lambda: None  # the test's clock jumps: a real second's tick would see a gap
            for doing in wished:
                if rig.task.done():
                    break
                if not possible(doing, session):
                    continue
                pause = rng.choice([1, 3, 20, 60])
                done.append((doing, pause))
                clock.run(pause)
                await rig.press(DOINGS[doing][0])
                if "\x1b" in DOINGS[doing][0]:
                    await asyncio.sleep(0.08)
        session.stop()
        session.journal.close()

    def in_lines():
        clock = FakeClock()
        session = session_in(plain, clock, Desk(guard_ms=0))
        said = io.StringIO()
        follow(Talk(session, said), Script(clock, done))
        session.journal.close()
        assert "\x1b" not in said.getvalue()

    asyncio.run(on_screen())
    in_lines()
    assert len(kept(screen)) > 40
    assert kept(screen) == kept(plain)
