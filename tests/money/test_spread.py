"""How sure the paces are: pieces, days and steps told apart, each figure summed by hand [identity].

Makers and times are invented. In `stats` a day's variance is 0.12², worth 4 readings.
"""

import math
import random

import pytest

from guide.money import days as fitted
from guide.money import stats
from guide.money.days import Obs, _days, _mean, _spreads, fit_days, held_days, observe, scattered, widening
from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.model import Seen, Timed
from guide.money.paces import learn
from guide.money.stats import by_chance, mean_sd
from tests.money.hand import lap, plan, record, step


def obs(day: int, y: float, *, own: float, weight: float = 1.0) -> Obs:
    return Obs(day, day + 1.0, y, 1, own, weight, 60.0)


def test_days_differ_as_far_as_their_readings_and_the_prior_say():
    """Two days, 0.24 above and below the step's mean; a reading is as uncertain as a day is: trust 1/2 each.

    In day variances v = 0.12²: 0.24² is 4 v, doubled for two days less the reading's own v: 7 v, at half trust twice
    7 v; with the prior's 4 v over 4 + 2 · 1/2 · 1/2 readings that is 11/4.5 v. Each day is drawn towards none by
    11/4.5 over 11/4.5 + 1: 22/31.
    """
    v = stats.DAY_VAR
    days, day_var = _days({"s": [obs(0, 0.24, own=v), obs(1, -0.24, own=v)]}, {"s": 0.0}, 1.0)
    assert day_var == pytest.approx(11 / 4.5 * 0.0144)
    assert days == pytest.approx({0: 0.24 * 22 / 31, 1: -0.24 * 22 / 31})


def test_one_day_is_taken_to_be_like_any_other():
    """Nothing tells it from the maker's tempo: the prior's variance, and no factor."""
    days, day_var = _days({"s": [obs(0, 0.5, own=0.01)]}, {"s": 0.0}, 1.0)
    assert day_var == pytest.approx(stats.DAY_VAR)
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
    """0.3 at weight 1 and 0.6 at weight 2, on days 0.1 and 0.2 slow: times of e^0.2, and of e^0.4 twice."""
    mine = [obs(0, 0.3, own=0.01), obs(1, 0.6, own=0.01, weight=2.0)]
    assert _mean(mine, {0: 0.1, 1: 0.2}) == pytest.approx(math.log((math.exp(0.2) + 2 * math.exp(0.4)) / 3))


def test_pieces_of_one_day_tell_how_far_a_maker_scatters():
    """Laps of 50, 50 and 70 s, and two pieces in 100 s: about 54 s, squares 16, 16, 256 and 2 · 16 over 54². [identity]

    [identity] Three degrees of freedom: with the prior's ten at 0.25², (10 + Σ / 0.0625) / 13; with six at that for
    the step, which is the only one.
    """
    laps = (
        Timed(50.0, 1, 1),
        Timed(50.0, 1, 2),
        Timed(70.0, 1, 3),
        Timed(100.0, 2, 4),
        Timed(99.0, 1, 5, by_hand=True),
    )
    mine = observe([Seen("a/one", "a/one", "1", "Ada", "", 0, laps, 369.0, 60.0)], {"1": 1.0})
    squares = (16 + 16 + 256 + 2 * 16) / 54**2
    assert (mine[0].within, mine[0].free) == (pytest.approx(squares), 3)
    judged, whole, piece = scattered({"a/one": mine})
    assert whole == pytest.approx((10 + squares / 0.0625) / 13)
    assert piece == pytest.approx({"a/one": (6 * whole + squares / 0.0625) / 9})
    own = judged["a/one"][0].own
    assert judged["a/one"][0].weight == pytest.approx(stats.ONE_PIECE_VAR / (0.0144 * math.sqrt(whole) + own))
    assert own == pytest.approx(0.01 * math.sqrt(whole) + 0.0625 * piece["a/one"] / 6)


def test_days_are_guessed_by_pieces_until_there_are_two():
    """One day alone: the guess, half of it for a maker whose pieces scatter a quarter. [identity]"""
    one = {"s": [obs(0, 0.5, own=0.01)]}
    assert fit_days(one, 2.0).day_var == pytest.approx(0.0144)
    assert fit_days(one, 2.0, 0.25).day_var == pytest.approx(0.0072)


def many(times):
    """A dozen steps, so many days."""
    return {f"a/{n}": [obs(day, math.log(t), own=0.01) for day, t in enumerate(times)] for n in range(12)}


def test_what_a_curves_bend_leaves_open_grows_with_how_far_it_is_followed():
    """The bend's standard error times how far ln of the make lies from the middle, squared. [identity]"""
    rng = random.Random(2)
    falling = many([n**-0.3 * math.exp(rng.gauss(0, 0.03)) for n in range(1, 13)])
    near, far = fit_days(falling, 13.0), fit_days(falling, 500.0)
    curve = near.curve
    assert curve.sure
    logs = [math.log(n) for n in range(1, 13)]
    assert curve.middle == pytest.approx(sum(logs) / 12)
    more = curve.b_se**2 * ((math.log(500) - curve.middle) ** 2 - (math.log(13) - curve.middle) ** 2)
    assert far.tempo_var - near.tempo_var == pytest.approx(more * widening(*near.held) ** 2)
    assert more > 0


def test_how_sure_a_change_is_stays_in_the_range(monkeypatch):
    """Its variance is the tempo's, for all steps together. [identity]"""
    quicker = many([1.0] * 8 + [0.7] * 3)
    before, whole = fit_days(quicker, 12.0), fitted.changed

    def less_sure(*given):
        levels, var = whole(*given)
        return levels, var + 0.01

    monkeypatch.setattr(fitted, "changed", less_sure)
    after = fit_days(quicker, 12.0)
    assert after.tempo_var - before.tempo_var == pytest.approx(0.01 * widening(*before.held) ** 2)


def test_even_pieces_let_days_be_thought_more_even():
    """A quarter of the guess in pieces is half of it in days [identity]; equal pieces are never believed."""
    assert stats.evenness(0.25) == 0.5
    laps = tuple(Timed(60.0, 1, n) for n in range(1000))
    equal = observe([Seen("a/one", "a/one", "1", "Ada", "", 0, laps, 60_000.0, 60.0)], {"1": 1.0})
    assert scattered({"a/one": equal})[1:] == (stats.LEAST_SCATTER, {"a/one": stats.LEAST_SCATTER})


def test_trouble_scatters_as_events_do_that_come_by_chance():
    """Four an hour of 60 s each in 2 h: 480 s in the mean, with a variance of 8 · 2 · 60² (compound Poisson). [memory]

    Over 4,000 draws the mean is known to 4 s, its deviation of 240 s to some 4 s.
    """
    rng = random.Random(9)
    drawn = [by_chance(rng, (900.0, 60.0), 7200.0) for _ in range(4000)]
    mean, sd = mean_sd(drawn)
    assert mean == pytest.approx(480, abs=12)
    assert sd == pytest.approx(240, abs=14)
    assert by_chance(rng, (math.inf, 0.0), 7200.0) == 0


def test_days_are_held_against_what_the_days_before_them_said():
    """Runs 0, 0.1 and −0.5, their pieces certain; a day's variance is guessed at v = 0.01, worth four readings.

    [identity, t quantiles of the tables] The second: 0.1 against t(0.9; 4) = 1.533 times √2v = 0.217: inside. The third:
    0.55 from their mean, against t(0.9; 5) = 1.476 times √(1.5 · (4v + 0.1²/2) / 5) = 0.171: outside.
    """
    assert held_days({1: (0.0, 0.0), 2: (0.1, 0.0), 3: (-0.5, 0.0)}, 0.01) == (1, 2)
    edge = 1.533 * math.sqrt(0.02)
    assert held_days({1: (0.0, 0.0), 2: (edge * 0.999, 0.0)}, 0.01) == (1, 1)
    assert held_days({1: (0.0, 0.0), 2: (edge * 1.001, 0.0)}, 0.01) == (0, 1)
    last = 0.05 - 1.476 * math.sqrt(1.5 * 0.045 / 5)
    assert held_days({1: (0.0, 0.0), 2: (0.1, 0.0), 3: (last * 0.998, 0.0)}, 0.01) == (2, 2)
    assert held_days({1: (0.0, 0.0), 2: (0.1, 0.0), 3: (last * 1.003, 0.0)}, 0.01) == (1, 2)
    # Pieces that leave a variance v: 1.533 √(2v + v); the third, from 0.05, with (4v + 0.1²/2 − v) / 5 = 0.007 a day.
    uncertain = 1.533 * math.sqrt(0.03), 1.476 * math.sqrt(1.5 * 0.007 + 0.01)
    for more, held in ((0.998, 1), (1.002, 0)):
        assert held_days({1: (0.0, 0.01), 2: (uncertain[0] * more, 0.01)}, 0.01) == (held, 1)
        assert held_days({1: (0.0, 0.01), 2: (0.1, 0.01), 3: (0.05 + uncertain[1] * more, 0.01)}, 0.01) == (1 + held, 2)
    assert held_days({1: (0.0, 0.0)}, 0.01) == held_days({}, 0.01) == (0, 0)


def test_ranges_widen_where_days_did_not_hold_and_never_narrow():
    """17 of 21 is four in five; 12 of 21, with eight of ten more, is 64.5 %, 0.925 deviations for 1.282. [normal table]"""
    assert widening(0, 0) == widening(17, 21) == widening(21, 21) == 1
    assert widening(12, 21) == pytest.approx(1.2816 / 0.925, rel=0.002)
    assert widening(2, 3) == pytest.approx(1.2816 / 1.198, rel=0.002)  # 76.9 %


def test_a_maker_whose_days_differ_as_nobody_thought_gets_wider_ranges(monkeypatch):
    """Days half and twice as slow in turn, after five alike: outside what was said, and both step and total know it."""
    rng = random.Random(4)
    shop = [step("a/one", 9, 60.0), step("a/two", 9, 40.0)]
    runs = [0.0, 0.0, 0.0, 0.0, 0.0, 0.6, -0.5, 0.7, -0.6, 0.5]

    def told(days):
        return learn(
            [
                row
                for day, run in enumerate(days)
                for row in glean(
                    record(
                        *(
                            lap(one.key, one.pace_s * math.exp(run + rng.gauss(0, 0.1)), day=day)
                            for one in shop
                            for _ in range(9)
                        ),
                        session=day,
                    ),
                    shop,
                )
            ]
        )

    wild, even = told(runs), told([rng.gauss(0, 0.05) for _ in runs])
    assert wild.held[0] <= 6
    assert wild.held[1] == even.held[1] == 9
    assert even.held[0] >= 7
    said = forecast(plan(*shop), wild).says
    rng = random.Random(4)
    monkeypatch.setattr(fitted, "widening", lambda *_: 1.0)
    alone = told(runs)
    for wide, narrow in ((wild.day_var, alone.day_var), (wild.tempo_var, alone.tempo_var)):
        assert wide == pytest.approx(narrow * widening(*wild.held) ** 2)
    stretched = math.sqrt(wild.day_var / alone.day_var)  # the days, not the interval
    (told_so,) = [line for line in said if line.startswith(f"Of 9 days {wild.held[0]} ran inside")]
    assert told_so.endswith(f"four in five should: days are taken to differ {100 * (stretched - 1):.0f} % more.")
    spans = [forecast(plan(*shop), one).hands_on for one in (wild, alone)]
    wide, narrow = (math.log(one.high / one.low) for one in spans)
    assert 1 < wide / narrow < stretched
    assert not any("ran inside" in line for line in forecast(plan(*shop), even).says)
