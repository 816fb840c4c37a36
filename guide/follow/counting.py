"""The big key: start the next step, count a piece, finish; `a`, all done; `o`, a wait is over before its time."""

import re
from typing import Any

from msgspec.structs import replace

from guide.follow import order
from guide.follow.halting import change_over
from guide.follow.model import Ask, Moment, Turn, ask, ask_again, put_away, say
from guide.follow.noting import caution_read, measured, no_size, said_planned
from guide.plan.model import Step, expected
from guide.read.spoken import counted
from guide.record.clock import time_text
from guide.record.work import HALTED

MOST_DIGITS = 4
_NUMBERS = re.compile(r"\d{1,4}")


def big(at: Moment) -> Turn:
    """Do the next thing."""
    if at.record.doing == "closed":
        return Turn(at.desk, leave=True)
    if at.desk.view in {"look", "keys", "why", "drawing"}:
        return Turn(replace(at.desk, view="step", look=None, typed=""))
    if at.record.doing in HALTED:
        return Turn(replace(at.desk, view="step", typed="", said="Going on."), {"what": "resumed"})
    step = order.open_step(at.plan, at.record)
    if step is None:
        return start(at)
    if (
        at.record.way
        and not at.desk.typed
        and (turn := order.turn_after(at.plan, at.record, step)) not in order.through(at.plan, at.record, step)
    ):
        return _start(at, turn)
    return _count(at, step)


def start(at: Moment) -> Turn:
    """Start the next step, or finish when there is none: cautions and waits are asked about first."""
    at = replace(at, desk=replace(at.desk, view="step"))
    step = order.next_step(at.plan, at.record)
    if step is None:
        return _close(at)
    held = order.held_by(at.plan, at.record, at.now, step)
    if held is not None and at.desk.told != f"wait:{held.n}":
        return _held_up(at, step, held)
    return _start(at, step)


def _held_up(at: Moment, step: Step, by: order.Running) -> Turn:
    """Ask how the wait stands that this step hangs on; the big key waits."""
    wait = f"Still to wait after “{by.step.title}”: {time_text(by.left_ms / 1000)}, no hands needed."
    choices: tuple[str, ...] = ("not yet: wait for it", "yes: it is over", "start all the same")
    data: dict[str, Any] = {"default": "1", "step": step.key, "wait": by.step.key, "n": by.n, "meanwhile": []}
    if (other := order.fits_meanwhile(at.plan, at.record, at.now, step)) is not None:
        choices = (*choices, f"meanwhile: start “{other.title}”")
        data["meanwhile"].append(other.key)
    if at.desk.beside_step:
        choices = (*choices, f"meanwhile: over to “{at.desk.beside}”, “{at.desk.beside_step}”")
        data["meanwhile"].append("")
    return ask(at, Ask("held", "choose", f"{wait} Start “{step.title}”?", held_is, choices, data=data))


def held_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Wait, write that the wait is over, or start the step beside it."""
    step = order.step_named(at.plan, question.data["step"])
    if answer == "2":
        return put_away(at, "Over. The big key starts the step.", {"what": "waited", "step": question.data["wait"]})
    if answer == "3" and step is not None:
        return _start(replace(at, desk=replace(put_away(at).desk, told=f"wait:{question.data['n']}")), step)
    if answer > "3":
        other = order.step_named(at.plan, question.data["meanwhile"][int(answer) - 4])
        here = replace(at, desk=put_away(at).desk)
        return _start(here, other) if other else change_over(here)
    return put_away(at, "Waiting. The big key asks again.")


def _start(at: Moment, step: Step) -> Turn:
    """Start this step; a beginner's unread caution comes first."""
    if (caution := _unread_caution(at, step)) is not None:
        return ask(at, Ask("caution", "confirm", caution, caution_read, name=caution, data={"step": step.key}))
    said = "" if len(order.group_of(at.plan, step)) == 1 else _TOGETHER.get(at.record.way, _ONE_BY_ONE)
    if at.desk.typed:
        said = f"Started; {at.desk.typed} stands: the big key counts that many once they are done."
    desk = replace(at.desk, view="step", told="", said=said)
    return Turn(desk, {"what": "step_started", "step": step.key})


_ONE_BY_ONE = "These steps go together: g takes one block through all of them."
_TOGETHER = {
    "block": "One block through all these steps, then one press; the first is a trial. g for a press a step.",
    "each": "A press a step: the block's next step begins with it; the first block is a trial. g for step by step.",
}


def _unread_caution(at: Moment, step: Step) -> str | None:
    """The first caution a beginner has not acknowledged in this sitting, of all steps that are begun at once."""
    if not at.desk.beginner:
        return None
    read = {name for name, sitting in at.record.acknowledged if sitting == at.record.sitting}
    ahead = (caution for one in order.through(at.plan, at.record, step) for caution in one.cautions)
    return next((caution for caution in ahead if caution not in read), None)


def _close(at: Moment) -> Turn:
    running = [one for one in order.waits(at.plan, at.record, at.now) if not one.over]
    if running and at.desk.told != "close":
        one = running[0]
        wait = f"Still to wait after “{one.step.title}”: {time_text(one.left_ms / 1000)}, no hands needed."
        said = f"{wait} Again to close the session all the same."
        return Turn(replace(at.desk, view="step", told="close", said=said))
    event = {"what": "closed", "records": at.record.count + 1}
    return Turn(replace(at.desk, view="step", told="", said="All done: the session is closed."), event, leave=True)


def _count(at: Moment, step: Step) -> Turn:
    left, typed = _most(at, step), at.desk.typed
    at = replace(at, desk=replace(at.desk, typed="", view="step"))
    if typed and step.pieces <= 1:
        return say(at, "This step is not counted in pieces.")
    if typed and not 1 <= int(typed) <= left:
        return say(at, f"{counted(left, step.piece)} left: {typed} is not counted.")
    return done(at, step, int(typed) if typed else min(1, left) if step.count == "each" else left)


def _most(at: Moment, step: Step) -> int:
    """How many one press may count: what is left, or as far as the steps it counts for go on side by side."""
    together, mine = order.through(at.plan, at.record, step), at.record.step(step.key).pieces_done
    if at.record.way != "block":
        return order.left_of(step, at.record)
    others = (at.record.step(one.key) for one in order.group_of(at.plan, step) if one not in together)
    done = (one.pieces_done for one in others if one.state != "skipped")
    return min((left - mine for left in done if left > mine), default=order.left_of(step, at.record))


def number(at: Moment) -> Turn:
    """Type one more digit of the count that the big key takes."""
    typed = (at.desk.typed + at.key).lstrip("0")[:MOST_DIGITS]
    return Turn(replace(at.desk, typed=typed, said=""))


def all_done(at: Moment) -> Turn:
    """Finish the open step: all its pieces are done."""
    step = order.open_step(at.plan, at.record)
    if step is None or at.record.doing != "working":
        return Turn(replace(at.desk, typed="", said="No step is running."))
    return done(replace(at, desk=replace(at.desk, typed="", view="step")), step, order.left_of(step, at.record))


def done(at: Moment, step: Step, count: int) -> Turn:
    """Write so many pieces as done, the last one with its step in one record; a size to measure is asked for first."""
    if (missing := unmeasured(at, step, count)) is not None:
        return _ask_at_end(at, *missing, count)
    if step.count_in and count >= order.left_of(step, at.record):
        what = step.count_in
        asked = f"How many {what} were counted out, and how many are back in? Type both, as 24 24; enter writes it."
        return ask(at, Ask("count_in", "text", asked, counted_in, name=what, data={"count": count}))
    return _done(at, step, count)


def _ask_at_end(at: Moment, name: str, make: int, count: int) -> Turn:
    """Ask for the size that a step is there to measure, when its pieces are to be counted as done.

    The big key alone answers none: a foot that comes down twice must not write a size that nobody took.
    """
    question = f"{said_planned(at, name, make)} Type what it is; = as planned; enter: no measure."
    data = {"make": make, "count": count}
    size = expected(at.plan, name)
    asked = Ask(
        "measure_done", "measure", question, measured_or_done, name=name, nudged_mm=size, data=data, optional=True
    )
    return ask(at, asked)


def counted_in(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the step as done with both numbers; one short, or no two numbers, leaves the question open."""
    step = order.open_step(at.plan, at.record)
    numbers = [int(one) for one in _NUMBERS.findall(answer)]
    if step is None or not answer:
        return put_away(at)
    if len(numbers) != 2:
        return ask_again(at, question, answer, "Two numbers: out, then in. None used is 0 0.")
    out, back = numbers
    if out != back:
        missing = f"{out - back} short" if out > back else f"{back - out} more than went out"
        said = f"{missing}: look through the piece and over the floor, and count again. Skip it: escape, s, and why."
        return ask_again(at, question, "", said)
    turn = _done(replace(at, desk=put_away(at).desk), step, question.data["count"])
    event = {**(turn.event or {}), "text": f"{out} out, {back} in"}
    return replace(turn, desk=replace(turn.desk, said=f"{out} {question.name} out, {back} in."), event=event)


def measured_or_done(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the size that was asked for at the end of a piece; with no answer the piece is done without it."""
    step = order.open_step(at.plan, at.record)
    if step is None or not no_size(question, answer):
        return measured(at, question, answer)
    turn = _done(replace(at, desk=put_away(at).desk), step, question.data["count"])
    return replace(turn, desk=replace(turn.desk, said="Done without a measure."))


def _done(at: Moment, step: Step, count: int) -> Turn:
    make: dict[str, Any] = {"make": at.desk.make} if at.plan.project.make > 1 and step.of_makes else {}
    ends, together = count >= order.left_of(step, at.record), order.through(at.plan, at.record, step)
    event = {"what": "step_done" if ends else "piece_done", "step": step.key, "count": count} | make
    if len(together) > 1:
        event["through"] = {one.key: round(order.pace_ms(one, at.paces, beginner=at.desk.beginner)) for one in together}
    elif then := _begun_with(at, step, count):
        event["then"] = then.key
    if ends and step.waits_s:
        event["ms"] = round(step.waits_s * 1000)
    many = f"{counted(count, step.piece)} counted." if count > 1 and not ends else ""
    return Turn(replace(at.desk, told="", said=many or _trial_word(at, step)), event)


def _begun_with(at: Moment, step: Step, count: int) -> Step | None:
    """A press a step: the block's next step, which begins with the same press unless something is to be read first."""
    then = order.turn_after(at.plan, at.record, step, count) if at.record.way == "each" else step
    held = (step.waits_s and count >= order.left_of(step, at.record)) or order.held_by(at.plan, at.record, at.now, then)
    return None if then == step or held or _unread_caution(at, then) else then


def _trial_word(at: Moment, step: Step) -> str:
    """After the first block has gone through its whole group: the trial is over."""
    group = order.group_of(at.plan, step)
    last = group[-1] in order.through(at.plan, at.record, step) and at.record.step(group[-1].key).pieces_done == 0
    over = len(group) > 1 and at.record.way and last and step.pieces > 1
    return "The trial block is through: look it over, then the rest alike." if over else ""


def unmeasured(at: Moment, step: Step, count: int) -> tuple[str, int] | None:
    """What is to be measured before so many pieces are done, and of which make; None when it is written already."""
    if step.measure is None or expected(at.plan, step.measure) is None:
        return None
    makes, before = max(at.plan.project.make, 1), at.record.step(step.key).pieces_done
    if step.pieces == makes:  # a make, a piece
        asked = range(before + 1, before + count + 1)
    else:
        asked = range(1, makes + 1 if count >= order.left_of(step, at.record) else 1)
    written = {one.make or 1 for one in at.record.measures.get(step.measure, [])}
    return next(((step.measure, make) for make in asked if make not in written), None)


def next_way(at: Moment) -> Turn:
    """Work a group of steps step by step, one block at a time with one press, or one at a time with a press a step."""
    step = order.open_step(at.plan, at.record) or order.next_step(at.plan, at.record)
    group = [one for one in order.group_of(at.plan, step) if not at.record.step(one.key).over] if step else []
    if len(group) < 2:
        return say(at, "This step goes with no other.")
    ways = ["", *(["block"] if order.at_once(group) else []), "each"]
    way = ways[(ways.index(at.record.way) + 1) % len(ways)] if at.record.way in ways else "each"
    titles = ", ".join(one.title.lower() for one in group)
    said = {
        "block": f"One block at a time, one press when it is through: {titles}. g again: a press a step.",
        "each": f"One block at a time, a press a step: {titles}. g again: step by step.",
    }.get(way, "Step by step again.")
    return Turn(replace(at.desk, said=said), {"what": "way", "name": way or "step"})


def over(at: Moment) -> Turn:
    """Say that the wait is over; with several, ask which."""
    running = order.waits(at.plan, at.record, at.now)
    if not running:
        return say(at, "Nothing is waited for.")
    if len(running) == 1:
        return _over(at, running[0])
    titles = tuple(one.step.title for one in running)
    keys = [one.step.key for one in running]
    return ask(at, Ask("waited", "choose", "Which is over?", over_is, titles, data={"steps": keys}))


def over_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write which wait is over."""
    key = question.data["steps"][int(answer) - 1]
    one = next((one for one in order.waits(at.plan, at.record, at.now) if one.step.key == key), None)
    return _over(at, one) if one else put_away(at, "That is over already.")


def _over(at: Moment, one: order.Running) -> Turn:
    return put_away(at, f"{one.step.title}: over.", {"what": "waited", "step": one.step.key})
