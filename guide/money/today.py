"""Where a session stands: what is left of each step, and what sort of day it is."""

import math
from collections.abc import Iterable, Mapping

from guide.money import prior
from guide.money.glean import glean
from guide.money.left_out import set_pressed_aside
from guide.money.model import Paces
from guide.money.paces import factor_of, pace_of
from guide.plan.model import Step
from guide.record.model import Record


def left_of(step: Step, record: Record | None) -> int:
    """Pieces of a step still to do: none once it is done or skipped, unless it was only put off."""
    if record is None:
        return step.pieces
    mine = record.step(step.key)
    return 0 if mine.over else max(step.pieces - mine.pieces_done, 0)


def waits_left(step: Step, record: Record | None) -> float:
    """Seconds a step's wait has still to run, at the newest record of the session."""
    if not step.waits_s or record is None:
        return step.waits_s or 0.0
    mine = record.step(step.key)
    if mine.state == "skipped" and not mine.put_off:
        return 0.0
    wait = next((one for one in reversed(record.waits) if one.step == step.key), None)
    if wait is None or record.last is None:
        return 0.0 if mine.state == "done" else step.waits_s
    gone_s = (record.last.wall - wait.begun.wall) / 1000
    return 0.0 if wait.over else min(max(step.waits_s - gone_s, 0.0), step.waits_s)


def today_factor(
    steps: Iterable[Step], paces: Paces, record: Record | None, factors: Mapping[str, float]
) -> tuple[float, float]:
    """Ln of how much slower the session's newest day is than usual, and what is left of its variance.

    The day's finished pieces are held against the usual paces; few pieces say little. (0, 1): nothing known.
    """
    planned = {step.key: step for step in steps}
    rows = glean(record, planned.values(), practice=True) if record else ()
    newest = max((row.day for row in rows), default=None)
    top = under = 0.0
    for row in set_pressed_aside(rows)[0]:
        if row.day != newest or row.step not in planned:
            continue
        step, pieces = planned[row.step], sum(lap.pieces for lap in row.laps)
        seconds = math.fsum(lap.seconds for lap in row.laps)
        usual_s = pace_of(paces, step)[0] * factor_of(factors, step)
        if seconds > 0 and usual_s > 0:
            pace = paces.steps.get(row.base)
            own = (pace.spread if pace else paces.spread) * prior.own_var(pieces)
            trust = 1 / (own + (pace.mean_var if pace else prior.ONE_PIECE_VAR))
            most = 3 / math.sqrt(trust)  # a forgotten timer must not spoil the day
            top += trust * max(-most, min(most, math.log(seconds / pieces / usual_s)))
            under += trust
    shared = paces.day_var + paces.tempo_var
    return top * shared / (1 + under * shared), 1 / (1 + under * shared)
