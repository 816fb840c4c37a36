"""Standard times, readings needed and learning curves against published values."""

import math

import pytest

from guide.money.stats import (
    fit_curve,
    mean_of_next,
    more_readings,
    readings_needed,
    readings_needed_exactly,
    standard_time,
)


def test_standard_time_is_basic_time_with_the_allowance():
    """[identity] 9 min and 15 % of it."""
    assert standard_time(9.00, 0.15) == pytest.approx(10.35)


def test_readings_needed_are_the_books():
    """[source: ILO worked example, answer from memory] 9; [source, second hand, misprinted 3.87] 3.682 → 4."""
    assert readings_needed_exactly([7, 6, 7, 7, 6], 0.05) == pytest.approx(8.815, abs=5e-4)
    assert readings_needed([7, 6, 7, 7, 6], 0.05) == 9
    assert readings_needed_exactly([8, 7, 8, 9, 7], 0.10) == pytest.approx(3.682, abs=5e-4)
    assert readings_needed([8, 7, 8, 9, 7], 0.10) == 4


def test_it_says_how_many_more_pieces_to_time():
    """[identity] of 6, 8 and 10 the mean is 8, the variance 8/3: (2 / 0.1)²·(8/3)/64 = 16.7, so 17, and 3 are timed."""
    assert more_readings([6, 8, 10]) == 14
    assert more_readings([8, 7, 8, 9, 7]) == 0
    assert readings_needed([7.0, 7.0, 7.0], 0.05) == 0


def test_one_reading_says_nothing_about_spread():
    with pytest.raises(ValueError, match="two readings"):
        readings_needed([7.0], 0.05)


@pytest.mark.parametrize(("rate", "units", "total"), [(0.8, 10, 6.315), (0.9, 10, 7.994), (0.85, 20, 12.402)])
def test_the_units_to_come_add_up_to_the_tabled_sums(rate, units, total):
    """[identity; RAND RM-6191 tabulates them] Crawford's curve, the first unit taking 1."""
    b = math.log(rate) / math.log(2)
    assert units * mean_of_next(b, 1, units) == pytest.approx(total, abs=5e-4)


@pytest.mark.parametrize(("rate", "unit", "time"), [(0.8, 10, 0.4765), (0.9, 10, 0.7047), (0.85, 20, 0.4954)])
def test_one_unit_is_the_difference_of_two_sums(rate, unit, time):
    """[identity; RAND RM-6191 tabulates them]"""
    b = math.log(rate) / math.log(2)
    assert unit * mean_of_next(b, 1, unit) - (unit - 1) * mean_of_next(b, 1, unit - 1) == pytest.approx(time, abs=5e-5)


def test_a_curve_is_found_again_from_its_own_times():
    """[source: an accountancy workbook's 80 %, read as Crawford's] each doubling takes 80 %: 100, 80, 64, 51.2."""
    curve = fit_curve([1, 2, 4, 8], [100, 80, 64, 51.2])
    assert curve.rate == pytest.approx(0.8)
    assert curve.a == pytest.approx(100)
    assert curve.b == pytest.approx(-0.321928, abs=5e-7)


def test_a_curve_agrees_with_scipys_line_through_the_logarithms():
    """[source: SciPy]"""
    stats = pytest.importorskip("scipy.stats")
    units, times = [1, 2, 3, 5, 8, 9, 12], [100, 91, 84, 80, 66, 71, 60]
    judge = stats.linregress([math.log(u) for u in units], [math.log(t) for t in times])
    curve = fit_curve(units, times)
    assert curve.b == pytest.approx(judge.slope)
    assert curve.sure


def test_too_little_evidence_says_so():
    """Six days' runs and 96 % are wanted before a curve is used; days are said, as a making may take several."""
    long = fit_curve([1, 1, 1, 2, 2, 2], [10, 10.1, 9.9, 8.6, 8.5, 8.4])  # six days, of two makes
    assert long.says == "each doubling of makes takes 85 % of the time, from 6 days"
    assert fit_curve([1, 2], [5, 4]) is None
    few = fit_curve([1, 2, 3, 4], [100, 80, 70, 64])
    assert not few.sure
    assert few.says == "4 days: a learning curve needs 6"
    flat = fit_curve([1, 2, 3, 4, 5, 6, 7], [10, 11, 9.5, 10.2, 9.9, 10.6, 10])
    assert not flat.sure
    assert flat.says.startswith("7 days show no clear learning")
    slower = fit_curve([1, 2, 3, 4, 5, 6, 7], [10, 11, 12, 12.5, 13, 13.5, 14])
    assert not slower.sure
