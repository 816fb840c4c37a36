"""Was each making inside what was said before it? Forecasts held against what came of them, one after another."""

from collections import deque
from collections.abc import Iterable, Sequence

import msgspec

from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.model import LEVEL, Seen, Span
from guide.money.paces import learn
from guide.plan.model import Plan
from guide.read.spoken import counted
from guide.record.clock import day_of
from guide.record.model import Record

NEWEST = 40  # makings that are held against their forecasts


class Audited(msgspec.Struct, frozen=True):
    """One making: what its maker's times said before it, and what the same steps took."""

    session: str  # when it was opened
    day: int  # of its first work, the maker's own, as an ordinal
    title: str
    maker: str
    forecast: Span
    actual_s: float
    within: bool
    sessions: int  # of the maker's before it that the forecast rests on


def audit(sessions: Iterable[tuple[Record, Plan | None]], newest: int = NEWEST) -> list[Audited]:
    """Hold each finished making against the forecast its maker's earlier sessions give; sessions come oldest first.

    Only the steps that were done are forecast, all their pieces. The first making has only starter paces; it counts.
    """
    past: dict[tuple[str, str], list[Seen]] = {}
    makings: deque[tuple[Record, Plan, int]] = deque(maxlen=newest)
    for record, plan in sessions:
        head = record.header
        mine = past.setdefault((head.maker, head.whom), [])
        if plan is not None and record.closed and (head.mode or "real") == "real":
            makings.append((record, plan, len(mine)))
            mine += glean(record, plan.steps, make=plan.project.make)
        elif plan is not None:
            mine += glean(record, plan.steps, make=plan.project.make)
    return [one for making in makings if (one := _held(*making, past)) is not None]


def _held(record: Record, plan: Plan, before: int, past: dict[tuple[str, str], list[Seen]]) -> Audited | None:
    head = record.header
    done = tuple(step for step in plan.steps if record.step(step.key).state == "done")
    actual_s = sum(record.step(step.key).counted_ms for step in done) / 1000
    if not actual_s:
        return None
    day = min(day_of(lap.start, lap.offset) for step in done for lap in record.step(step.key).laps)
    paces = learn(past[head.maker, head.whom][:before], maker=head.maker, whom=head.whom)
    said = forecast(msgspec.structs.replace(plan, steps=done), paces).hands_on
    return Audited(
        head.at,
        day,
        plan.project.title,
        head.maker,
        said,
        actual_s,
        said.low <= actual_s <= said.high,
        paces.sessions,
    )


def audit_says(told: Sequence[Audited]) -> str:
    """Say how many were inside, in a sentence."""
    within = sum(one.within for one in told)
    return f"{within} of {counted(len(told), 'making')} inside their {LEVEL * 100:.0f} %"
