"""`u`: take back the newest thing a key recorded; the record of it stays, voided."""

from msgspec.structs import replace

from guide.follow.asking import ask, put_away, say
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import step_named
from guide.plan.model import Plan
from guide.read.spoken import counted
from guide.record.model import Event


def undo(at: Moment) -> Turn:
    """Take back the newest record; ask first when it belongs to an earlier sitting."""
    target = at.undo
    if target is None:
        return say(at, "There is nothing to take back.")
    if target.n < at.sitting_n:
        question = f"From an earlier sitting: {said_of(at.plan, target)}. Take it back?"
        return ask(at, Ask("undo", "confirm", question, undo_confirmed, data={"of": target.n}))
    return _void(replace(at, desk=replace(at.desk, view="step", typed="")), target)


def undo_confirmed(at: Moment, _question: Ask, _answer: str) -> Turn:
    """Take back what was asked about."""
    return _void(at, at.undo) if at.undo else put_away(at)


def _void(at: Moment, target: Event) -> Turn:
    said = f"Taken back: {said_of(at.plan, target)}."
    return replace(put_away(at, said), event={"what": "voided", "of": target.n})


def said_of(plan: Plan, event: Event) -> str:
    """An event in the maker's words, to know it again."""
    step = step_named(plan, event.step)
    title = step.title if step else event.step
    match event.what:
        case "piece_done" | "step_done" if event.through:
            return f"{counted(event.count, step.piece if step else 'piece')} through {len(event.through)} steps"
        case "piece_done":
            return f"{event.count} counted of “{title}”"
        case "step_started" | "step_done" | "step_skipped":
            return f"{event.what.removeprefix('step_')} “{title}”"
        case "measured":
            return f"the measure of {event.name.replace('_', ' ')}"
        case "noted":
            return f"the note “{event.text[:40]}”"
        case "paused" | "trouble":
            return f"{event.what} ({event.why})" if event.why else event.what
        case _:
            laid = event.text.rstrip(".") or "blocks changing places"
            return {"resumed": "going on", "laid": laid, "way": "another way of working"}.get(event.what, event.what)
