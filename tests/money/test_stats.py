"""Statistics against published values and SciPy."""

import math
import random
from pathlib import Path

import pytest

from guide.money.stats import (
    fit_line,
    mean_sd,
    normal_quantile,
    normals_of,
    quantile,
    t_quantile,
    t_tail,
    weighted_median,
)

scipy_stats = pytest.importorskip("scipy.stats")


def test_mean_and_sd_of_large_values_with_a_small_spread_are_nists():
    """[source: NIST StRD NumAcc1, NumAcc4]: one-pass variance fails both."""
    assert mean_sd([10000001.0, 10000003.0, 10000002.0]) == (10000002.0, 1.0)
    mean, sd = mean_sd([10000000.2] + [10000000.1, 10000000.3] * 500)
    assert mean == pytest.approx(10000000.2, rel=1e-15)
    assert sd == pytest.approx(0.1, rel=1e-7)  # the values themselves are only held to 2e-9


def test_one_value_has_no_spread_and_none_is_refused():
    """[identity]"""
    assert mean_sd([4.0]) == (4.0, 0.0)
    with pytest.raises(ValueError, match="no values"):
        mean_sd([])


def norris() -> tuple[list[float], list[float]]:
    import scipy.stats

    path = Path(scipy.stats.__file__).parent / "tests/data/nist_linregress/Norris.dat"
    if not path.exists():
        pytest.skip("this SciPy ships no NIST data")
    lines = path.read_text(encoding="utf-8").splitlines()[60:]
    pairs = [tuple(map(float, line.split())) for line in lines if len(line.split()) == 2]
    return [x for _, x in pairs], [y for y, _ in pairs]


def test_a_straight_line_through_norris_is_nists():
    """[source: NIST StRD Norris, certified values]"""
    xs, ys = norris()
    assert len(xs) == 36
    line = fit_line(xs, ys)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-11)
    assert line.slope_se == pytest.approx(scipy_stats.linregress(xs, ys).stderr, rel=1e-9)  # [source: SciPy]


def test_a_line_needs_two_different_x_and_two_points_have_no_error():
    """[identity]"""
    assert fit_line([1, 2], [3, 5]).slope == pytest.approx(2)
    assert fit_line([1, 2], [3, 5]).slope_se == math.inf
    with pytest.raises(ValueError, match="two different x"):
        fit_line([2, 2], [1, 3])


@pytest.mark.parametrize("freedom", [0.7, 1, 2, 3, 4.5, 6, 9, 21, 30, 99.5, 1000])
@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.6, 0.9, 0.95, 0.975, 0.999])
def test_students_t_agrees_with_scipy(share, freedom):
    """[source: SciPy]"""
    assert t_quantile(share, freedom) == pytest.approx(scipy_stats.t.ppf(share, freedom), rel=1e-9, abs=1e-12)
    t = abs(scipy_stats.t.ppf(share, freedom)) + 0.1
    assert t_tail(t, freedom) == pytest.approx(scipy_stats.t.sf(t, freedom), rel=1e-9)


@pytest.mark.parametrize("share", [1e-6, 0.1, 0.5, 0.9, 0.977249868])
def test_the_normal_agrees_with_scipy(share):
    """[source: SciPy]"""
    assert normal_quantile(share) == pytest.approx(scipy_stats.norm.ppf(share), rel=1e-9, abs=1e-12)


def test_the_t_quantile_gives_the_textbooks_prediction_interval():
    """[source: Montgomery & Runger, Ex. 8-8]: x̄ ± t·s·√(1 + 1/n), n 22, mean 13.71, s 3.55, 95 % → 6.16 to 21.26."""
    half = t_quantile(0.975, 21) * 3.55 * math.sqrt(1 + 1 / 22)
    assert (round(13.71 - half, 2), round(13.71 + half, 2)) == (6.16, 21.26)


def test_quantiles_agree_with_numpys_default_rule():
    """[source: SciPy's own numpy, linear rule]"""
    numpy = pytest.importorskip("numpy")
    values = sorted([3.0, 8.0, 1.0, 9.5, 4.2, 4.2, 7.0])
    for share in (0, 0.1, 0.25, 0.5, 0.9, 1):
        assert quantile(values, share) == pytest.approx(float(numpy.quantile(values, share)))


def test_a_weighted_median_is_the_plain_one_of_repeated_values():
    """[identity]"""
    assert weighted_median([(5.0, 3.0), (60.0, 1.0), (4.0, 1.0)]) == sorted([5, 5, 5, 60, 4])[2]


def test_normal_draws_are_pythons_own():
    """[source: random.gauss of Python's library], value for value, with other draws in between."""
    ours, theirs = random.Random(5), random.Random(5)
    normals = normals_of(ours)
    for _ in range(20):
        assert ours.gammavariate(2.5, 1.0) == theirs.gammavariate(2.5, 1.0)
        assert [next(normals) for _ in range(5)] == [theirs.gauss(0, 1) for _ in range(5)]
