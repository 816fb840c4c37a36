"""Waits that hold work up: `o` says that one is over before its time."""

from msgspec.structs import replace

from guide.follow.ahead import Running, waits
from guide.follow.asking import ask, put_away, say
from guide.follow.model import Ask, Moment, Turn


def over(at: Moment) -> Turn:
    """Say that the wait is over; with several, ask which."""
    running = waits(at.plan, at.record, at.now)
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
    one = next((one for one in waits(at.plan, at.record, at.now) if one.step.key == key), None)
    return _over(at, one) if one else put_away(at, "That is over already.")


def _over(at: Moment, one: Running) -> Turn:
    event = {"what": "waited", "step": one.step.key}
    return replace(put_away(at, f"{one.step.title}: over."), event=event)
