"""The kits of a class: how many of which project, what is bought for all of them, what a tutor does beforehand."""

from collections.abc import Collection, Sequence

import msgspec
from msgspec.structs import replace

from guide.plan.layout.panels import stock_of
from guide.plan.model import Buy, Plan, Step
from guide.plan.shopping import shop_together
from guide.plan.together import errand
from guide.read.model import Project
from guide.teach.model import Course
from guide.teach.work import named

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
    out: dict[str, tuple[int, int]] = {}
    for seat in course.seats:
        out[seat.project] = (out.get(seat.project, (0, 0))[0] + 1, 0)
    first = course.seats[0].project
    out[first] = (out[first][0] + course.spare_kits, course.spare_kits)
    return out


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
    return errand(plan).thread or 0


def shopping(kits: Sequence[Kits], course: Course) -> tuple[Buy, ...]:
    """What is bought for all kits, spare ones too: lengths of cloth added up, thread and a new needle a kit."""
    lines = shop_together([replace(errand(one.all), thread=spools(one.one) * one.count) for one in kits])
    wanted: dict[str, int] = {}
    for one in kits:
        for needle in needles(one.one, course):
            wanted[needle] = wanted.get(needle, 0) + one.count
    return (*lines, *(Buy("notions", name, str(count), "each", None, None) for name, count in wanted.items()))


def beforehand(plan: Plan, prepared: Collection[str]) -> list[Step]:
    """The steps that a tutor does before the class."""
    return [step for step in plan.steps if named(step, prepared)]


def comes_cut(plan: Plan, prepared: Collection[str]) -> bool:
    """Whether a kit holds cloth that is cut: nothing of the cutting is left to the seat."""
    return all(named(step, prepared) for step in plan.steps if step.stage == "cut")
