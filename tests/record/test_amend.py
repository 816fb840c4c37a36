"""Corrections in a maker's words. Times invented, sums arithmetic [identity]."""

import pytest

from guide.errors import WrongUse
from guide.read.units import length_ms
from guide.record.amend import WORDS, correct, move_note, newest_lap, right_measure, tried
from guide.record.clock import moment_ms
from tests.record.session import Session


def worked() -> Session:
    """10:30 local: three laps of ten minutes (records 3, 4, 5), the last finishes the step."""
    s = Session()
    s.start()
    s.run(600).piece(2)
    s.run(600).piece(2)
    s.run(600).done(2)
    s.run(60)
    return s


def put_right(s: Session, words: str, of: int, why: str = "") -> None:
    members = correct(words, s.record, of, s.clock.read(), why)
    s.say(members.pop("what"), **members)


@pytest.mark.parametrize(
    ("words", "of", "laps"),
    [
        ("start 10:35", 3, [(2, 300), (2, 600), (2, 600)]),
        ("start -5 min", 3, [(2, 900), (2, 600), (2, 600)]),
        ("end 10:45", 4, [(2, 600), (2, 300), (2, 900)]),
        ("end 3 minutes ago", 5, [(2, 600), (2, 600), (2, 480)]),
        ("took 7 min", 4, [(2, 600), (2, 420), (2, 600)]),
        ("interrupted 7 min", 5, [(2, 600), (2, 600), (2, 180)]),
        ("split at 10:34, 1", 3, [(1, 240), (1, 360), (2, 600), (2, 600)]),
        ("join", 4, [(2, 600), (4, 1200)]),
        ("pieces 4", 4, [(2, 600), (4, 600), (2, 600)]),
        ("void", 4, [(2, 600), (2, 1200)]),
        ("void step", 4, []),
    ],
)
def test_each_correction_does_what_it_says(words, of, laps):
    """Every word of the list changes just what it names, to the millisecond."""
    s = worked()
    put_right(s, words, of, "for a test")
    assert s.laps() == laps
    assert all(fix.why == "for a test" for fix in s.record.corrections)
    assert s.record.corrections


def test_not_counted_and_counted_again():
    """A lap can be left out of the sums and taken in again; it stays in sight."""
    s = worked()
    put_right(s, "not counted", 4)
    assert s.record.step("quilt/cross").counted_ms == 1_200_000
    assert len(s.laps()) == 3
    put_right(s, "counted", 4)
    assert s.record.step("quilt/cross").counted_ms == 1_800_000


def test_every_word_listed_is_understood():
    """What the help lists is what works."""
    said = {"TIME": "10:45", "N": "1"}
    for line in WORDS:
        words = line.replace("TIME", said["TIME"]).replace("N", said["N"])
        if line.startswith(("took", "interrupted")):
            words = line.replace("TIME", "5 min")
        assert correct(words, worked().record, 4, worked().clock.read())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("end 10:20", "before it starts at 10:40"),
        ("end 12:00", "still to come"),
        ("start 10:55", "before it starts at 10:55"),
        ("end soon", "write 10:05"),
        ("end 27:10", "no time of a day"),
        ("took a while", "write 7 min"),
        ("interrupted 20 min", "cannot come off it"),
        ("split at 10:34", "split at 10:30, 3"),
        ("split at 10:44, 9", "finished 2 pieces"),
        ("split at 10:30, 1", "is not inside that lap"),
        ("pieces many", "pieces 4"),
        ("shorter", "no correction"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(words, says):
    """Nothing is written; the sentence says what to write."""
    s = worked()
    with pytest.raises(WrongUse, match=says):
        correct(words, s.record, 4, s.clock.read())


def test_a_record_that_ended_no_lap_is_refused():
    """A start ended nothing."""
    s = worked()
    with pytest.raises(WrongUse, match="ended no lap"):
        correct("took 5 min", s.record, 2, s.clock.read())


def test_the_last_lap_joins_nothing():
    """Nothing goes on after it."""
    s = worked()
    with pytest.raises(WrongUse, match="nothing to join"):
        correct("join", s.record, 5, s.clock.read())


def test_what_could_not_be_followed_before_is_no_reason_against_another_correction():
    """Record 6 counts a piece of a step that was not open, and says so; the lap of record 3 is put right all the same."""
    s = worked()
    s.piece(1, "stack/top")
    assert s.record.assumed == ["Record 6: 1 counted of stack/top, which was not open; no time is known."]
    members = correct("took 7 min", s.record, 3, s.clock.read(), "")
    after = tried(s.events, s.record, members, s.clock.read(), {"quilt/cross": 6})
    assert [lap.counted_ms // 1000 for lap in after.step("quilt/cross").laps] == [420, 600, 600]


def test_a_correction_that_makes_a_later_one_fall_is_refused():
    """Record 6 splits the lap of record 3; without record 3 there is nothing to split: both are told, nothing is done."""
    s = worked()
    s.say("amended", of=3, set={"split": {"at": "2026-03-01T09:34:00Z", "pieces": 1}})
    s.piece(1, "stack/top")
    members = {"what": "voided", "of": 2}
    with pytest.raises(WrongUse, match="Nothing was changed"):
        tried(s.events, s.record, members, s.clock.read(), {"quilt/cross": 6})


def test_a_closed_session_can_be_put_right():
    """Closing is no lock."""
    s = worked()
    s.say("closed", records=6)
    put_right(s, "took 7 min", 4)
    assert s.laps()[1] == (2, 420)
    assert s.record.closed


def test_notes_measures_and_sleep():
    """The commands that are not about a lap."""
    s = worked()
    s.say("noted", text="x", step="quilt/cross")
    s.say("measured", name="panel_width", mm=500.0)
    s.start()
    s.clock.suspend(600)
    s.say("gap", ms=600_000)
    s.run(5).done(1)
    for members in (
        move_note(6, "join/rows", s.record, ["join/rows"]),
        right_measure(7, 501.0, s.record),
        {"what": "amended", "of": 9, "set": {"counted": True}, "why": "sewed on"},
    ):
        s.say(**members)
    assert s.record.remarks[0].step == "join/rows"
    assert s.record.measured() == {"panel_width": 501.0}
    assert newest_lap(s.record).counted_ms == 605_000


@pytest.mark.parametrize(
    ("text", "ms"),
    [
        ("7", 420_000),
        ("7 min", 420_000),
        ("1 h 20", 4_800_000),
        ("90 s", 90_000),
        ("1h", 3_600_000),
        ("2 min 5 s", 125_000),
        ("1.5 h", 5_400_000),
    ],
)
def test_lengths_of_time_are_read(text, ms):
    """A bare number is minutes."""
    assert length_ms(text) == ms


def test_a_time_of_day_is_the_one_closest_to_what_stands():
    """Work around midnight: 0:10 set right to 23:50 is the evening before."""
    s = Session(opened=False)
    s.clock.offset = 0
    s.clock.wall = 1_772_410_200_000  # 2026-03-02T00:10:00Z
    now = s.clock.read()
    assert moment_ms("23:50", near=now.wall, now=now, offset=0) == now.wall - 20 * 60_000
