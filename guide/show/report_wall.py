"""A class's wall chart, sheet by sheet: a day, and no more seats than can be read."""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import msgspec

from guide.show.model import Report
from guide.show.pictures.wall import STATIONS, Band, Patch, Seated
from guide.show.report_seat import title_of
from guide.teach.model import Course, begins_of
from guide.teach.plan import Planned
from guide.teach.work import PRACTICE

AT_WORK = {"work", "practice", "change"}
ON_A_SHEET = 8  # columns of a wall chart that can still be read


class Wall(msgspec.Struct, frozen=True):
    """One sheet of the wall chart: some seats on one day."""

    title: str
    seats: tuple[Seated, ...]
    sittings: tuple[tuple[float, float], ...]
    bands: tuple[Band, ...]


def walls(course: Course, planned: Planned, reports: Sequence[Report]) -> Iterator[Wall]:
    """Every sheet of the chart; `reports`: a seat's each."""
    seats = list(range(len(course.seats)))
    share = -(-len(seats) // -(-len(seats) // ON_A_SHEET))
    for day in sorted({one.day for one in course.hours.sittings}):
        spans = tuple((one.start_s, one.end_s) for one in course.hours.sittings if one.day == day)
        date = begins_of(course) + timedelta(seconds=spans[0][0])
        bands = tuple(_bands(course, planned, reports, spans))
        for k in range(0, len(seats), share):
            mine = seats[k : k + share]
            whom = f", {course.seats[mine[0]].name} to {course.seats[mine[-1]].name}" if share < len(seats) else ""
            columns = tuple(_seated(planned, n, reports[n], spans) for n in mine)
            yield Wall(f"{date:%A} {date.day} {date:%B}{whom}", columns, spans, bands)


Spans = Sequence[tuple[float, float]]


def _seated(planned: Planned, n: int, report: Report, spans: Spans) -> Seated:
    """One seat's column: what follows each other at one station in one stage is one patch."""
    seat, stations = planned.plan.seats[n], planned.plan.stations
    begin, end = spans[0][0], spans[-1][1]
    numbers = {step.key: step.number for step in report.steps}
    mine = [one for one in seat.windows if begin <= one.start_s < end]
    patches: list[tuple[float, float, str, str, tuple[int, ...]]] = []
    for one in (window for window in mine if window.kind in AT_WORK):
        stage = PRACTICE if one.kind == "practice" else one.step.partition("/")[0]
        which: tuple[int, ...] = (numbers[one.step],) if one.step in numbers else ()
        start = one.start_s
        if patches and abs(patches[-1][1] - start) < 1 and patches[-1][2:4] == (one.station, stage):
            start, _, _, _, before = patches.pop()
            which = before + which
        patches.append((start, one.end_s, one.station, stage, which))
    waits = [
        (one.start_s, one.end_s, f"waits: {STATIONS[one.station].letter}" if one.station in stations else "waits")
        for one in mine
        if one.kind == "wait" and one.end_s - one.start_s >= 120
    ]
    drawn = (Patch(a, b, station, f"{stage} {_numbers(which)}".strip()) for a, b, station, stage, which in patches)
    where = f"machine {seat.machine}" if seat.machine else ""
    nods = tuple(one.start_s for one in mine if one.kind == "nod")
    ends = seat.ends_s if seat.finished and begin <= seat.ends_s <= end else None
    return Seated(seat.name, where, tuple(drawn), nods, tuple(waits), ends)


def _numbers(which: Sequence[int]) -> str:
    low, high = min(which, default=0), max(which, default=0)
    return "" if not which else str(low) if low == high else f"{low}–{high}"


def _bands(course: Course, planned: Planned, reports: Sequence[Report], spans: Spans) -> Iterator[Band]:
    """What all do together on a day."""
    hours, closing = course.hours, planned.plan.closing_s
    begin, end = spans[0][0], spans[-1][1]
    if hours.opening_s and begin <= 0:
        yield Band(0.0, hours.opening_s, "welcome and safety")
    for a, b in planned.plan.breaks:
        if begin <= a < end:
            yield Band(a, b, "break")
    for one in planned.plan.tutor:
        if not one.seat and begin <= one.start_s < end:
            yield Band(one.start_s, one.end_s, f"all look: {title_of(one.step, reports)}", shown=True)
    packs = min(closing, end - hours.packing_s)
    if hours.packing_s and begin <= packs:
        yield Band(packs, end, "packing up")
