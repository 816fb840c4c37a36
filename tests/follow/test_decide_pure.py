"""Deciding is pure: the same moment gives the same turn, and nothing it is given is changed."""

from random import Random

import msgspec

from guide.follow.keys import decide
from guide.follow.model import Moment
from tests.follow.test_walk import BIG, KEYS, walk


def frozen(one):
    """All of it as bytes; of a question's answer its name."""
    return msgspec.msgpack.encode(one, enc_hook=lambda function: function.__qualname__)


def test_the_same_moment_gives_the_same_turn_and_changes_nothing():
    """Before each of 600 random keys the decision is made twice beside the session, with every argument frozen as bytes."""
    dice = Random(5)

    def check(bench):
        key = dice.choice(BIG + KEYS)
        given = (bench.session.plan, bench.record, bench.desk)
        before = [frozen(one) for one in given]
        now = bench.clock.read()
        undo = bench.session.journal.events[-1]
        first = decide(Moment(*given, now, key, undo, 1))
        second = decide(Moment(*given, now, key, undo, 1))
        assert first == second
        assert [frozen(one) for one in given] == before
        assert first.event is None or first.event["what"] in WHATS

    walk(21, 600, on_key=check)


WHATS = {
    "step_started", "piece_done", "step_done", "step_skipped", "paused", "resumed", "measured", "noted", "photo",
    "acknowledged", "trouble", "interrupted", "waited", "voided", "amended", "closed", "texts", "laid",
}  # fmt: skip
