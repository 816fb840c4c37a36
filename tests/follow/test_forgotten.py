"""A forgotten timer and a sleeping computer: asked at the next key, which is never swallowed."""

import pytest

from tests.follow.samples_session import Bench

HOUR = 3600


def forgotten():
    """A bench on a block that usually takes 60 s, an hour after the last press."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", after=60)
    bench.press("space", after=HOUR)
    return bench


def test_the_key_is_counted_before_the_question_comes():
    """An hour on a block: the piece is written first, then it is asked about."""
    bench = forgotten()
    assert bench.newest.what == "piece_done"
    assert bench.desk.ask.about == "long_piece"
    assert "1 h 00" in bench.desk.ask.question


def test_the_next_big_key_counts_on():
    """The question does not swallow the next press either: no answer changes nothing."""
    bench = forgotten()
    bench.press("space", after=60)
    assert bench.newest.what == "step_done"
    assert bench.desk.ask is None
    assert bench.record.step("quilt/cross").counted_ms == (60 + 60 + HOUR + 60) * 1000  # [identity]


@pytest.mark.parametrize(("pace", "asked"), [(25 * 60, False), (15 * 60, True), (None, True)])
def test_what_is_usual_is_the_makers_own_pace(pace, asked):
    """An hour on the first block is far over three times 15 min or the starter's minute, and within three times 25."""
    bench = Bench(paces={"quilt/cross": pace} if pace else None).open("Sew the cross")
    bench.press("space", after=HOUR)
    assert bench.newest.what == "piece_done"
    assert (bench.desk.ask is not None) == asked
    assert not asked or f"usually {'15 min' if pace else '60 s'}" in bench.desk.ask.question


@pytest.mark.parametrize(("answer", "seconds"), [("1", HOUR), ("2", 60), ("3", HOUR / 2)])
def test_a_long_piece_is_kept_cut_or_split(answer, seconds):
    """Keep it, cut it to the usual time, or take half for a break; what it was stays in the file."""
    bench = forgotten()
    bench.press(answer)
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == seconds * 1000  # [identity]
    assert bench.record.step("quilt/cross").pieces_done == 3
    assert bench.holds()


def test_a_long_open_piece_is_asked_about_at_any_key():
    """g, which writes nothing, brings the question too; cutting takes the rest off the open piece."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    bench.press("g", after=HOUR)
    assert bench.desk.ask.about == "long_piece"
    bench.press("2", after=0.0)
    assert (bench.newest.what, bench.newest.ms) == ("interrupted", (HOUR - 60) * 1000)  # [identity]
    bench.press("space", after=0.0)
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == 60_000


def test_a_piece_is_asked_about_once():
    """Left once, the question does not come again for the same piece."""
    bench = Bench().open("Sew the cross")
    bench.press("g", after=HOUR)
    assert bench.desk.ask is not None
    bench.press("escape", "g", "l", "l")
    assert bench.desk.ask is None


def test_many_pieces_may_take_long():
    """Thirty minutes for a batch of sixteen squares at 1 min 50 each is no forgotten timer."""
    bench = Bench().open("Sew the cross")
    bench.press("4", after=0.1)
    bench.press("space", after=19 * 60)
    assert bench.desk.ask is None


def test_a_slow_piece_is_not_a_forgotten_one():
    """Under twenty minutes nobody is asked, however short the usual time."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=19 * 60)
    assert bench.desk.ask is None


@pytest.mark.parametrize(
    ("usual", "took", "asked"),
    [
        (600, 1800, False),  # three times ten minutes: not yet
        (600, 1800.001, True),
        (60, 1200, False),  # twenty minutes, however quick the others were: not yet
        (60, 1200.001, True),
    ],
)
def test_a_piece_is_long_from_three_times_the_usual_and_twenty_minutes_on(usual, took, asked):
    """Two pieces as usual, then one of exactly so long, and one a millisecond longer [identity]."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", after=usual)
    bench.press("space", after=took)
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == round(took * 1000)
    assert (bench.desk.ask is not None) == asked


@pytest.mark.parametrize(("answer", "counted"), [("1", 90), ("2", 90 + 4 * HOUR)])
def test_sleep_is_left_out_unless_the_maker_says_otherwise(answer, counted):
    """Four hours of sleep in a piece of 90 s: noted as a gap, asked about behind the key, never decided alone."""
    bench = Bench().open("Sew the cross")
    bench.clock.run(30)
    bench.clock.sleep(4 * HOUR)
    bench.press("space", after=60)
    assert bench.wrote[-2:] == ["gap", "piece_done"]
    assert bench.desk.ask.about == "sleep"
    bench.press(answer)
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == counted * 1000  # [identity]
    assert bench.holds()


def test_sleep_while_paused_is_nobodys_business():
    """The clock stood anyway."""
    bench = Bench().open("Sew the cross")
    bench.press("p")
    bench.clock.sleep(4 * HOUR)
    bench.press("space", "space")
    assert bench.desk.ask is None
    assert "gap" not in bench.wrote


def test_sleep_seen_by_a_tick_is_asked_about_at_the_next_key():
    """With ticks the gap is written when the computer wakes, the question still waits for a key."""
    bench = Bench().open("Sew the cross")
    bench.clock.run(1)
    bench.session.heartbeat()
    bench.clock.sleep(HOUR)
    bench.clock.run(1)
    bench.session.heartbeat()
    assert bench.newest.what == "gap"
    assert bench.desk.ask is None
    bench.press("space")
    assert bench.desk.ask.about == "sleep"
    assert bench.wrote.count("gap") == 1


@pytest.mark.parametrize(("typed", "ms"), [("1", 60_000), ("1:30", 90_000), ("1 min", 60_000)])
def test_the_last_time_is_set_right(typed, ms):
    """x 1 and a time: the piece has that length; what it was stays in the file."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=120)
    bench.press("x", "1")
    bench.type(typed)
    bench.press("enter")
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == ms  # [identity]
    assert (bench.record.corrections[-1].of, bench.record.corrections[-1].was) == (bench.newest.n - 1, "2 min")
    assert bench.holds()


def test_a_time_is_not_counted_and_counted_again():
    """x 2, twice."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    bench.press("x", "2")
    assert bench.record.step("quilt/cross").counted_ms == 0
    bench.press("x", "2")
    assert bench.record.step("quilt/cross").counted_ms == 60_000


def test_what_is_no_time_is_not_taken():
    """Words, or 1:75."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    for wrong in ("soon", "1:75", "-3"):
        bench.press("x", "1")
        bench.type(wrong)
        bench.press("enter")
        assert bench.newest.what == "piece_done"
        bench.press("escape")


def test_a_forgotten_start_is_set_back():
    """Pressed start 20 min late: x 3, 20, and the piece in hand has run 20 min and the time since."""
    bench = Bench().through("Sew the cross")
    bench.clock.run(30 * 60)
    bench.press("space", after=0)
    bench.press("x", "3", "2", "0", "enter", after=0)
    assert bench.newest.what == "amended"
    bench.press("space", after=30)
    assert bench.record.step("quilt/cross").laps[-1].counted_ms == 20 * 60_000 + 30_000  # [identity]
    assert bench.holds()


def test_a_late_press_between_two_pieces_moves_their_border():
    """The block was changed 40 s before the press: it is 40 s shorter and the next as much longer."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=100)
    bench.press("x", "3", *"0:40", "enter", after=0)
    bench.press("space", after=30)
    assert [lap.counted_ms for lap in bench.record.step("quilt/cross").laps] == [60_000, 70_000]  # [identity]


def test_a_start_cannot_lie_before_the_piece_before_it():
    """It is said up to when that piece went, and nothing is written."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("x", "3", "5", "0", "0", "enter", after=0)
    assert len(bench.wrote) == count
    assert "goes up to" in bench.said


@pytest.mark.parametrize("keys", [("x", "1", "enter"), ("x", "3", "enter"), ("x", "escape"), ("x", "space")])
def test_setting_right_can_be_left(keys):
    """Enter with nothing typed, escape, or the big key: nothing is written."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    count = len(bench.wrote)
    bench.press(*keys)
    assert len(bench.wrote) == count
    assert bench.desk.ask is None


def test_there_is_no_time_to_set_right_before_the_first():
    """x on a fresh session says so."""
    bench = Bench()
    bench.press("x")
    assert bench.said == "No time is recorded yet."


def test_work_may_have_begun_before_the_guide_was_opened():
    """The very first piece, started an hour before anyone pressed."""
    bench = Bench()
    bench.press("space", after=0)
    bench.press("x", "1", "6", "0", "enter", after=0)
    bench.press("space", after=30)
    assert bench.record.step("cut/straighten").counted_ms == 3_630_000  # [identity]
    assert bench.holds()


def test_who_has_just_taken_the_time_off_is_not_asked():
    """25 min on a block, 20 of them told as an interruption: no question, then or later."""
    bench = Bench().open("Sew the cross")
    bench.press("2", "0", "i", after=500)
    assert bench.newest.what == "interrupted"
    assert bench.desk.ask is None
    bench.press("space", after=10)
    assert bench.desk.ask is None


def test_trouble_explains_a_long_piece():
    """Half an hour of unpicking was told as trouble: the piece is not asked about."""
    bench = Bench().open("Sew the cross")
    bench.press("t", "4", after=10)
    bench.press("space", after=1800)
    bench.press("space", after=10)
    assert bench.newest.what == "piece_done"
    assert bench.desk.ask is None


def test_a_sleep_is_told_once_whoever_notices_it_first():
    """Space a moment after waking, then the next tick: one gap, one question, no second sentence."""
    bench = Bench().open("Sew the cross")
    bench.clock.run(60)
    bench.session.heartbeat()
    bench.clock.sleep(HOUR)
    bench.press("space", after=0.3)
    bench.clock.run(0.7)
    bench.session.heartbeat()
    assert [event.what for event in bench.session.journal.events].count("gap") == 1
    assert not [said for said in bench.record.assumed if "stood still" in said]


@pytest.mark.parametrize(("ran", "asked"), [(20 * 60, False), (20 * 60 + 1, True)])
def test_from_twenty_minutes_on_a_piece_is_long(ran, asked):
    """A second over twenty minutes, on a block that usually takes one; twenty to the second are not yet asked about."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    bench.press("space", after=ran)
    assert (bench.desk.ask is not None) == asked


@pytest.mark.parametrize(("late", "told"), [(6.0, False), (6.001, True)])
def test_a_tick_is_late_by_more_than_five_seconds(late, told):
    """A tick comes every second: one that comes after more than six tells that the program stood still. [identity]"""
    bench = Bench().open("Sew the cross")
    bench.session.heartbeat()
    bench.clock.run(late)
    bench.session.heartbeat()
    assert (bench.newest.what == "gap") == told
