"""What all sessions come to: time by project, stage, step, day and maker, and which are open.

One session is held at a time, so years of them need no more memory than the longest.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Literal

import msgspec
from msgspec.structs import replace

from guide.errors import GuideError
from guide.record.clock import local
from guide.record.fold import fold
from guide.record.journal import describe, read_journal
from guide.record.model import Lap, Record, Sitting
from guide.record.moments import DAY_MS

_MINUTE_MS = 60_000


class Total(msgspec.Struct):
    """What was worked: whole ms (trouble is in counted_ms), pieces, and in how many sessions."""

    counted_ms: int = 0
    trouble_ms: int = 0
    pieces: int = 0
    sessions: int = 0


class Told(msgspec.Struct, frozen=True):
    """One session in a line; day is the maker's, of its first work."""

    path: Path
    title: str
    maker: str
    mode: str
    day: str
    closed: bool
    total: Total
    records: int
    begun: bool = True  # False: it was looked at, and nothing started, measured or noted


class Unread(msgspec.Struct, frozen=True):
    """A journal that could not be read, or only in part, with the sentence that says so."""

    path: Path
    says: str
    in_part: bool


class History(msgspec.Struct):
    """Totals by name, in the order first met; sessions in the order given."""

    sessions: list[Told] = []
    by_project: dict[str, Total] = {}
    by_stage: dict[str, Total] = {}
    by_step: dict[str, Total] = {}
    by_title: dict[str, Total] = {}  # steps by the names they were given, where they were asked for
    by_day: dict[str, Total] = {}
    by_maker: dict[str, Total] = {}
    unread: list[Unread] = []

    @property
    def open(self) -> list[Told]:
        """Sessions begun and not closed."""
        return [one for one in self.sessions if one.begun and not one.closed]

    @property
    def looked_at(self) -> list[Told]:
        """Sessions not closed in which nothing is begun yet."""
        return [one for one in self.sessions if not one.begun and not one.closed]


Answer = tuple[Path, Record | None, Unread | None]


def records(paths: Iterable[Path]) -> Iterator[Answer]:
    """Read sessions one after another: (path, record or None, what could not be read or None)."""
    for path in paths:
        try:
            found = read_journal(path)
        except GuideError as bad:
            yield path, None, Unread(path, str(bad), in_part=False)
            continue
        hurt = found.damage
        unread = Unread(path, describe(path, hurt), in_part=bool(found.events)) if hurt else None
        yield path, fold(found.events) if found.events else None, unread


def history(
    paths: Iterable[Path],
    *,
    modes: Iterable[Literal["real", "practice", "rehearsal"]] = ("real", "practice"),
    titles: Callable[[Record], Mapping[str, str]] | None = None,
) -> History:
    """Add up sessions. Only laps that count are in the totals; rehearsals are not, unless asked for.

    titles: gives the names of a record's steps, by which they are added up too.
    """
    wanted: set[str] = set(modes)
    told = History()
    for path, record, unread in records(paths):
        if unread:
            told.unread.append(unread)
        if record is not None and (record.header.mode or "real") in wanted:
            _tell(told, path, record, titles(record) if titles else None)
    told.by_day = dict(sorted(told.by_day.items()))
    return told


def _tell(told: History, path: Path, record: Record, titles: Mapping[str, str] | None) -> None:
    head = record.header
    total = Total(sessions=1)
    seen: set[tuple[str, str]] = set()
    for lap in record.worked():
        if not lap.counted:
            continue
        _add(total, lap)
        names = {
            "by_project": head.title or path.parent.name,
            "by_stage": lap.step.partition("/")[0],
            "by_step": lap.step,
            "by_maker": head.maker,
        }
        if titles is not None:
            names["by_title"] = titles.get(lap.step, lap.step)
        shares = [(by, name, lap) for by, name in names.items()]
        shares += [("by_day", day, share) for day, share in _by_day(lap, record.sittings)]
        for by, name, share in shares:
            of: Total = getattr(told, by).setdefault(name, Total())
            _add(of, share)
            of.sessions += (by, name) not in seen
            seen.add((by, name))
    told.sessions.append(
        Told(
            path=path,
            title=head.title,
            maker=head.maker,
            mode=head.mode,
            day=_first_day(record),
            closed=record.closed,
            total=total,
            records=record.count,
            begun=record.begun,
        )
    )


def _first_day(record: Record) -> str:
    """The day of the first work: of the opening, or of what was kept on paper before it."""
    starts = [(sitting.start, sitting.start_offset) for sitting in record.sittings[:1]]
    starts += [(lap.start, lap.start_offset) for lap in record.worked() if lap.by_hand]
    return _day(*min(starts)) if starts else ""


def _add(total: Total, lap: Lap) -> None:
    total.counted_ms += lap.counted_ms
    total.trouble_ms += lap.trouble_ms
    total.pieces += lap.pieces


def _by_day(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[str, Lap]]:
    """Share a lap by the maker's days, its time as the clock's, exact to the ms; its pieces came at its end."""
    days: dict[str, int] = {}
    for start, end in _stretches(lap, sittings):
        at, zone_ms = start, (lap.start_offset if start == lap.start else lap.offset) * _MINUTE_MS
        while at < end:
            midnight = ((at + zone_ms) // DAY_MS + 1) * DAY_MS - zone_ms
            name = _day(at, zone_ms // _MINUTE_MS)
            days[name] = days.get(name, 0) + min(midnight, end) - at
            at = min(midnight, end)
    last = _day(lap.end, lap.offset)
    if len(days) < 2 and days.keys() <= {last}:
        return [(last, lap)]
    whole, so_far, given, trouble = sum(days.values()), 0, 0, 0
    out: dict[str, Lap] = {}
    for name, ms in days.items():
        so_far += ms
        upto = lap.counted_ms * so_far // whole, lap.trouble_ms * so_far // whole
        if upto[0] > given:
            out[name] = replace(lap, counted_ms=upto[0] - given, trouble_ms=upto[1] - trouble, pieces=0)
            given, trouble = upto
    out[last] = replace(out.get(last, replace(lap, counted_ms=0, trouble_ms=0)), pieces=lap.pieces)
    return list(out.items())


def _stretches(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[int, int]]:
    """Give a lap's time on the wall (from, to) without what lies between two sittings."""
    out, at = [], lap.start
    for one, following in pairwise(sittings if not lap.by_hand else ()):
        if at < one.end < lap.end:
            out.append((at, one.end))
        if one.end < lap.end:
            at = max(at, following.start)
    return [stretch for stretch in [*out, (at, lap.end)] if stretch[0] < stretch[1]] or [(lap.start, lap.end)]


def _day(wall: int, offset: int) -> str:
    return f"{local(wall, offset):%Y-%m-%d}"
