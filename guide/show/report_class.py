"""A class on paper: what each seat's sheet, the tutor's, the wall chart and the kits tell, from one plan."""

from collections.abc import Callable, Iterator, Mapping, Sequence

import msgspec

from guide.plan.model import Plan
from guide.read.spoken import counted, listed, percent
from guide.show.model import Report
from guide.show.model_plan import BuyReport
from guide.show.report import plan_report
from guide.show.report_cautions import MAKE_SAFE, left_safe
from guide.show.report_cloth import shopping_report
from guide.show.report_kits import KitSheet, Label, kit_sheet, labels
from guide.show.report_seat import SeatSheet, gaps, length, seat_sheet, title_of
from guide.show.report_wall import Wall, walls
from guide.teach.board import LONG_WAIT_S, ends_at, milestones
from guide.teach.model import Booked, Course, begins_of, clock_of
from guide.teach.plan import Planned
from guide.teach.work import Kits, shopping


class Need(msgspec.Struct, frozen=True):
    """When a tutor is needed: where, for what, and what to look for."""

    start: str
    end: str
    where: str
    what: str
    note: str = ""


class Station(msgspec.Struct, frozen=True):
    """What to have ready where."""

    name: str
    text: str
    tools: str


class Reached(msgspec.Struct, frozen=True):
    """When a seat comes to each milestone, in the order of the heads; empty: it has none of that name."""

    name: str
    machine: str
    at: tuple[str, ...]
    ready: str
    chance: str


class ClassReport(msgspec.Struct, frozen=True):
    """A class as its papers tell it."""

    title: str
    when: str
    words: str
    begins_s: float  # of the first sitting, s after midnight
    at: Callable[[float], str]
    walls: tuple[Wall, ...]
    heads: tuple[str, ...]  # of the milestones
    reached: tuple[Reached, ...]
    seats: tuple[SeatSheet, ...]
    needs: tuple[Need, ...]
    say: tuple[str, ...]  # cautions said at the opening
    stations: tuple[Station, ...]
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
    heads = tuple(dict.fromkeys(one.name for tasks in planned.works for one in milestones(tasks)))
    bags = {one.project: kit_sheet(one, course) for one in kits}
    return ClassReport(
        title=course.title,
        when=", ".join(one.text for one in course.hours.sittings),
        words=plans[made[0]].project.words,
        begins_s=begins.hour * 3600.0 + begins.minute * 60.0,
        at=at,
        walls=tuple(walls(course, planned, [reports[name] for name in made])),
        heads=heads,
        reached=tuple(_reached(planned, n, heads, at) for n in range(len(made))),
        seats=sheets,
        needs=tuple(_needs(course, planned, sheets, at)),
        say=_said_at_first(sheets),
        stations=_stations(planned, sheets),
        late=_late(planned),
        kits=tuple(bags.values()),
        shopping=shopping_report(shopping(kits, course), [one.all.project for one in kits]),
        labels=tuple(labels(course, planned, bags, at)),
    )


def _reached(planned: Planned, n: int, heads: Sequence[str], at: Callable[[float], str]) -> Reached:
    seat, closing = planned.plan.seats[n], planned.plan.closing_s
    mine = {one.name: ends_at(planned, n + 1, one) for one in milestones(planned.works[n])}
    when = tuple("" if name not in mine else at(mine[name]) if mine[name] <= closing else "at home" for name in heads)
    ready = at(seat.ends_s) if seat.finished else "at home"
    chance = "" if seat.chance is None else percent(seat.chance, 0)
    return Reached(seat.name, str(seat.machine or ""), when, ready, chance)


def _needs(course: Course, planned: Planned, sheets: Sequence[SeatSheet], at: Callable[[float], str]) -> Iterator[Need]:
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
    for (a, b, what, note), places in alike.items():
        yield Need(at(a), at(b), listed(places), what, note)


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


def _stations(planned: Planned, sheets: Sequence[SeatSheet]) -> tuple[Station, ...]:
    tools: dict[str, dict[str, None]] = {}
    for sheet in sheets:
        for one in sheet.report.day.rows if sheet.report.day else ():
            if one.step:
                tools.setdefault(one.step.station, {}).update(dict.fromkeys(one.step.tools))
    having = planned.plan.stations
    return tuple(
        Station(name, str(having[name]) if name in having else "for all", ", ".join(there))
        for name, there in tools.items()
    )
