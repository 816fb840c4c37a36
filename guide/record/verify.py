"""Whether a journal is whole: what is wrong with it, said exactly, and what is safe. Touches nothing."""

from collections.abc import Sequence
from pathlib import Path

import msgspec

from guide.record.corrections import effective
from guide.record.journal import describe, read_journal
from guide.record.lines import KINDS
from guide.record.model import Event


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
    wrong += [said for event in closings if (said := _miscounted(path, event))]
    wrong += [f"{path}: {problem}" for problem in live.problems]
    return Verdict(
        len(found.events), bool(closings), tuple(wrong), tuple(_told(path, live.events, closed=bool(closings)))
    )


def _miscounted(path: Path, closed: Event) -> str:
    if closed.records in {0, closed.n}:
        return ""
    return f"{path}:{closed.n}: the session was closed with {closed.records} records, and this is number {closed.n}."


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
