"""Forecasts: adding up, updating, sittings and batches."""

import math
from datetime import date

import pytest
from msgspec.structs import replace

from guide.money.checklist import beginner_factors
from guide.money.forecast import forecast, forecast_and_actual, forecast_steps, waits_left
from guide.money.glean import glean
from guide.money.hours import evenings, possible, walk
from guide.money.paces import NONE, learn
from guide.record.model import LATER, Reading, StepRecord, Wait
from tests.money.hand import MORNING, lap, plan, record, step

CUT = step("cut/squares", 10, 30.0)
SEW = step("quilt/cross", 9, 60.0, beginner_factor=3.0)
DRY = step("wash/dry", 1, 480.0, waits_s=3000.0)
BRUSH = step("wash/brush", 1, 300.0)
STEPS = (CUT, SEW, DRY, BRUSH)
SHOP = plan(*STEPS)
STARTER_S = 300 + 540 + 480 + 300


def made(number, times=1.0, steps=STEPS):
    """A session at so many times the starter paces."""
    laps = [lap(s.key, s.pace_s * times, day=number) for s in steps for _ in range(s.pieces)]
    return record(*laps, session=number)


def learnt(*records, **more):
    return learn([one for r in records for one in glean(r, STEPS, **more)])


def test_without_sessions_it_is_the_starter_paces_and_says_so():
    """[identity] the sum of pieces × starter paces, waits apart."""
    told = forecast(SHOP, NONE)
    assert told.hands_on.likely == pytest.approx(STARTER_S)
    assert told.clock.likely == pytest.approx(STARTER_S + 3000)
    assert told.waiting_s == 3000
    assert told.rests_on == "starter paces"
    assert any("nobody timed" in line for line in told.says)
    assert told.hands_on.low < told.hands_on.likely < told.hands_on.high


def test_at_one_session_it_says_it_leans_on_the_starter_paces():
    """One session is little evidence beside them; three are no longer told of."""
    assert any("leans on the starter" in line for line in forecast(SHOP, learnt(made(0))).says)
    three = forecast(SHOP, learnt(made(0), made(1), made(2)))
    assert not any("leans on the starter" in line for line in three.says)
    assert three.rests_on == "3 timed sessions for 4 of 4 steps"


def test_the_likely_total_is_the_sum_of_its_steps():
    """[identity]"""
    told = forecast(SHOP, learnt(made(0, 1.5), made(1, 1.6)))
    assert told.hands_on.likely == pytest.approx(sum(one.hands_on.likely for one in told.steps))
    assert told.steps == forecast_steps(SHOP, learnt(made(0, 1.5), made(1, 1.6)))


@pytest.mark.usefixtures("anew")
def test_the_same_question_gets_the_same_answer():
    """Seeded."""
    paces = learnt(made(0, 1.3))
    assert forecast(SHOP, paces, seed=4) == forecast(SHOP, paces, seed=4)
    assert forecast(SHOP, paces, seed=4).hands_on.low != forecast(SHOP, paces, seed=5).hands_on.low


def test_a_shared_day_makes_the_total_less_certain_than_separate_days():
    """The same work over many days averages the days out."""
    many = plan(*(step(f"s/{n}", 4, 300.0) for n in range(12)))
    paces = replace(NONE, day_var=0.04, tempo_var=0.0001, sessions=30)
    one, twelve = forecast(many, paces), forecast(many, paces, sitting_s=1200.0)
    assert (twelve.hands_on.high - twelve.hands_on.low) < 0.8 * (one.hands_on.high - one.hands_on.low)


def test_what_is_done_is_certain_and_the_rest_is_updated():
    """Half way on a day twice as slow: the rest is expected slower too, but by less."""
    paces = learnt(*(made(n) for n in range(5)))
    laps = [lap(CUT.key, 60, day=9) for _ in range(10)] + [lap(SEW.key, 120, day=9) for _ in range(4)]
    now = record(*laps, session=9, state="open")
    now.steps[CUT.key].state = "done"
    told = forecast(SHOP, paces, record=now)
    assert told.done_s == 600 + 480
    left = {one.key: one for one in told.steps}
    assert left[CUT.key].left == 0
    assert left[CUT.key].hands_on.likely == 0
    assert left[SEW.key].left == 5
    assert 1.05 < told.today < 2
    assert 300 * 1.05 < left[SEW.key].hands_on.likely < 600
    assert any("slower than usual" in line for line in told.says)
    before = forecast(SHOP, paces)
    assert (told.hands_on.high - told.hands_on.low) < (before.hands_on.high - before.hands_on.low) * 1.6


def test_a_beginner_at_a_beginners_pace_has_an_ordinary_day():
    """Held against the same factors the forecast uses. [identity]"""
    paces, factors = learnt(*(made(n) for n in range(5))), beginner_factors(SHOP)
    now = record(*(lap(SEW.key, 180, day=9) for _ in range(4)), session=9, state="open")
    assert forecast(SHOP, paces, record=now, factors=factors).today == pytest.approx(1, abs=0.01)
    assert forecast(SHOP, paces, record=now).today > 1.05


def test_keys_pressed_through_make_no_quick_day():
    """Four pieces of five minutes in four seconds are no work: the day is as usual."""
    paces = learnt(*(made(n) for n in range(5)))
    now = record(*(lap(SEW.key, 1, day=9) for _ in range(4)), session=9, state="open")
    told = forecast(SHOP, paces, record=now)
    assert told.today == 1
    assert not any("than usual" in line for line in told.says)
    slow = record(*(lap(CUT.key, 60, day=9) for _ in range(10)), lap(SEW.key, 1, day=9), session=9, state="open")
    assert forecast(SHOP, paces, record=slow).today > 1.05


def test_when_all_is_done_nothing_is_left_to_guess():
    """[identity]"""
    now = made(3, 1.2)
    now.steps[DRY.key].laps[0] = replace(now.steps[DRY.key].laps[0], end=MORNING)
    told = forecast(SHOP, learnt(made(0)), record=now)
    assert told.hands_on.likely == pytest.approx(told.done_s)
    assert told.hands_on.low == told.hands_on.high == told.hands_on.likely
    assert told.waiting_s == 0


def test_a_wait_not_begun_is_still_to_come_and_one_of_a_step_done_is_not():
    """3,000 s of drying: all of it while the step is open, none of it once it is done without one being kept."""
    begun = Reading(MORNING, 60, 0, 0, "b")
    for state, left in (("open", 3000), ("done", 0)):
        now = record(lap(DRY.key, 60), state=state)
        now.last = begun
        assert waits_left(DRY, now) == left


def test_a_running_wait_counts_down():
    """20 of 50 minutes gone."""
    begun = Reading(MORNING, 60, 0, 0, "b")
    now = record(lap(DRY.key, 480), session=3)
    now.waits.append(Wait(DRY.key, 5, begun))
    now.last = replace(begun, wall=MORNING + 1_200_000)
    assert forecast(SHOP, NONE, record=now).waiting_s == 1800
    now.waits[0] = replace(now.waits[0], over=True)
    assert forecast(SHOP, NONE, record=now).waiting_s == 0


def test_a_skipped_step_takes_no_time():
    """[identity]"""
    now = record(lap(CUT.key, 300, 10), session=3)
    now.steps[SEW.key] = replace(now.step(SEW.key), state="skipped")
    told = forecast(SHOP, NONE, record=now)
    assert next(one for one in told.steps if one.key == SEW.key).left == 0


@pytest.mark.parametrize(("why", "still"), [(LATER, True), ("not needed here", False), ("", False)])
def test_a_step_put_off_is_still_to_do_and_a_skipped_one_is_not(why, still):
    """Its time and its wait are in what is to come, or neither is; its pieces done stay done. [identity]"""
    now = record(lap(CUT.key, 300, 10), lap(SEW.key, 60), lap(BRUSH.key, 300), session=3)
    now.steps[SEW.key] = replace(now.step(SEW.key), state="skipped", why=why)
    now.steps[DRY.key] = StepRecord(DRY.key, "skipped", why=why)
    told = forecast(SHOP, NONE, record=now)
    left = {one.key: one.left for one in told.steps}
    assert (left[SEW.key], left[DRY.key]) == ((8, 1) if still else (0, 0))
    assert told.waiting_s == (3000 if still else 0)


@pytest.mark.parametrize(
    ("work", "sitting_s", "expected"),
    [
        ([(3600, 0), (3600, 0)], None, (7200, 7200, 1)),
        ([(3600, 600)], None, (3600, 4200, 1)),
        ([(3600, 0), (3600, 0)], 3600, (7200, 7200, 2)),
        ([(9000, 0)], 3600, (9000, 9000, 3)),
        ([(7200, 0)], 3600, (7200, 7200, 2)),
        ([(1800, 600), (600, 0)], 3600, (2400, 3000, 1)),  # the wait fits
        ([(1800, 3000), (600, 0)], 3600, (2400, 2400, 2)),  # it does not, and runs on overnight
        ([(1800, 3000)], 3600, (1800, 1800, 1)),  # nothing after it
    ],
)
def test_work_falls_into_sittings(work, sitting_s, expected):
    """[identity]"""
    assert walk(work, sitting_s) == expected


def test_six_by_the_twelfth_at_two_hours_an_evening():
    """Twelve hours of sure work: six evenings are enough, five are not."""
    sure = replace(NONE, day_var=1e-8, tempo_var=1e-10, spread=1e-8, sessions=30)
    six = plan(*(step(f"s/{n}", 6, 588.0) for n in range(12)), make=6)  # 11.76 h
    told = forecast(six, replace(sure, steps=_exactly(six)), sitting_s=7200.0)
    assert evenings(date(2026, 3, 7), date(2026, 3, 12)) == 6
    assert evenings(date(2026, 3, 7), date(2026, 3, 12), frozenset(range(5))) == 4  # no weekend: 7 March is Saturday
    assert possible(told, 6).answer == "yes"
    assert possible(told, 5).answer == "no"
    assert possible(told, 0).chance == 0
    assert "2 h" in possible(told, 6).says
    with pytest.raises(ValueError, match="without sittings"):
        possible(forecast(six, sure), 6)


def _exactly(wanted):
    """Paces a maker has shown with no scatter at all."""
    many = learn(
        one
        for n in range(3)
        for one in glean(
            record(*(lap(s.key, s.pace_s, day=n) for s in wanted.steps for _ in range(s.pieces)), session=n),
            wanted.steps,
        )
    )
    return {k: replace(p, spread=1e-8, mean_var=1e-10) for k, p in many.steps.items()}


def test_chances_rise_to_one():
    """[identity] a cumulative share."""
    told = forecast(SHOP, learnt(made(0, 1.4)), sitting_s=600.0)
    assert list(told.chances) == sorted(told.chances)
    assert told.chances[-1] == pytest.approx(1)
    assert told.sittings.low <= told.sittings.likely <= told.sittings.high


def test_learning_is_used_for_a_batch_only_with_enough_evidence():
    """85 % over eight sessions: the next six are expected quicker than the last one was. [identity]"""
    b = math.log(0.85) / math.log(2)
    makes = [made(n, (n + 1) ** b) for n in range(8)]
    paces = learnt(*makes)
    assert paces.curve.sure
    assert paces.curve.rate == pytest.approx(0.85, abs=0.02)
    one = forecast(SHOP, paces).hands_on.likely
    assert one == pytest.approx(STARTER_S * 9**b, rel=0.08)
    six = forecast(replace(SHOP, project=replace(SHOP.project, make=6)), paces).hands_on.likely
    expected = sum(unit**b for unit in range(9, 15)) / 6 / 9**b
    assert six / one == pytest.approx(expected, abs=0.01)
    few = learnt(*makes[:4])
    assert not few.curve.sure
    assert forecast(SHOP, few).hands_on.likely > one


def test_forecast_and_actual_stand_side_by_side():
    """For the log: ratio [identity] and whether it lay inside."""
    paces = learnt(*(made(n) for n in range(3)))
    today = record(lap(CUT.key, 340, 10), lap(SEW.key, 2700, 9, trouble_s=60), session=5)
    rows = forecast_and_actual(SHOP, paces, today)
    assert [row.key for row in rows] == [CUT.key, SEW.key]
    assert rows[0].within
    assert not rows[1].within
    assert rows[1].ratio == pytest.approx(2700 / rows[1].forecast.likely)
