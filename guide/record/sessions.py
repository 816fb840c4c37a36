"""Where journals are: a project's folder holds `2026-03-01.jsonl`, `2026-03-01-2.jsonl` …, rehearsals apart.

And whether a journal is whole: what is wrong with it, said exactly, and what is safe. Touches nothing.
"""

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import msgspec

from guide.errors import CannotWrite, NeedsMending
from guide.record.clock import local
from guide.record.corrections import effective
from guide.record.fold import fold
from guide.record.journal import Journal, contents, describe, read_journal
from guide.record.lines import KINDS, Damage, decode, written
from guide.record.model import Event, Reading

REHEARSALS = "rehearsals"
BOOK_FILE = "book.jsonl"  # beside the projects of a sessions root: no session
_NAME = re.compile(r"(\d{4}-\d\d-\d\d)(?:-([1-9]\d*))?\.jsonl")
_TRIES = 1000


def book_file(root: Path | str) -> Path:
    """Give the book of a sessions root, whether there is one or not."""
    return Path(root) / BOOK_FILE


def journals(folder: Path | str) -> list[Path]:
    """Give the journals in a project's folder, oldest first; rehearsals are not among them."""
    folder = Path(folder)
    if not folder.is_dir():
        return []
    found = [(key, path) for path in folder.iterdir() if (key := _order(path.name)) and path.is_file()]
    return [path for _, path in sorted(found)]


def rehearsals(folder: Path | str) -> list[Path]:
    """Give a project's rehearsals, oldest first."""
    return journals(Path(folder) / REHEARSALS)


def unfinished(folder: Path | str) -> Path | None:
    """Give the newest journal that was begun and not closed, rehearsals apart.

    A damaged one counts as not closed when its good part is not, or when it has none, until a later session is
    closed: nobody can write to it, and by then its maker has gone on. One without any record was never begun.
    `passed_over` tells of both.
    """
    gone_on = False
    for path in reversed(journals(folder)):
        found = read_journal(path)
        closed = is_closed(found.events)
        if found.begun and not closed and not (found.damaged and gone_on):
            return path
        gone_on = gone_on or (closed and not found.damaged)
    return None


def passed_over(folder: Path | str) -> list[tuple[Path, Damage]]:
    """Give the journals, oldest first, that are damaged or hold no record, but the one to be taken up."""
    taken = unfinished(folder)
    read = [(path, read_journal(path)) for path in journals(folder) if path != taken]
    return [
        (path, found.damage) for path, found in read if found.damage is not None and (found.damaged or not found.events)
    ]


def is_closed(events: Sequence[Event]) -> bool:
    """Whether the session is closed, and the closing was not taken back."""
    if not any(event.what == "closed" for event in events):
        return False
    return any(event.what == "closed" for event in effective(events).events)


def create(
    folder: Path | str, first: dict[str, Any], now: Reading, *, rehearsal: bool = False, day: str = ""
) -> Journal:
    """Make the journal of a new session with its first record, named after the maker's day, or the one it tells of.

    CannotWrite when it cannot be made; then there is no file.
    """
    folder = Path(folder) / REHEARSALS if rehearsal else Path(folder)
    _, line = written(1, first, now)
    day = day or f"{local(now.wall, now.offset):%Y-%m-%d}"
    for number in range(1, _TRIES):
        path = folder / (f"{day}.jsonl" if number == 1 else f"{day}-{number}.jsonl")
        if path.exists() or path.is_symlink():
            continue
        try:
            return Journal.create(path, line)
        except CannotWrite:
            if not path.exists():
                raise
    raise CannotWrite(f"{folder} holds {_TRIES} sessions of {day} already; none was made.")


def running(root: Path | str, maker: str, but: Sequence[Path], since: int | None = None) -> str:
    """Give the title of a maker's session whose clock runs now in another window, "" where none does.

    since: wall ms; then also of one whose clock ran after that, wherever.
    """
    mine = {path.resolve() for path in but}
    for path in sessions_below(root):
        if path.resolve() in mine or (since is None and not Journal.is_open(path)):
            continue
        record = fold(read_journal(path).events)
        going = record.doing in {"working", "trouble"} and Journal.is_open(path)
        ran = since is not None and any(lap.end > since and not lap.by_hand for lap in record.worked())
        if record.header.maker == maker and (going or ran):
            return record.header.title
    return ""


def sessions_below(root: Path | str, *, rehearsed: bool = False) -> Iterator[Path]:
    """Give all journals of the projects below a sessions root, project by project; no journal is opened."""
    root = Path(root)
    folders = [root, *sorted(path for path in root.iterdir() if path.is_dir())] if root.is_dir() else []
    for folder in folders:
        yield from journals(folder)
        if rehearsed:
            yield from rehearsals(folder)


def opening_of(path: Path) -> Event | None:
    """Read the record a session was opened with, and no other; None where there is none that is sound."""
    try:
        event = decode(contents(path, first_line=True))
    except (NeedsMending, ValueError):
        return None
    return event if event.what == "opened" else None


def _order(name: str) -> tuple[str, int] | None:
    found = _NAME.fullmatch(name)
    return (found[1], int(found[2] or 1)) if found else None


class Verdict(msgspec.Struct, frozen=True):
    """What a look through a journal found. wrong: what is damaged or missing; told: what is good to know."""

    records: int
    closed: bool
    wrong: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def verify(path: Path | str) -> Verdict:
    """Check every line of a journal. NeedsMending for a newer format, or when it cannot be read."""
    path = Path(path)
    found = read_journal(path)
    live = effective(found.events)
    closings = [event for event in live.events if event.what == "closed"]
    wrong = [describe(path, found.damage)] if found.damage else []
    if found.events and found.events[0].what != "opened":
        wrong.append(f"{path}:1: a journal begins with an opened record; this is a {found.events[0].what}.")
    wrong += [
        f"{path}:{event.n}: the session was closed with {event.records} records, and this is number {event.n}."
        for event in closings
        if event.records not in {0, event.n}
    ]
    wrong += [f"{path}: {problem}" for problem in live.problems]
    return Verdict(
        len(found.events), bool(closings), tuple(wrong), tuple(_told(path, live.events, closed=bool(closings)))
    )


def _told(path: Path, events: Sequence[Event], *, closed: bool) -> list[str]:
    told = []
    if not closed:
        told.append("Not closed: whether whole records are missing at its end cannot be seen.")
    strange = sorted({event.what for event in events} - KINDS)
    if strange:
        told.append(f"Kinds of a later version, kept as they are: {', '.join(strange)}.")
    beside = sorted(one.name for one in path.parent.glob(f"{path.name}.torn-*"))
    if beside:
        told.append(f"Cut-off records were set aside in {', '.join(beside)}.")
    return told
