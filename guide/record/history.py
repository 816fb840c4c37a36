"""What all sessions come to: time by project, stage, step, day and maker, and which are open.

One session is held at a time, so years of them need no more memory than the longest.
"""

import csv
import io
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Literal, TypeVar

import msgspec
from msgspec.structs import asdict, replace

from guide.errors import GuideError
from guide.record.clock import DAY_MS, OLDEST_MS, day_of, in_proportion, iso, local, week_of
from guide.record.fold import fold
from guide.record.journal import describe, read_journal
from guide.record.model import Lap, Measure, Record, Remark, Sitting

_MINUTE_MS = 60_000
_Part = TypeVar("_Part")


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
    exit_code: int = 0


class Twice(msgspec.Struct, frozen=True):
    """Time that two sessions of one maker both say was worked."""

    maker: str
    first: Path
    second: Path
    ms: int


class History(msgspec.Struct):
    """Totals by name, in the order first met; sessions in the order given."""

    sessions: list[Told] = []
    by_project: dict[str, Total] = {}
    by_stage: dict[str, Total] = {}
    by_step: dict[str, Total] = {}
    by_title: dict[str, Total] = {}  # steps by the names they were given, where they were asked for
    by_day: dict[str, Total] = {}
    by_week: dict[str, Total] = {}  # 2026-W09, from Monday (ISO 8601)
    by_maker: dict[str, Total] = {}
    by_trouble: dict[str, Total] = {}  # pieces: how often; both times: how long
    unread: list[Unread] = []
    twice: list[Twice] = []  # where one maker's sessions both say they were worked; counted once in by_maker

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
            yield path, None, Unread(path, str(bad), bad.exit_code)
            continue
        hurt = found.damage
        unread = Unread(path, describe(path, hurt), hurt.exit_code) if hurt else None
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
    sat: list[_Sat] = []
    for path, record, unread in records(paths):
        if unread:
            told.unread.append(unread)
        if record is not None and (record.header.mode or "real") in wanted:
            _tell(told, path, record, titles(record) if titles else None)
            sat += [(record.header.maker, one.start, one.end, path) for one in record.sittings]
    told.twice = _twice(sat)
    for one in told.twice:
        told.by_maker[one.maker].counted_ms -= one.ms
    told.by_day = dict(sorted(told.by_day.items()))
    told.by_week = dict(sorted(told.by_week.items()))
    return told


_Sat = tuple[str, int, int, Path]  # maker, from and to (wall ms), whose sitting


def _twice(sat: list[_Sat]) -> list[Twice]:
    """Where sittings of one maker overlap, how much of their laps does: those journals are read again, being rare."""
    pairs: dict[tuple[str, Path, Path], None] = {}
    latest: dict[str, tuple[int, Path]] = {}
    for maker, start, end, path in sorted(sat, key=lambda one: one[1]):
        until, other = latest.get(maker, (start, path))
        if start < until and other != path:
            pairs[maker, other, path] = None
        if end >= until:
            latest[maker] = end, path
    out = []
    for maker, first, second in pairs:
        laps = [
            [lap for lap in record.worked() if lap.counted and not lap.by_hand]
            for _, record, _ in records((first, second))
            if record is not None
        ]
        if len(laps) == 2 and (ms := _in_both(*laps)):
            out.append(Twice(maker, first, second, ms))
    return out


def _in_both(mine: list[Lap], theirs: list[Lap]) -> int:
    """How much of two sessions' laps is the same time, ms; each is walked through once."""
    mine, theirs = (sorted(laps, key=lambda lap: (lap.start, lap.end)) for laps in (mine, theirs))
    at = other = ms = 0
    while at < len(mine) and other < len(theirs):
        a, b = mine[at], theirs[other]
        ms += max(0, min(a.end - b.start, b.end - a.start, a.counted_ms, b.counted_ms))  # never more than either counts
        if a.end <= b.end:
            at += 1
        else:
            other += 1
    return ms


def _tell(told: History, path: Path, record: Record, titles: Mapping[str, str] | None) -> None:
    head = record.header
    steps, days = _added(record)
    names: dict[str, Callable[[str], str]] = {
        "by_project": lambda _: head.title or path.parent.name,
        "by_stage": lambda step: step.partition("/")[0],
        "by_step": lambda step: step,
        "by_maker": lambda _: head.maker,
    }
    if titles is not None:
        names["by_title"] = lambda step: titles.get(step, step)
    for by, name_of in names.items():
        _count(getattr(told, by), _named_by(steps, name_of))
    _count(told.by_trouble, _troubles(record))
    _count(told.by_day, _named_by(days, _named))
    _count(told.by_week, _named_by(days, lambda day: week_of(_named(day))))
    told.sessions.append(
        Told(
            path=path,
            title=head.title,
            maker=head.maker,
            mode=head.mode,
            day=_first_day(record),
            closed=record.closed,
            total=_named_by(steps, lambda _: "").get("", _one()),
            records=record.count,
            begun=record.begun,
        )
    )


def _added(record: Record) -> tuple[dict[str, Total], dict[int, Total]]:
    """Add up one session, each lap once: by step, and by the maker's days."""
    steps: dict[str, Total] = defaultdict(_one)
    days: dict[int, Total] = defaultdict(_one)
    for lap in record.worked():
        if not lap.counted:
            continue
        _add(steps[lap.step], lap)
        day = day_of(lap.end, lap.offset)
        if day == day_of(lap.start, lap.offset) and not lap.shift and not lap.sat:  # nearly every lap
            _add(days[day], lap)
            continue
        for part, share in _by_day(lap, record.sittings):
            _add(days[part], share)
    return steps, days


def _troubles(record: Record) -> dict[str, Total]:
    """How often each trouble was written down in one session, and how long it took."""
    out: dict[str, Total] = {}
    for one in record.remarks:
        if one.kind == "trouble":
            _add(out.setdefault(one.text, _one()), Total(one.ms or 0, one.ms or 0, 1))
    return out


def _one() -> Total:
    return Total(sessions=1)


def _named_by(parts: Mapping[_Part, Total], name_of: Callable[[_Part], str]) -> dict[str, Total]:
    """Put parts of one session together that have one name."""
    out: dict[str, Total] = {}
    for part, one in parts.items():
        _add(out.setdefault(name_of(part), _one()), one)
    return out


def _add(total: Total, more: Lap | Total) -> None:
    total.counted_ms += more.counted_ms
    total.trouble_ms += more.trouble_ms
    total.pieces += more.pieces


def _count(totals: dict[str, Total], session: Mapping[str, Total]) -> None:
    """Add what one session comes to, name by name, to what all come to."""
    for name, one in session.items():
        of = totals.setdefault(name, Total())
        _add(of, one)
        of.sessions += 1


def _first_day(record: Record) -> str:
    """The day of the first work: of the opening, or of what was kept on paper before it."""
    starts = [(sitting.start, sitting.start_offset) for sitting in record.sittings[:1]]
    starts += [(lap.start, lap.start_offset) for lap in record.worked() if lap.by_hand]
    return _named(day_of(*min(starts))) if starts else ""


def _by_day(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[int, Lap]]:
    """Share a lap by the maker's days, exact to the ms; its pieces came at its end.

    A sitting's part of it is that sitting's; within one, time is as the clock's.
    """
    last = day_of(lap.end, lap.offset)
    if lap.end - lap.start > OLDEST_MS:  # dates that cannot be are not shared over centuries of days
        return [(last, lap)]
    counted: dict[int, int] = {}
    for ms, stretches in _sat(lap, sittings):
        for day, share in in_proportion(ms, _clock(lap, stretches)).items():
            counted[day] = counted.get(day, 0) + share
    if counted.keys() <= {last}:
        return [(last, lap)]
    trouble = in_proportion(lap.trouble_ms, counted)
    out = {day: replace(lap, counted_ms=ms, trouble_ms=trouble.get(day, 0), pieces=0) for day, ms in counted.items()}
    out[last] = replace(out.get(last, replace(lap, counted_ms=0, trouble_ms=0)), pieces=lap.pieces)
    return list(out.items())


def _sat(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[int, list[tuple[int, int]]]]:
    """Give what was counted of a lap, ms, with the stretches of the wall it lies in, sitting by sitting."""
    if not lap.sat:
        return [(lap.counted_ms, _stretches(lap, sittings))]
    parts = [(ms, sittings[n - 1]) for n, ms in lap.sat]
    return [(ms, [(max(lap.start, one.start), min(lap.end, one.end))]) for ms, one in parts]


def _clock(lap: Lap, stretches: Iterable[tuple[int, int]]) -> dict[int, int]:
    """Give the ms of the clock in each day of the maker's that some stretches lie in."""
    days: dict[int, int] = {}
    for start, end in stretches:
        at, offset = start, lap.start_offset if start == lap.start else lap.offset
        days.setdefault(day_of(at, offset), 0)
        while at < end:
            day = day_of(at, offset)
            midnight = (day + 1) * DAY_MS - offset * _MINUTE_MS
            days[day] = days.get(day, 0) + min(midnight, end) - at
            at = min(midnight, end)
    return days


def _stretches(lap: Lap, sittings: Sequence[Sitting]) -> list[tuple[int, int]]:
    """Give a lap's time on the wall (from, to) without what lies between two sittings."""
    out, at = [], lap.start
    for one, following in pairwise(sittings if not lap.by_hand else ()):
        if at < one.end < lap.end:
            out.append((at, one.end))
        if one.end < lap.end:
            at = max(at, following.start)
    return [stretch for stretch in [*out, (at, lap.end)] if stretch[0] < stretch[1]] or [(lap.start, lap.end)]


def _named(day: int) -> str:
    return f"{local(day * DAY_MS, 0):%Y-%m-%d}"


# A session as rows for other programs: exact starts, ends and durations, one row a lap, measure or remark.

_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")  # a spreadsheet would take such a cell for a formula

_Head = tuple[str, str, str, str]  # project, session, mode, maker
# a row says them as a lap does
_OF_LAP = ("counted_ms", "trouble_ms", "pieces", "first", "counted", "by_hand", "between")


class Row(msgspec.Struct, frozen=True):
    """One line of an export. Times ISO 8601 with offset; durations whole ms; a length in mm.

    From `number` on it is told as a maker tells it, for a spreadsheet: the step's number and title, clock times
    without a zone, and the minutes of hands-on work that count, so that their sum is the log's.
    kind: lap, measure, wait, or the remark's (noted, photo, trouble, interrupted, skipped, acknowledged). A lap
    without an end is under the needle: its time is labour, its piece is not counted yet.
    """

    project: str
    session: str
    mode: str
    maker: str
    kind: str
    stage: str
    step: str
    start: str
    end: str = ""
    counted_ms: int | None = None  # hands on; a lap that does not count has counted false
    trouble_ms: int | None = None
    ms: int | None = None  # how long a trouble or an interruption was, or a wait was planned
    pieces: int | None = None
    make: int | None = None
    first: bool | None = None
    counted: bool | None = None
    by_hand: bool | None = None
    name: str = ""
    mm: float | None = None
    text: str = ""
    record: int = 0  # the journal's record that ended or made it
    number: int | None = None  # of the step, as the run sheet numbers it
    step_title: str = ""
    stage_title: str = ""
    started: str = ""  # 2026-03-01 10:30:00, the maker's clock
    ended: str = ""
    minutes: float | None = None  # of a lap that counts
    shared: bool | None = None  # of a lap: one step's share of a press that counted several
    between: bool | None = None  # of a lap: from the end of the step before to the start of this one


class Named(msgspec.Struct, frozen=True):
    """What a plan calls a step."""

    number: int
    step_title: str
    stage_title: str


def rows(record: Record, session: str, named: Mapping[str, Named] | None = None) -> list[Row]:
    """Give a session's rows in the order their records were made; session: its file's name; named: steps by key."""
    head = (record.header.title, session, record.header.mode, record.header.maker)
    found = [_lap(head, lap) for lap in record.worked()]
    found += [_measure(head, one) for measures in record.measures.values() for one in measures]
    found += [_remark(head, one) for one in record.remarks]
    for wait in record.waits:
        begun = iso(wait.begun.wall, wait.begun.offset)
        found.append(Row(*head, "wait", _stage(wait.step), wait.step, begun, ms=wait.planned_ms, record=wait.n))
    return [_told(row, (named or {}).get(row.step)) for row in sorted(found, key=lambda row: row.record)]


def _told(row: Row, named: Named | None) -> Row:
    """The row with what a maker reads in it."""
    return replace(
        row,
        **(asdict(named) if named else {}),
        started=_spent(row.start),
        ended=_spent(row.end),
        minutes=round(row.counted_ms / 60_000, 9) if row.counted and row.counted_ms is not None else None,
    )


def _spent(moment: str) -> str:
    """What the maker's clock showed: spreadsheets know no zones."""
    return moment[:19].replace("T", " ")


def _lap(head: _Head, lap: Lap) -> Row:
    end, text = (iso(lap.end, lap.offset), "") if lap.end_n else ("", "under the needle")
    return Row(
        *head,
        *("lap", _stage(lap.step), lap.step, iso(lap.start, lap.start_offset), end),
        **{name: getattr(lap, name) for name in _OF_LAP},
        make=lap.make or None,
        shared=bool(lap.shared),
        text=text,
        record=lap.end_n or lap.start_n,
    )


def _measure(head: _Head, one: Measure) -> Row:
    at = iso(one.at, one.offset)
    make = one.make or None
    return Row(*head, "measure", _stage(one.step), one.step, at, at, make=make, name=one.name, mm=one.mm, record=one.n)


def _remark(head: _Head, one: Remark) -> Row:
    """An interruption told afterwards has a length but no known end, so only a trouble's end is given."""
    at = iso(one.at, one.offset)
    end = iso(one.at + one.ms, one.offset) if one.kind == "trouble" and one.ms is not None else ""
    return Row(*head, one.kind, _stage(one.step), one.step, at, end, ms=one.ms, text=one.text, record=one.n)


def _stage(step: str) -> str:
    return step.partition("/")[0]


def as_csv(many: Iterable[msgspec.Struct], kind: type[msgspec.Struct] = Row) -> Iterator[str]:
    """Write rows of a kind as CSV (RFC 4180), header first; no text cell can act as a formula."""
    yield _line(list(kind.__struct_fields__))
    for row in many:
        yield _line([_cell(getattr(row, name)) for name in kind.__struct_fields__])


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    if isinstance(value, str) and text.lstrip(" ").startswith(_RISKY):
        return "'" + text  # shown as text, and the quote says so
    return text


def _line(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerow(cells)
    return out.getvalue()


def as_json(many: Iterable[msgspec.Struct]) -> Iterator[str]:
    """Write rows as a JSON list, a row a line; a number is a number and what is not known is null."""
    mark = "[\n"
    for row in many:
        yield mark + msgspec.json.encode(row).decode()
        mark = ",\n"
    yield "[]\n" if mark == "[\n" else "\n]\n"
