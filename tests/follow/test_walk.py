"""A walk of keys pressed at random: whatever is pressed, the record is the fold of the file."""

import os
from random import Random

import pytest
from msgspec.structs import replace

from guide.follow.keys import TABLE
from guide.follow.order import to_come
from guide.record.fold import fold
from guide.record.journal import Journal, read_journal
from tests.follow.samples import opened
from tests.follow.samples_session import Bench
from tests.follow.test_lines import followed

EDIT = ("escape", "backspace", "left", "right", "up", "down")
KEYS = [*(key.letter for key in TABLE if len(key.letter) == 1), *"0123456789", *EDIT, *"/.,", "é", "tab", "y"]
BIG = ["space", "enter"]
STEPS = 5_000 if os.environ.get("FRAYWORK_FULL") else 1_000


def walk(seed, steps, *, on_key=lambda _bench: None, **bench):
    """Press keys at random, the big key as often as all others; clocks run, sleep, and are set meanwhile."""
    dice = Random(seed)
    hands = Bench(**bench)
    for _ in range(steps):
        key = dice.choice(BIG if dice.random() < 0.5 else KEYS)
        if hands.desk.ask and dice.random() < 0.1:
            key = "escape"  # a question for words is seldom answered by chance, and holds the walk up
        luck = dice.random()
        if luck < 0.01:
            hands.clock.sleep(dice.choice([30, 4000]))
        elif luck < 0.02:
            hands.clock.wall += dice.choice([-3_600_000, 60_000])
        elif luck < 0.03:
            hands.clock.boot += "x"
            hands.clock.awake = hands.clock.total = 5_000
        elif luck < 0.06:
            hands.clock.run(3000)
        if dice.random() < 0.2:
            hands.clock.run(1)
            hands.session.heartbeat()
        before = len(hands.session.journal.events)
        hands.press(key, after=dice.choice([0.05, 0.5, 7, 60]))
        wrote = [event for event in hands.session.journal.events[before:] if event.what != "gap"]
        assert len(wrote) <= 1, (key, wrote)
        on_key(hands)
        if hands.session.left:
            hands.session.left = False
            hands.session.take_up()
            hands.press("u" if hands.record.closed else "b")
        elif hands.desk.locked and dice.random() < 0.3:
            hands.press("l")
    return hands


@pytest.mark.parametrize(("seed", "beginner", "make"), [(1, False, 1), (2, True, 1), (3, False, 3)])
def test_a_random_walk_never_fails_and_the_record_is_the_fold(seed, beginner, make):
    """Over a whole project, sittings, sleeps, set clocks and reboots: at most one record a key, always the fold."""
    count = [0]

    def check(bench):
        count[0] += 1
        if count[0] % 25 == 0:
            assert bench.holds()

    bench = walk(seed, STEPS, on_key=check, beginner=beginner, make=make)
    assert bench.holds()
    assert len(bench.wrote) > STEPS / 4
    assert sum(one.counted_ms for one in bench.record.steps.values()) >= 0
    assert all(lap.counted_ms >= lap.trouble_ms >= 0 for one in bench.record.steps.values() for lap in one.laps)


def test_a_walk_on_disk_is_read_back_as_it_was_shown(tmp_path):
    """The same on a real journal: the file, read by another hand, gives the record shown."""
    journal = Journal.create(tmp_path / "walk.jsonl")
    from tests.follow.samples import Clock

    journal.append(opened(), Clock().read())

    def check(bench):
        if len(bench.wrote) % 40 == 0:
            assert fold(read_journal(tmp_path / "walk.jsonl").events) == bench.record

    bench = walk(7, 400, on_key=check, memory=journal)
    assert fold(read_journal(tmp_path / "walk.jsonl").events) == bench.record
    journal.close()


def test_a_walk_can_always_be_finished():
    """From wherever random keys lead, the big key, pressed with patience, closes the session."""
    for seed in range(20):
        bench = walk(seed, 60)
        bench.press("escape")
        if bench.desk.locked:
            bench.press("l")
        for _ in range(200):
            if bench.session.left:
                break
            bench.press("space", after=4000 if not bench.record.current else 20)
        assert bench.record.doing == "closed", seed
        assert not list(to_come(bench.session.plan, bench.record))


LINES = ["", "", "", "", "3", "12", "a", "u", "p", "n", "n thread", "m", "m 10 1/4", "m 99", "t", "1", "2", "i", "2i", "s",
         "b", "f", "w", "?", "x", "1:30", "v a.png", "c 1 1, 2 2", "g", "o", "l\n\nl", ".", ".", ".", ".", ".", ".", "zz", "½ in", "y", "r"]  # fmt: skip


@pytest.mark.parametrize(("seed", "beginner"), [(11, False), (12, True), (13, False), (14, True)])
def test_a_walk_in_plain_lines_writes_what_the_core_writes(seed, beginner):
    """Lines at random: the keys they stand for, pressed by themselves, give the same events."""
    dice = Random(seed)
    script = "\n".join(dice.choice(LINES) for _ in range(STEPS))
    plain, out, code, pressed = followed(script, beginner=beginner)
    assert code == 0
    assert "\x1b" not in out
    bare = Bench(beginner=beginner)
    bare.session.desk = replace(bare.desk, guard_ms=0)
    for key, now in pressed:
        bare.session.clock = type("Still", (), {"read": lambda _self, now=now: now})()
        if key == "q":
            bare.session.stop()
        else:
            bare.session.press(key)
    assert bare.session.journal.events == plain.session.journal.events
    assert len(plain.wrote) > 30, "the walk got nowhere"
    assert plain.holds()
