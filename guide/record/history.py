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
    """A journal that could not be read, or only in part, with the sentence that says so, and what to end with."""

    path: Path
    says: str
    in_part: bool
    exit_code: int = 0


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
            yield path, None, Unread(path, str(bad), in_part=False, exit_code=bad.exit_code)
            continue
        hurt = found.damage
        unread = Unread(path, describe(path, hurt), bool(found.events), hurt.exit_code) if hurt else None
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
    """Share a lap by the maker's days, exact to the ms; its pieces came at its end.

    A sitting's part of it is that sitting's; within one, time is as the clock's.
    """
    counted: dict[str, int] = {}
    for ms, stretches in _sat(lap, sittings):
        for name, share in _shared(ms, _clock(lap, stretches)).items():
            counted[name] = counted.get(name, 0) + share
    last = _day(lap.end, lap.offset)
    if counted.keys() <= {last}:
        return [(last, lap)]
    trouble = _shared(lap.trouble_ms, counted)
    out = {name: replace(lap, counted_ms=ms, trouble_ms=trouble.get(name, 0), pieces=0) for name, ms in counted.items()}
    out[last] = replace(out.get(last, replace(lap, counted_ms=0, trouble_ms=0)), pieces=lap.pieces)
    return list(out.items())


def _sat(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[int, list[tuple[int, int]]]]:
    """Give what was counted of a lap, ms, with the stretches of the wall it lies in, sitting by sitting."""
    if not lap.sat:
        return [(lap.counted_ms, _stretches(lap, sittings))]
    parts = [(ms, sittings[n - 1]) for n, ms in lap.sat]
    return [(ms, [(max(lap.start, one.start), min(lap.end, one.end))]) for ms, one in parts]


def _clock(lap: Lap, stretches: Iterable[tuple[int, int]]) -> dict[str, int]:
    """Give the ms of the clock in each day of the maker's that some stretches lie in."""
    days: dict[str, int] = {}
    for start, end in stretches:
        at, zone_ms = start, (lap.start_offset if start == lap.start else lap.offset) * _MINUTE_MS
        days.setdefault(_day(at, zone_ms // _MINUTE_MS), 0)
        while at < end:
            midnight = ((at + zone_ms) // DAY_MS + 1) * DAY_MS - zone_ms
            name = _day(at, zone_ms // _MINUTE_MS)
            days[name] = days.get(name, 0) + min(midnight, end) - at
            at = min(midnight, end)
    return days


def _shared(ms: int, by: Mapping[str, int]) -> dict[str, int]:
    """Share ms in the proportion of weights, nothing lost; all to the last where there are no weights."""
    whole, so_far, given = sum(by.values()), 0, 0
    out: dict[str, int] = {}
    for place, (name, weight) in enumerate(by.items(), 1):
        so_far += weight
        upto = ms * so_far // whole if whole else ms * (place == len(by))
        if upto > given:
            out[name], given = upto - given, upto
    return out


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
