"""`u` takes back the newest thing a key wrote; what is older than this sitting is asked about."""

import pytest

from tests.follow.samples_session import Bench

UNDOABLE = {
    "count": ("space",),
    "count three": ("3", "space"),
    "all done": ("a",),
    "pause": ("p",),
    "trouble": ("t", "1"),
    "interrupted": ("i",),
    "skip": ("s", "1"),
    "note": ("n", "h", "i", "enter"),
    "photo": ("v", *"a.png", "enter"),
    "measure": ("m", "enter"),
    "layout": ("c", *"1-1-2-2", "enter"),
    "time set right": ("x", "2"),
}


@pytest.mark.parametrize("keys", UNDOABLE.values(), ids=UNDOABLE.keys())
def test_undo_is_as_if_it_had_never_been(keys):
    """After the key and u: steps, measures, layout and remarks are what they were, by one record."""
    bench = Bench().open("Sew the cross")
    before = bench.record
    kept = (before.doing, before.current, dict(before.measures), before.layout, len(before.remarks))
    steps = {key: (one.state, one.pieces_done, one.counted_ms) for key, one in before.steps.items()}
    count = len(bench.wrote)
    bench.press(*keys, after=1)
    assert len(bench.wrote) == count + 1, "one key, one record"
    bench.press("u")
    assert bench.newest.what == "voided"
    after = bench.record
    assert (after.doing, after.current, after.measures, after.layout, len(after.remarks)) == kept
    assert {key: (one.state, one.pieces_done, one.counted_ms) for key, one in after.steps.items()} == steps
    assert bench.holds()


def test_undo_goes_back_several_steps():
    """Three presses, three undos."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", "space")
    bench.press("u", "u", "u")
    assert bench.record.step("quilt/cross").pieces_done == 0
    assert bench.wrote[-3:] == ["voided"] * 3


def test_undo_says_what_it_took_back():
    """The maker reads what is gone."""
    bench = Bench().open("Sew the cross")
    bench.press("2", "space", "u")
    assert bench.said == "Taken back: 2 counted of “Sew the cross”."


def test_nothing_is_taken_back_from_a_fresh_session():
    """The opening is nobody's key."""
    bench = Bench()
    bench.press("u")
    assert bench.wrote == ["opened"]
    assert "nothing" in bench.said


def test_an_earlier_sitting_is_asked_about():
    """Yesterday's work goes only after a yes; escape keeps it."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "q")
    bench.clock.run(80_000)
    again = Bench(memory=bench.memory)
    again.clock = again.session.clock = bench.clock
    again.session.take_up()
    count = len(again.wrote)
    again.press("u")
    assert again.desk.ask is not None
    assert "earlier sitting" in again.desk.ask.question
    again.press("escape")
    assert len(again.wrote) == count
    again.press("u", "y")
    assert again.newest.what == "voided"
    assert again.record.step("quilt/cross").pieces_done == 0
