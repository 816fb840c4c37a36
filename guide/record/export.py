"""A session as rows for other programs: exact starts, ends and durations, one row a lap, measure or remark."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping

import msgspec
from msgspec.structs import replace

from guide.record.clock import iso
from guide.record.model import Lap, Measure, Record, Remark

_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")  # a spreadsheet would take such a cell for a formula

_Head = tuple[str, str, str, str]  # project, session, mode, maker


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
    title: str
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
        number=named.number if named else None,
        step_title=named.title if named else "",
        stage_title=named.stage_title if named else "",
        started=_clock(row.start),
        ended=_clock(row.end),
        minutes=round(row.counted_ms / 60_000, 9) if row.counted and row.counted_ms is not None else None,
    )


def _clock(moment: str) -> str:
    """What the maker's clock showed: spreadsheets know no zones."""
    return moment[:19].replace("T", " ")


def _lap(head: _Head, lap: Lap) -> Row:
    return Row(
        *head,
        "lap",
        _stage(lap.step),
        lap.step,
        iso(lap.start, lap.start_offset),
        iso(lap.end, lap.offset) if lap.end_n else "",
        counted_ms=lap.counted_ms,
        trouble_ms=lap.trouble_ms,
        pieces=lap.pieces,
        make=lap.make or None,
        first=lap.first,
        counted=lap.counted,
        by_hand=lap.by_hand,
        shared=bool(lap.shared),
        between=lap.between,
        text="" if lap.end_n else "under the needle",
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
