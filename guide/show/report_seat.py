"""One seat's sheet in a class: its own times, what it does while it waits, and what it takes home."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

import msgspec
from msgspec.structs import replace

from guide.money.model import Row
from guide.plan.model import Plan
from guide.read.spoken import counted, listed
from guide.record.clock import nearest, time_text
from guide.show.model import Report, Setting
from guide.show.model import Window as Told
from guide.show.model_plan import StepReport
from guide.show.report_cautions import MAKE_SAFE, caution, left_safe
from guide.show.report_day import SLACK_S, day_report, pieces_said
from guide.teach.model import Course, Sitting, Task, Window, clock_of
from guide.teach.plan import Planned
from guide.teach.work import goes_home

AT_HOME = ("lint", "fire", "threads")  # what a home sheet says before anything else: filter, fire, threads
PRACTISED = "A spare one, from stack to snips, not for the finished piece."


class SeatSheet(msgspec.Struct, frozen=True):
    """One seat's own checklist: the report of what it makes, its day in it, and what it takes home."""

    name: str
    report: Report  # of the steps in class and at home only
    said: tuple[str, ...]  # cautions of all it does in class
    home: tuple[Told, ...]
    care: tuple[str, ...]  # cautions of the home sheet
    figures: tuple[Setting, ...]


class _Seat(msgspec.Struct, frozen=True):
    """What a sheet is made from: seat number `n` from 0."""

    course: Course
    planned: Planned
    n: int
    steps: Mapping[str, StepReport]
    spoken: str
    at: Callable[[float], str]

    @property
    def windows(self) -> Sequence[Window]:
        return self.planned.plan.seats[self.n].windows

    @property
    def tasks(self) -> Sequence[Task]:
        return self.planned.works[self.n]

    @property
    def machine(self) -> str:
        number = self.planned.plan.seats[self.n].machine
        return f"machine {number}" if number else "machine"

    def row(self, one: Window, **more: object) -> Row:
        """A window as a row of a checklist; without more it is none of its steps."""
        fields = {"kind": "aside", "hands_on_s": 0.0, "factor": 1.0} | more
        return Row(
            key=one.step, title=one.title, start_s=one.start_s, end_s=one.end_s,
            start=self.at(one.start_s), end=self.at(one.end_s), **fields,  # type: ignore[arg-type]
        )  # fmt: skip


def seat_sheet(course: Course, planned: Planned, n: int, report: Report, plan: Plan) -> SeatSheet:
    """One seat's sheet, number `n` from 0: its windows as those of a checklist, and its steps at home."""
    plan_of_it = planned.plan.seats[n]
    taken = {step.key for step in plan.steps if goes_home(course, step)} | set(plan_of_it.home_keys)
    there = {task.key for task in planned.works[n]}
    mine = tuple(step for step in report.steps if step.key in there or step.key in taken)
    seat = _Seat(course, planned, n, {step.key: step for step in mine}, report.project.words, clock_of(course))
    rows = sorted((*_own(seat), *_together(seat, report)), key=lambda one: (one.row.start_s, one.row.end_s))
    report = replace(report, steps=mine)
    day = day_report(report, [one.row for one in rows], beginner=True)
    ends = {one.row.key: one.row.end_s for one in rows if one.step}
    in_time = {key: one for key, one in day.decisions.items() if ends[key] + SLACK_S <= planned.plan.closing_s}
    out = (plan_of_it.ends_s, "ready, about") if plan_of_it.finished else (planned.plan.closing_s, "we pack up")
    figures = (("your machine", str(plan_of_it.machine or "")), ("we begin", seat.at(0.0)), (out[1], seat.at(out[0])))
    home = tuple(_at_home(seat, step, ends) for step in mine if step.key in taken)
    changes = any(one.kind == "change" for one in seat.windows)
    return SeatSheet(
        name=plan_of_it.name,
        report=replace(report, day=replace(day, rows=tuple(rows), decisions=in_time)),
        said=tuple(dict.fromkeys([*report.minding, *(["plug"] if changes else []), *_cautions(rows)])),
        home=home,
        care=tuple(dict.fromkeys([*report.minding, *AT_HOME, *_cautions(home)])),
        figures=tuple(Setting(*one) for one in figures if one[1]),
    )


def _cautions(rows: Sequence[Told]) -> Iterator[str]:
    """The cautions of steps, in their order."""
    for one in rows:
        yield from one.step.cautions if one.step else ()


def _at_home(seat: _Seat, step: StepReport, begun: Mapping[str, float]) -> Told:
    """A step without a time."""
    row = seat.row(Window(step.key, step.title, "", "home", 0.0, 0.0), kind="step", begun=step.key in begun)
    pieces = counted(step.pieces, step.piece) if step.pieces > 1 else ""
    return Told(replace(row, start="", end=""), step, step.title, "", (), pieces)


def _own(seat: _Seat) -> Iterator[Told]:
    """What a seat does itself: its steps, and what lies between them."""
    done: dict[tuple[str, int], float] = {}
    for one in seat.windows:
        if one.kind == "practice":
            yield aside(seat.row(one), f"{one.title}, {seat.machine}.", PRACTISED)
        elif one.kind == "change":
            yield aside(
                seat.row(one, kind="change"), f"Change foot and thread, {seat.machine}.", caution("plug", seat.spoken)
            )
        elif one.kind == "nod":
            yield aside(seat.row(one), "Show it to the tutor", f"before “{one.title}”.")
        elif one.kind == "wait" and one.end_s - one.start_s >= 60:
            scarce = one.station in seat.planned.plan.stations
            yield aside(
                seat.row(one), f"Wait for the {one.station}." if scarce else "Wait a little.", *_meanwhile(seat, one)
            )
        elif one.kind == "work" and one.step in seat.steps:
            yield _step(seat, one, done)


def _step(seat: _Seat, one: Window, done: dict[tuple[str, int], float]) -> Told:
    """A window of work, with which pieces it is for; `done`: s of each step so far."""
    key, step = (one.step, one.make), seat.steps[one.step]
    task = next(task for task in seat.tasks if (task.key, task.make) == key)
    makes = max(task.make for task in seat.tasks)
    several = makes > 1 and task.make > 0 and step.pieces % makes == 0
    pieces = step.pieces // makes if several else step.pieces
    whole, before = task.pieces * task.piece_s, done.get(key, 0.0)
    done[key] = before + one.end_s - one.start_s
    first = int(before / whole * pieces + 1e-6) + 1
    last = min(max(math.ceil(done[key] / whole * pieces - 1e-6), first), pieces)
    row = seat.row(
        one, kind="step", hands_on_s=one.end_s - one.start_s, begun=before > 0, finished=done[key] >= whole - 1,
        pieces=(first, last),
    )  # fmt: skip
    title = f"{one.title}, make {one.make}" if several else one.title
    where = seat.machine if one.station == "machine" else one.station
    return Told(row, step, title, length(one), (where,), pieces_said(row, replace(step, pieces=pieces)))


def _meanwhile(seat: _Seat, one: Window) -> tuple[str, ...]:
    """What to do while waiting: what fits, else what is made ready for the next step."""
    worked = [w for w in seat.windows if w.kind in {"work", "practice"}]
    ended = {(w.step, w.make): w.end_s for w in worked}
    begins = {(w.step, w.make): w.start_s for w in reversed(worked)}

    def done(task: Task) -> bool:
        return ended.get((task.key, task.make), math.inf) + task.wait_s <= one.start_s

    fits = [
        task.title
        for task in seat.tasks
        if task.station not in seat.planned.plan.stations and not task.nod and task.demo is None
        and begins.get((task.key, task.make), math.inf) >= one.end_s and all(done(seat.tasks[i]) for i in task.needs)
    ]  # fmt: skip
    coming = seat.steps.get(one.step)
    tools = f"Lay ready: {listed(coming.tools)}." if coming and coming.tools else ""
    return (f"Meanwhile: {fits[0]}.",) if fits else ("Trim loose threads.", tools)


def _together(seat: _Seat, whole: Report) -> Iterator[Told]:
    """Opening, demos, breaks, the time between two sittings, packing up."""
    plan = seat.planned.plan
    for one in seat.windows:
        if one.kind == "opening":
            yield aside(seat.row(one), "Welcome and safety.", "The room, the machines, what to do if it jams.")
        elif one.kind == "demo":
            yield aside(seat.row(one), f"All look: {title_of(one.step, [whole])}.", "Hands off your own work.")
        elif one.kind == "break":
            yield aside(seat.row(one), "Break.", MAKE_SAFE)
    ends = plan.seats[seat.n].ends_s
    for start, end in gaps(seat.course):
        if ends > end:
            row = seat.row(Window("", "", "", "break", start, end))
            yield aside(row, f"We go on at {seat.at(end)}.", f"Machine and iron off. {MAKE_SAFE}")
    if not plan.seats[seat.n].finished:
        row = seat.row(Window("", "", "", "home", plan.closing_s, seat.course.hours.sittings[-1].end_s))
        yield aside(row, "Pack up.", f"{left_safe(whole.quantities)} The rest goes home with you.")


def gaps(course: Course) -> Iterator[tuple[float, float]]:
    """What lies between two sittings, s: packing up belongs to it where the next is on another day."""

    def packs(one: Sitting, then: Sitting) -> float:
        return course.hours.packing_s if one.day != then.day else 0.0

    for one, then in pairwise(course.hours.sittings):
        yield one.end_s - packs(one, then), then.start_s


def aside(row: Row, strong: str, *texts: str) -> Told:
    """A window that is no step: its own words, then what goes with them."""
    return Told(row, None, strong, length(row), tuple(filter(None, texts)), "")


def length(one: Window | Row) -> str:
    """How long a window is, by the clock."""
    whole = nearest(one.end_s, 60) - nearest(one.start_s, 60)
    return time_text(60 * whole, in_minutes=True) if whole else "a moment"


def title_of(name: str, reports: Sequence[Report]) -> str:
    """A step's title by its stage/id, in the first of these that has it."""
    steps = (step for report in reports for step in report.steps)
    return next((step.title for step in steps if step.key == name or step.key.startswith(f"{name}:")), name)
