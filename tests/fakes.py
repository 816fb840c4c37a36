"""Hand-written stand-ins for the world outside, and the program started by them."""

import time
from collections.abc import Sequence
from pathlib import Path

from guide import cli
from guide.record.model import Reading

NINE = 1_772_357_400_000  # 2026-03-01T09:30:00Z, an invented morning
MIDDAY = 1_795_174_200_000  # 2026-11-20T11:30:00Z: the day of every command that asks what day it is
BEGUN = time.monotonic_ns()


class FakeClock:
    """A clock that moves only when told; seconds in, whole ms inside."""

    def __init__(self, wall: int = NINE, mono: int = 1_000_000, boot: str = "b1", offset: int = 60):
        self.wall, self.awake, self.total, self.boot, self.offset = wall, mono, mono, boot, offset

    def read(self) -> Reading:
        return Reading(wall=self.wall, offset=self.offset, awake=self.awake, total=self.total, boot=self.boot)

    def offset_at(self, wall: int) -> int:
        """The same zone all year."""
        return self.offset

    def run(self, seconds: float) -> Reading:
        """Time goes by, the computer awake."""
        ms = round(seconds * 1000)
        self.wall += ms
        self.awake += ms
        self.total += ms
        return self.read()

    def suspend(self, seconds: float) -> Reading:
        """The computer sleeps."""
        ms = round(seconds * 1000)
        self.wall += ms
        self.total += ms
        return self.read()

    def step(self, seconds: float) -> Reading:
        """Someone sets the wall clock."""
        self.wall += round(seconds * 1000)
        return self.read()

    def zone(self, offset: int) -> Reading:
        """Summer time begins, or the maker travels."""
        self.offset = offset
        return self.read()

    def reboot(self, seconds: float = 60) -> Reading:
        """The computer restarts: new boot, steady clocks from nearly nothing."""
        self.wall += round(seconds * 1000)
        self.awake = self.total = 5_000
        self.boot += "x"
        return self.read()


def midday() -> FakeClock:
    """The clock of a command: half past twelve in winter time, on a computer started after all work so far."""
    return FakeClock(wall=MIDDAY, boot="midday")


def run(argv: Sequence[str], clock: FakeClock | None = None) -> int:
    """Run a command in this process, by a clock of ours: at midday when none is given."""
    return cli.run(argv, clock or midday())


def program(*argv: str) -> list[str]:
    """What a Python is told so that it becomes the program as a process of its own, by a clock that runs from midday."""
    return [str(Path(__file__).with_name("clocked.py")), str(BEGUN), *argv]
