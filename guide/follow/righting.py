"""`x`: the last time is put right, by number or in the words `guide amend` takes; what it was stays in the record."""

from typing import Any

from msgspec.structs import replace

from guide.errors import WrongUse
from guide.follow.asking import ask, put_away, say
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import step_named
from guide.read.spoken import counted
from guide.read.units import minutes_ms
from guide.record.amend import correct, lap_ended_by, newest_lap
from guide.record.clock import clock_face, spoken, stamp
from guide.record.model import Record

WHY = "set right at the machine"
IN_WORDS = "Say it: end 10:05, interrupted 7 min, split at 10:30, 3, join, pieces 4, void, void step."


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
    if lap is not None:
        choices["words"] = "something else about the last, in words"
    if not choices:
        return say(at, "No time is recorded yet.")
    data["ways"] = list(choices)
    return ask(at, Ask("amend", "choose", "What is to be set right?", which_way, tuple(choices.values()), data=data))


def which_way(at: Moment, question: Ask, answer: str) -> Turn:
    """Ask for the length or the start, or write whether the time counts."""
    way = question.data["ways"][int(answer) - 1]
    if way == "length":
        return ask(at, Ask("amend_length", "text", "How long was it? Minutes, or 1:30:", length_is, data=question.data))
    if way == "start":
        return ask(at, Ask("amend_start", "text", "How long ago was it begun? Minutes, or 1:30:", start_is))
    if way == "words":
        return ask(at, Ask("amend_words", "text", IN_WORDS, words_are, data=question.data))
    counts = not question.data["counted"]
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": counts}}
    return replace(put_away(at, "Counted again." if counts else "Kept, but not counted."), event=event)


def words_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the correction said in words, the same that `guide amend` would write."""
    if not answer:
        return put_away(at)
    try:
        event = correct(answer, at.record, question.data["of"], at.now, WHY)
        _not_too_many(at, event)
    except WrongUse as wrong:
        return _refused(at, question, answer, wrong)
    return replace(put_away(at, f"Put right: {answer}."), event=event)


def _refused(at: Moment, question: Ask, answer: str, wrong: WrongUse) -> Turn:
    """Say why, with the steps by their titles, and ask again."""
    said = str(wrong)
    for step in at.plan.steps:
        said = said.replace(step.key, step.title)
    return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))


def _not_too_many(at: Moment, event: dict[str, Any]) -> None:
    """Refuse more pieces than the step has."""
    count = (event.get("set") or {}).get("count")
    lap = lap_ended_by(at.record, event["of"]) if count is not None else None
    step = step_named(at.plan, lap.step) if lap is not None else None
    if lap is not None and step is not None and count is not None:
        done = at.record.step(step.key).pieces_done - lap.pieces + count
        if done > step.pieces:
            raise WrongUse(f"Then {step.title} would have {counted(done, 'piece')} done, of {step.pieces}.")


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
    timed = (lap for lap in record.laps() if not lap.by_hand)
    lap = max(timed, key=lambda one: one.end_n, default=None)
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
    try:
        event = correct(f"took {ms // 1000} s", at.record, question.data["of"], at.now, WHY)
    except WrongUse as wrong:
        return _refused(at, question, answer, wrong)
    return replace(put_away(at, f"Set to {minutes}:{seconds:02d}."), event=event)


def _no_time(at: Moment, question: Ask, answer: str) -> Turn:
    said = f"{answer} is no time: write minutes like 7, or 1:30 for a minute and a half."
    return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))


def amended_length(of: int, ms: int, why: str) -> dict[str, Any]:
    """The event that gives the lap ended by record `of` another length."""
    return {"what": "amended", "of": of, "ms": ms, "why": why}
