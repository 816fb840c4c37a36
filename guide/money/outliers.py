"""Which laps are a forgotten timer: left out of the pace, never out of sight.

A lap is held against the usual pace of its step: the median piece of all sessions, in which the starter
pace counts as one piece. It is left out when it is longer than that by more than 3½ spreads of the
logarithms, the spread being at least 0.3 (so never under 2.8 ×), or by 8 × when it is the only lap.
A count made late leaves one long lap and a burst of short ones: those are put together first.
"""

import math
from collections.abc import Sequence

from guide.money.model import Flag, Seen, Timed
from guide.money.stats import weighted_median

SPREADS = 3.5
LEAST_SPREAD = 0.3
ONLY_LAP_TIMES = 8.0
BURST = 0.25  # of the usual pace: a press this soon belongs to the press before


def set_aside(rows: Sequence[Seen], tempo: float = 0.0) -> tuple[list[Seen], list[Flag]]:
    """The rows of one step without their forgotten timers, and a flag for each lap that was left out.

    `tempo` is the maker's usual ln(time / starter pace). Labour of a lap left out leaves `counted_s` too,
    so that the share of trouble stays right; the labour of the session itself is never touched.
    """
    usual = _usual(rows, tempo)
    rows = [_burst_joined(row, usual) for row in rows]
    logs = [(math.log(_times(row, lap)), lap.pieces) for row in rows for lap in row.laps if lap.seconds > 0]
    if not logs:
        return list(rows), []
    middle = math.log(usual)
    most = math.exp(SPREADS * max(LEAST_SPREAD, 1.4826 * weighted_median([(abs(v - middle), w) for v, w in logs])))
    if len(logs) == 1:
        most = ONLY_LAP_TIMES
    kept, flags = [], []
    for row in rows:
        long = [lap for lap in row.laps if lap.seconds > 0 and _times(row, lap) > usual * most]
        flags += [_flag(row, lap, usual) for lap in long]
        laps = tuple(lap for lap in row.laps if lap not in long)
        if laps:
            counted_s = row.counted_s - sum(lap.seconds for lap in long)
            kept.append(_with(row, laps, counted_s) if long else row)
    return kept, flags


def _times(row: Seen, lap: Timed) -> float:
    """A lap's pace over the starter pace (over 1 s where there is none)."""
    return lap.seconds / lap.pieces / (row.starter_s or 1.0)


def _usual(rows: Sequence[Seen], tempo: float) -> float:
    laps = [(row, lap) for row in rows for lap in row.laps if lap.seconds > 0]
    pairs = [(_times(row, lap), float(lap.pieces)) for row, lap in laps]
    if any(row.starter_s for row in rows):
        if len(laps) == 1:
            return math.exp(tempo)
        pairs.append((math.exp(tempo), 1.0))
    return weighted_median(pairs) if pairs else 1.0


def _burst_joined(row: Seen, usual: float) -> Seen:
    joined: list[Timed] = []
    for lap in row.laps:
        before = joined[-1] if joined else None
        if before and not before.first and _times(row, lap) < usual * BURST:
            joined[-1] = Timed(before.seconds + lap.seconds, before.pieces + lap.pieces, lap.n, False, lap.by_hand)
        else:
            joined.append(lap)
    return row if len(joined) == len(row.laps) else _with(row, tuple(joined), row.counted_s)


def _with(row: Seen, laps: tuple[Timed, ...], counted_s: float) -> Seen:
    return Seen(
        row.step, row.base, row.session, row.maker, row.whom, row.day, laps, counted_s,
        row.starter_s, row.effort, row.noun, row.title, row.make,
    )  # fmt: skip


def _flag(row: Seen, lap: Timed, usual: float) -> Flag:
    pace_s, usual_s = lap.seconds / lap.pieces, usual * (row.starter_s or 1.0)
    says = (
        f"{row.step}: {pace_s / 60:.1f} min a piece against {usual_s / 60:.1f} min usual: a forgotten timer? "
        "Left out of the pace, kept in the labour; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, lap.n, pace_s, usual_s, says)
