"""The table of keys tells the truth: when a key does something, and whether it writes."""

import pytest

from guide.follow.keys import TABLE, applies, card, help_line
from tests.follow.samples_session import Bench

DOINGS = {
    "ready": (),
    "working": ("space",),
    "paused": ("space", "p"),
    "trouble": ("space", "t", "1"),
    "interrupted": ("space", "i"),
    "stopped": ("space", "q"),
}
LETTERS = [key for key in TABLE if len(key.letter) == 1]
NEVER_WRITE = frozenset("bfwgl?")


def standing(doing):
    """A bench in the middle of Sew the cross, doing this."""
    bench = Bench().through("Sew the cross")
    bench.press(*DOINGS[doing])
    bench.session.left = False
    assert bench.record.doing == doing
    return bench


@pytest.mark.parametrize("doing", DOINGS)
@pytest.mark.parametrize("key", LETTERS, ids=lambda key: key.letter)
def test_a_key_writes_only_when_it_may(key, doing):
    """Keys to look, and for the desk: never a record. Does not apply now: no record, and a word instead."""
    bench = standing(doing)
    count, applied = len(bench.wrote), applies(key, bench.record)
    bench.press(key.letter)
    if key.letter in NEVER_WRITE:
        assert len(bench.wrote) == count
    if not applied:
        assert len(bench.wrote) == count
        assert bench.said
    assert len(bench.wrote) <= count + 1
    assert bench.holds()


@pytest.mark.parametrize("doing", DOINGS)
def test_the_help_line_begins_with_the_big_key(doing):
    """The first thing said is what the big key does now, and every key on the line applies."""
    bench = standing(doing)
    line = help_line(bench.record)
    assert line[0][0] == "space"
    assert all(applies(key, bench.record) for key in TABLE if key.letter in dict(line))


def test_every_key_has_a_word_and_a_line():
    """The card can be read: a short word, and a sentence, for each key once."""
    assert len({key.letter for key in TABLE}) == len(TABLE)
    assert all(key.word and len(key.word) <= 15 for key in TABLE)
    assert all(line.endswith(".") and len(line) <= 80 for _, line in card())
