"""`x`: the last time is put right, by number or in the words `guide amend` takes; what it was stays in the record."""

from typing import Any

from msgspec.structs import replace

from guide.errors import WrongUse
from guide.follow.model import Ask, Moment, Turn, ask, ask_again, put_away, say
from guide.follow.order import open_ms, open_step, pace_ms, step_named, through
from guide.plan.model import Plan, Step
from guide.read.spoken import counted
from guide.read.units import minutes_ms
from guide.record.amend import correct, lap_ended_by, newest_lap
from guide.record.clock import between, clock_face, stamp, time_text
from guide.record.model import Event, Record

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
        title = f"the last of {step.title if step else lap.step} ({time_text(lap.counted_ms / 1000)})"
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
    return put_away(at, "Counted again." if counts else "Kept, but not counted.", event)


def words_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the correction said in words, the same that `guide amend` would write."""
    if not answer:
        return put_away(at)
    try:
        event = correct(answer, at.record, question.data["of"], at.now, WHY)
        _not_too_many(at, event)
    except WrongUse as wrong:
        return _refused(at, question, answer, wrong)
    return put_away(at, f"Put right: {answer}.", event)


def _refused(at: Moment, question: Ask, answer: str, wrong: WrongUse) -> Turn:
    """Say why, with the steps by their titles, and ask again."""
    said = str(wrong)
    for step in at.plan.steps:
        said = said.replace(step.key, step.title)
    return ask_again(at, question, answer, said)


def _not_too_many(at: Moment, event: dict[str, Any]) -> None:
    """Refuse more pieces than the step has. Raises WrongUse for more."""
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
        return ask_again(at, question, answer, said)
    event = {"what": "amended", "of": at.record.lap_start_n, "set": {"at": stamp(begun)}, "why": "begun earlier"}
    return put_away(at, f"Begun at {clock_face(begun, at.now.offset)}.", event)


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
    return put_away(at, f"Set to {minutes}:{seconds:02d}.", event)


def _no_time(at: Moment, question: Ask, answer: str) -> Turn:
    said = f"{answer} is no time: write minutes like 7, or 1:30 for a minute and a half."
    return ask_again(at, question, answer, said)


# `u`: take back the newest thing a key recorded; the record of it stays, voided.


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
    return put_away(at, f"Taken back: {said_of(at.plan, target)}.", {"what": "voided", "of": target.n})


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


# A timer forgotten and a computer asleep: noticed at the next key, asked about, never decided alone.
#
# The key that brings the question is written first. The question is then about a lap that is either still
# open (a share of it is taken off as an interruption) or just ended (its length is amended).

LONG_MS = 20 * 60_000  # no piece shorter than this is asked about
TIMES_USUAL = 3
LONG_BETWEEN_MS = 15 * 60_000  # from one step to the next; a shorter time is not asked about
# These stop the clock, set it right or go somewhere else: the question can wait for the next key.
_SILENT = frozenset(
    {"step_started", "paused", "resumed", "voided", "amended", "interrupted", "trouble", "closed", "step_skipped"}
)
ENDS_A_LAP = frozenset({"piece_done", "step_done"})


def usual_ms(at: Moment, step: Step) -> int:
    """Usual time of what one press counts: the middle of the laps so far, else the maker's own or the starter pace."""
    from statistics import median  # noqa: PLC0415 - the first screen can do without all that it imports

    usual = 0
    for one in through(at.plan, at.record, step):
        laps = [lap.counted_ms / lap.pieces for lap in at.record.step(one.key).laps if lap.pieces and lap.counted]
        usual += round(median(laps) if laps else pace_ms(one, at.paces, beginner=at.desk.beginner))
    return usual


def far_over(at: Moment, pieces: int = 1) -> bool:
    """Whether the open lap has run much longer than so many pieces usually take."""
    step = open_step(at.plan, at.record)
    if step is None or at.record.doing != "working":
        return False
    ran = open_ms(at.record, at.now) - at.record.lap_trouble_ms  # trouble was told: it explains itself
    if ran <= LONG_MS:  # so that a key in a long session does not weigh all its laps
        return False
    return ran > TIMES_USUAL * usual_ms(at, step) * max(pieces, 1)


def ask_after(at: Moment, turn: Turn) -> Turn:
    """Put the question about a long lap or a sleep behind what the key led to.

    At most one is asked at a time, and once of a lap; a sleep comes first, for it is what made the lap long.
    """
    what = turn.event["what"] if turn.event else ""
    if what == "step_started" and (since := _since_the_last(at)) > LONG_BETWEEN_MS and not turn.desk.ask:
        return replace(turn, desk=replace(turn.desk, ask=_between(at, since)))
    if turn.desk.ask or turn.leave or what in _SILENT or at.desk.locked or at.record.current is None:
        return turn
    count = int(turn.event.get("count", 1)) if turn.event else 1
    lap = at.record.lap_start_n
    if at.desk.slept_ms:
        return replace(turn, desk=replace(turn.desk, ask=_slept(at), slept_ms=0, asked_n=lap))
    if lap == at.desk.asked_n or not far_over(at, count):
        return turn
    return replace(turn, desk=replace(turn.desk, ask=_long(at, what, count), asked_n=lap))


def _since_the_last(at: Moment) -> int:
    """How long it is since the last step ended, where that counts, ms."""
    since = at.record.doing_since
    counts = at.record.between and at.record.doing == "ready" and since is not None and at.record.steps
    return between(since, at.now).counted_ms if counts and since is not None else 0


def _between(at: Moment, ms: int) -> Ask:
    question = f"Since the last step {time_text(ms / 1000)} have passed. Do they count as work?"
    choices = ("yes: count them", "no: they were nobody's")
    return Ask("between", "choose", question, between_was, choices, data={"of": at.record.count + 1}, goes_on=True)


def between_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Leave the time since the last step counted, or take it out."""
    if answer == "1":
        return put_away(at, "They count.")
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": False}, "why": "not at work"}
    return put_away(at, "Not counted.", event)


def _long(at: Moment, what: str, count: int) -> Ask:
    step = open_step(at.plan, at.record)
    usual = usual_ms(at, step) * max(count, 1) if step else 0
    # The record that ended the lap; 0: it is open.
    data = {"ms": open_ms(at.record, at.now), "of": at.record.count + 1 if what in ENDS_A_LAP else 0, "usual": usual}
    question = f"That was {time_text(data['ms'] / 1000)}, usually {time_text(usual / 1000)}. Count it?"
    choices = ("keep all of it", f"cut to the usual {time_text(usual / 1000)}", "half of it was a break")
    return Ask("long_piece", "choose", question, long_piece_was, choices, data=data, goes_on=True)


def long_piece_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Keep the long time, cut it, or split a break off it."""
    ms, usual = question.data["ms"], question.data["usual"]
    keep = {"1": ms, "2": usual, "3": ms // 2}[answer]
    if keep == ms:
        return put_away(at, "Kept as it is.")
    return _shorten(at, question, ms - keep, f"Counted as {time_text(keep / 1000)}.")


def _slept(at: Moment) -> Ask:
    slept = at.desk.slept_ms
    question = f"The computer slept for {time_text(slept / 1000)}; that is not counted. Were you at work?"
    data = {"of": at.desk.slept_n, "slept": slept}
    choices = ("no: leave it out", "yes: count it")
    return Ask("sleep", "choose", question, sleep_was, choices, data=data, goes_on=True)


def sleep_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Leave the sleep out, or count it as work."""
    if answer == "1":
        return put_away(at, "Left out.")
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": True}, "why": "at work meanwhile"}
    return put_away(at, f"{time_text(question.data['slept'] / 1000)} counted.", event)


def _shorten(at: Moment, question: Ask, by: int, said: str) -> Turn:
    if of := question.data["of"]:
        event = {"what": "amended", "of": of, "ms": question.data["ms"] - by, "why": "forgotten timer"}
        return put_away(at, said, event)
    return put_away(at, said, {"what": "interrupted", "step": at.record.current or "", "ms": by})
