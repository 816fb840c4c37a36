"""Does the screen cost little while nothing happens, and answer a key at once?

Both programs run side by side on pseudo-terminals of one size and are measured in turn.
"""

import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from tests.bench.row import Row, sized
from tests.terminal.pty_term import Term

KNOWN: dict[tuple[int, int], dict[str, list[float]]] = {}


@contextmanager
def _both(cols: int = 120, rows: int = 40) -> Iterator[tuple[Term, Term]]:
    with tempfile.TemporaryDirectory() as folder:
        mine = Term(["-m", "tests.bench.screen_apps", "ours", str(Path(folder) / "j.jsonl")], cols=cols, rows=rows)
        other = Term(["-m", "tests.bench.screen_apps", "line"], cols=cols, rows=rows)
        try:
            mine.wait("of 11520", 20)
            other.wait("counted 0", 20)
            mine.pump(1.0)
            other.pump(0.2)
            yield mine, other
        finally:
            mine.close()
            other.close()


def _cpu_s(term: Term) -> float:
    """Processor time a program has had so far, from the kernel."""
    parts = Path(f"/proc/{term.child.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def _idle() -> tuple[float, float]:
    """Processor seconds while nobody presses anything, a second's tick in both."""
    with _both() as (mine, other):
        before = _cpu_s(mine), _cpu_s(other)
        end = time.monotonic() + sized(15, 2)
        while time.monotonic() < end:
            mine.pump(0.2)
            other.pump(0.2)
        tick = 1 / os.sysconf("SC_CLK_TCK")
        return _cpu_s(mine) - before[0], max(_cpu_s(other) - before[1], tick)


def _answer_s(term: Term, key: bytes = b" ") -> float:
    """From the key to the first of what is drawn for it; the screen is let come to rest before."""
    term.pump(0.02)
    begun = time.perf_counter()
    os.write(term.child.child_fd, key)
    got = os.read(term.child.child_fd, 65536)
    took = time.perf_counter() - begun
    term.raw += got
    term.stream.feed(got)
    return took


def _presses(cols: int, rows: int) -> dict[str, list[float]]:
    """Answer times of both, a press in turn, and their processor time for all of them; measured once for a size."""
    if (size := (cols, rows)) not in KNOWN:
        with _both(cols, rows) as (mine, other):
            for _ in range(5):
                _answer_s(mine), _answer_s(other)
            before = _cpu_s(mine), _cpu_s(other)
            pairs = [(_answer_s(mine), _answer_s(other)) for _ in range(sized(200, 10))]
            tick = 1 / os.sysconf("SC_CLK_TCK")
            cpu = [max(_cpu_s(mine) - before[0], tick), max(_cpu_s(other) - before[1], tick)]
        KNOWN[size] = {"mine": [one for one, _ in pairs], "other": [other for _, other in pairs], "cpu": cpu}
    return KNOWN[size]


def _key(cols: int, rows: int) -> tuple[float, float]:
    """A counted piece, saved and drawn, against a counted key drawn: processor time, which others' work leaves alone."""
    mine, other = _presses(cols, rows)["cpu"]
    return mine, other


def _by_hand(cols: int, rows: int, colours: str) -> tuple[float, float]:
    """A key of a panel laid by hand against a counted key drawn, in turn: processor time."""
    size = {"cols": cols, "rows": rows}
    mine = Term(["-m", "tests.bench.screen_apps", "hand", colours], **size)
    other = Term(["-m", "tests.bench.screen_apps", "line"], **size)
    try:
        mine.wait("laid by hand", 20)
        other.wait("counted 0", 20)
        mine.pump(1.5)  # the cloth is reckoned
        for _ in range(5):
            _answer_s(mine, b"\x1b[C"), _answer_s(other)
        before = _cpu_s(mine), _cpu_s(other)
        for number in range(sized(200, 10)):
            _answer_s(mine, (b" ", b"\x1b[C", b"\x1b[B", b"A", b"u")[number % 5]), _answer_s(other)
        tick = 1 / os.sysconf("SC_CLK_TCK")
        return max(_cpu_s(mine) - before[0], tick), max(_cpu_s(other) - before[1], tick)
    finally:
        mine.close()
        other.close()


def _worst_key() -> tuple[float, float]:
    """The slowest press in a hundred against the middle one."""
    took = _presses(120, 40)["mine"]
    return statistics.quantiles(took, n=100)[98], statistics.median(took)


def rows() -> list[Row]:
    """The screen's lines of the bench."""
    line = "an application of one line"
    return [
        Row("screen idle, a tick a second, 10,000 records open", line, _idle, 15),
        Row(
            "key to repaint at 120 × 40, a throw of 12 × 16, saved, 10,000 records open",
            line,
            partial(_key, 120, 40),
            4,
        ),
        Row("the same at 80 × 24", line, partial(_key, 80, 24), 4),
        Row("a throw of 12 × 16 laid by hand: key to repaint at 80 × 24", line, partial(_by_hand, 80, 24, "plain"), 4),
        Row("the same in the prints' own colours", line, partial(_by_hand, 80, 24, "coloured"), 4),
        Row("key to repaint, the slowest in a hundred", "the middle one", _worst_key, 12),
    ]
