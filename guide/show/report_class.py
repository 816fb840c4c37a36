"""A class on paper: what each seat's sheet, the tutor's, the wall chart and the kits tell, from one plan."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import timedelta

import msgspec

from guide.plan.model import Plan
from guide.read.spoken import counted, listed, percent
from guide.record.clock import time_text
from guide.show.model import Report
from guide.show.model_plan import BuyReport
from guide.show.pictures.wall import STATIONS, Band, Patch, Seated
from guide.show.report import plan_report
from guide.show.report_cautions import MAKE_SAFE, left_safe
from guide.show.report_numbers import shopping_report
from guide.show.report_seat import SeatSheet, gaps, length, seat_sheet, title_of
from guide.show.table import Cell, Column, Note, Table, of_texts, table
from guide.teach.board import LONG_WAIT_S, ends_at, milestones
from guide.teach.model import Booked, Course, begins_of, clock_of
from guide.teach.plan import Planned
from guide.teach.work import PRACTICE, Kits, beforehand, comes_cut, needles, shopping, spools

# What lies in the bags of a class, what is cut and bought for all of them, and what stands on their labels.


class KitSheet(msgspec.Struct, frozen=True):
    """The kits of one project: how many, what each holds, what is done beforehand, the plan of all of them."""

    title: str
    text: str
    holds: tuple[tuple[str, str], ...]
    done: tuple[str, ...]
    takes: str
    all: Report


class Label(msgspec.Struct, frozen=True):
    """What stands on a bag."""

    name: str
    title: str
    where: str
    holds: tuple[str, ...]


def kit_sheet(kits: Kits, course: Course) -> KitSheet:
    """What a project's kits hold, and what is cut and done for them."""
    one, everything = plan_report(kits.one), plan_report(kits.all)
    done = beforehand(kits.all, course.prepared)
    beyond = [step for step in beforehand(kits.one, course.prepared) if step.stage != "cut"]
    spare = f", {kits.spare} of them spare" if kits.spare else ""
    return KitSheet(
        title=one.project.title,
        text=f"{counted(kits.count, 'kit')}{spare}",
        holds=tuple(_holds(kits, course, one)),
        done=tuple(step.title for step in beyond),
        takes=time_text(sum(step.pace_s * step.pieces for step in done)) if done else "",
        all=everything,
    )


def _holds(kits: Kits, course: Course, one: Report) -> Iterator[tuple[str, str]]:
    """What lies in one bag: how much, and of what."""
    if comes_cut(kits.one, course.prepared):
        parts: dict[tuple[str, str, str], int] = {}
        for cutting in one.cutting:
            for part in cutting.parts:
                key = (cutting.material, part.name, part.size_text)
                parts[key] = parts.get(key, 0) + part.count
        for ready in one.ready:
            key = next(
                (key for key in parts if key[:2] == (ready.material, "square")),
                (ready.material, "square", ready.size_text),
            )
            parts[key] = parts.get(key, 0) + ready.count
        for (material, name, size), count in parts.items():
            yield f"{count} ×", f"{name if name.startswith(material) else f'{material}, {name}'}, {size}"
    for line in one.shopping:
        if line.counter in {"cloth", "wadding"} and not comes_cut(kits.one, course.prepared):
            yield line.text, line.item_text
        elif line.counter == "notions":
            yield f"{line.text} ×", line.item_text
    if spools(kits.one):
        yield f"{spools(kits.one)} ×", "thread, a spool"
    for needle in needles(kits.one, course):
        yield "1 ×", f"{needle}, new"


def labels(
    course: Course, planned: Planned, kits: Mapping[str, KitSheet], at: Callable[[float], str]
) -> Iterator[Label]:
    """A label a bag, spare ones too; `kits` by what the class file calls their projects."""
    for n, seat in enumerate(course.seats):
        kit, plan = kits[seat.project], planned.plan.seats[n]
        where = f"machine {plan.machine}, {at(0.0)}" if plan.machine else at(0.0)
        yield Label(seat.name, kit.title, where, tuple(f"{many} {what}" for many, what in kit.holds))
    kit = kits[course.seats[0].project]
    for _ in range(course.spare_kits):
        yield Label("spare", kit.title, "", tuple(f"{many} {what}" for many, what in kit.holds))


# A class's wall chart, sheet by sheet: a day, and no more seats than can be read.

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


class ClassReport(msgspec.Struct, frozen=True):
    """A class as its papers tell it."""

    title: str
    when: str
    words: str
    begins_s: float  # of the first sitting, s after midnight
    at: Callable[[float], str]
    walls: tuple[Wall, ...]
    reached: Table  # when each seat comes to each milestone
    seats: tuple[SeatSheet, ...]
    needs: Table  # when a tutor is needed: where, for what, and what to look for
    say: tuple[str, ...]  # cautions said at the opening
    stations: Table  # what to have ready where
    late: str  # who does not end in class; empty: all do
    kits: tuple[KitSheet, ...]
    shopping: tuple[BuyReport, ...]
    labels: tuple[Label, ...]


def class_report(course: Course, planned: Planned, plans: Mapping[str, Plan], kits: Sequence[Kits]) -> ClassReport:
    """Report a class for its papers. `plans` by what the class file calls their projects."""
    at, begins = clock_of(course), begins_of(course)
    reports = {name: plan_report(plan, texts=True) for name, plan in plans.items()}
    made = [one.project for one in course.seats]
    sheets = tuple(seat_sheet(course, planned, n, reports[name], plans[name]) for n, name in enumerate(made))
    bags = {one.project: kit_sheet(one, course) for one in kits}
    return ClassReport(
        title=course.title,
        when=", ".join(one.text for one in course.hours.sittings),
        words=plans[made[0]].project.words,
        begins_s=begins.hour * 3600.0 + begins.minute * 60.0,
        at=at,
        walls=tuple(walls(course, planned, [reports[name] for name in made])),
        reached=_reached(planned, at),
        seats=sheets,
        needs=_needs(course, planned, sheets, at),
        say=_said_at_first(sheets),
        stations=_stations(planned, sheets),
        late=_late(planned),
        kits=tuple(bags.values()),
        shopping=shopping_report(shopping(kits, course), [one.all.project for one in kits]),
        labels=tuple(labels(course, planned, bags, at)),
    )


def _reached(planned: Planned, at: Callable[[float], str]) -> Table:
    """When each seat comes to each milestone; nothing where it has none of that name."""
    closing, heads = planned.plan.closing_s, dict.fromkeys(m.name for tasks in planned.works for m in milestones(tasks))
    rows: list[list[str | Cell]] = []
    for n, seat in enumerate(planned.plan.seats):
        mine = {one.name: ends_at(planned, n + 1, one) for one in milestones(planned.works[n])}
        when = ("" if name not in mine else at(mine[name]) if mine[name] <= closing else "at home" for name in heads)
        ready = Cell(at(seat.ends_s) if seat.finished else "at home", style="strong")
        chance = "" if seat.chance is None else percent(seat.chance, 0)
        rows.append([seat.name, f"{seat.machine or ''}", *when, ready, chance])
    told = ("Seat", "machine", *heads, "ready", "chance")
    return of_texts(told, rows, label="When each comes to what", numbers=True, css="when-each")


def _needs(course: Course, planned: Planned, sheets: Sequence[SeatSheet], at: Callable[[float], str]) -> Table:
    """When a tutor is needed where, breaks and long waits among it, in order; seats with the same need in one row."""
    plan, hours = planned.plan, course.hours
    rows = [(0.0, hours.opening_s, "all", "Welcome and safety", "")] if hours.opening_s else []
    rows += [_booked(planned, one, sheets) for one in plan.tutor]
    rows += [(a, b, "all", "Break", MAKE_SAFE) for a, b in plan.breaks]
    off = f"Machines and irons off. {MAKE_SAFE}"
    rows += [(a, b, "all", f"Until {at(b)}", off) for a, b in gaps(course)]
    for seat in plan.seats:
        for one in seat.windows:
            if one.kind == "wait" and one.end_s - one.start_s > LONG_WAIT_S:
                what = f"for the {one.station}" if one.station in plan.stations else "for what comes next"
                says = f"Waits {length(one)} {what}"
                rows.append((one.start_s, one.end_s, seat.name, says, f"Then: {one.title}." if one.title else ""))
    if hours.packing_s:
        rows.append(
            (plan.closing_s, hours.sittings[-1].end_s, "all", "Packing up", left_safe(sheets[0].report.quantities))
        )
    alike: dict[tuple[float, float, str, str], list[str]] = {}
    for a, b, where, what, note in sorted(rows, key=lambda row: row[:2]):
        alike.setdefault((a, b, what, note), []).append(where)
    columns = [
        Column[tuple[str, ...]]("From", lambda row: row[0], number=True, style="big"),
        Column[tuple[str, ...]]("to", lambda row: row[1], number=True),
        Column[tuple[str, ...]]("Where", lambda row: row[2]),
        Column[tuple[str, ...]]("what", lambda row: Cell(row[3], (Note(row[4], under=True),) if row[4] else ())),
    ]
    needed = [(at(a), at(b), listed(places), what, note) for (a, b, what, note), places in alike.items()]
    return table(columns, [needed], label="Where I am needed when", names=2, css="needed")


def _booked(planned: Planned, one: Booked, sheets: Sequence[SeatSheet]) -> tuple[float, float, str, str, str]:
    if not one.seat:
        return one.start_s, one.end_s, "all", f"Show: {title_of(one.step, [sheet.report for sheet in sheets])}", ""
    sheet = sheets[one.seat - 1]
    what = f"A nod before “{title_of(one.step, [sheet.report])}”"
    return one.start_s, one.end_s, sheet.name, what, _look_for(planned, one.seat - 1, one.step, sheet.report)


def _late(planned: Planned) -> str:
    """Who has steps left to do at home."""
    late = [
        f"{seat.name} has {counted(len(seat.home), 'step')} left" for seat in planned.plan.seats if not seat.finished
    ]
    return f"At the end {listed(late)}." if late else ""


def _look_for(planned: Planned, n: int, key: str, report: Report) -> str:
    """What a tutor looks at before a step: when the steps before it are good enough."""
    tasks = planned.works[n]
    behind = {tasks[i].key for task in tasks if task.key == key for i in task.needs}
    return " ".join(
        f"Good enough: {step.texts['good_enough']}"
        for step in report.steps
        if step.key in behind and step.texts["good_enough"]
    )


def _said_at_first(sheets: Sequence[SeatSheet]) -> tuple[str, ...]:
    """The cautions of all that is done in class, the room's first."""
    here = dict.fromkeys(
        name
        for sheet in sheets
        if sheet.report.day
        for one in sheet.report.day.rows
        if one.step
        for name in one.step.cautions
    )
    return tuple(dict.fromkeys(["room", *here]))


def _stations(planned: Planned, sheets: Sequence[SeatSheet]) -> Table:
    """What lies ready where."""
    tools: dict[str, dict[str, None]] = {}
    for sheet in sheets:
        for one in sheet.report.day.rows if sheet.report.day else ():
            if one.step:
                tools.setdefault(one.step.station, {}).update(dict.fromkeys(one.step.tools))
    having = planned.plan.stations
    columns = [
        Column[tuple[str, str, str]]("At the", lambda row: row[0]),
        Column[tuple[str, str, str]]("places", lambda row: row[1], number=True),
        Column[tuple[str, str, str]]("to have there", lambda row: row[2], style="soft"),
    ]
    rows = [(name, f"{having.get(name, 'for all')}", ", ".join(there)) for name, there in tools.items()]
    return table(columns, [rows], label="What lies ready where")
