"""Which laps are a forgotten timer: left out of the pace, never out of sight.

A lap is held against the usual pace of its step: the median piece of all sessions, in which the starter
pace counts as one piece. It is left out when it is longer than that by more than 3½ spreads of the
logarithms, the spread being at least 0.3 (so never under 2.8 ×), or by 8 × when it is the only lap.
What the maker said counts is never left out.
"""

import math
from collections.abc import Sequence

from guide.money.model import Flag, Seen, Timed
from guide.money.pressed import counted_late, without
from guide.money.stats import weighted_median
from guide.record.clock import spoken

SPREADS = 3.5
LEAST_SPREAD = 0.3
ONLY_LAP_TIMES = 8.0


def set_aside(rows: Sequence[Seen]) -> tuple[list[Seen], list[Flag]]:
    """The rows of one step without their doubtful laps, and a flag for each lap left out.

    Labour of a lap left out leaves `counted_s` too, so that the share of trouble stays right; the labour
    of the session itself is never touched.
    """
    usual = _usual(rows)
    rows = [counted_late(row, usual * (row.starter_s or 1.0)) for row in rows]
    most = usual * _most(rows, math.log(usual))
    kept, flags = [], []
    for row in rows:
        most_s = most * (row.starter_s or 1.0)
        long = [lap for lap in row.laps if lap.seconds > most_s * lap.pieces and not lap.sure]
        flags += [_flag(row, lap, usual) for lap in long]
        kept += without(row, long) if long else [row]
    return kept, flags


def _times(rows: Sequence[Seen]) -> list[tuple[float, float]]:
    """Each lap's pace over the starter pace (over 1 s where there is none), and its pieces."""
    return [
        (lap.seconds / lap.pieces / (row.starter_s or 1.0), float(lap.pieces))
        for row in rows
        for lap in row.laps
        if lap.seconds > 0
    ]


def _usual(rows: Sequence[Seen]) -> float:
    pairs = _times(rows)
    if any(row.starter_s for row in rows):
        if len(pairs) == 1:
            return 1.0
        pairs.append((1.0, 1.0))
    return weighted_median(pairs) if pairs else 1.0


def _most(rows: Sequence[Seen], middle: float) -> float:
    """How many times the usual pace is still believed."""
    apart = [(abs(math.log(times) - middle), weight) for times, weight in _times(rows)]
    if len(apart) < 2:
        return ONLY_LAP_TIMES
    return math.exp(SPREADS * max(LEAST_SPREAD, 1.4826 * weighted_median(apart)))


def _flag(row: Seen, lap: Timed, usual: float) -> Flag:
    pace_s, usual_s = lap.seconds / lap.pieces, usual * (row.starter_s or 1.0)
    pace, common = (spoken(round(seconds * 1000)) for seconds in (pace_s, usual_s))
    says = (
        f"{row.title or row.step}: {pace} a piece against {common} usual: a forgotten timer? "
        "Left out of the pace, kept in the labour; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, lap.n, pace_s, usual_s, says, lap.seconds)
