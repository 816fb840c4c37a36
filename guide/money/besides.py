"""What comes on top of the pace in a session: slow first pieces, and trouble."""

import math
from collections.abc import Iterable, Sequence

from guide.money import prior
from guide.money.model import Seen
from guide.money.stats import mean_sd


def besides_of(groups: Iterable[Sequence[Seen]]) -> tuple[float, float]:
    """Labour over pace, 1.04 is 4 %, and the variance of its logarithm from session to session.

    The share is that of first pieces and trouble; the variance is that of trouble alone, for a first
    piece's scatter is already in its step's.
    """
    sums: dict[str, list[float]] = {}  # by session: labour, the same without trouble, all pieces at their pace
    for rows in groups:
        for row in rows:
            all_s, paced_s = _timed_and_paced(row)
            total = sums.setdefault(row.session, [0.0, 0.0, 0.0])
            for place, seconds in enumerate((row.counted_s, all_s, paced_s)):
                total[place] += seconds
    sums = {session: total for session, total in sums.items() if min(total) > 0}
    if not sums:
        return 1.0, prior.BESIDES_VAR
    share, _ = mean_sd([math.log(labour / paced) for labour, _, paced in sums.values()])
    _, sd = mean_sd([math.log(labour / timed) for labour, timed, _ in sums.values()])
    n = len(sums)
    var = (prior.DAY_FREEDOM * prior.BESIDES_VAR + (n - 1) * sd**2) / (prior.DAY_FREEDOM + n - 1)
    return max(math.exp(share), 1.0), var * (1 + 1 / n)


def _timed_and_paced(row: Seen) -> tuple[float, float]:
    """Seconds of a row's laps, and what they would be with the first piece at the pace of the rest."""
    first_s = late_s = 0.0
    firsts = pieces = 0
    for lap in row.laps:
        if lap.first:
            first_s += lap.seconds
            firsts += lap.pieces
        else:
            late_s += lap.seconds
            pieces += lap.pieces
    return first_s + late_s, late_s / pieces * (pieces + firsts) if pieces else first_s
