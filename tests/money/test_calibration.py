"""The 80 % intervals hold 80 % of the time, measured on simulated makers of known paces.

The makers come from figures of their own (tests/bench/money_rows.py). FRAYWORK_FULL=1 counts 2,000.
"""

import os
from functools import cache
from statistics import median

import pytest
from msgspec.structs import replace

from tests.bench.money_rows import PAST, calibration, share

FULL = os.environ.get("FRAYWORK_FULL") == "1"
MAKERS = 2000 if FULL else 160
COUNTS = PAST if FULL else (1, 3, 10)
# One standard error of a share is 0.9 % with 2,000 makers, 3.2 % with 160: the quick run allows for it.
LOW, HIGH = (0.76, 0.84) if FULL else (0.74, 0.86)

pytestmark = pytest.mark.slow if FULL else []


@cache
def counted():
    return calibration(MAKERS, COUNTS)


@pytest.mark.parametrize("n", [n for n in COUNTS if n >= 3])
def test_from_three_sessions_on_the_interval_holds_four_times_in_five(n):
    """Of a step and of the total, 76 to 84 %."""
    tally = counted()[n]
    assert 0.76 <= share(tally.steps) <= 0.84
    assert LOW <= share(tally.totals) <= HIGH


@pytest.mark.parametrize("n", [n for n in COUNTS if n >= 3])
def test_half_the_interval_would_be_found_out(n):
    """The same bounds refuse intervals of half the width: the test above can fail."""
    tally = counted()[n]
    assert share(tally.half_steps) < 0.70
    assert share(tally.half_totals) < 0.70


def test_more_sessions_make_the_interval_narrower():
    """Median width of the total falls with n."""
    widths = [median(counted()[n].widths) for n in COUNTS]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 1.2 * widths[-1]


def test_forgetting_that_a_days_steps_share_its_run_would_be_found_out():
    """With the days' part given to each step alone, the total is thought too certain for the bounds above."""

    def forgetful(paces):
        return replace(paces, day_var=1e-9, tempo_var=1e-9, spread=2 * paces.spread)

    alone = calibration(MAKERS // 2, (10,), tweak=forgetful)[10]
    assert share(alone.totals) < LOW - 0.05
