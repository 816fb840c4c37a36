"""When to rest: after an hour at one station, and sooner from what strains the hands, as their caution says."""

from collections.abc import Callable

from guide.follow.order import step_named
from guide.plan.model import Plan, Step
from guide.record.model import Lap, Record

STATION_MS = 50 * 60_000  # then ten minutes make up the hour [practice]
HANDS_MS = 15 * 60_000  # cutting and snipping: rest, swap hands [memory]
THICK_MS, THICK = 10 * 60_000, 6  # snipping through more layers than that: sooner [memory]
_SNIPPED = {"snip": "layers_raw_seam", "assemble": "layers_outer"}  # how many layers a stage's snips go through
BREAK_MS = 5 * 60_000  # away this long between two pieces: that was a rest


def rest_due(plan: Plan, record: Record, *, beginner: bool) -> str:
    """A word to rest, when the piece just finished filled the time; "" otherwise, so it is said once.

    Hands are minded for everyone; time at one station is said to beginners.
    """
    laps = sorted((lap for lap in record.laps() if not lap.by_hand), key=lambda lap: lap.end_n)
    step = step_named(plan, laps[-1].step) if laps else None
    if step is None:
        return ""
    thick = (plan.number(_SNIPPED.get(step.stage, "")) or 0) > THICK
    if "hands" in step.cautions and _fills(
        plan, laps, THICK_MS if thick else HANDS_MS, lambda one: "hands" in one.cautions
    ):
        after = "Ten minutes of snipping many layers" if thick else "A quarter of an hour of cutting"
        return f"{after}: rest your hands for three, change hands."
    if beginner and _fills(plan, laps, STATION_MS, lambda one: one.station == step.station):
        return f"Fifty minutes at the {step.station}: take ten minutes off (p)."
    return ""


def _fills(plan: Plan, laps: list[Lap], limit: int, alike: Callable[[Step], bool]) -> bool:
    """Whether the last lap carried the unbroken time of such work over a multiple of the limit."""
    total, after = 0, laps[-1]
    for lap in reversed(laps):
        step = step_named(plan, lap.step)
        if step is None or not alike(step) or (lap is not after and after.start - lap.end >= BREAK_MS):
            break
        total, after = total + lap.counted_ms, lap
        if lap.end - lap.start - lap.counted_ms >= BREAK_MS:
            break
    return total // limit > (total - laps[-1].counted_ms) // limit
