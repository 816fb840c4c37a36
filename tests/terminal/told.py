"""The real program as a process, by a clock that a file tells: python -m tests.terminal.told FILE COMMAND …

FILE holds the ms since midday of a fixed day; whoever drives the program moves them before a key.
"""

import sys
from pathlib import Path

from guide.cli import main
from tests.fakes import midday


class Told:
    """Midday and what the file says has gone by since."""

    def __init__(self, path: Path):
        self.path = path

    def read(self):
        clock = midday()
        clock.run(int(self.path.read_text(encoding="ascii")) / 1000)
        return clock.read()

    def offset_at(self, wall: int) -> int:
        return midday().offset_at(wall)


if __name__ == "__main__":
    main(Told(Path(sys.argv.pop(1))))
