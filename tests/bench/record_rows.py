"""How fast a session is saved and read, against the least that must be done.

Each `measure` times both in turn, several rounds, and gives the best of each.
"""

import json
import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from zlib import crc32

from guide.record.fold import Folder, fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, event_of, scan
from guide.record.model import Event
from tests.bench.row import Row
from tests.fakes import FakeClock

RECORDS = 100_000
STEPS = 40
APPENDS = 300


def session(records: int) -> list[Event]:
    """An invented session of about so many records: steps of many pieces, now and then trouble or a note."""
    clock = FakeClock(boot="6f1f3c2e-7b1a-4c57-9a51-0f2f9f6a6a11")
    events: list[Event] = []

    def say(seconds: float, what: str, **members: object) -> None:
        events.append(event_of(len(events) + 1, {"what": what, **members}, clock.run(seconds)))

    say(0, "opened", format=1, mode="practice", title="Invented", project="project: Invented\n" * 60)
    for number in range(STEPS):
        step = f"quilt/step-{number}"
        say(5, "step_started", step=step)
        while len(events) < (number + 1) * records // STEPS - 1:
            say(61.25, "piece_done", step=step, count=1)
            if len(events) % 50 == 0:
                say(3, "trouble", step=step, why="bobbin")
                say(40, "resumed")
            if len(events) % 70 == 0:
                say(2, "noted", step=step, text="pale side up")
        say(30, "step_done", step=step, count=1)
    return events


def best(ours: Callable[[], object], other: Callable[[], object], rounds: int = 5) -> tuple[float, float]:
    """Time both in turn; the best of each, s of processor time."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for run, kept in zip((ours, other), times, strict=True):
            begun = time.process_time()
            run()
            kept.append(time.process_time() - begun)
    return min(times[0]), min(times[1])


def _append() -> tuple[float, float]:
    """Median seconds of one append and of one raw write + fdatasync of the same bytes, in turn on one disk."""
    clock, ours, raw = FakeClock(), [], []
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        journal = Journal.create(Path(folder) / "a.jsonl")
        fd = os.open(Path(folder) / "raw", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
        members = {"what": "piece_done", "step": "quilt/cross", "count": 1}

        def save() -> None:
            journal.append(members, reading)

        def plain() -> None:
            os.write(fd, line)
            os.fdatasync(fd)

        line = encode(event_of(APPENDS, members, clock.read()))
        pair = ((save, ours), (plain, raw))
        for number in range(APPENDS):
            reading = clock.run(60)
            for run, kept in pair if number % 2 else pair[::-1]:  # whoever comes first finds the disk rested
                begun = time.perf_counter()
                run()
                kept.append(time.perf_counter() - begun)
        os.close(fd)
        journal.close()
    return sorted(ours)[APPENDS // 2], sorted(raw)[APPENDS // 2]


def _lines() -> bytes:
    return b"".join(map(encode, session(RECORDS)))


def _plain(data: bytes) -> list[object]:
    return [json.loads(line) for line in data.split(b"\n")[:-1]]


def _checked(data: bytes) -> list[object]:
    """What a reader by json.loads must do for the same promise: checksum, then decode, line by line."""
    found = []
    for line in data.split(b"\n")[:-1]:
        assert b"%08x" % crc32(line[:-18] + b"}") == line[-10:-2]
        found.append(json.loads(line))
    return found


def _decode() -> tuple[float, float]:
    data = _lines()
    return best(lambda: scan(data), lambda: _plain(data))


def _decode_checked() -> tuple[float, float]:
    data = _lines()
    return best(lambda: scan(data), lambda: _checked(data))


def _decode_and_fold() -> tuple[float, float]:
    data = _lines()
    return best(lambda: fold(scan(data).events), lambda: _plain(data))


def _open() -> tuple[float, float]:
    """Seconds to open a session for writing and fold it; the other is the second it may take."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = Path(folder) / "a.jsonl"
        path.write_bytes(_lines())

        def opened() -> None:
            journal = Journal.open(path)
            Folder(journal.events)
            journal.close()

        ours, _ = best(opened, lambda: None, rounds=3)
    return ours, 1.0


def _key() -> tuple[float, float]:
    """One key on a session of 10,000 records, folded on, against folding all again."""
    events = session(10_000)
    folder = Folder(events[:-1000])

    def on() -> None:
        for event in events[-1000:]:
            folder.add(event)

    begun = time.process_time()
    on()
    one = (time.process_time() - begun) / 1000
    return one, best(lambda: fold(events), lambda: None, rounds=3)[0]


def _read() -> tuple[float, float]:
    """Reading the file whole against reading its bytes and json.loads by line."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = Path(folder) / "a.jsonl"
        path.write_bytes(_lines())
        return best(lambda: read_journal(path), lambda: _plain(path.read_bytes()))


def rows() -> list[Row]:
    """The record's lines of the bench."""
    return [
        Row("save one record", "raw write + fdatasync of the same bytes", "at most 1.15 ×", _append),
        Row("decode 100,000 records, checksums verified", "json.loads line by line", "at most 1/3", _decode),
        Row("the same", "json.loads and crc32 line by line", "at most 1/3", _decode_checked),
        Row("read a file of 100,000 records", "read it and json.loads line by line", "at most 1/3", _read),
        Row("decode and fold 100,000 records", "json.loads line by line", "at most 2 ×", _decode_and_fold),
        Row("open and fold 100,000 records", "one second", "at most 1 ×", _open),
        Row("one key on 10,000 records", "folding all of them again", "at most 1/50", _key),
    ]
