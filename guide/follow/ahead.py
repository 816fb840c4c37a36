"""When things will be ready: waits that run on their own, this step's end, the end of all."""

from collections.abc import Mapping

import msgspec

from guide.follow.order import left_of, next_step, open_step, step_named, through, to_come
from guide.plan.model import Plan, Step
from guide.plan.needs import needed
from guide.record.clock import between, passed_ms
from guide.record.model import Reading, Record

SOON_MS = 600_000  # nothing takes longer to make ready [practice]
LONG_MS = 15 * 60_000  # a wait this long is worth beginning something else in


class Running(msgspec.Struct, frozen=True):
    """A wait that runs on its own: how long it takes, and how much of that is left (negative: over)."""

    step: Step
    n: int  # the record it began with
    takes_ms: int
    left_ms: int
    due: int  # wall ms

    @property
    def over(self) -> bool:
        """Whether its time has come."""
        return self.left_ms <= 0


class Estimate(msgspec.Struct, frozen=True):
    """The moments (wall ms) at which this step and the whole work will end."""

    step_ends: int
    all_ends: int


def waits(plan: Plan, record: Record, now: Reading) -> tuple[Running, ...]:
    """The waits that run, the one that is due first in front; one that is over stays until work goes on after it."""
    running = []
    newest = max((one.started or 0 for one in record.steps.values()), default=0)
    for wait in record.waits:
        step = step_named(plan, wait.step)
        if wait.over or step is None or step.waits_s is None:
            continue
        takes = round(step.waits_s * 1000)
        left = takes - passed_ms(wait.begun, now)
        if left > 0 or newest <= now.wall + left:
            running.append(Running(step, wait.n, takes, left, now.wall + left))
    return tuple(sorted(running, key=lambda one: one.left_ms))


def held_by(plan: Plan, record: Record, now: Reading, step: Step) -> Running | None:
    """The running wait that this step hangs on: glue that is to be sewn over, a wash that is to be dried."""
    wait = _wait_before(plan, record, now, step)
    return wait if wait and not wait.over else None


def fits_meanwhile(plan: Plan, record: Record, now: Reading, but: Step) -> Step | None:
    """The first step to come that can be worked while another hangs on a wait; None where all hang on it."""
    for step in to_come(plan, record, but.key):
        needs = (record.step(key) for key in _looked_through(plan, record, step))
        if all(one.over for one in needs) and held_by(plan, record, now, step) is None:
            return step
    return None


def meanwhile(plan: Plan, record: Record, now: Reading) -> tuple[bool, Step | None]:
    """Whether all that comes next hangs on a long wait, and which step of this project fits into it."""
    step = None if open_step(plan, record) else next_step(plan, record)
    held = held_by(plan, record, now, step) if step else None
    if step is None or held is None or held.takes_ms < LONG_MS:
        return False, None
    return True, fits_meanwhile(plan, record, now, step)


def at_hand(plan: Plan, record: Record, now: Reading) -> Step | None:
    """The step that whoever comes over to this project can put their hands to now; None where all of it waits."""
    if record.closed or (here := open_step(plan, record)):
        return None if record.closed else here
    step = next_step(plan, record)
    return fits_meanwhile(plan, record, now, step) if step and held_by(plan, record, now, step) else step


def _looked_through(plan: Plan, record: Record, step: Step) -> tuple[str, ...]:
    """What a step needs; in the place of steps that were skipped what those need."""
    skipped = [one.key for one in plan.steps if record.step(one.key).state == "skipped" and one.key != step.key]
    return needed(plan.steps, skipped).get(step.key, ())


def _wait_before(plan: Plan, record: Record, now: Reading, step: Step) -> Running | None:
    """The wait that a step comes after, over or not: after one of the steps that it needs, or that those need.

    A step begun beside a wait hides it from those that follow: the maker has said how it stands.
    """
    running = {one.step.key: one for one in waits(plan, record, now)}
    if not running:
        return None
    wants = {one.key: one.needs for one in plan.steps}
    ways, found = list(step.needs), list[Running]()
    while ways:
        key = ways.pop()
        if record.step(key).state in {"untouched", "skipped"}:
            ways += wants.get(key, ())
        elif key in running:
            found.append(running[key])
    return max(found, key=lambda one: one.left_ms, default=None)


def cues(plan: Plan, record: Record, now: Reading) -> tuple[tuple[str, int], ...]:
    """What to make ready for the next two steps: (what, in how many steps; 0: when the wait is over, -1: it is over).

    What comes after a long wait is told when that nears its end: an iron would stand hot beside drying cloth.
    """
    here = open_step(plan, record)
    coming = list(to_come(plan, record, record.current))[: 2 if here else 3]
    wait = _wait_before(plan, record, now, coming[0]) if coming and not here else None
    left = wait.left_ms if wait else (here.waits_s or 0.0) * 1000 if here else 0.0
    out = []
    for away, step in enumerate(coming, 1 if here else 0):
        if step.cue and left <= SOON_MS and (wait or away):
            out.append((step.cue, -1 if not away and left <= 0 else away))
        left = max(left, 0.0) + (step.waits_s or 0.0) * 1000
    return tuple(out)


def pace_ms(step: Step, paces: Mapping[str, float], *, beginner: bool = False) -> float:
    """Usual time of one piece: the maker's own pace (s, by step) if there is one, else the starter pace."""
    own = paces.get(step.key)
    if own is not None:
        return own * 1000
    return step.pace_s * 1000 * (step.beginner_factor if beginner else 1.0)


def estimate(
    plan: Plan, record: Record, now: Reading, *, paces: Mapping[str, float] | None = None, beginner: bool = False
) -> Estimate:
    """Where this step and the whole work will end.

    `paces` are seconds a piece, by step. Waits still to come are added one after another, as a wash and
    its drying are; a wait that runs already counts with what is left of it.
    """
    own = paces or {}
    here = open_step(plan, record)
    step_ms = 0.0
    if here:
        usual = sum(pace_ms(one, own, beginner=beginner) for one in through(plan, record, here))
        step_ms = max(left_of(here, record) * usual - min(open_ms(record, now), usual), 0.0)
    at_hand = through(plan, record, here) if here else ()
    rest = [one for one in to_come(plan, record, record.current) if one not in at_hand]
    hands = sum(left_of(step, record) * pace_ms(step, own, beginner=beginner) for step in rest)
    still = max((one.left_ms for one in waits(plan, record, now)), default=0)
    later = sum(step.waits_s or 0.0 for step in rest + ([here] if here else [])) * 1000
    total = round(step_ms + hands)
    return Estimate(now.wall + round(step_ms), now.wall + total + round(later) + max(still, 0))


def open_ms(record: Record, now: Reading) -> int:
    """Hands-on time of the open lap until now; it stands still while work is paused."""
    if record.current is None or record.last is None:
        return 0
    if record.doing not in {"working", "trouble"}:
        return record.lap_ms
    span = between(record.last, now)
    return record.lap_ms + (span.counted_ms if span.same_boot else 0)
