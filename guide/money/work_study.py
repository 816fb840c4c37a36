"""How long should it take, and how often must it be timed: the sums of work study.

Source: ILO, Introduction to Work Study, 4th edition 1992, read second hand.
"""

import math
from collections.abc import Sequence

from guide.money.stats import mean_sd


def standard_time(basic_s: float, allowance: float) -> float:
    """Basic time with the rest allowance, a fraction, on top; in the unit it was given in."""
    return basic_s * (1 + allowance)


def readings_needed_exactly(readings: Sequence[float], within: float) -> float:
    """How many readings make the mean good to a fraction `within`, before rounding up.

    The book's two standard deviations (95.45 %): n = ((2 / within)·√(n'Σx² − (Σx)²) / Σx)². Raises ValueError
    for fewer than two readings.
    """
    if len(readings) < 2:
        raise ValueError("two readings at least")
    mean, sd = mean_sd(readings)
    n = len(readings)
    return (2 / within * sd * math.sqrt((n - 1) / n) / mean) ** 2


def readings_needed(readings: Sequence[float], within: float) -> int:
    """How many readings in all make the mean good to a fraction `within`."""
    return math.ceil(readings_needed_exactly(readings, within) - 1e-9)


def more_readings(readings: Sequence[float]) -> int:
    """How many more: "time four more pieces and this pace is good to 10 %"."""
    return max(0, readings_needed(readings, 0.10) - len(readings))
