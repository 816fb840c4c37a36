"""When to rest: after an hour at one station, and sooner from what strains the hands, as their caution says."""

from guide.follow.order import step_named
from guide.plan.hands import THICK_S, Stretch, had_enough, holds_out_s
from guide.plan.model import Plan
from guide.record.model import Lap, Record

STATION_MS = 50 * 60_000  # then ten minutes make up the hour [practice]
BREAK_MS = 5 * 60_000  # away this long between two pieces: that was a break


def rest_due(plan: Plan, record: Record, *, beginner: bool) -> str:
    """A word to rest, when the piece just finished filled the time; "" otherwise, so it is said once.

    Hands are minded for everyone; time at one station is said to beginners.
    """
    laps = sorted((lap for lap in record.laps() if not lap.by_hand), key=lambda lap: lap.end_n)
    step = step_named(plan, laps[-1].step) if laps else None
    if step is None:
        return ""
    worked = _stretches(plan, laps)
    if any(number == len(worked) - 1 for number, _ in had_enough(worked)):
        thick = holds_out_s(plan, step) == THICK_S
        after = "Ten minutes of snipping many layers" if thick else "A quarter of an hour of cutting"
        return f"{after}: rest your hands for three, change hands."
    if beginner and _fills(plan, laps, step.station):
        return f"Fifty minutes at the {step.station}: take ten minutes off (p)."
    return ""


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


def _fills(plan: Plan, laps: list[Lap], station: str) -> bool:
    """Whether the last lap carried the unbroken time at a station over a multiple of the limit."""
    total, after = 0, laps[-1]
    for lap in reversed(laps):
        step = step_named(plan, lap.step)
        if step is None or step.station != station or (lap is not after and after.start - lap.end >= BREAK_MS):
            break
        total, after = total + lap.counted_ms, lap
        if lap.end - lap.start - lap.counted_ms >= BREAK_MS:
            break
    return total // STATION_MS > (total - laps[-1].counted_ms) // STATION_MS
