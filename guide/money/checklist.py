"""When to start each step so that the day works out: the windows of a paced checklist."""

from collections.abc import Mapping

from guide.money.glean import base_key
from guide.money.model import Paces, Row
from guide.money.paces import pace_of
from guide.plan.model import Plan, Step

WORK_S = 3000.0  # 50 minutes' work, then a break of 10: ten minutes an hour
BREAK_S = 600.0
DAY_S = 86_400


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

    The windows add up to the forecast's likely hands-on time (with the same factors, on one make of the
    learning curve), the breaks and the waits. A break falls at the first step's end after `work_s` of work;
    a step longer than that has further breaks inside its window. A wait at least as long as a break is one.
    """
    hours, _, minutes = start.partition(":")
    begin = int(hours) * 3600 + int(minutes or 0) * 60
    rows: list[Row] = []
    now = since = 0.0
    for place, step in enumerate(plan.steps):
        factor = _factor(factors or {}, step)
        hands_on = pace_of(paces, step)[0] * step.pieces * paces.besides * factor
        since += hands_on
        due = int((since + 1e-6) // work_s)
        last = place == len(plan.steps) - 1
        wait = step.waits_s or 0.0
        after = 0 if last or wait >= break_s else min(due, 1)
        inner = int(max(since - 1e-6, 0.0) // work_s) if last else max(due - 1, 0)
        rows.append(
            _row(
                "step",
                step,
                now,
                hands_on + inner * break_s,
                begin,
                hands_on=hands_on,
                factor=factor,
                inner=inner * break_s,
            )
        )
        now = rows[-1].end_s
        since -= due * work_s
        if after:
            rows.append(_row("break", step, now, break_s, begin))
            now = rows[-1].end_s
        if wait:
            rows.append(_row("wait", step, now, wait, begin))
            now = rows[-1].end_s
            since = 0.0 if wait >= break_s else since
    return tuple(rows)


def _factor(factors: Mapping[str, float], step: Step) -> float:
    return factors.get(step.key, factors.get(base_key(step.key), 1.0))


def _row(
    kind: str,
    step: Step,
    at: float,
    length: float,
    begin: int,
    *,
    hands_on: float = 0.0,
    factor: float = 1.0,
    inner: float = 0.0,
) -> Row:
    title = {"step": step.title, "break": "Break", "wait": f"Wait: {step.title}"}[kind]
    return Row(
        kind=kind,  # type: ignore[arg-type]
        key=step.key,
        title=title,
        start_s=at,
        end_s=at + length,
        start=clock_text(begin + at),
        end=clock_text(begin + at + length),
        hands_on_s=hands_on,
        factor=factor,
        inner_breaks_s=inner,
    )


def clock_text(seconds: float) -> str:
    """A time of day to the minute, 10:05; a later day says so: 10:05 +1."""
    day, rest = divmod(round(seconds / 60) * 60, DAY_S)
    return f"{rest // 3600:02d}:{rest % 3600 // 60:02d}" + (f" +{day}" if day else "")
