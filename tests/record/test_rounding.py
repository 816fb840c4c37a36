"""One rule for every time that is shown: the nearest whole second or minute, halves up [identity: Decimal's HALF_UP]."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.money.hours import clock_text
from guide.record.clock import exact_text, nearest, time_text

DAY_MS = 24 * 3_600_000


@given(ms=st.integers(0, DAY_MS), unit_s=st.sampled_from([1, 60]))
def test_a_time_is_rounded_to_the_nearest_whole_halves_up(ms, unit_s):
    """To the ms, whatever the float made of it."""
    exact = (Decimal(ms) / 1000 / unit_s).quantize(Decimal(1), ROUND_HALF_UP)
    assert nearest(ms / 1000, unit_s) == exact


@pytest.mark.parametrize("whole", [4, 5, 216, 217, 599])
def test_all_that_say_minutes_say_the_same(whole):
    """On the half minute and 1 ms before it: 216.5 min are 3 h 37, a ms less 3 h 36."""
    for ms, told in ((whole * 60_000 + 30_000, whole + 1), (whole * 60_000 + 29_999, whole)):
        hours, rest = divmod(told, 60)
        short = f"{hours} h {rest:02d}" if hours else f"{rest} min"
        assert time_text(ms / 1000) == time_text(ms / 1000, in_minutes=True) == short
        assert clock_text(ms / 1000) == f"{hours:02d}:{rest:02d}"


@pytest.mark.parametrize(
    ("ms", "told"), [(0, "0 s"), (80_000, "80 s"), (89_499, "89 s"), (89_999, "90 s"), (90_000, "2 min")]
)
def test_a_short_time_is_said_in_seconds_wherever_it_stands(ms, told):
    """Up to a minute and a half: 80 s said as 1 min would be a quarter off [practice]."""
    assert time_text(ms / 1000) == told


def test_a_stopwatch_s_time_goes_up_at_the_half_second():
    """[identity]"""
    assert [exact_text(ms / 1000) for ms in (40_499, 40_500, 41_500, 59_500)] == ["0:40", "0:41", "0:42", "1:00"]
