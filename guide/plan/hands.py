"""When hands that cut and snip have had enough: one rule at the machine, on the checklist, in forecast and price.

Three minutes' rest after fifteen of cutting or snipping, after ten through more than six layers: from memory.
"""

from collections.abc import Iterator, Sequence

from guide.plan.model import Plan, Step

REST_S = 180.0
HANDS_S, THICK_S, THICK = 900.0, 600.0, 6
_SNIPPED = {"snip": "layers_raw_seam", "assemble": "layers_outer"}  # how many layers a stage's snips go through
_EPS = 1e-9
Stretch = tuple[float | None, float]  # how long hands hold out at this work, s (None: it strains no hands); its time, s


def holds_out_s(plan: Plan, step: Step) -> float | None:
    """How long hands hold out at a step that cuts or snips, s; None for other work, which rests them."""
    if "hands" not in step.cautions:
        return None
    return THICK_S if (plan.number(_SNIPPED.get(step.stage, "")) or 0) > THICK else HANDS_S


def had_enough(stretches: Sequence[Stretch]) -> Iterator[tuple[int, float]]:
    """When hands have had enough: in which stretch, how many seconds into it. It sums over stretches in a row.

    Three minutes of other work between them rest the hands; less does not, and what was worked before it still counts.
    """
    worn = rested = 0.0  # as a share of what hands hold out
    for number, (limit, length) in enumerate(stretches):
        if limit is None:
            rested += length
            worn = 0.0 if rested >= REST_S - _EPS else worn
            continue
        at = rested = 0.0
        while worn + (length - at) / limit >= 1 - _EPS:
            at += (1 - worn) * limit
            worn = 0.0
            yield number, at
        worn += (length - at) / limit


def rests(stretches: Sequence[Stretch]) -> tuple[tuple[float, ...], ...]:
    """Where a rest of `REST_S` falls in each stretch, s into it; none where other work or nothing follows at once."""
    out: list[list[float]] = [[] for _ in stretches]
    for number, at in had_enough(stretches):
        if at < stretches[number][1] - 1e-6 or _goes_on(stretches[number + 1 :]):
            out[number].append(at)
    return tuple(tuple(mine) for mine in out)


def _goes_on(following: Sequence[Stretch]) -> bool:
    """Whether hands cut or snip again before other work has rested them."""
    rested = 0.0
    for limit, length in following:
        if limit is not None and length > 0:
            return True
        rested += length
        if rested >= REST_S - _EPS:
            return False
    return False


def resting_s(plan: Plan, worked_s: Sequence[float]) -> float:
    """What rests take in all, s, when each of the plan's steps is worked for so long."""
    return REST_S * sum(len(mine) for mine in plan_rests(plan, worked_s))


def plan_rests(plan: Plan, worked_s: Sequence[float]) -> tuple[tuple[float, ...], ...]:
    """Where the rests fall in each of a plan's steps, worked one after another for so many seconds."""
    return rests([(holds_out_s(plan, step), s) for step, s in zip(plan.steps, worked_s, strict=True)])
