"""Pause, trouble, interruption, skip, stop: the clock stands or is kept apart, and the big key goes on."""

import pytest

from guide.show.lines import keys_of
from tests.follow.samples_session import Bench


def test_a_pause_is_not_counted():
    """Ten minutes of pause leave the piece at the twenty seconds that were worked."""
    bench = Bench().open("Sew the cross")
    bench.press("p", after=10)
    assert (bench.newest.what, bench.newest.why) == ("paused", "pause")
    bench.press("space", after=600)
    assert bench.newest.what == "resumed"
    bench.press("space", after=10)
    assert bench.record.step("quilt/cross").counted_ms == 20_000  # [identity]


def test_a_pause_with_nothing_open_writes_nothing():
    """There is no clock to stop between two steps."""
    bench = Bench()
    bench.press("p")
    assert bench.wrote == ["opened"]
    assert bench.said


@pytest.mark.parametrize(
    ("number", "why"), [("1", "bobbin"), ("2", "thread"), ("3", "needle"), ("4", "unpick"), ("5", "remake")]
)
def test_trouble_is_numbered_and_ended_by_the_big_key(number, why):
    """t, a number, the big key: labour that is kept out of the pace."""
    bench = Bench().open("Sew the cross")
    bench.press("t", number, after=10)
    assert (bench.newest.what, bench.newest.why) == ("trouble", why)
    bench.press("space", after=90)
    assert bench.newest.what == "resumed"
    bench.press("space", after=10)
    lap = bench.record.step("quilt/cross").laps[-1]
    assert (lap.counted_ms, lap.trouble_ms) == (20_000 + 90_000 + 10_000, 90_000)  # [identity]


def test_a_foot_is_not_stuck_behind_a_question():
    """The big key on a numbered question leaves it; the next one counts."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("t", "space")
    assert bench.desk.ask is None
    assert len(bench.wrote) == count
    bench.press("space")
    assert bench.newest.what == "piece_done"


def test_an_interruption_stops_the_clock_at_once():
    """i is one key: called away, then back with the big key, nothing counted between."""
    bench = Bench().open("Sew the cross")
    bench.press("i", after=10)
    assert bench.newest.what == "interrupted"
    bench.press("space", after=400)
    bench.press("space", after=10)
    assert bench.record.step("quilt/cross").counted_ms == 20_000  # [identity]


def test_an_interruption_is_told_afterwards():
    """`7 i`: that was seven minutes, off the piece in hand, in one record."""
    bench = Bench().open("Sew the cross")
    bench.press("7", "i", after=300)
    assert (bench.newest.what, bench.newest.ms) == ("interrupted", 420_000)  # [identity]
    bench.press("space", after=60)
    assert bench.record.step("quilt/cross").counted_ms == (600 + 60 - 420) * 1000  # [identity]


def test_no_more_can_be_taken_off_than_there_is():
    """Seven minutes cannot come off a piece of ten seconds."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("7", "i")
    assert len(bench.wrote) == count
    assert "cannot come off" in bench.said


def test_skip_takes_a_numbered_reason():
    """s and a number: the step is passed over, and the log can say why."""
    bench = Bench().through("Measure the panel")
    bench.press("s", "1")
    assert (bench.newest.what, bench.newest.step, bench.newest.why) == ("step_skipped", "join/check", "not needed here")
    assert bench.record.step("join/check").state == "skipped"
    assert bench.next.key == "closure/glue"


def test_a_practised_maker_needs_no_reason():
    """s and the big key."""
    bench = Bench().through("Measure the panel")
    bench.press("s", "space")
    assert (bench.newest.what, bench.newest.why) == ("step_skipped", "")


def test_a_beginner_skips_no_check_without_a_reason():
    """The big key leaves the question, and the check is still to do; a number skips it."""
    bench = Bench(beginner=True)
    bench.through("Measure the panel")
    bench.press("s", "space")
    assert bench.record.step("join/check").state == "untouched"
    bench.press("s", "2")
    assert (bench.newest.what, bench.newest.why) == ("step_skipped", "done before")


def test_skipping_the_open_step_leaves_it():
    """The step in hand can be skipped; what was worked on it stays."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "s", "4")
    step = bench.record.step("quilt/cross")
    assert (step.state, step.pieces_done) == ("skipped", 1)
    assert bench.record.current is None


def test_stop_saves_and_leaves():
    """q writes that work stopped, and the session is left."""
    bench = Bench().open("Sew the cross")
    bench.press("q")
    assert (bench.newest.what, bench.newest.why) == ("paused", "stop")
    assert bench.session.left
    assert bench.record.doing == "stopped"


def test_stop_between_steps_ends_the_sitting():
    """Also on a done card: so that the sitting has an end."""
    bench = Bench()
    bench.press("space", "space", "q")
    assert (bench.newest.what, bench.newest.why) == ("paused", "stop")


@pytest.mark.parametrize("halt", [("p",), ("t", "1"), ("i",)])
def test_letters_are_safe_while_the_clock_stands(halt):
    """Counting keys say that the clock stands, and write nothing."""
    bench = Bench().open("Sew the cross")
    bench.press(*halt)
    count = len(bench.wrote)
    for key in ("a", "t", "i"):
        bench.press(key)
        bench.press("escape")
    assert len(bench.wrote) == count
    bench.press("space")
    assert bench.record.doing == "working"


@pytest.mark.parametrize(("halt", "kind"), [(("t", "1"), "trouble"), (("i",), "interrupted")])
def test_minutes_taken_off_in_between_do_not_end_what_goes_on(halt, kind):
    """Two minutes in it, `1 i` for the phone before, four minutes more: six minutes, and the clock agrees."""
    bench = Bench().open("Sew the cross")
    bench.press(halt[0], after=600)
    for key in halt[1:]:
        bench.press(key, after=0)
    bench.press("1", after=120)
    bench.press("i", after=0)
    bench.press("space", after=240)
    remark = next(one for one in bench.record.remarks if one.kind == kind and one.ms != 60_000)
    assert remark.ms == 360_000  # [identity]
    bench.press("space", after=60)
    lap = bench.record.step("quilt/cross").laps[-1]
    expected = {"trouble": (600 + 360 - 60 + 60, 360 - 60), "interrupted": (600 - 60 + 60, 0)}[kind]
    assert lap.counted_ms == expected[0] * 1000


def test_a_reason_to_skip_can_be_in_the_maker_s_own_words():
    """Typing begins the words; nothing of them is taken for a key."""
    bench = Bench().through("Measure the panel")
    bench.press("s")
    bench.type("no cloth yet")
    assert bench.desk.ask.typed == "no cloth yet"
    bench.press("enter")
    assert (bench.newest.what, bench.newest.step, bench.newest.why) == ("step_skipped", "join/check", "no cloth yet")
    bench.press("s")
    bench.type("x")
    bench.press("backspace", "enter")
    assert bench.newest.step == "join/check"
    assert bench.desk.ask is None


@pytest.mark.parametrize("reason", ["quilted before", "questions", "2 layers only", "Not today"])
def test_no_letter_of_a_reason_is_a_key(reason):
    """Whatever it begins with, in plain lines: one skip with the whole line for its reason, nothing stopped or voided."""
    bench = Bench().through("Measure the panel")
    before = len(bench.wrote)
    bench.press("s")
    for key in keys_of(reason, bench.desk):
        bench.press(key, after=0.1)
    assert (bench.newest.what, bench.newest.why) == ("step_skipped", reason)
    assert len(bench.wrote) == before + 1
    assert not bench.session.left


def test_a_reason_that_begins_with_q_stops_nothing_on_the_screen():
    """Typed letter by letter."""
    bench = Bench().through("Measure the panel")
    bench.press("s")
    bench.type("quilted")
    bench.press("enter")
    assert (bench.newest.what, bench.newest.why) == ("step_skipped", "quilted")


@pytest.mark.parametrize("key", ["i", "t"])
def test_a_trouble_is_no_standing_clock(key):
    """Its time counts as work, so nothing else is said of it."""
    bench = Bench().open("Sew the cross")
    bench.press("t", "1", key)
    assert bench.record.doing == "trouble"
    assert bench.said == "In trouble still, and its time counts: the big key when it is mended."
