"""Layouts that change half way: what is laid, what was cut. Invented; counts arithmetic [identity]."""

import pytest

from tests.record.session import Session, grown

AB, BA, BB = [["a"], ["b"]], [["b"], ["a"]], [["b"], ["b"]]


def opened() -> Session:
    s = Session(opened=False)
    s.say("opened", format=1, mode="practice", layout=AB)
    return s


def stands(s: Session):
    """What is laid, what it was cut for, what was cut again; the same when the records come one by one."""
    record, one_by_one = s.record, grown(s.events)
    found = record.layout, record.cut_for, record.cut_again
    assert found == (one_by_one.layout, one_by_one.cut_for, one_by_one.cut_again)
    return found


def test_before_anything_is_cut_the_cloth_is_cut_for_the_new_layout():
    """A start alone cuts nothing; what would be cut again is in the new layout already."""
    s = opened()
    s.start("cut/pieces")
    s.say("laid", layout=BB, set={"cut_again": {"b": 1}})
    assert stands(s) == (BB, None, {})


def test_once_a_piece_is_counted_what_is_cut_stays_cut():
    """Two changes later it is still the first layout that was cut; what was cut again adds up."""
    s = opened()
    s.start("cut/pieces")
    s.run(60).piece(1, "cut/pieces")
    s.say("laid", layout=BA)
    assert stands(s) == (BA, AB, {})
    s.say("laid", layout=BB, set={"cut_again": {"b": 1}})
    s.say("noted", text="spoilt", set={"cut_again": {"b": 1, "a": 2}})
    assert stands(s) == (BB, AB, {"b": 2, "a": 2})
    s.say("voided", of=len(s.events))
    assert stands(s) == (BB, AB, {"b": 1})
    s.say("voided", of=4)
    assert stands(s) == (BB, AB, {"b": 1})


def test_a_project_that_takes_no_old_layout_begins_to_cut_anew():
    """Texts with a layout of their own: that one is to be cut; texts without leave all as it is."""
    s = opened()
    s.start("cut/pieces")
    s.run(60).piece(1, "cut/pieces")
    s.say("laid", layout=BB, set={"cut_again": {"b": 1}})
    s.say("texts", project="project: x", stages={})
    assert stands(s) == (BB, AB, {"b": 1})
    s.say("texts", project="project: y", stages={}, layout=[["c"]])
    assert stands(s) == ([["c"]], None, {})


@pytest.mark.parametrize(
    "said", [None, {"cut_again": None}, {"cut_again": {"b": "x"}}, {"cut_again": {"b": -2}}, {"x": 1}]
)
def test_what_is_no_count_counts_nothing(said):
    """However ill-formed: no error."""
    s = opened()
    s.start("cut/pieces")
    s.run(60).piece(1, "cut/pieces")
    s.say("laid", layout=BB, set=said)
    assert stands(s) == (BB, AB, {})
