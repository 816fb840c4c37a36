"""How sure the paces are: days, steps and sessions told apart, each figure summed by hand [identity].

Makers and times are invented. `prior`: a day's variance is 0.12², a session's of trouble 0.03², each worth 4 readings.
"""

import math

import pytest

from guide.money import prior
from guide.money.days import Obs, _days, _mean, _spreads
from guide.money.model import Seen, Timed
from guide.money.paces import besides_of


def obs(day: int, y: float, *, own: float, weight: float = 1.0) -> Obs:
    return Obs(day, day + 1.0, y, 1, own, weight, 60.0)


def test_days_differ_as_far_as_their_readings_and_the_prior_say():
    """Two days, 0.24 above and below the step's mean; a reading is as uncertain as a day is: trust 1/2 each.

    In day variances v = 0.12²: 0.24² is 4 v, doubled for two days less the reading's own v: 7 v, at half trust twice
    7 v; with the prior's 4 v over 4 + 2 · 1/2 · 1/2 readings that is 11/4.5 v. Each day is drawn towards none by
    11/4.5 over 11/4.5 + 1: 22/31.
    """
    v = prior.DAY_VAR
    days, day_var = _days({"s": [obs(0, 0.24, own=v), obs(1, -0.24, own=v)]}, {"s": 0.0}, 1.0, 2)
    assert day_var == pytest.approx(11 / 4.5 * 0.0144)
    assert days == pytest.approx({0: 0.24 * 22 / 31, 1: -0.24 * 22 / 31})


def test_one_day_is_taken_to_be_like_any_other():
    """Nothing tells it from the maker's tempo: the prior's variance, and no factor."""
    days, day_var = _days({"s": [obs(0, 0.5, own=0.01)]}, {"s": 0.0}, 1.0, 1)
    assert day_var == pytest.approx(prior.DAY_VAR)
    assert days == {0: 0}


def test_a_step_scatters_as_its_readings_the_others_and_the_prior_say():
    """Two steps, so half of each reading is free: a has 2 readings, ±0.1, b has 3: 0 and ±0.2; all of variance 0.01.

    a: 1 + 1 = 2 over 1/2 degree of freedom, b: 4 + 4 = 8 over 1. All, with the prior's 10 at 1: 20 / 11.5; each step
    with six at that: (6 · 20/11.5 + 2) / 6.5 and (6 · 20/11.5 + 8) / 7.
    """
    a = [obs(0, 0.1, own=0.01), obs(1, -0.1, own=0.01)]
    b = [obs(0, 0.0, own=0.01), obs(1, 0.2, own=0.01), obs(2, -0.2, own=0.01)]
    spread, spreads = _spreads({"a": a, "b": b}, {"a": 0.0, "b": 0.0}, {0: 0.0, 1: 0.0, 2: 0.0})
    assert spread == pytest.approx(20 / 11.5)
    assert spreads == pytest.approx({"a": (6 * 20 / 11.5 + 2) / 6.5, "b": (6 * 20 / 11.5 + 8) / 7})


def test_a_steps_mean_is_weighed_by_its_pieces_and_freed_of_the_days():
    """0.3 at weight 1 and 0.6 at weight 2, on days 0.1 and 0.2 slow: (0.2 + 2 · 0.4) / 3."""
    mine = [obs(0, 0.3, own=0.01), obs(1, 0.6, own=0.01, weight=2.0)]
    assert _mean(mine, {0: 0.1, 1: 0.2}) == pytest.approx(1.0 / 3)


def session(name: str, trouble_s: float) -> Seen:
    laps = (Timed(60.0, 1, 2), Timed(60.0, 1, 3))
    return Seen("a/one", "a/one", name, "Ada", "", 0, laps, 120.0 + trouble_s, 60.0)


def test_trouble_varies_from_session_to_session():
    """Two minutes of pace, 12 s of trouble in one session and none in the other: 1.1 and 1 times the pace.

    What it adds is a rate: half a trouble in 5 h by the prior and one in 240 s, each 180 s six times and 12 s once. The logarithms' deviation is ln 1.1 / √2; with the prior's four readings of
    0.03² that is (4 · 0.0009 + sd²) / 5, and half as much again, for the mean of two is uncertain too.
    """
    share, var = besides_of([[session("1", 12.0), session("2", 0.0)]])
    sd = math.log(1.1) / math.sqrt(2)
    assert share == pytest.approx(1 + 1.5 / (5 + 240 / 3600) * (6 * 180 + 12) / 7 / 3600)
    assert var == pytest.approx((4 * 0.0009 + sd**2) / 5 * 1.5)
