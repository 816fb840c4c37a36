"""The plan of a class: the best schedule there is for its seats, told as windows of what everybody does when."""

import math
import random
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from copy import copy
from functools import lru_cache

import msgspec
from msgspec.structs import replace

from guide.money import stats
from guide.plan.model import Plan
from guide.teach.model import (
    Booked,
    Calendar,
    ClassPlan,
    Course,
    Kind,
    SeatPlan,
    Stretch,
    Task,
    Window,
    calendar,
    stretches,
)
from guide.teach.placing import KEPT, Op, Room, Schedule, by_turns, operations
from guide.teach.search import FEW_RULES, best_plan
from guide.teach.work import named

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
    breaks = tuple(stretches(course.hours)[1])
    seats = tuple(_seat(course, n, works[n], room, schedule, breaks=breaks) for n in range(len(course.seats)))
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
        breaks=breaks,
        closing_s=hours.closing,
        ends_s=schedule.end,
        waiting_s=sum(seat.waiting_s for seat in seats),
        stations=dict(stations),
    )


def _seat(
    course: Course, n: int, tasks: Sequence[Task], room: Room, schedule: Schedule, *, breaks: Sequence[Stretch]
) -> SeatPlan:
    # By step and make, for a step may be done in class for one make and go home for another.
    hours = room.calendar(schedule.slots)
    mine = sorted((schedule.starts[i], i) for i, op in enumerate(room.ops) if op.seat == n)
    done: list[Window] = []
    for _, i in mine:
        done += windows_of(tasks, room, schedule, i, hours)
    ends = max((window.end_s for window in done), default=0.0)
    late = {(one.step, one.make) for one in done if one.end_s > hours.closing and one.kind in {"work", "practice"}}
    home = [task for task in tasks if (task.key, task.make) in late]
    here = [one for one in done if one.start_s < hours.closing]
    here = list(_filled(course, here, hours, breaks, min(ends, hours.closing)))
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


def windows_of(tasks: Sequence[Task], room: Room, schedule: Schedule, i: int, hours: Calendar) -> Iterator[Window]:
    """One operation's windows: a nod, or a change and each of its tasks, cut where breaks fall."""
    op = room.ops[i]
    if op.is_nod:
        task = tasks[op.of[0]]
        yield Window(task.key, task.title, "", "nod", schedule.starts[i], schedule.ends[i], task.make)
        return
    change = schedule.changes[i]
    segments = [(1, change), *op.segments] if change else list(op.segments)
    parts = hours.parts(schedule.starts[i], segments)
    if change:
        first = tasks[op.of[0]]
        yield from (Window(first.key, first.title, first.station, "change", a, b, first.make) for a, b in parts.pop(0))
    for which, cut in zip(op.of, parts, strict=True):
        task = tasks[which]
        kind: Kind = "practice" if task.key == "practice" else "work"
        yield from (Window(task.key, task.title, task.station, kind, a, b, task.make) for a, b in cut)


def _filled(
    course: Course, done: Sequence[Window], hours: Calendar, breaks: Sequence[Stretch], until: float
) -> Iterator[Window]:
    """Put in what all do together, and what lies between: a wait names the step that it is for."""
    # What all do together is laid over a seat's own; every hole in hours that can be worked is a wait for what comes
    # next.
    fixed = [Window("opening", "Welcome and safety", "", "opening", 0.0, course.hours.opening_s)]
    fixed += [Window("break", "Break", "", "break", a, b) for a, b in breaks if a < until]
    fixed += [
        Window(demo.step, "", "", "demo", a, b)
        for demo, (a, b) in zip(course.demos, hours.demos, strict=True)
        if a < until
    ]
    fixed = [one for one in fixed if one.end_s > one.start_s]
    ordered = sorted([*done, *fixed], key=lambda one: (one.start_s, one.end_s))
    at = 0.0
    for one in ordered:
        coming = next(
            (w for w in ordered if w.start_s >= one.start_s and w.kind in {"work", "practice", "change", "nod"}), one
        )
        for a, b in zip(hours.starts, hours.ends, strict=True):
            start, end = max(a, at), min(b, one.start_s, hours.closing)
            if end > start:
                yield Window(coming.step, coming.title, coming.station, "wait", start, end, coming.make)
        yield one
        at = max(at, one.end_s)


# Where a class jams, and what would help: each change planned anew, then those that help most all at once.

Plans = Mapping[str, Plan]  # by the project's name in the class file
Work = Callable[[Course, Plans], Works]
MORE_S = 1800.0


class Case(msgspec.Struct, frozen=True):
    """A class as it might be."""

    course: Course
    plans: Plans


class Brings(msgspec.Struct, frozen=True):
    """What a change would bring: how much sooner (negative) or later the last is ready, s, and how many are ready."""

    name: str
    sooner_s: float
    ready: int


def ready(plan: ClassPlan) -> int:
    """How many seats are ready in class."""
    return sum(seat.finished for seat in plan.seats)


def holds_up(plan: ClassPlan) -> str:
    """The station that seats wait for most; `hands` where nobody waits three minutes for one."""
    waited: Counter[str] = Counter()
    for seat in plan.seats:
        for window in seat.windows:
            if window.kind == "wait" and window.station in plan.stations:
                waited[window.station] += round(window.end_s - window.start_s)
    most = max(waited.items(), key=lambda one: (one[1], one[0]), default=("hands", 0))
    return most[0] if most[1] >= 180 else "hands"


def changes(case: Case, enveloped: Plans | None) -> dict[str, Case]:
    """Everything that can be changed: a station more, a machine each, a seat less, backs, envelope, half an hour."""
    course, seats = case.course, len(case.course.seats)
    more = {name: count + 1 for name, count in course.stations.items() if count < seats}
    if more.get(KEPT, seats) < seats:
        more[f"{KEPT} each"] = seats
    out = {}
    for name, count in more.items():
        stations = {**course.stations, name.removesuffix(" each"): count}
        out[name] = replace(case, course=replace(course, stations=stations))
    if seats > 1:
        out["seat less"] = replace(case, course=replace(course, seats=course.seats[:-1]))
    if backs := _backs(course, list(case.plans.values())):
        out["backs ready made"] = replace(case, course=replace(course, prepared=(*course.prepared, *backs)))
    if enveloped is not None:
        out["envelope"] = replace(case, plans=enveloped)
    *before, last = course.hours.sittings
    longer = replace(course.hours, sittings=(*before, replace(last, end_s=last.end_s + MORE_S)))
    out["half an hour more"] = replace(case, course=replace(course, hours=longer))
    return out


def would_bring(planner: Planner, plan: ClassPlan, case: Case, enveloped: Plans | None, work: Work) -> list[Brings]:
    """Plan every change anew."""
    out = []
    for name, other in changes(case, enveloped).items():
        if other.course.stations != case.course.stations:
            found = planner.tried(other.course.stations, [planner.schedule(case.course.stations)]).plan
        else:
            found = Planner(other.course, work(other.course, other.plans), planner.tries).tried().plan
        sooner, many = found.ends_s - plan.ends_s, ready(found)
        if name != "envelope":  # less work or more room, and who gets more need not use it; an envelope is other work
            sooner, many = min(sooner, 0.0), max(many, ready(plan) - (name == "seat less"))
        out.append(Brings(name, sooner, many))
    return out


def together(
    brings: Sequence[Brings], planner: Planner, case: Case, enveloped: Plans | None, work: Work
) -> list[Brings]:
    """Put changes on top of each other, those that help most first, until all are ready; a seat less apart."""
    out: list[Brings] = []
    best = sorted((one for one in brings if one.name != "seat less"), key=lambda one: (-one.ready, one.sooner_s))
    names = [one.name for one in best if f"{one.name} each" not in {other.name for other in best}]
    for name in names:
        changed = changes(case, enveloped).get(name)
        if changed is None or (out and out[-1].ready == len(case.course.seats)):
            continue
        case = changed
        enveloped = None if name == "envelope" else enveloped
        found = Planner(case.course, work(case.course, case.plans), planner.tries).tried().plan
        out.append(Brings(name, found.ends_s - found.closing_s, ready(found)))
    return out


def _backs(course: Course, plans: Sequence[Plan]) -> list[str]:
    """The steps that make a back before it is held against a front: those of the closure that need none of its work."""
    found: dict[str, None] = {}
    for plan in plans:
        fronts = {step.key for step in plan.steps if step.stage in {"stack", "quilt", "join"}}
        wants = {step.key: set(step.needs) for step in plan.steps}
        for step in plan.steps:
            behind = set(step.needs)
            while more := {need for key in behind for need in wants.get(key, ())} - behind:
                behind |= more
            if step.stage == "closure" and not behind & fronts and not named(step, course.prepared):
                found[f"{step.stage}/{step.id}"] = None
    return list(found)


# How likely each seat is to be ready in class: the plan played through many times, as people do.
#
# Everybody goes on with what comes next on their sheet; at a station whoever is there first begins, and nobody is
# waited for, as a plan kept to the letter would.
#
# How much beginners differ from each other, and each from day to day, is a guess: see guide/money/stats.py.

DRAWS = 100
SEAT_VAR = stats.TEMPO_VAR + stats.DAY_VAR  # of the logarithm, of one beginner against the usual one


def drawn(ops: Sequence[Op], seats: int, rng: random.Random) -> Iterator[Op]:
    """The same operations with times as they might turn out: a factor a seat, another each step."""
    tempo = [math.exp(rng.gauss(0, math.sqrt(SEAT_VAR))) for _ in range(seats)]
    for op in ops:
        one = copy(op)
        if not op.is_nod:
            own = [tempo[op.seat] * math.exp(rng.gauss(0, math.sqrt(stats.own_var(n)))) for n, _ in op.segments]
            one.segments = [_longer(*segment, times) for segment, times in zip(op.segments, own, strict=True)]
            one.work_s = sum(pieces * piece for pieces, piece in one.segments)
        yield one


def _longer(pieces: int, piece_s: float, times: float) -> tuple[int, float]:
    """Pieces that take so many times as long, broken off like more where one would be over a quarter of an hour."""
    parts = max(math.ceil(piece_s * times / max(piece_s, 900.0)), 1)
    return pieces * parts, max(piece_s * times / parts, 1.0)


def chances(planned: Planned, seed: int = 1, draws: int = DRAWS) -> list[float]:
    """Give each seat's chance to be ready before packing up, 0 to 1. Seeded: the same plan gets the same chances."""
    rng = random.Random(seed)  # noqa: S311 - a repeatable figure, no secret
    room, plan = planned.room, planned.schedule
    closing = planned.plan.closing_s
    count = [0] * room.seats
    sheet = [1e-6 * start for start in plan.starts]  # of two that could begin at once the sooner on its sheet does
    for _ in range(draws):
        played = list(drawn(room.ops, room.seats, rng))
        found = by_turns(replace(room, ops=played), plan.machines, plan.slots, ahead=0.0, change=0.0, noise=sheet)
        ends = [0.0] * room.seats
        for op, end in zip(played, found.ends, strict=True):
            ends[op.seat] = max(ends[op.seat], end)
        for seat, end in enumerate(ends):
            count[seat] += end <= closing
    return [one / draws for one in count]
