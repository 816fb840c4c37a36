"""When to rest: after an hour at one station, sooner from what strains the hands; and when the bobbin nears its end."""

from collections.abc import Iterator
from heapq import merge
from itertools import pairwise
from statistics import median

from guide.follow.order import step_named
from guide.plan.hands import REST_S, THICK_S, Stretch, had_enough, holds_out_s
from guide.plan.model import Plan
from guide.record.model import Lap, Record

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
    ends = [one.n for one in record.remarks if one.kind == "trouble" and one.text in BOBBIN]
    if len(ends) < TIMED:
        return ""
    laps = [lap for lap in record.laps() if not (lap.by_hand or lap.between) and _sewn(plan, lap)]
    usual = median(sum(lap.counted_ms for lap in laps if a < lap.end_n <= b) for a, b in pairwise([0, *ends]))
    since = [lap for lap in laps if lap.end_n > ends[-1]]
    ran = sum(lap.counted_ms for lap in since)
    before = ran - max(since, key=lambda lap: lap.end_n).counted_ms if since else ran
    filled = before < NEARLY * usual <= ran
    return "The bobbin is near its end by your last ones: look before the next seam." if filled else ""


def _sewn(plan: Plan, lap: Lap) -> bool:
    step = step_named(plan, lap.step)
    return step is not None and step.station == "machine"


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
        worked = _stretches(plan, _since_a_rest(plan, record))
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


def _stretches(plan: Plan, laps: list[Lap]) -> list[Stretch]:
    """The work so far as the hands felt it: what was away between two pieces, or within one, rested them."""
    out: list[Stretch] = []
    ended = laps[0].start
    for lap in laps:
        step = step_named(plan, lap.step)
        out += [
            (None, (lap.end - ended - lap.counted_ms) / 1000),
            (holds_out_s(plan, step) if step else None, lap.counted_ms / 1000),
        ]
        ended = lap.end
    return out


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
