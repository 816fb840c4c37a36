"""Whatever stops the clock or takes a step out of turn: pause, trouble, interruption, skip, stop."""

from collections.abc import Iterator
from heapq import merge
from itertools import pairwise
from typing import Any

from msgspec.structs import replace

from guide.follow.model import Ask, Moment, Turn, ask, ask_again, put_away, say
from guide.follow.order import can_be_put_off, open_ms, open_step, step_named, under_needle
from guide.plan.model import Plan
from guide.plan.steps import REST_S, THICK_S, Stretch, had_enough, holds_out_s
from guide.read.spoken import said
from guide.record.amend import newest_lap
from guide.record.clock import time_text
from guide.record.model import CHANGE, LATER, Lap, Record
from guide.record.work import HALTED

TROUBLES = ("bobbin", "thread", "needle", "unpick", "remake")  # where no file names any: an older session's words
MOST_OFFERED = 9  # one digit each
PROTECTS = "It protects whoever has the piece, and the log will say it was left out. Say why: a number, or your words."
SKIPS = ("not needed here", "done before", "done another way", "cannot be done here", "left out by choice")


def pins_used(plan: Plan) -> bool:
    """Whether pins are used; they are unless the plan says that none are."""
    used = plan.quantities.get("pins_used")
    return used is None or used.value is not False


def make_safe(plan: Plan) -> tuple[str, ...]:
    """What to do before anybody leaves the table."""
    return ("foot off the pedal", "iron off", "blade shut", *(["pins counted"] if pins_used(plan) else []))


def pause(at: Moment) -> Turn:
    """Stop the clock; the card says how to leave the table."""
    if at.record.current is None and not (at.record.between and at.record.doing == "ready"):
        return say(at, "No clock is running: rest as long as you like.")
    if at.record.doing in {"paused", "stopped"}:
        return say(at, "Paused already: the big key goes on.")
    return Turn(replace(at.desk, said=""), {"what": "paused", "why": "pause"})


def stop(at: Moment) -> Turn:
    """Leave the table for now; what is saved stays as it is."""
    if at.record.doing in {"stopped", "closed"}:
        return Turn(at.desk, leave=True)
    return Turn(replace(at.desk, said=""), {"what": "paused", "why": "stop"}, leave=True)


def change_over(at: Moment) -> Turn:
    """Go over to the other project in this window: this one's clock stands from now on, and its journal says why."""
    if not at.desk.beside:
        return say(at, "One project is followed here; guide follow A B takes two.")
    stands = at.record.doing in {"stopped", "closed"}
    return Turn(replace(at.desk, said="", typed=""), None if stands else {"what": "paused", "why": CHANGE}, change=True)


def trouble(at: Moment) -> Turn:
    """Ask what went wrong; the big key ends it."""
    if at.record.doing != "working":
        return say(at, _not_running(at))
    question = "What is it? A number, or your own words; then the big key when it is mended."
    return ask(at, Ask("trouble", "choose", question, trouble_is, _troubles(at), own_words=trouble_in_words))


def trouble_is(at: Moment, _question: Ask, answer: str) -> Turn:
    """Write the trouble chosen."""
    return trouble_in_words(at, _question, _troubles(at)[int(answer) - 1])


def trouble_in_words(at: Moment, _question: Ask, answer: str) -> Turn:
    """Write a trouble that is not among those offered; all of it rubbed out leaves things as they were."""
    return put_away(at, "", {"what": "trouble", "step": _current(at), "why": answer} if answer else None)


def _troubles(at: Moment) -> tuple[str, ...]:
    """The troubles of this step's station in the words the maker reads; so they are written down."""
    step = open_step(at.plan, at.record)
    here = [one.name for one in at.plan.troubles if step is None or step.station in one.at][:MOST_OFFERED]
    return tuple(said(one, at.plan.project.words) for one in here or TROUBLES)


def interrupted(at: Moment) -> Turn:
    """Stop the clock for a caller; with minutes typed before it, take those off afterwards."""
    minutes = at.desk.typed
    desk = replace(at.desk, typed="")
    if at.record.doing != "working" and not minutes:
        return Turn(replace(desk, said=_not_running(at)))
    if not minutes:
        said = "Interrupted: the clock stands. The big key when you are back."
        return Turn(replace(desk, said=said), {"what": "interrupted", "step": _current(at)})
    ms = int(minutes) * 60_000
    lap = newest_lap(at.record)
    so_far = open_ms(at.record, at.now) if at.record.current else lap.counted_ms if lap else 0
    if not 0 < ms <= so_far:
        last = f"The last time is {time_text(so_far / 1000)}"
        said = f"{last}: {minutes} min cannot come off it. x sets an earlier time right."
        return Turn(replace(desk, said=said))
    event = {"what": "interrupted", "step": _current(at), "ms": ms}
    return Turn(replace(desk, said=f"{minutes} min taken off."), event)


def skip(at: Moment) -> Turn:
    """Ask why the step is skipped; a beginner's checks need a reason, and what protects others needs everyone's."""
    step = under_needle(at.plan, at.record)
    if step is None or at.record.doing in {"stopped", "closed"}:
        return say(at, "There is no step to skip.")
    # A beginner does not pass by what measures or looks over what was made.
    must = step.safety or (at.desk.beginner and (step.measure is not None or "check" in step.id))
    words = "A number, or your own words"
    why = f"It is a check: say why. {words}." if must else f"Why? {words} (the big key: no reason)"
    question = f"Skip “{step.title}”? {PROTECTS if step.safety else why}"
    data: dict[str, Any] = {"step": step.key} if must else {"step": step.key, "default": ""}
    later = (LATER,) if not step.safety and can_be_put_off(at.plan, at.record, step) else ()
    choices = (*SKIPS, *later)
    return ask(at, Ask("skip", "choose", question, skip_because, choices, data=data, own_words=skip_in_words))


def skip_because(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the skip with the reason chosen."""
    return _skipped(at, question, question.choices[int(answer) - 1] if answer else "")


def skip_in_words(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the skip with the maker's own reason; all of it rubbed out leaves the step as it was."""
    step = step_named(at.plan, question.data["step"])
    if answer == LATER and step is not None and step.safety:
        return ask_again(at, question, answer, "It is not put off: do it now, or say why it is left out.")
    return _skipped(at, question, answer) if answer else put_away(at)


def _skipped(at: Moment, question: Ask, why: str) -> Turn:
    step = step_named(at.plan, question.data["step"])
    event = {"what": "step_skipped", "step": question.data["step"]} | ({"why": why} if why else {})
    word = "Put off" if why == LATER else "Skipped"
    return put_away(at, f"{word}: {step.title}." if step else f"{word}.", event)


def _not_running(at: Moment) -> str:
    if at.record.doing == "trouble":
        return "In trouble still, and its time counts: the big key when it is mended."
    if at.record.doing in HALTED:
        return "The clock stands already: the big key goes on."
    return "No step is running."


def _current(at: Moment) -> str:
    step = open_step(at.plan, at.record)
    return step.key if step else at.record.current or ""


# When to rest: after an hour at one station, sooner from what strains the hands; and when the bobbin nears its end.

STATION_MS = 50 * 60_000  # then ten minutes make up the hour [practice]
BREAK_MS = 5 * 60_000  # away this long between two pieces: that was a break


BOBBIN = frozenset({"bobbin out", "bobbin"})  # what the trouble is called now, and was
TIMED = 2  # bobbins, before anything is said of the next
NEARLY = 0.8  # of what a bobbin usually lasts


def bobbin_due(plan: Plan, record: Record) -> str:
    """A word before a seam at the machine when a bobbin has nearly lasted its time; "" until two were timed.

    It is timed by the work at the machine from one “bobbin out” to the next, the middle of them taken; the press that
    filled four fifths of it says so, once.
    """
    # By work at the machine alone: a bobbin lasts as long over a day's pause.
    ends = [one.n for one in record.remarks if one.kind == "trouble" and one.text in BOBBIN]
    if len(ends) < TIMED:
        return ""
    from statistics import median  # noqa: PLC0415 - the first screen can do without all that it imports

    sewn = {step.key for step in plan.steps if step.station == "machine"}
    laps = [lap for lap in record.laps() if not (lap.by_hand or lap.between) and lap.step in sewn]
    usual = median(sum(lap.counted_ms for lap in laps if a < lap.end_n <= b) for a, b in pairwise([0, *ends]))
    since = [lap for lap in laps if lap.end_n > ends[-1]]
    ran = sum(lap.counted_ms for lap in since)
    before = ran - max(since, key=lambda lap: lap.end_n).counted_ms if since else ran
    filled = before < NEARLY * usual <= ran
    return "The bobbin is near its end by your last ones: look before the next seam." if filled else ""


def rest_due(plan: Plan, record: Record, *, beginner: bool) -> str:
    """A word to rest, when the piece just finished filled the time; "" otherwise, so it is said once.

    Hands are minded for everyone; time at one station is said to beginners.
    """
    last = next(_newest_first(record), None)
    step = step_named(plan, last.step) if last else None
    if step is None:
        return ""
    if step.station == "machine" and (bobbin := bobbin_due(plan, record)):
        return bobbin
    if holds_out_s(plan, step) is not None:  # other work is no strain, and what came before is not gone through
        worked = list(_stretches(plan, _since_a_rest(plan, record)))
        if any(number == len(worked) - 1 for number, _ in had_enough(worked)):
            thick = holds_out_s(plan, step) == THICK_S
            after = "Ten minutes of snipping many layers" if thick else "A quarter of an hour of cutting"
            return f"{after}: rest your hands for three, change hands."
    if beginner and _fills(plan, record, step.station):
        return f"Fifty minutes at the {step.station}: take ten minutes off (p)."
    return ""


def _newest_first(record: Record) -> Iterator[Lap]:
    """The timed laps from the newest back, merged as they are asked for: a session may have ten thousand."""
    steps = (reversed(step.laps) for step in record.steps.values())
    return (lap for lap in merge(*steps, key=lambda lap: -lap.end_n) if not (lap.by_hand or lap.between))


def _since_a_rest(plan: Plan, record: Record) -> list[Lap]:
    """The laps since other work, or none, last rested the hands, the oldest first: what came before is forgotten."""
    out: list[Lap] = []
    rested = 0.0
    for lap in _newest_first(record):
        step = step_named(plan, lap.step)
        away = max(out[-1].start - lap.end, 0) / 1000 if out else 0.0
        strained = step is not None and holds_out_s(plan, step) is not None
        rested += away
        if rested >= REST_S:
            break
        out.append(lap)
        rested = 0.0 if strained else rested + lap.counted_ms / 1000
        if rested >= REST_S:
            break
    return out[::-1]


def _stretches(plan: Plan, laps: list[Lap]) -> Iterator[Stretch]:
    """The work so far as the hands felt it: what was away between two pieces, or within one, rested them."""
    ended = laps[0].start
    for lap in laps:
        step = step_named(plan, lap.step)
        yield None, (lap.end - ended - lap.counted_ms) / 1000
        yield holds_out_s(plan, step) if step else None, lap.counted_ms / 1000
        ended = lap.end


def _fills(plan: Plan, record: Record, station: str) -> bool:
    """Whether the last lap carried the unbroken time at a station over a multiple of the limit."""
    total, last, after = 0, 0, None
    for lap in _newest_first(record):
        step = step_named(plan, lap.step)
        if step is None or step.station != station or (after is not None and after.start - lap.end >= BREAK_MS):
            break
        last = lap.counted_ms if after is None else last
        total, after = total + lap.counted_ms, lap
        if lap.end - lap.start - lap.counted_ms >= BREAK_MS:
            break
    return total // STATION_MS > (total - last) // STATION_MS
