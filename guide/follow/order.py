"""Which step is under the needle, what follows it, and which piece of it the maker holds."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from operator import attrgetter
from typing import Any

import msgspec
from msgspec.structs import replace

from guide.follow.model import Ask, Desk, Moment, Turn, put_away
from guide.plan.model import Plan, Step
from guide.plan.steps import needed
from guide.read.model import grouped
from guide.record.clock import between, clock_face, day_text, local, passed_ms
from guide.record.model import Reading, Record


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
        last = max(index for index, one in enumerate(plan.steps) if one.stage == step.stage)
        ends = [index for index, one in enumerate(steps) if plan.steps.index(one) <= last]
        steps.insert(ends[-1] + 1 if ends else 0, step)
    return iter(steps)


def next_step(plan: Plan, record: Record) -> Step | None:
    """The step the big key starts next: the first untouched or laid aside; block by block, its group's turn."""
    first = next(to_come(plan, record, record.current), None)
    return turn_after(plan, record, first) if first and record.way else first


def turn_after(plan: Plan, record: Record, step: Step, count: int = 0) -> Step:
    """The step of this one's group whose turn it is, the one with the fewest pieces done, once so many more are.

    `count`: pieces more of this one; it is this one's turn when the group is done.
    """
    group = _to_do(plan, record, step)
    done = {one.key: record.step(one.key).pieces_done + (count if one == step else 0) for one in group}
    left = [one for one in group if done[one.key] < one.pieces]
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
    groups = (tuple(group) for _, group in groupby(plan.steps, key=lambda one: (one.together, one.pieces)))
    return next(group for group in groups if step in group)


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
    stages = grouped(plan.steps, attrgetter("stage"))
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


# When things will be ready: waits that run on their own, this step's end, the end of all.

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
    skipped = {step.key for step in plan.steps if record.step(step.key).state == "skipped"}
    for step in to_come(plan, record, but.key):
        # In the place of steps that were skipped stand those that they need.
        needs = (record.step(key) for key in needed(plan.steps, skipped - {step.key})[step.key])
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
    # Nothing is told that would stand ready for long: the waits before each step are added up on the way to it.
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
    if (own := paces.get(step.key)) is not None:
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


# Coming back to the work: what was done last, what is under the needle, what is next; and changed files.


def lines(plan: Plan, record: Record, now: Reading) -> tuple[str, str, str]:
    """Say in three lines where the work stands."""
    return (_last(plan, record, now), _here(plan, record), _next(plan, record))


def piece_words(plan: Plan, step: Step, record: Record) -> str:
    """The piece in hand in words, "" when there is none: `block 7 of 12, row 2 column 3, stack …`."""
    at = spot(plan, step, record)
    if at is None:
        return ""
    words = [f"{step.piece} {at.piece} of {step.pieces}"]
    if plan.project.make > 1 and at.make is not None:
        words.append(f"make {at.make} of {plan.project.make}")
    if at.row is not None and at.column is not None:
        words.append(f"row {at.row} column {at.column}")
        if plan.layout and (stack := plan.layout.stacks.get((at.row, at.column))):
            words.append(f"stack {', '.join(stack)}")
    return ", ".join(words)


def _last(plan: Plan, record: Record, now: Reading) -> str:
    """Say what was done last. A skip ends no lap, so the newer of both is told; a step may be in no plan any more."""
    laps = (one for one in record.laps() if not one.between)
    lap = max(laps, key=lambda one: one.end, default=None)
    skips = (one for one in record.steps.values() if one.state == "skipped")
    skipped = max(skips, key=lambda one: one.ended_n, default=None)
    if skipped is not None and (lap is None or lap.end <= (skipped.ended or 0)):
        step = step_named(plan, skipped.key)
        return f"Last: {'put off' if skipped.put_off else 'skipped'}, {step.title if step else skipped.key}."
    if lap is None:
        return "Last: nothing is done yet."
    step = step_named(plan, lap.step)
    title = step.title if step else lap.step
    mine = record.step(lap.step)
    counted = step is not None and step.pieces > 1 and mine.pieces_done > 0
    done = f", {step.piece} {mine.pieces_done} of {step.pieces}" if step and counted else ""
    return f"Last: {title}{done}, {day(lap.end, lap.offset, now)} {clock_face(lap.end, lap.offset)}."


def day(wall: int, offset: int, now: Reading) -> str:
    """The day of a moment as it is said: today, yesterday, or its date."""
    then, today = local(wall, offset).date(), local(now.wall, now.offset).date()
    ago = (today - then).days
    return {0: "today", 1: "yesterday"}.get(ago, day_text(then))


def _here(plan: Plan, record: Record) -> str:
    step = under_needle(plan, record)
    if step is None:
        return "On the table: nothing; every step is done."
    piece = piece_words(plan, step, record)
    words = f"{step.title}, {piece}" if piece else step.title
    sewn = open_step(plan, record) is not None and step.station == "machine"
    return f"Under the needle: {words}." if sewn else f"On the table: {words}."


def _next(plan: Plan, record: Record) -> str:
    here = under_needle(plan, record)
    after = next(to_come(plan, record, here.key if here else None), None)
    return f"Next: {after.title}." if after else "Next: the end."


def offer_new_texts(
    desk: Desk, told: str, project: str, stages: dict[str, str], layout: list[list[str]] | None = None
) -> Desk:
    """Ask whether changed files are taken into the session; the old are kept unless the maker chooses.

    `layout` is the new one when the changed project does not take the session's.
    """
    said, choices = f"Changed since this session began: {told}.", ("go on with the old", "take the new")
    data = {"default": "1", "project": project, "stages": stages, "layout": layout}
    return replace(desk, ask=Ask("texts", "choose", said, texts_are, choices, data=data))


def texts_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the new texts, or keep the old."""
    if answer != "2":
        return put_away(at, "Going on with the old.")
    event: dict[str, Any] = {"what": "texts"} | {name: question.data[name] for name in ("project", "stages")}
    if question.data.get("layout"):
        event["layout"] = question.data["layout"]
    return put_away(at, "Taken: the numbers follow the new files.", event)
