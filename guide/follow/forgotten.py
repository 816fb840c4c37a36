"""A timer forgotten and a computer asleep: noticed at the next key, asked about, never decided alone.

The key that brings the question is written first. The question is then about a lap that is either still
open (a share of it is taken off as an interruption) or just ended (its length is amended).
"""

from statistics import median

from msgspec.structs import replace

from guide.follow.ahead import open_ms, pace_ms
from guide.follow.asking import put_away
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import open_step, through
from guide.follow.righting import amended_length
from guide.plan.model import Step
from guide.record.clock import between, spoken

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
    return sum(_usual_ms(at, one) for one in through(at.plan, at.record, step))


def _usual_ms(at: Moment, step: Step) -> int:
    laps = [lap.counted_ms / lap.pieces for lap in at.record.step(step.key).laps if lap.pieces and lap.counted]
    return round(median(laps) if laps else pace_ms(step, at.paces, beginner=at.desk.beginner))


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
    """Put the question about a long lap or a sleep behind what the key led to."""
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
    question = f"Since the last step {spoken(ms)} have passed. Do they count as work?"
    choices = ("yes: count them", "no: they were nobody's")
    data = {"of": at.record.count + 1}
    return Ask("between", "choose", question, between_was, choices, data=data, goes_on=True)


def between_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Leave the time since the last step counted, or take it out."""
    if answer == "1":
        return put_away(at, "They count.")
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": False}, "why": "not at work"}
    return replace(put_away(at, "Not counted."), event=event)


def _about(at: Moment, what: str) -> dict[str, int]:
    """What the answer needs: the lap's time, and the record that ended it (0: it is open)."""
    return {"ms": open_ms(at.record, at.now), "of": at.record.count + 1 if what in ENDS_A_LAP else 0}


def _long(at: Moment, what: str, count: int) -> Ask:
    step = open_step(at.plan, at.record)
    usual = usual_ms(at, step) * max(count, 1) if step else 0
    data = _about(at, what) | {"usual": usual}
    question = f"That was {spoken(data['ms'])}, usually {spoken(usual)}. Count it?"
    choices = ("keep all of it", f"cut to the usual {spoken(usual)}", "half of it was a break")
    return Ask("long_piece", "choose", question, long_piece_was, choices, data=data, goes_on=True)


def long_piece_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Keep the long time, cut it, or split a break off it."""
    ms, usual = question.data["ms"], question.data["usual"]
    keep = {"1": ms, "2": usual, "3": ms // 2}[answer]
    if keep == ms:
        return put_away(at, "Kept as it is.")
    return _shorten(at, question, ms - keep, f"Counted as {spoken(keep)}.")


def _slept(at: Moment) -> Ask:
    slept = at.desk.slept_ms
    question = f"The computer slept for {spoken(slept)}; that is not counted. Were you at work?"
    data = {"of": at.desk.slept_n, "slept": slept}
    choices = ("no: leave it out", "yes: count it")
    return Ask("sleep", "choose", question, sleep_was, choices, data=data, goes_on=True)


def sleep_was(at: Moment, question: Ask, answer: str) -> Turn:
    """Leave the sleep out, or count it as work."""
    if answer == "1":
        return put_away(at, "Left out.")
    event = {"what": "amended", "of": question.data["of"], "set": {"counted": True}, "why": "at work meanwhile"}
    return replace(put_away(at, f"{spoken(question.data['slept'])} counted."), event=event)


def _shorten(at: Moment, question: Ask, by: int, said: str) -> Turn:
    if of := question.data["of"]:
        event = amended_length(of, question.data["ms"] - by, "forgotten timer")
        return replace(put_away(at, said), event=event)
    event = {"what": "interrupted", "step": at.record.current or "", "ms": by}
    return replace(put_away(at, said), event=event)
