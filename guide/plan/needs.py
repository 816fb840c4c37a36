"""What each step really waits for: the steps that must be done before it can be begun."""

from collections.abc import Collection, Iterator, Mapping, Sequence

import msgspec

from guide.plan.model import Plan, Step
from guide.plan.parts import WADDING
from guide.read.model import Stage, StepSpec, grouped
from guide.read.stage_keys import LOADS

# When hands that cut and snip have had enough: one rule at the machine, on the checklist, in forecast and price.
#
# Three minutes' rest after fifteen of cutting or snipping, after ten through more than six layers: from memory.

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


def with_needs(
    steps: Sequence[Step], ordered: Sequence[tuple[Stage, StepSpec]], all_stages: Sequence[Stage]
) -> tuple[Step, ...]:
    """Give each step the keys of the steps it needs; `ordered` are all steps of the project, left out or not.

    Where a stage file says nothing, a step needs the one before it. A step that does not apply passes its own needs
    on. Only what stands earlier in this project's order is needed, so nothing ever waits for itself.
    """
    # By names first, for a step that is written over rows, or left out, is needed by name; then by keys, row by row.
    wants = _wants(ordered, all_stages) | {
        one.name: tuple(f"{one.name}/{s.id}" for s in one.steps) for one in all_stages
    }
    rows = grouped(steps, lambda step: f"{step.stage}/{step.id}")
    each = {f"{stage.name}/{spec.id}": spec.each for stage, spec in ordered}
    out, before = list[Step](), set[str]()
    some_washed = any((step.row or {}).get("washed") for step in steps)
    for step in steps:
        base = f"{step.stage}/{step.id}"
        found = _there(base, wants, rows.keys())
        keys = []
        for need in found:
            # Of a needed step's rows the one this step is of, where both go by one table; else all.
            own = step.row is not None and each.get(base) == each.get(need)
            mine = [one for one in rows[need] if one.row == step.row] if own else []
            keys += [one.key for one in mine or rows[need]]
        if each.get(base) in LOADS and out:  # one load after another, dried before the next one is washed
            keys = list(dict.fromkeys([*keys, out[-1].key]))
        if some_washed and (step.row or {}).get("material") == WADDING:  # it is cut while the prints are in the wash
            keys = []
        out.append(msgspec.structs.replace(step, needs=tuple(key for key in keys if key in before)))
        before.add(step.key)
    return tuple(out)


def _wants(ordered: Sequence[tuple[Stage, StepSpec]], all_stages: Sequence[Stage]) -> dict[str, tuple[str, ...]]:
    """What each step asks for by name: what is written, or the step before it."""
    wants: dict[str, tuple[str, ...]] = {}
    for stages in ([(stage, spec) for stage in all_stages for spec in stage.steps], ordered):
        before: tuple[str, ...] = ()
        for stage, spec in stages:
            name = f"{stage.name}/{spec.id}"
            wants[name] = before if spec.needs is None else spec.needs
            before = (name,)
    return wants


def _there(base: str, wants: Mapping[str, tuple[str, ...]], there: Collection[str]) -> list[str]:
    """The steps of this plan that a step needs; those left out are looked through."""
    found: dict[str, None] = {}
    seen: set[str] = set()
    ways = list(reversed(wants.get(base, ())))
    while ways:
        name = ways.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in there:
            found[name] = None
        else:
            ways += reversed(wants.get(name, ()))
    return list(found)


def needed(steps: Sequence[Step], left_out: Collection[str]) -> dict[str, tuple[str, ...]]:
    """What each step of a plan needs when some of them (keys) are left out: those pass their needs on."""
    wants = {step.key: step.needs for step in steps}
    there = wants.keys() - set(left_out)
    return {key: tuple(_there(key, wants, there)) for key in wants if key in there}
