"""Does it get quicker with each one made: the unit curve.

y = a·x^b with b = ln(rate) / ln 2. Two readings of it exist and are never mixed: Crawford's, y is the
time of unit x, which is what fraywork fits; and Wright's (1936), y is the average over units 1 … x.
"""

import math
from collections.abc import Sequence

from guide.money.model import Curve
from guide.money.stats import fit_line, t_quantile
from guide.read.plurals import counted

LEAST_UNITS = 6  # sessions before a curve may be used
SURE = 0.95  # one-sided: how sure the times must be to fall


def mean_of_next(b: float, first: int, count: int) -> float:
    """Mean time of units first, first + 1 … (`count` of them) over that of the first, by Crawford's exponent b."""
    return math.fsum((unit / first) ** b for unit in range(first, first + count)) / count


def fit_curve(units: Sequence[float], times: Sequence[float]) -> Curve | None:
    """Crawford's curve through unit numbers and their times, by a line through the logarithms.

    It is `sure`, and may be used, from six readings on when a t test finds the times falling with
    95 % confidence. None with fewer than three readings or all at one unit number.
    """
    if len(units) < 3 or len(set(units)) < 2:
        return None
    line = fit_line([math.log(u) for u in units], [math.log(t) for t in times])
    rate = 2**line.slope
    n = len(units)
    falls = line.slope + t_quantile(SURE, n - 2) * line.slope_se < 0
    sure = n >= LEAST_UNITS and falls
    if sure:
        says = f"each doubling of makes takes {rate:.0%} of the time, from {n} sessions"
    elif n < LEAST_UNITS:
        says = f"{counted(n, 'session')}: a learning curve needs {LEAST_UNITS}"
    else:
        says = f"{n} sessions show no clear learning (95 % wanted)"
    return Curve(math.exp(line.intercept), line.slope, rate, n, sure, says)
