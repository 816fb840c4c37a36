"""Paces: what counts, what is left out, and what a forgotten timer may do."""

import math
import random
import tracemalloc

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.money import stats
from guide.money.forecast import forecast
from guide.money.glean import counted_labour_s, glean
from guide.money.model import Seen, Timed
from guide.money.paces import NONE, learn, pace_of
from guide.money.stats import weight
from tests.money.hand import lap, plan, record, step

CROSS = step("quilt/cross", 9, 60.0, effort=0.25, effort_noun="m")


def session(seconds, number=0, *, key="quilt/cross", day=None, **more):
    """One session of one step, piece by piece; the first lap is marked as the first piece."""
    day = number if day is None else day
    laps = [lap(key, s, first=i == 0, day=day, n=10 * i) for i, s in enumerate(seconds)]
    return record(*laps, session=number, **more)


def learnt(*records, steps=(CROSS,), **more):
    return learn([one for r in records for one in glean(r, steps)], **more)


def test_without_sessions_paces_are_the_starter_paces():
    """[identity]"""
    assert pace_of(NONE, CROSS) == (60.0, "starter pace")
    assert learn([]) == NONE


def test_twelve_pieces_on_one_day_tell_as_much_as_about_three_on_three_days():
    """What `stats.weight` says of itself [identity from its own figures]; one piece weighs one."""
    assert weight(1) == 1
    assert weight(12) == pytest.approx(3, abs=0.1)


def test_the_starter_pace_counts_as_one_piece():
    """One piece at 240 s beside the starter's 60 s: the geometric middle of the two, tempo apart. [identity]"""
    one = step("a/one", 1, 60.0)
    paces = learnt(session([240], key="a/one"), steps=[one])
    middle = paces.steps["a/one"]
    assert middle.starter_share == pytest.approx(0.5)
    expected = math.exp(0.5 * (math.log(60) + paces.tempo) + 0.5 * math.log(240))
    assert middle.usual_s == pytest.approx(expected)


def test_one_session_helps_and_twenty_drown_the_starter_pace():
    """True pace 90 s, starter 60 s: one piece beside nearly three (`stats.weight`), then beside twenty times that."""
    one = learnt(session([90] * 9)).steps["quilt/cross"]
    twenty = learnt(*(session([90] * 9, n) for n in range(20))).steps["quilt/cross"]
    assert 70 < one.usual_s < 90
    assert twenty.usual_s == pytest.approx(90, rel=0.02)
    assert twenty.starter_share < 0.03 < one.starter_share


def test_pace_is_known_per_piece_and_per_metre():
    """[identity] 0.25 m a piece, so four pieces a metre."""
    pace = learnt(session([80] * 9)).steps["quilt/cross"]
    assert pace.per_effort_s == pytest.approx(pace.usual_s * 4)
    assert pace.noun == "m"


def test_the_first_piece_is_left_out_when_there_are_more():
    """Equal paces but for a slow first piece give the same pace as without it: it is mostly setting up. [practice]"""
    slow = learnt(session([150, 60, 60, 60])).steps["quilt/cross"]
    assert slow.pieces == 3
    assert slow.usual_s == pytest.approx(60)
    alone = learnt(session([150])).steps["quilt/cross"]
    assert alone.pieces == 1
    assert alone.usual_s > 80


def test_trouble_is_in_the_labour_and_not_in_the_pace():
    """An hour of unpicking is paid for, but is not how long the step takes. [practice]

    Once in 180 s at the pace, 300 s long: beside the prior's trouble in 5 h, and six of 180 s, that is two in
    5.05 h of (6 · 180 + 300) / 7 s. [identity]
    """
    laps = [lap("quilt/cross", 60), lap("quilt/cross", 360, trouble_s=300), lap("quilt/cross", 60)]
    assert counted_labour_s(record(*laps)) == 480
    paces = learnt(record(*laps))
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(60)
    assert paces.trouble.share == pytest.approx(2 / 5.05 * (1380 / 7) / 3600)


def test_a_lap_not_counted_is_in_neither():
    """The maker said so."""
    laps = [lap("quilt/cross", 60), lap("quilt/cross", 200, counted=False), lap("quilt/cross", 60)]
    assert counted_labour_s(record(*laps)) == 120
    assert learnt(record(*laps)).steps["quilt/cross"].pieces == 2


def test_a_piece_put_aside_and_taken_up_again_is_one_piece():
    """[identity] 20 + 40 s."""
    laps = [lap("quilt/cross", 60), lap("quilt/cross", 20, 0), lap("quilt/cross", 40), lap("quilt/cross", 60)]
    assert learnt(record(*laps)).steps["quilt/cross"].usual_s == pytest.approx(60)


def test_rehearsals_never_count_and_practice_only_when_asked():
    """Nobody sewed in a rehearsal; practice is sewn, but not for keeps."""
    assert glean(session([90] * 4, mode="rehearsal"), [CROSS], practice=True) == ()
    assert glean(session([90] * 4, mode="practice"), [CROSS]) == ()
    assert len(glean(session([90] * 4, mode="practice"), [CROSS], practice=True)) == 1


def test_rows_of_an_each_step_share_one_pace():
    """`cut/strips:moss check` is learnt as cut/strips, and serves a print never cut before."""
    moss, clay = step("cut/strips:moss check", 3, 45.0), step("cut/strips:clay dot", 3, 45.0)
    laps = [lap(moss.key, 90, 3), lap(clay.key, 110, 3)]
    paces = learnt(record(*laps), steps=[moss, clay])
    assert list(paces.steps) == ["cut/strips"]
    assert paces.steps["cut/strips"].pieces == 6
    assert pace_of(paces, step("cut/strips:new leaf", 5, 45.0))[0] < 45


def test_a_pace_moves_with_the_size_of_the_work():
    """Learnt as a ratio to the starter pace: twice the starter at the new size, twice the pace. [identity]"""
    paces = learnt(*(session([90] * 9, n) for n in range(20)))
    small, large = step("quilt/cross", 9, 60.0), step("quilt/cross", 9, 120.0)
    assert pace_of(paces, large)[0] == pytest.approx(2 * pace_of(paces, small)[0])


def test_makers_are_kept_apart_and_beginners_too():
    """By maker; work done for a beginner never teaches the practised pace."""
    ada, bo = session([60] * 5, 0, maker="Ada"), session([120] * 5, 1, maker="Bo")
    novice = session([200] * 5, 2, maker="Ada", whom="beginner")
    assert learnt(ada, bo, novice, maker="Ada").steps["quilt/cross"].usual_s == pytest.approx(60)
    assert learnt(ada, bo, novice, maker="Bo").steps["quilt/cross"].usual_s > 90
    assert learnt(ada, bo, novice, maker="Ada", whom="beginner").steps["quilt/cross"].usual_s > 120


@pytest.mark.parametrize("at", range(9))
@pytest.mark.parametrize("sessions", [1, 3])
def test_a_forgotten_timer_hardly_moves_the_pace_and_is_flagged(at, sessions):
    """One piece × 50 moves the usual pace by less than 10 %, whichever piece it is."""
    rng = random.Random(at)
    times = [[60 * math.exp(rng.gauss(0, 0.2)) for _ in range(9)] for _ in range(sessions)]
    good = learnt(*(session(t, n) for n, t in enumerate(times)))
    times[-1][at] *= 50
    bad = learnt(*(session(t, n) for n, t in enumerate(times)))
    usual, moved = good.steps["quilt/cross"].usual_s, bad.steps["quilt/cross"].usual_s
    assert abs(moved / usual - 1) < 0.10
    assert not good.flags
    assert [flag.n for flag in bad.flags] == [10 * at + 1]
    assert "forgotten timer" in bad.flags[0].says
    assert bad.trouble.share == pytest.approx(good.trouble.share, rel=0.01)  # nor does it look like trouble


def test_a_forgotten_timer_on_the_only_piece_is_flagged_too():
    """One piece, 50 × the starter pace."""
    one = step("a/one", 1, 60.0)
    paces = learnt(session([3000], key="a/one"), steps=[one])
    assert len(paces.flags) == 1
    assert pace_of(paces, one)[0] == 60
    also = learnt(session([66], 0, key="a/one"), session([3000], 1, key="a/one"), steps=[one])
    assert len(also.flags) == 1


@pytest.mark.parametrize(("seconds", "flagged"), [(480, False), (480.001, True)])
def test_the_only_lap_is_believed_up_to_eight_times_the_starter_pace(seconds, flagged):
    """8 · 60 s is still a piece; a millisecond more is a forgotten timer [identity]."""
    paces = learnt(session([seconds], key="a/one"), steps=[step("a/one", 1, 60.0)])
    assert len(paces.flags) == flagged
    assert ("a/one" in paces.steps) != flagged


def test_a_batch_with_a_forgotten_timer_is_flagged_beside_other_sessions():
    """One of twelve × 50 makes the batch five times as long."""
    batch = [record(lap("quilt/cross", 720, 12, day=n), session=n) for n in range(3)]
    batch.append(record(lap("quilt/cross", 720 + 49 * 60, 12, day=3), session=3))
    paces = learnt(*batch)
    assert len(paces.flags) == 1
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(60, rel=0.02)


def test_a_flagged_lap_still_costs_labour():
    """It is left out of the pace; only the maker takes time off."""
    assert counted_labour_s(session([60, 60, 3000, 60])) == 3180


def test_counting_late_is_no_forgotten_timer():
    """Five pieces of 60 s counted in a burst after the fifth: one long lap, four short ones."""
    late = learnt(session([60, 60, 60, 60, 300, 1, 1, 1, 1, 60, 60]))
    assert not late.flags
    assert late.steps["quilt/cross"].usual_s == pytest.approx(60, rel=0.05)


def test_a_slow_maker_is_not_one_long_forgotten_timer():
    """Four times the starter pace throughout is a pace."""
    slow = learnt(session([240] * 9))
    assert not slow.flags
    assert slow.steps["quilt/cross"].usual_s > 150


def test_a_steady_gain_is_a_trend_and_scatter_is_none():
    """5 % quicker each day [identity]; noise alone has no trend."""
    rng = random.Random(3)
    falling = learnt(*(session([100 * 0.95**n] * 5, n) for n in range(5)))
    assert falling.steps["quilt/cross"].trend == pytest.approx(-0.05, abs=0.002)
    noisy = learnt(*(session([100 * math.exp(rng.gauss(0, 0.2))] * 5, n) for n in range(12)))
    assert noisy.steps["quilt/cross"].trend is None


def test_tempo_carries_over_to_a_step_never_done():
    """A maker half as quick on ten steps is expected slower on the eleventh, but not quite so much."""
    steps = [step(f"s/{n}", 5, 60.0) for n in range(10)]
    laps = [lap(s.key, 120, day=0) for s in steps for _ in range(5)]
    paces = learnt(record(*laps), steps=steps)
    assert 90 < pace_of(paces, step("s/new", 1, 60.0))[0] < 120


def test_one_odd_reading_of_a_short_step_says_little_of_all_others():
    """Fetching the ruler takes the same minute in a step of 45 seconds and in one of an hour: it is no tempo."""
    short, long = step("a/short", 1, 45.0), step("a/long", 8, 450.0)
    of_short = learnt(session([180], key=short.key), steps=[short])
    of_long = learnt(session([1800] * 8, key=long.key), steps=[long])
    assert abs(of_short.tempo) < math.log(1.1)
    assert math.log(1.1) < of_long.tempo < math.log(2)


def test_one_forgotten_timer_is_no_tempo():
    """Nine steps at the starter pace and one nine times as slow: a maker at the starter pace, within a few parts in a hundred."""
    steps = [step(f"s/{n}", 5, 300.0) for n in range(10)]
    laps = [lap(s.key, 2700 if s is steps[0] else 300, day=0) for s in steps for _ in range(5)]
    assert abs(learnt(record(*laps), steps=steps).tempo) < math.log(1.05)


def test_a_tempo_known_by_one_step_is_less_certain_than_by_thirty():
    """On one day each: what is not known yet stays in the range."""
    steps = [step(f"s/{n}", 5, 300.0) for n in range(30)]
    laps = [lap(s.key, 330, day=0) for s in steps for _ in range(5)]
    told = [learnt(record(*laps[: 5 * n]), steps=steps) for n in (1, 30)]
    one, thirty = (paces.tempo_var + paces.lean_var for paces in told)
    assert one > 2 * thirty
    assert thirty > told[1].day_var * 0.8  # one day: its own run cannot be told from the tempo
    assert one < stats.TEMPO_VAR
    never = plan(*(step(f"n/{n}", 5, 300.0) for n in range(10)))
    by_one, by_thirty = (forecast(never, paces).hands_on for paces in told)
    assert by_one.high / by_one.low > 1.1 * by_thirty.high / by_thirty.low
    assert by_one.low < 10 * 5 * 300.0 < by_one.high


def test_a_step_without_a_starter_pace_has_no_part_in_the_tempo():
    """A step gone from the plan has nothing to be held against."""
    gone, kept = step("a/gone", 5, 60.0), step("a/kept", 5, 60.0)
    laps = [lap(one.key, 60, day=0) for one in (gone, kept) for _ in range(5)]
    assert learnt(record(*laps), steps=[kept]).tempo == pytest.approx(0, abs=1e-9)


def test_more_sessions_narrow_the_range():
    """The 80 % range of the next day's pace falls with evidence."""
    rng = random.Random(5)
    days = [session([60 * math.exp(rng.gauss(0, 0.1)) for _ in range(9)], n) for n in range(30)]
    widths = []
    for n in (1, 3, 30):
        pace = learnt(*days[:n]).steps["quilt/cross"]
        assert pace.low_s < pace.usual_s < pace.high_s
        widths.append(pace.high_s / pace.low_s)
    assert widths == sorted(widths, reverse=True)


def test_a_step_without_a_starter_pace_rests_on_its_own_times():
    """A maker's own stage may give none."""
    bare = step("own/ties", 4, 0.0)
    paces = learnt(session([30, 30, 30, 30], key="own/ties"), steps=[bare])
    assert pace_of(paces, bare) == (pytest.approx(30), "own times")
    assert plan(bare).steps[0].pace_s == 0


def test_a_day_begins_at_the_makers_own_midnight():
    """A lap ending at 23:30 UTC is on the next day an hour further east."""
    late = lap("quilt/cross", 60)
    shift = 14 * 3_600_000 + 1_800_000  # 09:00 to 23:30 UTC
    from msgspec.structs import replace

    here = replace(late, end=late.end + shift, offset=0)
    east = replace(here, offset=60)
    days = [glean(record(one), [CROSS])[0].day for one in (here, east)]
    assert days[1] - days[0] == 1


def test_it_says_how_many_more_laps_to_time():
    """[source: ILO, as in test_work_study] readings 8, 7, 8, 9, 7 need 4 for 10 %: none more; two wild ones need more."""
    assert learnt(session([60, 80, 70, 80, 90, 70])).steps["quilt/cross"].time_more == 0
    assert learnt(session([60, 60, 90])).steps["quilt/cross"].time_more > 4
    assert learnt(session([60])).steps["quilt/cross"].time_more is None


def test_the_order_sessions_are_read_in_does_not_matter():
    """[identity]"""
    rng = random.Random(8)
    days = [session([60 * math.exp(rng.gauss(0, 0.2)) for _ in range(6)], n) for n in range(7)]
    there, back = learnt(*days), learnt(*reversed(days))
    assert there.day_var == pytest.approx(back.day_var)
    one, other = there.steps["quilt/cross"], back.steps["quilt/cross"]
    assert (one.usual_s, one.low_s, one.high_s) == pytest.approx((other.usual_s, other.low_s, other.high_s))


def test_only_the_newest_hundred_sessions_teach_the_pace():
    """A maker who got twice as quick long ago is as quick as they are."""
    slow, quick = [session([120] * 5, n) for n in range(60)], [session([60] * 5, n) for n in range(60, 160)]
    paces = learnt(*slow, *quick)
    assert paces.steps["quilt/cross"].days == 100
    assert paces.sessions == paces.makes == 160
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(60, rel=0.01)


def making(number: int, seconds: float = 60.0) -> Seen:
    """One session on a day of its own: 30 laps of so many seconds, against a starter pace of 60."""
    laps = tuple(Timed(seconds, 1, n) for n in range(30))
    return Seen("quilt/cross", "quilt/cross", f"{number:08d}", "Ada", "", number, laps, 30 * seconds, 60.0)


def test_old_sessions_leave_no_rows_behind():
    """Each is made only when it is asked for; of those too old to teach, little is kept beside what they made."""

    def peak(sessions: int) -> int:
        tracemalloc.start()
        try:
            assert learn(map(making, range(sessions))).sessions == sessions
            return tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    a_session = (peak(200) - peak(100)) / 100
    assert (peak(1200) - peak(200)) / 1000 < a_session / 5


@pytest.mark.parametrize("sessions", [12, 130])
def test_a_session_has_its_place_by_the_day_it_was_worked_not_by_when_it_was_typed_in(sessions):
    """Old paper typed in backwards teaches the same: the newest hundred, the makes in their order, the chart from left
    to right. A maker who gets 20 % quicker with every doubling of makes has learnt. [identity]
    """
    rng = random.Random(3)
    worked = [making(n, 90 * (n + 1) ** math.log2(0.8) * math.exp(rng.gauss(0, 0.03))) for n in range(sessions)]
    backwards = [msgspec.structs.replace(one, session=f"{9_000 - one.day:08d}") for one in worked]
    there, back = (learn(of, by_session=True) for of in (worked, backwards))
    assert there.curve is not None
    assert back.curve == there.curve
    one, other = (of.steps["quilt/cross"] for of in (there, back))
    assert (other.usual_s, other.low_s, other.high_s) == (one.usual_s, one.low_s, one.high_s)
    days = [then.day for then in other.by_session]
    assert len(days) == min(sessions, 100)
    assert days == [then.day for then in one.by_session] == sorted(days)


@given(st.lists(st.integers(0, 10_000), min_size=1, max_size=400, unique=True))
@settings(max_examples=20, deadline=None)
def test_in_whatever_order_they_come_the_newest_hundred_teach(numbers):
    """The hundred newest at 60 s, the starter pace itself, all before them at 300 s: the usual pace is 60 s."""
    newest = set(sorted(numbers)[-100:])
    paces = learn(making(n, 60.0 if n in newest else 300.0) for n in numbers)
    assert (paces.sessions, paces.makes) == (len(numbers), len(numbers))
    assert paces.days == paces.steps["quilt/cross"].days == min(len(numbers), 100)
    assert paces.steps["quilt/cross"].usual_s == pytest.approx(60)
    assert not paces.flags
