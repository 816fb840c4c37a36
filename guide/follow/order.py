"""Which step is under the needle, what follows it, and which piece of it the maker holds."""

from collections.abc import Iterator, Sequence

import msgspec

from guide.plan.model import Plan, Step
from guide.record.model import Record


class Spot(msgspec.Struct, frozen=True):
    """Where a piece lies: all numbers from 1; row and column as the front is seen."""

    piece: int
    make: int | None  # None: the step is of all makes
    row: int | None = None
    column: int | None = None


class StageProgress(msgspec.Struct, frozen=True):
    """How far a stage has come, in steps; a step half done counts by its pieces."""

    stage: str
    done: float
    total: int


def step_named(plan: Plan, key: str | None) -> Step | None:
    """The step with this key, if the plan has it."""
    return next((step for step in plan.steps if step.key == key), None) if key else None


def open_step(plan: Plan, record: Record) -> Step | None:
    """The one hands-on step that is open."""
    return step_named(plan, record.current)


def left_of(step: Step, record: Record) -> int:
    """Pieces of this step that are not done yet, never below nothing."""
    return max(step.pieces - record.step(step.key).pieces_done, 0)


def can_be_put_off(plan: Plan, record: Record, step: Step) -> bool:
    """Whether other steps of its stage are still to come, after which it can come round."""
    rest = (one for one in to_come(plan, record, step.key) if one.stage == step.stage)
    return any(not record.step(one.key).put_off for one in rest)


def to_come(plan: Plan, record: Record, after: str | None = None) -> Iterator[Step]:
    """The steps still to do, in order, without the one named `after`; those put off at the end of their stage."""
    steps = [step for step in plan.steps if not record.step(step.key).over and step.key != after]
    put_off = [step for step in steps if record.step(step.key).put_off]
    for step in put_off:
        steps.remove(step)
        ends = [index for index, one in enumerate(steps) if plan.steps.index(one) <= _stage_end(plan, step)]
        steps.insert(ends[-1] + 1 if ends else 0, step)
    return iter(steps)


def _stage_end(plan: Plan, step: Step) -> int:
    return max(index for index, one in enumerate(plan.steps) if one.stage == step.stage)


def next_step(plan: Plan, record: Record) -> Step | None:
    """The step the big key starts next: the first untouched or laid aside; block by block, its group's turn."""
    first = next(to_come(plan, record, record.current), None)
    return block_turn(plan, record, first) if first and record.way else first


def block_turn(plan: Plan, record: Record, step: Step) -> Step:
    """Block by block: the step of this one's group whose turn it is, the one with the fewest pieces done."""
    return turn_after(plan, record, step, 0)


def turn_after(plan: Plan, record: Record, step: Step, count: int) -> Step:
    """The step whose turn it is once so many more pieces of this one are done; this one when the group is done."""
    done = {
        one.key: record.step(one.key).pieces_done + (count if one == step else 0) for one in _to_do(plan, record, step)
    }
    left = [one for one in _to_do(plan, record, step) if done[one.key] < one.pieces]
    return min(left, key=lambda one: done[one.key], default=step)


def _to_do(plan: Plan, record: Record, step: Step) -> list[Step]:
    """The steps of this one's group that are still to do; of those put off this one alone."""
    group = [one for one in group_of(plan, step) if not record.step(one.key).over]
    return [one for one in group if one == step or not record.step(one.key).put_off]


def through(plan: Plan, record: Record, step: Step) -> tuple[Step, ...]:
    """The steps that one press counts: this one, or all of its group that the block in hand still goes through."""
    group = _to_do(plan, record, step)
    done = {one.key: record.step(one.key).pieces_done for one in group}
    if record.way != "block" or not at_once(group) or done.get(step.key) != min(done.values(), default=0):
        return (step,)
    return tuple(one for one in group if done[one.key] == done[step.key])


def at_once(group: Sequence[Step]) -> bool:
    """Whether one press may stand for all of these steps: none is waited after, measures, or asks for a count."""
    return not any(one.waits_s or one.measure or one.count_in or one.safety for one in group)


def under_needle(plan: Plan, record: Record) -> Step | None:
    """The open step, or else the one that comes next."""
    return open_step(plan, record) or next_step(plan, record)


def group_of(plan: Plan, step: Step) -> tuple[Step, ...]:
    """The neighbouring steps that may be worked together piece by piece, this one among them."""
    if not step.together:
        return (step,)
    at = plan.steps.index(step)
    first, last = at, at
    while first > 0 and _goes_with(plan.steps[first - 1], step):
        first -= 1
    while last + 1 < len(plan.steps) and _goes_with(plan.steps[last + 1], step):
        last += 1
    return plan.steps[first : last + 1]


def _goes_with(other: Step, step: Step) -> bool:
    return other.together == step.together and other.pieces == step.pieces


def spot(plan: Plan, step: Step, record: Record) -> Spot | None:
    """The piece in hand; None when the step has no pieces or they are all done.

    Blocks are worked row by row, make after make, as the panel is laid out.
    """
    done = record.step(step.key).pieces_done
    if step.pieces <= 1 or done >= step.pieces:
        return None
    project = plan.project
    makes = max(project.make, 1)
    make = done * makes // step.pieces + 1 if step.of_makes and step.pieces % makes == 0 else None
    panel = project.across * project.down
    if step.piece != "block" or step.pieces != panel * makes:
        return Spot(done + 1, make)
    row, column = divmod(done % panel, project.across)
    return Spot(done + 1, make, row + 1, column + 1)


def make_in_hand(plan: Plan, record: Record) -> int:
    """Which make is under the needle: 1 unless pieces tell otherwise."""
    step = under_needle(plan, record)
    at = spot(plan, step, record) if step else None
    return (at.make if at else None) or 1


def progress(plan: Plan, record: Record) -> tuple[StageProgress, ...]:
    """The stages in order, each with how much of it is done."""
    stages: dict[str, list[Step]] = {}
    for step in plan.steps:
        stages.setdefault(step.stage, []).append(step)
    return tuple(
        StageProgress(name, sum(_share(step, record) for step in steps), len(steps)) for name, steps in stages.items()
    )


def _share(step: Step, record: Record) -> float:
    if record.step(step.key).over:
        return 1.0
    return min(record.step(step.key).pieces_done / step.pieces, 1.0) if step.pieces else 0.0


def number_of(plan: Plan, step: Step) -> int:
    """A step's number in the plan, from 1."""
    return plan.steps.index(step) + 1
