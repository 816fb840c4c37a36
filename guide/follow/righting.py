"""`x`: the last time is put right, its length or whether it counts; what it was stays in the record."""

import re
from typing import Any

from msgspec.structs import replace

from guide.follow.asking import ask, put_away
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import step_named
from guide.record.clock import spoken
from guide.record.model import Lap, Record

_MINUTES = re.compile(r"(\d{1,4})(?:[:.](\d{1,2}))?(?:\s*min)?")


def newest_lap(record: Record) -> Lap | None:
    """The lap that ended last."""
    laps = [step.laps[-1] for step in record.steps.values() if step.laps]
    return max(laps, key=lambda lap: lap.end_n, default=None)


def set_right(at: Moment) -> Turn:
    """Ask what is wrong with the last time."""
    lap = newest_lap(at.record)
    if lap is None:
        return Turn(replace(at.desk, said="No time is recorded yet."))
    step = step_named(at.plan, lap.step)
    title = step.title if step else lap.step
    counted = "not counted" if lap.counted else "counted again"
    question = f"{title}, {spoken(lap.counted_ms)}: set right how?"
    data = {"of": lap.end_n, "counted": lap.counted}
    return ask(at, Ask("amend", "choose", question, ("another length", counted), data=data))


def which_way(at: Moment, question: Ask, answer: str) -> Turn:
    """Ask for the length, or write whether the time counts."""
    if answer == "1":
        return ask(at, Ask("amend_length", "text", "How long was it? Minutes, or 1:30:", data=question.data))
    counts = not question.data["counted"]
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": counts}}
    return replace(put_away(at, "Counted again." if counts else "Kept, but not counted."), event=event)


def length_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the length."""
    if not answer:
        return put_away(at)
    ms = minutes_ms(answer)
    if ms is None:
        said = f"{answer} is no time: write minutes like 7, or 1:30 for a minute and a half."
        return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))
    minutes, seconds = divmod(ms // 1000, 60)
    event = amended_length(question.data["of"], ms, "set right at the machine")
    return replace(put_away(at, f"Set to {minutes}:{seconds:02d}."), event=event)


def minutes_ms(text: str) -> int | None:
    """Read `7`, `7 min` or `1:30` (minutes and seconds) as ms; None when it is no time."""
    found = _MINUTES.fullmatch(text.strip())
    if not found or int(found[2] or 0) > 59:
        return None
    return (int(found[1]) * 60 + int(found[2] or 0)) * 1000


def amended_length(of: int, ms: int, why: str) -> dict[str, Any]:
    """The event that gives the lap ended by record `of` another length."""
    return {"what": "amended", "of": of, "ms": ms, "why": why}
