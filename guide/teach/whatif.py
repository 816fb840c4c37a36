"""Where a class jams, and what would help: each change planned anew, then those that help most all at once."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from guide.plan.model import Plan
from guide.teach.model import ClassPlan, Course
from guide.teach.placing import KEPT
from guide.teach.plan import Planner, Works
from guide.teach.work import named

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
        sooner = found.ends_s - plan.ends_s
        if name == "envelope":  # other work; all else is less work or more room, and who gets more need not use it
            out.append(Brings(name, sooner, ready(found)))
        else:
            out.append(Brings(name, min(sooner, 0.0), max(ready(found), ready(plan) - (name == "seat less"))))
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
