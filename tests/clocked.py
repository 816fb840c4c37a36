"""The real program as a process, by a clock that stood at midday when the tests began, and runs on.

python clocked.py BEGUN COMMAND …
BEGUN: what the monotonic clock said when the tests began, ns: a second process then starts later than the first.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.systems import as_wanted

as_wanted()

from guide.cli import main
from tests.fakes import FakeClock, midday


class Running:
    """Midday and what has gone by since."""

    def __init__(self, begun: int):
        self.begun = begun

    def now(self) -> FakeClock:
        clock = midday()
        clock.run((time.monotonic_ns() - self.begun) / 1e9)
        return clock

    def read(self):
        return self.now().read()

    def offset_at(self, wall: int) -> int:
        return self.now().offset_at(wall)


if __name__ == "__main__":
    main(Running(int(sys.argv.pop(1))))
