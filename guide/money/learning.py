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


def exponent(rate: float) -> float:
    """B of a learning rate: 0.8 → −0.3219; each doubling multiplies by the rate."""
    return math.log(rate) / math.log(2)


def unit_time(first: float, rate: float, unit: float) -> float:
    """Crawford: the time of one unit."""
    return float(first * unit ** exponent(rate))


def units_time(first: float, rate: float, last: int, start: int = 1) -> float:
    """Crawford: the time of units start … last together."""
    b = exponent(rate)
    return first * math.fsum(unit**b for unit in range(start, last + 1))


def wright_average(first: float, rate: float, units: int) -> float:
    """Wright: the average time of units 1 … n. Never used for forecasts; here so the two are told apart."""
    return float(first * units ** exponent(rate))


def wright_total(first: float, rate: float, units: int) -> float:
    """Wright: the time of units 1 … n together."""
    return units * wright_average(first, rate, units)


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
