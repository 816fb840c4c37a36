"""What each seat of a class has to do: the steps of its project at a beginner's pace, less kits and home work."""

import math
from collections import Counter
from collections.abc import Collection, Iterator, Sequence

import msgspec
from msgspec.structs import replace

from guide.money.glean import base_key
from guide.money.model import Paces
from guide.money.paces import learnt, pace_of
from guide.plan.layout.panels import stock_of
from guide.plan.model import Buy, Plan, Step
from guide.plan.shopping import errand, shop_together
from guide.plan.steps import REST_S, needed, plan_rests
from guide.read.model import Project
from guide.teach.model import Course, Seat, Task, stretches

PRACTICE = "practice"


def named(step: Step, names: Collection[str]) -> bool:
    """Whether a step is among these names, by its own (stage/id), its row's, or its stage's."""
    return bool({step.stage, f"{step.stage}/{step.id}", step.key} & set(names))


def goes_home(course: Course, step: Step) -> bool:
    """Whether a step is done at home: what is written, and what follows washing is not taken from there."""
    return named(step, course.home) and not named(step, course.prepared)


def beginner_s(plan: Plan, paces: Paces, seat: Seat) -> Iterator[float]:
    """What each step takes a seat, s: as beginners were timed, else the starter pace times the step's factor."""
    for step in plan.steps:
        known = learnt(paces, base_key(step.key)) is not None
        pace = pace_of(paces, step)[0] if known else step.pace_s * step.beginner_factor
        yield pace * step.pieces * seat.takes


def tasks_of(plan: Plan, paces: Paces, course: Course, seat: Seat) -> list[Task]:
    """List a seat's tasks in the plan's order, make by make where pieces are of makes, the practice block first.

    Whole seconds a piece. A piece longer than any stretch between breaks is broken off like several.
    """
    takes = list(beginner_s(plan, paces, seat))
    rests = [REST_S * len(mine) for mine in plan_rests(plan, takes)]  # hands rest at the table, so it is the step's
    out = [one.key for one in plan.steps if named(one, course.prepared) or goes_home(course, one)]
    # What a tutor prepares, and what is done at home, is passed through: a seat's task waits for what that waited for.
    wants = needed(plan.steps, out)
    longest = _longest(course)
    tasks: list[Task] = []
    where: dict[str, list[int]] = {}
    practice = course.practice_s * seat.takes
    if practice and any(step.station == "machine" for step in plan.steps if step.key in wants):
        tasks.append(Task(PRACTICE, "A practice block", *_pieces(1, practice, longest), "machine"))
    for step, took, rest in zip(plan.steps, takes, rests, strict=True):
        if step.key not in wants:
            continue
        where[step.key] = []
        makes = _makes(plan, step)
        for make in makes:
            pieces, piece_s = _pieces(step.pieces // len(makes), (took + rest) / len(makes), longest)
            needs = [i for key in wants[step.key] for i in _of_make(tasks, where[key], make)]
            if step.station == "machine" and practice:
                needs.append(0)
            where[step.key].append(len(tasks))
            tasks.append(_task(course, step, pieces, piece_s, needs=_least(tasks, needs), make=make))
    return tasks


def _task(course: Course, step: Step, pieces: int, piece_s: float, *, needs: tuple[int, ...], make: int) -> Task:
    demos = [n for n, demo in enumerate(course.demos) if demo.step == f"{step.stage}/{step.id}"]
    return Task(
        key=step.key,
        title=step.title,
        pieces=pieces,
        piece_s=piece_s,
        station=step.station,
        needs=needs,
        wait_s=step.waits_s or 0.0,
        nod=named(step, course.nods) and f"{step.stage}/{step.id}" in course.nods,
        demo=demos[0] if demos else None,
        make=make,
    )


def _makes(plan: Plan, step: Step) -> Sequence[int]:
    """The makes a step is worked for one after another; 0: of all of them at once."""
    makes = plan.project.make
    return range(1, makes + 1) if makes > 1 and step.of_makes and step.pieces % makes == 0 else (0,)


def _of_make(tasks: Sequence[Task], there: Sequence[int], make: int) -> list[int]:
    """Of a needed step's tasks the one of the same make; all where either is of all makes."""
    return [i for i in there if not make or tasks[i].make in {0, make}]


def _least(tasks: Sequence[Task], needs: Collection[int]) -> tuple[int, ...]:
    """Leave out what is needed by something else that is needed: the order stays the same."""
    wanted = set(needs)
    behind: set[int] = set()
    ways = [i for need in wanted for i in tasks[need].needs]
    while ways:
        i = ways.pop()
        if i not in behind:
            behind.add(i)
            ways += tasks[i].needs
    return tuple(sorted(i for i in wanted if i not in behind or tasks[i].wait_s > 0))


def _longest(course: Course) -> float:
    """The longest piece that fits between breaks whatever is shown before it, s."""
    work, _ = stretches(course.hours)
    least = max(end - start for start, end in work) - sum(demo.for_s for demo in course.demos)
    return max(min(least, course.hours.every_s if course.hours.break_s else least), 600.0)


def _pieces(pieces: int, seconds: float, longest: float) -> tuple[int, float]:
    """Whole seconds for each of so many pieces; several for one that is longer than any stretch."""
    each = max(round(seconds / pieces), 1)
    parts = max(math.ceil(each / longest), 1)
    return pieces * parts, math.ceil(each / parts)


# The kits of a class: how many of which project, what is bought for all of them, what a tutor does beforehand.

NEEDLE = "needle "  # what a step's tools call one


class Kits(msgspec.Struct, frozen=True):
    """The kits of one project: how many, spare ones among them, the plan of one, and that of all together."""

    project: str
    count: int
    spare: int
    one: Plan
    all: Plan


def counts(course: Course) -> dict[str, tuple[int, int]]:
    """How many kits of each project are wanted, and how many of them are spare: those are of the first seat's."""
    spare = {course.seats[0].project: course.spare_kits}
    seats = Counter(seat.project for seat in course.seats)
    return {project: (many + spare.get(project, 0), spare.get(project, 0)) for project, many in seats.items()}


def shared(project: Project, kits: int) -> Project:
    """The project as one of so many kits alike: of a print that is scarce each may take its share.

    With a plan of all makes together it is laid the same, for that too gives every make its share.
    """
    prints = []
    for cloth in project.prints:
        stock = stock_of(cloth, project)
        share = None if stock is None else stock // (kits * project.make) * project.make
        ready = cloth.ready_squares // (kits * project.make) * project.make
        prints.append(replace(cloth, at_most=share, ready_squares=ready))
    return replace(project, prints=tuple(prints))


def needles(plan: Plan, course: Course) -> list[str]:
    """The needles that the steps of a seat ask for: a new one of each goes into its kit."""
    left = (step for step in plan.steps if not named(step, course.prepared))
    return list(dict.fromkeys(tool for step in left for tool in step.tools if tool.startswith(NEEDLE)))


def spools(plan: Plan) -> int:
    """How many spools of thread one kit holds."""
    return round(errand(plan).thread or 0)


def shopping(kits: Sequence[Kits], course: Course) -> tuple[Buy, ...]:
    """What is bought for all kits, spare ones too: lengths of cloth added up, thread and a new needle a kit."""
    lines = shop_together([replace(errand(one.all), thread=spools(one.one) * one.count) for one in kits])
    wanted: Counter[str] = Counter()
    for one in kits:
        wanted.update(dict.fromkeys(needles(one.one, course), one.count))
    return (*lines, *(Buy("notions", name, str(count), "each", None, None) for name, count in wanted.items()))


def beforehand(plan: Plan, prepared: Collection[str]) -> list[Step]:
    """The steps that a tutor does before the class."""
    return [step for step in plan.steps if named(step, prepared)]


def comes_cut(plan: Plan, prepared: Collection[str]) -> bool:
    """Whether a kit holds cloth that is cut: nothing of the cutting is left to the seat."""
    return all(named(step, prepared) for step in plan.steps if step.stage == "cut")
