"""How long should it take, and how often must it be timed: the sums of work study.

Source: ILO, Introduction to Work Study, 4th edition 1992, read second hand.
"""

import math
from collections.abc import Sequence

from guide.money.stats import mean_sd, normal_quantile


def basic_time(observed_s: float, rating: float) -> float:
    """What the work takes at standard performance: observed × rating / 100 (100 is the standard)."""
    return observed_s * rating / 100


def standard_time(observed_s: float, rating: float = 100.0, allowance: float = 0.0) -> float:
    """Basic time with the rest allowance, a fraction, on top; in the unit it was given in."""
    return basic_time(observed_s, rating) * (1 + allowance)


def readings_needed_exactly(readings: Sequence[float], within: float = 0.05, sure: float | None = None) -> float:
    """How many readings make the mean good to a fraction `within`, before rounding up.

    `sure` is the level of confidence; without it the book's two standard deviations (95.45 %) are used:
    n = ((2 / within)·√(n'Σx² − (Σx)²) / Σx)².
    """
    if len(readings) < 2:
        raise ValueError("two readings at least")
    mean, sd = mean_sd(readings)
    n = len(readings)
    z = 2.0 if sure is None else normal_quantile(0.5 + sure / 2)
    return (z / within * sd * math.sqrt((n - 1) / n) / mean) ** 2


def readings_needed(readings: Sequence[float], within: float = 0.05, sure: float | None = None) -> int:
    """How many readings in all make the mean good to a fraction `within`."""
    return math.ceil(readings_needed_exactly(readings, within, sure) - 1e-9)


def more_readings(readings: Sequence[float], within: float = 0.10, sure: float | None = None) -> int:
    """How many more: "time four more pieces and this pace is good to 10 %"."""
    return max(0, readings_needed(readings, within, sure) - len(readings))
