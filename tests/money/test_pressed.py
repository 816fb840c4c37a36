"""Keys pressed through are no pace, however often: the starter pace judges them, and the maker may overrule it.

60 s a piece is the starter pace throughout; under a tenth of it, 6 s, nobody sews a cross [memory].
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guide.money.forecast import forecast
from guide.money.paces import pace_of
from guide.money.quote import price_plan
from tests.money.hand import lap, plan, record, step
from tests.money.test_paces import CROSS, learnt, session

TRIM, PIN = step("quilt/trim", 4, 30.0), step("a/pin", 1, 15.0)


def pressed(number, seconds=0.2, pieces=9):
    """A session in which every key was pressed, and nothing sewn."""
    return session([seconds] * pieces, number)


def test_one_session_pressed_through_teaches_nothing():
    """A fifth of a second a piece. Said once for the session, not once a lap."""
    paces = learnt(pressed(0))
    assert pace_of(paces, CROSS) == (60.0, "starter pace")
    assert (paces.sessions, paces.pressed) == (0, (1, 0))
    assert len(paces.flags) == 1
    assert "9 pieces in 2 s, at the starter paces 9 min: keys pressed through?" in paces.flags[0].says
    beside = learnt(session([90] * 9, 0), pressed(1))
    assert beside.steps == learnt(session([90] * 9, 0)).steps
    assert [(flag.n, flag.session > "2026-03-02") for flag in beside.flags] == [(1, True)]


@pytest.mark.parametrize("times", [2, 3, 12])
def test_pressing_through_more_often_makes_it_no_pace(times):
    """The honest session is the one believed, whatever the others say, and it is no slip."""
    alone = learnt(session([186] * 9, 0))
    paces = learnt(session([186] * 9, 0), *(pressed(n) for n in range(1, times + 1)))
    assert paces.steps == alone.steps
    assert paces.sessions == 1
    assert paces.pressed == (times, 0)
    assert not [flag for flag in paces.flags if "forgotten timer" in flag.says]
    assert len(paces.flags) == times


@given(
    honest=st.lists(st.lists(st.floats(20, 400), min_size=1, max_size=6), min_size=0, max_size=4),
    hurried=st.lists(st.lists(st.floats(0.001, 5.9), min_size=1, max_size=6), min_size=1, max_size=6),
    mixed=st.randoms(use_true_random=False),
)
def test_any_number_of_sessions_pressed_through_changes_no_pace(honest, hurried, mixed):
    """[identity] under a tenth of 60 s is under 6 s; whichever came first, and at one time or at several."""
    numbers = list(range(len(honest) + len(hurried)))
    mixed.shuffle(numbers)
    worked = [session(times, n) for times, n in zip(honest, numbers, strict=False)]
    through = [session(times, n) for times, n in zip(hurried, numbers[len(honest) :], strict=True)]
    alone, together = learnt(*worked), learnt(*worked, *through)
    assert together.steps == alone.steps
    told = ("sessions", "days", "tempo", "day_var", "trouble", "curve", "makes")
    assert [getattr(together, name) for name in told] == [getattr(alone, name) for name in told]
    assert together.pressed == (len(through), 0)


@pytest.mark.parametrize("share", [0.5, 0.25, 0.11])
def test_a_really_quick_maker_counts(share):
    """Half the starter pace, a quarter, and a little over a tenth: three sessions of them are the pace."""
    paces = learnt(*(session([60 * share] * 9, n) for n in range(3)))
    assert not paces.flags
    assert paces.pressed == (0, 0)
    assert paces.steps["quilt/cross"].usual_s < 60 * share * 1.5


@pytest.mark.parametrize("order", [1, -1])
def test_honest_work_beside_steps_pressed_through_stays(order):
    """Two steps done before and pressed through, then nine crosses sewn: the crosses count, to the second."""
    laps = [lap("quilt/trim", 0.5, 4), lap("quilt/cross", 70, first=True), *[lap("quilt/cross", 70)] * 8]
    laps.append(lap("a/pin", 0.5))
    paces = learnt(record(*laps[::order]), steps=[CROSS, TRIM, PIN])
    assert list(paces.steps) == ["quilt/cross"]
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(learnt(session([70] * 9)).steps["quilt/cross"].usual_s)
    assert paces.pressed == (0, 1)
    assert ["2 steps: 5 pieces" in flag.says for flag in paces.flags] == [True]


def test_a_piece_sewn_before_all_the_rest_were_pressed_through_stays():
    """The first piece is left out when there are more; here there are none, whatever the keys say."""
    laps = [lap("quilt/cross", 90, first=True, n=1), lap("quilt/cross", 0.4, 8, n=2)]
    assert learnt(record(*laps)).steps["quilt/cross"].usual_s == learnt(session([90])).steps["quilt/cross"].usual_s
    more = [lap("quilt/cross", 90, n=1), lap("quilt/cross", 90, n=2), lap("quilt/cross", 0.4, 7, n=3)]
    assert learnt(record(*more)).steps["quilt/cross"].pieces == 2


def test_a_key_pressed_a_little_late_is_no_work_on_a_day_of_trying_keys():
    """Three seconds on a pin of 15 s are over a tenth of it, among crosses and trims in no time; alone they count."""
    trying = [lap("quilt/cross", 1, 9), lap("quilt/trim", 1, 4), lap("a/pin", 3)]
    paces = learnt(*(record(*trying, session=n) for n in range(4)), steps=[CROSS, TRIM, PIN])
    assert paces.steps == {}
    assert paces.pressed == (4, 0)
    assert learnt(record(lap("a/pin", 3)), steps=[PIN]).steps["a/pin"].pieces == 1


def test_counting_late_is_not_pressing_through():
    """Five pieces of 60 s counted in a burst, also by a maker twice as slow; pressing on after one is no burst."""
    for pace in (60, 120):
        late = learnt(session([pace] * 4 + [5 * pace, 1, 1, 1, 1, pace])).steps["quilt/cross"]
        assert late.pieces == 9
        assert late.usual_s == pytest.approx(learnt(session([pace] * 10)).steps["quilt/cross"].usual_s, rel=0.02)
    on = learnt(session([60, 60, *[0.2] * 9]))
    assert on.steps["quilt/cross"].pieces == 1
    assert on.pressed == (0, 1)


def test_the_maker_has_the_last_word():
    """Laps said to be counted are the pace, however quick or long, and nothing is flagged."""
    for seconds in (0.5, 6000):
        paces = learnt(*(record(lap("quilt/cross", seconds, 9, day=n, sure=True), session=n) for n in range(3)))
        assert not paces.flags
        assert paces.steps["quilt/cross"].pieces == 27


def test_one_lap_pressed_through_leaves_the_others_alone():
    """A batch counted in a moment, days after good ones."""
    good = [record(lap("quilt/cross", 720, 12, day=n), session=n) for n in range(2)]
    mixed = [lap("quilt/cross", 3, 12, day=2), lap("a/one", 900, 1, day=2)]
    paces = learnt(*good, record(*mixed, session=2), steps=[CROSS, step("a/one", 1, 900.0)])
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(learnt(*good).steps["quilt/cross"].usual_s, rel=0.01)
    assert len(paces.flags) == 1


def test_forecast_and_price_say_how_many_were_left_out():
    """Two whole, one in part; the price names the same source."""
    part = record(lap("quilt/trim", 0.5, 4, day=2), *[lap("quilt/cross", 70, day=2)] * 9, session=2)
    paces = learnt(pressed(0), pressed(1), part, steps=[CROSS, TRIM])
    told = forecast(plan(CROSS, TRIM), paces)
    out = "(2 sessions left out and 1 session left out in part: keys pressed through)"
    assert told.rests_on.startswith(f"1 timed session for 1 of 2 steps {out}; the others at the starter paces × ")
    assert any(out in line for line in price_plan(plan(CROSS, TRIM), told).says)
    none = forecast(plan(CROSS), learnt(pressed(0)))
    assert none.rests_on == "starter paces (1 session left out: keys pressed through)"
