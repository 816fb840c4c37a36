"""When to start each step so that the day works out: the windows of a paced checklist."""

from collections.abc import Mapping
from typing import Literal

from msgspec.structs import replace

from guide.money.forecast import forecast_steps
from guide.money.model import Paces, Row
from guide.money.paces import factor_of
from guide.plan.model import Plan, Step

WORK_S = 3000.0  # 50 minutes' work, then a break of 10: ten minutes an hour
BREAK_S = 600.0
DAY_S = 86_400
EPS_S = 1e-6

Kind = Literal["step", "break", "wait"]


def beginner_factors(plan: Plan, scale: float = 1.0) -> dict[str, float]:
    """Each step's beginner factor by key; `scale` moves them all, 0.5 halves what is over 1."""
    return {step.key: 1 + (step.beginner_factor - 1) * scale for step in plan.steps}


def checklist_times(
    plan: Plan,
    paces: Paces,
    start: str = "10:00",
    factors: Mapping[str, float] | None = None,
    *,
    work_s: float = WORK_S,
    break_s: float = BREAK_S,
) -> tuple[Row, ...]:
    """Plan a window for every step, break and wait, one after another from `start` (HH:MM).

    The windows add up to the forecast's likely hands-on time (with the same factors), the breaks and the
    waits. A break falls at the first step's end after `work_s` of work; a step longer than that has further
    breaks inside its window. A wait at least as long as a break is one.
    """
    hours, _, minutes = start.partition(":")
    begin = int(hours) * 3600 + int(minutes or 0) * 60
    rows: list[Row] = []
    now = since = 0.0
    for step, told in zip(plan.steps, forecast_steps(plan, paces, factors), strict=True):
        factor, hands_on = factor_of(factors or {}, step), told.hands_on.likely
        wait = step.waits_s or 0.0
        due = int((since + hands_on + EPS_S) // work_s)
        if step is plan.steps[-1]:
            inner, after = int(max(since + hands_on - EPS_S, 0.0) // work_s), 0
        else:
            inner, after = max(due - 1, 0), int(due > 0 and wait < break_s)
        parts: list[tuple[Kind, float]] = [("step", hands_on + inner * break_s)]
        if after:
            parts.append(("break", break_s))
        if wait:
            parts.append(("wait", wait))
        for kind, length in parts:
            row = _row(kind, step, now, length, begin)
            if kind == "step":
                row = replace(row, hands_on_s=hands_on, factor=factor, inner_breaks_s=inner * break_s)
            rows.append(row)
            now = row.end_s
        since = 0.0 if wait and wait >= break_s else since + hands_on - due * work_s
    return tuple(rows)


def _row(kind: Kind, step: Step, at: float, length: float, begin: int) -> Row:
    return Row(
        kind=kind,
        key=step.key,
        title={"step": step.title, "break": "Break", "wait": f"Wait: {step.title}"}[kind],
        start_s=at,
        end_s=at + length,
        start=clock_text(begin + at),
        end=clock_text(begin + at + length),
        hands_on_s=0.0,
        factor=1.0,
    )


def clock_text(seconds: float) -> str:
    """A time of day to the minute, 10:05; a later day says so: 10:05 +1."""
    day, rest = divmod(round(seconds / 60) * 60, DAY_S)
    return f"{rest // 3600:02d}:{rest % 3600 // 60:02d}" + (f" +{day}" if day else "")
