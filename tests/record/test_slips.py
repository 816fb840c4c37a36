"""Slips of the finger while putting a record right: refused in words, nothing written. Times invented [identity]."""

import pytest

from guide.errors import WrongUse
from guide.read.units import length_ms, minutes_ms
from guide.record.amend import correct
from guide.record.clock import moment_ms
from guide.record.enter import Paced, enter
from tests.record.session import Session
from tests.record.test_amend import worked

SHEET = [Paced("quilt/mark", 9, "block", 20.0)]
ARABIC = str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩")


def test_digits_of_another_script_are_not_read_as_numbers():
    """What is shown back is in European digits, so a maker could not check what was understood."""
    s = worked()
    now = s.clock.read()
    for words in ("7 min", "1 h 20"):
        with pytest.raises(WrongUse, match="no length"):
            length_ms(words.translate(ARABIC))
    with pytest.raises(WrongUse, match="no time"):
        moment_ms("10:05".translate(ARABIC), near=now.wall, now=now, offset=60)
    for words in ("pieces 1", "split at 10:45, 1"):
        with pytest.raises(WrongUse):
            correct(words.translate(ARABIC), s.record, 4, now)
    assert minutes_ms("7".translate(ARABIC)) is None
    for line in ("1, 10:00 to 10:10, 5 blocks", "1, 2026-02-27, 10:00 to 10:10"):
        with pytest.raises(WrongUse):
            enter(line.translate(ARABIC), SHEET, s.record, now)


def test_a_noun_with_an_accent_is_still_a_noun():
    """Only digits are held to one script: a maker's own stage may count in any language."""
    s = Session()
    s.run(3600)
    sheet = [Paced("quilt/mark", 9, "carré", 20.0)]
    assert enter("1, 10:30 to 10:40, 5 carrés", sheet, s.record, s.clock.read())[0]["count"] == 5


@pytest.mark.parametrize("day", ["1950-03-01", "0001-01-01", "2025-02-20"])
def test_a_day_of_more_than_a_year_ago_is_refused(day):
    """The session was opened on 2026-03-01; the sentence says how a day is written."""
    s = worked()
    with pytest.raises(WrongUse, match=r"more than a year.*2026-03-01"):
        enter(f"1, {day}, 10:00 to 10:10", SHEET, s.record, s.clock.read())


@pytest.mark.parametrize("day", ["2026-03-02", "9999-12-31"])
def test_a_day_to_come_is_refused(day):
    """Past midnight of the last day of the calendar too."""
    s = worked()
    with pytest.raises(WrongUse, match="still to come"):
        enter(f"1, {day}, 23:30 to 0:15", SHEET, s.record, s.clock.read())


def test_a_day_within_the_year_is_taken():
    """Paper of last spring belongs to a session begun with it."""
    s = worked()
    assert enter("1, 2025-03-05, 10:00 to 10:10", SHEET, s.record, s.clock.read())


@pytest.mark.parametrize(
    "words",
    ["took 99999 h", "took 999999999999999999999999 h", f"took {'9' * 400} h", "took 11 min", "took 1 h"],
)
def test_a_lap_cannot_have_taken_longer_than_it_was(words):
    """The second lap went from 10:40 to 10:50; the sentence says to move its start."""
    s = worked()
    with pytest.raises(WrongUse):
        correct(words, s.record, 4, s.clock.read())
    with pytest.raises(WrongUse, match="start"):
        correct("took 11 min", s.record, 4, s.clock.read())


def test_a_lap_may_have_taken_as_long_as_it_was():
    """To the ms; also when an earlier correction made it shorter."""
    s = worked()
    s.say(**correct("took 7 min", s.record, 4, s.clock.read()))
    assert correct("took 10 min", s.record, 4, s.clock.read())["ms"] == 600_000


@pytest.mark.parametrize(
    "words",
    [
        "start 1900-01-01 00:00", "start 0001-01-01 00:00", "start -99999999 min", "start -9999 h", "start -1500 min",
        "start 2026-02-27 10:30", "start -961 min", "end 9999-12-31 23:59", "start 0999-01-01 10:00",
    ],
)  # fmt: skip
def test_a_start_out_of_all_reason_is_refused(words):
    """More than 16 hours at one piece, or a day before the session was opened."""
    s = worked()
    with pytest.raises(WrongUse):
        correct(words, s.record, 3, s.clock.read())


def test_a_start_cannot_creep_back_before_the_session():
    """Each move alone is small; a day before the opening is the end of it."""
    s = worked()
    s.say(**correct("start -15 h", s.record, 3, s.clock.read()))
    with pytest.raises(WrongUse, match="opened"):
        correct("start -15 h", s.record, 3, s.clock.read())


def test_the_day_is_said_when_it_is_another():
    """Refused: an end at 10:20 of the day before."""
    s = worked()
    with pytest.raises(WrongUse, match="2026-02-28 10:20"):
        correct("end 2026-02-28 10:20", s.record, 4, s.clock.read())


def test_both_halves_of_a_split_lap_are_one_when_it_is_put_right():
    """Ten minutes split at four: took 7 min is of the ten, and 8 minutes of interruption can come off."""
    s = worked()
    s.say(**correct("split at 10:44, 1", s.record, 4, s.clock.read()))
    assert correct("interrupted 8 min", s.record, 4, s.clock.read())["ms"] == 120_000
    assert correct("took 9 min", s.record, 4, s.clock.read())["ms"] == 540_000
    assert correct("split at 10:42, 1", s.record, 4, s.clock.read())["set"]["split"]["pieces"] == 1
