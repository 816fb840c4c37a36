"""The plan of a class: the best schedule there is for its seats, told as windows of what everybody does when."""

from collections.abc import Mapping, Sequence
from functools import lru_cache

import msgspec

from guide.teach.hours import Calendar, calendar, stretches
from guide.teach.model import Booked, ClassPlan, Course, SeatPlan, Task, Window
from guide.teach.ops import operations
from guide.teach.placing import Room, Schedule
from guide.teach.search import FEW_RULES, best_plan

Works = Sequence[Sequence[Task]]


class Planned(msgspec.Struct, frozen=True):
    """A plan with what it was worked out from, so that it can be played through and gone on with."""

    plan: ClassPlan
    room: Room
    schedule: Schedule
    works: tuple[tuple[Task, ...], ...]
    order: tuple[float, ...] = ()  # of a plan that goes on with another: when each operation began in the first, s


class Planner:
    """Plans a class, with any number of stations; plans that were made are remembered."""

    def __init__(self, course: Course, works: Works, tries: int | None = None) -> None:
        """Take the tasks of every seat, in the course's order."""
        self.course = course
        self.works = tuple(tuple(work) for work in works)
        self.tries = tries
        self._found: dict[tuple[tuple[str, int], ...], Schedule] = {}

    def room(self, stations: Mapping[str, int]) -> Room:
        """What there is to plan with."""
        course = self.course
        demos = tuple(demo.for_s for demo in course.demos)
        work, _ = stretches(course.hours)

        @lru_cache(maxsize=256)
        def at(slots: tuple[int, ...]) -> Calendar:
            return calendar(course.hours, demos, slots)

        ops = operations(self.works, frozenset(stations))
        return Room(ops, len(self.works), stations, course.tutors, at, demos, len(work))

    def schedule(self, stations: Mapping[str, int]) -> Schedule:
        """Look for the best schedule; it begins with those of one station less, so that more is never later."""
        counts = {name: min(count, len(self.works)) for name, count in stations.items()}
        key = tuple(sorted(counts.items()))
        if key not in self._found:
            less = [self.schedule({**counts, name: count - 1}) for name, count in sorted(counts.items()) if count > 1]
            self._found[key] = best_plan(self.room(counts), less, self.tries)
        return self._found[key]

    def planned(self, stations: Mapping[str, int] | None = None) -> Planned:
        """Plan the class, with its own stations or others."""
        having = dict(self.course.stations if stations is None else stations)
        return self._told(having, self.schedule(having))

    def tried(self, stations: Mapping[str, int] | None = None, begin: Sequence[Schedule] = ()) -> Planned:
        """Plan it in one search, begun from plans that hold for it too: quicker, to see what a change would bring."""
        having = dict(self.course.stations if stations is None else stations)
        counts = {name: min(count, len(self.works)) for name, count in having.items()}
        return self._told(having, best_plan(self.room(counts), begin, self.tries, rules=FEW_RULES))

    def _told(self, having: Mapping[str, int], schedule: Schedule) -> Planned:
        room = self.room(having)
        return Planned(told(self.course, self.works, room, schedule, having), room, schedule, self.works)


def told(course: Course, works: Works, room: Room, schedule: Schedule, stations: Mapping[str, int]) -> ClassPlan:
    """Tell a schedule as windows: what every seat does, what it waits for, what goes home."""
    hours = room.calendar(schedule.slots)
    _, breaks = stretches(course.hours)
    seats = tuple(
        _seat(course, n, works[n], room, schedule, breaks=[(one.start, one.end) for one in breaks])
        for n in range(len(course.seats))
    )
    nods = [
        Booked(op.seat + 1, works[op.seat][op.of[0]].key, schedule.starts[i], schedule.ends[i])
        for i, op in enumerate(room.ops)
        if op.is_nod and schedule.starts[i] < hours.closing
    ]
    shown = [
        Booked(0, demo.step, start, end)
        for demo, (start, end) in zip(course.demos, hours.demos, strict=True)
        if start < hours.closing
    ]
    return ClassPlan(
        seats=seats,
        tutor=tuple(sorted([*nods, *shown], key=lambda one: (one.start_s, one.seat))),
        breaks=tuple((one.start, one.end) for one in breaks),
        closing_s=hours.closing,
        ends_s=schedule.end,
        waiting_s=sum(seat.waiting_s for seat in seats),
        stations=dict(stations),
    )


def _seat(
    course: Course,
    n: int,
    tasks: Sequence[Task],
    room: Room,
    schedule: Schedule,
    *,
    breaks: Sequence[tuple[float, float]],
) -> SeatPlan:
    hours = room.calendar(schedule.slots)
    mine = sorted((schedule.starts[i], i) for i, op in enumerate(room.ops) if op.seat == n)
    done: list[Window] = []
    for _, i in mine:
        done += windows_of(tasks, room, schedule, i, hours)
    ends = max((window.end_s for window in done), default=0.0)
    late = {(one.step, one.make) for one in done if one.end_s > hours.closing and one.kind in {"work", "practice"}}
    home = [task for task in tasks if (task.key, task.make) in late]
    here = [one for one in done if one.start_s < hours.closing]
    here = _filled(course, here, hours, breaks, min(ends, hours.closing))
    if late:
        here.append(Window(next(k for k, _ in sorted(late)), "", "", "home", hours.closing, hours.closing))
    reached = [one for one in here if one.kind == "work" and (one.step, one.make) not in late]
    return SeatPlan(
        name=course.seats[n].name,
        machine=schedule.machines[n] + 1 if room.stations.get(room.kept) else 0,
        windows=tuple(here),
        ends_s=ends,
        finished=not late,
        waiting_s=sum(one.end_s - one.start_s for one in here if one.kind == "wait"),
        home=tuple(task.title for task in home),
        home_keys=tuple(dict.fromkeys(task.key for task in home)),
        reached=reached[-1].title if reached else "",
    )


def windows_of(tasks: Sequence[Task], room: Room, schedule: Schedule, i: int, hours: Calendar) -> list[Window]:
    """One operation's windows: a nod, or a change and each of its tasks, cut where breaks fall."""
    op = room.ops[i]
    if op.is_nod:
        task = tasks[op.of[0]]
        return [Window(task.key, task.title, "", "nod", schedule.starts[i], schedule.ends[i], task.make)]
    change = schedule.changes[i]
    segments = [(1, change), *op.segments] if change else list(op.segments)
    parts = hours.parts(schedule.starts[i], segments)
    out: list[Window] = []
    if change:
        first = tasks[op.of[0]]
        out += [Window(first.key, first.title, first.station, "change", a, b, first.make) for a, b in parts.pop(0)]
    for which, cut in zip(op.of, parts, strict=True):
        task = tasks[which]
        kind = "practice" if task.key == "practice" else "work"
        out += [Window(task.key, task.title, task.station, kind, a, b, task.make) for a, b in cut]  # type: ignore[arg-type]
    return out


def _filled(
    course: Course, done: Sequence[Window], hours: Calendar, breaks: Sequence[tuple[float, float]], until: float
) -> list[Window]:
    """Put in what all do together, and what lies between: a wait names the step that it is for."""
    fixed = [Window("opening", "Welcome and safety", "", "opening", 0.0, course.hours.opening_s)]
    fixed += [Window("break", "Break", "", "break", a, b) for a, b in breaks if a < until]
    fixed += [
        Window(demo.step, "", "", "demo", a, b)
        for demo, (a, b) in zip(course.demos, hours.demos, strict=True)
        if a < until
    ]
    fixed = [one for one in fixed if one.end_s > one.start_s]
    ordered = sorted([*done, *fixed], key=lambda one: (one.start_s, one.end_s))
    out: list[Window] = []
    at = 0.0
    for one in ordered:
        coming = next(
            (w for w in ordered if w.start_s >= one.start_s and w.kind in {"work", "practice", "change", "nod"}), one
        )
        for a, b in zip(hours.starts, hours.ends, strict=True):
            start, end = max(a, at), min(b, one.start_s, hours.closing)
            if end > start:
                out.append(Window(coming.step, coming.title, coming.station, "wait", start, end, coming.make))
        out.append(one)
        at = max(at, one.end_s)
    return out
