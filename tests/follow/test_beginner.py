"""A beginner acknowledges each caution once a sitting; a practised maker is not asked."""

from tests.follow.samples_session import Bench


def test_a_caution_is_acknowledged_before_the_step_starts():
    """First press shows it, second says it is read, third starts: one record each at most."""
    bench = Bench(beginner=True)
    bench.press("space")
    assert bench.wrote == ["opened"]
    assert bench.desk.ask.name == "blade"
    bench.press("space")
    assert (bench.newest.what, bench.newest.name) == ("acknowledged", "blade")
    bench.press("space")
    assert bench.newest.what == "step_started"


def test_a_caution_is_asked_once_a_sitting():
    """Sew the cross and Sew the outer seam share a caution: the second does not ask again."""
    bench = Bench(beginner=True).through("Sew the outer seam")
    assert bench.wrote.count("acknowledged") == 3
    bench.press("space", after=600)
    assert bench.newest.what == "step_started"


def test_a_new_sitting_asks_again():
    """The next day the needle is said once more."""
    bench = Bench(beginner=True).through("Sew the outer seam")
    bench.press("q")
    bench.session.left = False
    bench.session.take_up()
    bench.press("space", after=600)
    assert bench.desk.ask is not None
    assert bench.desk.ask.name == "needle"


def test_a_caution_can_be_left():
    """Escape leaves it unread, and the step unstarted."""
    bench = Bench(beginner=True)
    bench.press("space", "escape")
    assert bench.wrote == ["opened"]
    assert bench.desk.ask is None


def test_a_beginner_can_stop_at_a_caution():
    """q stops for now on the caution's card too: the caution stays unread."""
    bench = Bench(beginner=True)
    bench.press("space", "q")
    assert bench.session.left
    assert (bench.newest.what, bench.newest.why) == ("paused", "stop")


def test_a_practised_maker_is_not_asked():
    """No caution stands between the press and the step."""
    bench = Bench()
    bench.press("space")
    assert bench.wrote == ["opened", "step_started"]
