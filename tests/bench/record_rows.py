"""How fast a session is saved and read, against the least that must be done.

Each `measure` times both in turn, several rounds, and gives the best of each.
"""

import json
import os
import statistics
import tempfile
import time
from pathlib import Path
from zlib import crc32

from guide.record.fold import Folder, fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode, event_of, scan
from guide.record.model import Event
from tests.bench.row import Row, best_s, in_turn, sized
from tests.fakes import FakeClock

STEPS = 40


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


def _append(saved: int = 0) -> tuple[float, float]:
    """Median seconds of one append and of one raw write + fdatasync of the same bytes, in turn on one disk.

    saved: how many records the journal holds before.
    """
    clock, ours, raw = FakeClock(), [], []
    members = {"what": "piece_done", "step": "quilt/cross", "count": 1}
    line = encode(event_of(300, members, clock.read()))
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        journal = Journal.create(Path(folder) / "a.jsonl", _lines(saved) if saved else b"")
        fd = os.open(Path(folder) / "raw", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)

        def save() -> None:
            journal.append(members, reading)

        def plain() -> None:
            os.write(fd, line)
            os.fdatasync(fd)

        pair = ((save, ours), (plain, raw))
        for number in range(sized(300, 10)):
            reading = clock.run(60)
            for run, kept in pair if number % 2 else pair[::-1]:  # whoever comes first finds the disk rested
                begun = time.perf_counter()
                run()
                kept.append(time.perf_counter() - begun)
        os.close(fd)
        journal.close()
    return statistics.median(ours), statistics.median(raw)


def _lines(records: int) -> bytes:
    return b"".join(map(encode, session(records)))


def _many() -> bytes:
    return _lines(sized(100_000, 1000))


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
    data = _many()
    return in_turn(lambda: scan(data), lambda: _plain(data))


def _decode_checked() -> tuple[float, float]:
    data = _many()
    return in_turn(lambda: scan(data), lambda: _checked(data))


def _decode_and_fold() -> tuple[float, float]:
    data = _many()
    return in_turn(lambda: fold(scan(data).events), lambda: _plain(data))


def _opening(records: int) -> float:
    """Seconds to open a session of so many records for writing and fold it."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path, reading = Path(folder) / "a.jsonl", FakeClock().read()
        path.write_bytes(_lines(records))

        def opened() -> None:
            journal = Journal.open(path, reading)
            Folder(journal.events)
            journal.close()

        return best_s(opened, 3)


def _key(records: int) -> float:
    """Seconds of one more record on a session of so many, folded on."""
    events = session(records + 1000)
    folder = Folder(events[:-1000])

    def on() -> None:
        for event in events[-1000:]:
            folder.add(event)

    return best_s(on, 1) / 1000


def _key_against_all() -> tuple[float, float]:
    """One key on a session of 10,000 records, folded on, against folding all again."""
    events = session(sized(10_000, 2000))
    return _key(sized(9000, 1000)), best_s(lambda: fold(events), 3)


def _read() -> tuple[float, float]:
    """Reading the file whole against reading its bytes and json.loads by line."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = Path(folder) / "a.jsonl"
        path.write_bytes(_many())
        return in_turn(lambda: read_journal(path), lambda: _plain(path.read_bytes()))


def rows() -> list[Row]:
    """The record's lines of the bench; what grows is the number of records the journal holds."""
    raw, lines = "raw write + fdatasync of the same bytes", "json.loads line by line"

    def decoding(records: int) -> float:
        data = _lines(records)
        return best_s(lambda: scan(data))

    def folding(records: int) -> float:
        events = session(records)
        return best_s(lambda: fold(events), 3)

    return [
        Row("save one record", raw, _append, 1.15, work=lambda n: _append(n)[0] * n, unit=100),
        Row("decode 100,000 records, checksums and bounds verified", lines, _decode, 2 / 5, work=decoding, unit=1000),
        Row("decode 100,000 records, both verify", "json.loads and crc32 line by line", _decode_checked, 1 / 3),
        Row("read a file of 100,000 records", f"read it and {lines}", _read, 2 / 5),
        Row("decode and fold 100,000 records", lines, _decode_and_fold, 2, work=folding, unit=1000),
        Row("open and fold 100,000 records", "1 s", lambda: (_opening(sized(100_000, 1000)), 1.0), 1, work=_opening, unit=1000),
        Row("one key on 10,000 records", "folding all of them again", _key_against_all, 1 / 50, work=lambda n: _key(n) * n, unit=100),
    ]  # fmt: skip
