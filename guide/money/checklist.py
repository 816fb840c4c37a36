"""When to start each step so that the days work out: the windows of a paced checklist."""

import math
from collections.abc import Iterator
from itertools import pairwise

import msgspec
from msgspec.structs import replace

from guide.money.forecast import forecast_steps
from guide.money.hours import EPS_S, Hours, Now, lay, meal_due, night, room, stop_s
from guide.money.model import Paces, Row
from guide.money.paces import Factors, factor_of
from guide.plan.model import Plan
from guide.plan.steps import REST_S

LEAST_S = 900.0  # nothing that goes on later is begun for less than a quarter of an hour


class _Task(msgspec.Struct, frozen=True):
    """One step as the day sees it: hands-on seconds in so many pieces, and the wait after it."""

    key: str
    title: str
    work_s: float
    pieces: int
    wait_s: float
    factor: float
    rests: tuple[float, ...]  # where the hands rest, s into its work
    later_s: float  # what the steps, rests and waits after it take
    wet_s: float  # what it takes till it is dry, with the washing and drying after it; 0: nothing gets wet


def beginner_factors(plan: Plan, scale: float = 1.0) -> dict[str, float]:
    """Each step's beginner factor by key; `scale` moves them all, 0.5 halves what is over 1."""
    return {step.key: 1 + (step.beginner_factor - 1) * scale for step in plan.steps}


def checklist_times(
    plan: Plan, paces: Paces, start: str = "10:00", factors: Factors | None = None, hours: Hours | None = None
) -> tuple[Row, ...]:
    """Plan a window for every step, break, meal, wait and night, one after another from `start` (HH:MM).

    The windows add up to the forecast's likely hands-on time (with the same factors), the hands' rests, breaks,
    meals, waits and nights. Work keeps to the day's hours: a step that does not fit goes on the next day, between
    two of its pieces where it has any. A break falls at the first step's end after `work_s` of work; a longer step has
    further breaks inside its window. A wait at least as long as a break is one, and may run into the night; washing
    is begun on a day on which it dries too, if there is one. [practice: nothing wet lies, no dryer runs alone]
    """
    hour, _, minute = start.partition(":")
    now = Now(hours or Hours(), int(hour) * 3600 + int(minute or 0) * 60)
    rows = [row for task in _tasks(plan, paces, factors or {}) for row in _lay_step(task, now)]
    # Nobody takes a break to go home after it.
    idle = [row.kind == "break" and after.kind == "night" for row, after in pairwise(rows)]
    return tuple(row for row, nobodys in zip(rows, [*idle, False], strict=True) if not nobodys)


def _tasks(plan: Plan, paces: Paces, factors: Factors) -> list[_Task]:
    tasks: list[_Task] = []
    later = wet = 0.0
    for step, told in reversed(list(zip(plan.steps, forecast_steps(plan, paces, factors), strict=True))):
        work, wait, pieces = told.hands_on.likely, step.waits_s or 0.0, max(step.pieces, 1)
        wet = work + wait + wet if step.station == "washer" else 0.0
        factor = factor_of(factors, step)
        tasks.append(_Task(step.key, step.title, work, pieces, wait, factor, told.rests, later, wet))
        later += work + wait + REST_S * len(told.rests)
    return tasks[::-1]


def _lay_step(task: _Task, now: Now) -> Iterator[Row]:
    """Lay one step, the meals and nights that fall into it, its wait, and the rest after it."""
    if _runs_late(task, now):
        yield night(now, task.key)
    # A step is laid in as many windows as the day makes of it, parted between two pieces; one piece that is longer than
    # any stretch is parted all the same, else it would never be begun.
    left, rested = task.work_s, now.at_s < EPS_S
    while True:
        if now.at_s >= now.hours.day_s - EPS_S:
            yield night(now, task.key)
        stop = stop_s(now, left + task.wait_s + task.later_s)
        fits = room(now, stop)
        fits = max(fits - _resting_s(task, task.work_s - left, fits), 0.0)
        part = left if left <= fits + EPS_S else _whole_pieces(task, left, fits)
        if part < min(left, LEAST_S) and (rested or stop - now.at_s > now.hours.meal_after_s / 2):
            part = min(left, fits)  # one piece longer than any stretch of the day
        if part >= min(left, LEAST_S):
            yield _lay_part(task, now, task.work_s - left, part)
            left -= part
        if left <= EPS_S:
            break
        yield night(now, task.key) if stop == now.hours.day_s else lay(now, "meal", now.hours.meal_s, task.key)
        rested = True
    if task.wait_s:
        meal = meal_due(now, task.wait_s + task.later_s) and task.wait_s >= now.hours.meal_s
        yield replace(lay(now, "wait", task.wait_s, task.key, f"Wait: {task.title}"), meal=meal)
        now.fed = now.fed or meal
    yield from _rest(task, now)


def _runs_late(task: _Task, now: Now) -> bool:
    """Whether wet work would be left at the day's end, or a machine run on after it, and would not on another day."""
    alone_s = task.work_s + task.wait_s if task.wet_s else 0.0
    takes_s = task.wet_s if task.wet_s <= now.hours.day_s else alone_s
    return takes_s <= now.hours.day_s < now.at_s + takes_s - EPS_S


def _whole_pieces(task: _Task, left_s: float, fits_s: float) -> float:
    """As much of a step as fits and ends between two pieces."""
    each = task.work_s / task.pieces
    begun = task.work_s - left_s
    return max(int((begun + fits_s + EPS_S) / each) * each - begun, 0.0)


def _resting_s(task: _Task, done_s: float, part_s: float) -> float:
    """What the hands' rests take in a part of a step."""
    return REST_S * sum(done_s + EPS_S < at <= done_s + part_s + EPS_S for at in task.rests)


def _lay_part(task: _Task, now: Now, done_s: float, part_s: float) -> Row:
    """Lay a window of work, with the rests and breaks inside it; a break due at its very end comes after it."""
    hours, worked = now.hours, now.since_s + part_s
    due, over = divmod(worked + EPS_S, hours.work_s)
    inside = max(due - 1, 0.0) if due and over < LEAST_S else due
    resting_s = _resting_s(task, done_s, part_s)
    row = lay(now, "step", part_s + inside * hours.break_s + resting_s, task.key, task.title)
    now.since_s = worked - inside * hours.work_s
    each = task.work_s / task.pieces or 1.0
    return replace(
        row,
        hands_on_s=part_s,
        factor=task.factor,
        inner_breaks_s=inside * hours.break_s,
        inner_rests_s=resting_s,
        begun=done_s > EPS_S,
        pieces=(int((done_s + EPS_S) / each) + 1, max(math.ceil((done_s + part_s - EPS_S) / each), 1)),
        finished=done_s + part_s >= task.work_s - EPS_S,
    )


def _rest(task: _Task, now: Now) -> Iterator[Row]:
    """A meal or a break after a step, where one is due and work is still to come today."""
    if not task.later_s:
        return
    if meal_due(now, task.later_s):
        yield lay(now, "meal", now.hours.meal_s, task.key)
    elif now.since_s >= now.hours.work_s - EPS_S and now.at_s + now.hours.break_s + LEAST_S <= now.hours.day_s:
        yield lay(now, "break", now.hours.break_s, task.key)
