"""`x`: the last time is put right, its length or whether it counts; what it was stays in the record."""

import re
from typing import Any

from msgspec.structs import replace

from guide.follow.asking import ask, put_away, say
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import step_named
from guide.record.clock import clock_face, spoken, stamp
from guide.record.model import Lap, Record

_MINUTES = re.compile(r"(\d{1,4})(?:[:.](\d{1,2}))?(?:\s*min)?", re.ASCII)


def newest_lap(record: Record) -> Lap | None:
    """The lap that ended last."""
    laps = [step.laps[-1] for step in record.steps.values() if step.laps]
    return max(laps, key=lambda lap: lap.end_n, default=None)


def set_right(at: Moment) -> Turn:
    """Ask what is wrong with the last time, or with the start of the piece in hand."""
    lap = newest_lap(at.record)
    choices: dict[str, str] = {}
    data: dict[str, Any] = {}
    if lap is not None:
        data = {"of": lap.end_n, "counted": lap.counted}
        step = step_named(at.plan, lap.step)
        title = f"the last of {step.title if step else lap.step} ({spoken(lap.counted_ms)})"
        choices["length"] = f"{title} took another time"
        choices["counted"] = f"{title} is {'not counted' if lap.counted else 'counted again'}"
    if at.record.current is not None and at.record.doing == "working":
        choices["start"] = "the piece in hand was begun earlier"
    if not choices:
        return say(at, "No time is recorded yet.")
    data["ways"] = list(choices)
    return ask(at, Ask("amend", "choose", "What is to be set right?", tuple(choices.values()), data=data))


def which_way(at: Moment, question: Ask, answer: str) -> Turn:
    """Ask for the length or the start, or write whether the time counts."""
    way = question.data["ways"][int(answer) - 1]
    if way == "length":
        return ask(at, Ask("amend_length", "text", "How long was it? Minutes, or 1:30:", data=question.data))
    if way == "start":
        return ask(at, Ask("amend_start", "text", "How long ago was it begun? Minutes, or 1:30:"))
    counts = not question.data["counted"]
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": counts}}
    return replace(put_away(at, "Counted again." if counts else "Kept, but not counted."), event=event)


def start_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the earlier start; it cannot lie before what came before it."""
    ms = minutes_ms(answer)
    if not answer or at.record.current is None:
        return put_away(at)
    if ms is None:
        return _no_time(at, question, answer)
    begun, floor = at.now.wall - ms, _earliest(at.record)
    if begun < floor:
        said = f"The piece before it goes up to {clock_face(floor, at.now.offset)}: a later time than that."
        return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))
    event = {"what": "amended", "of": at.record.lap_start_n, "set": {"at": stamp(begun)}, "why": "begun earlier"}
    return replace(put_away(at, f"Begun at {clock_face(begun, at.now.offset)}."), event=event)


def _earliest(record: Record) -> int:
    """The earliest moment (wall ms) at which the lap in hand can have begun."""
    lap = newest_lap(record)
    if lap is None:
        return 0  # work may have begun before the guide was opened
    return lap.start if lap.end_n == record.lap_start_n else lap.end


def length_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the length."""
    if not answer:
        return put_away(at)
    ms = minutes_ms(answer)
    if ms is None:
        return _no_time(at, question, answer)
    minutes, seconds = divmod(ms // 1000, 60)
    event = amended_length(question.data["of"], ms, "set right at the machine")
    return replace(put_away(at, f"Set to {minutes}:{seconds:02d}."), event=event)


def _no_time(at: Moment, question: Ask, answer: str) -> Turn:
    said = f"{answer} is no time: write minutes like 7, or 1:30 for a minute and a half."
    return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))


def minutes_ms(text: str) -> int | None:
    """Read `7`, `7 min` or `1:30` (minutes and seconds) as ms; None when it is no time."""
    found = _MINUTES.fullmatch(text.strip())
    if not found or int(found[2] or 0) > 59:
        return None
    return (int(found[1]) * 60 + int(found[2] or 0)) * 1000


def amended_length(of: int, ms: int, why: str) -> dict[str, Any]:
    """The event that gives the lap ended by record `of` another length."""
    return {"what": "amended", "of": of, "ms": ms, "why": why}
