"""Forecast against what each step really took, for the log."""

from guide.money.forecast import forecast_steps
from guide.money.model import Paces, StepActual
from guide.plan.model import Plan
from guide.record.model import Record


def forecast_and_actual(plan: Plan, paces: Paces, record: Record) -> tuple[StepActual, ...]:
    """Hold each finished step against its forecast; `paces` are those from before the session."""
    rows = []
    for step in forecast_steps(plan, paces):
        done = record.step(step.key)
        if done.state != "done":
            continue
        span, actual_s = step.hands_on, done.counted_ms / 1000
        ratio = actual_s / span.likely if span.likely else None
        within = span.low <= actual_s <= span.high
        rows.append(StepActual(step.key, span, actual_s, ratio, within))
    return tuple(rows)
