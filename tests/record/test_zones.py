"""Clocks that change: a start is shown as the maker's clock showed it then, an end as it did then.

Summer time ends on the last Sunday of October at 01:00 UTC [source: directive 2000/84/EC, article 3]: in 2026
on the 25th, when the clock of Berlin goes from 3:00 back to 2:00.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace

from guide.record.amend import correct
from guide.record.clock import iso, offset_of
from guide.record.enter import enter
from guide.record.history import history, rows
from guide.record.lines import encode, scan
from guide.record.model import Record
from guide.show.report_money import _sitting, moment
from guide.show.report_session import _remark
from tests.record.session import Session
from tests.record.test_enter import SHEET
from tests.record.test_sessions import write

BERLIN = ZoneInfo("Europe/Berlin")
MINUTE = 60_000


def offset_at(wall: int) -> int:
    offset = datetime.fromtimestamp(wall / 1000, UTC).astimezone(BERLIN).utcoffset()
    assert offset is not None
    return round(offset.total_seconds() / 60)


def wall(*at: int) -> int:
    return round(datetime(*at, tzinfo=BERLIN).timestamp() * 1000)


def session(at: int) -> Session:
    """A session opened at a moment in Berlin."""
    s = Session(opened=False)
    s.clock.wall = at
    s.clock.zone(offset_at(at))
    s.say("opened", format=1, mode="practice")
    return s


def typed(line: str, at: int) -> Session:
    s = session(at)
    for members in enter(line, SHEET, s.record, s.clock.read(), offset_at):
        s.say(**members)
    return s


def worked_over(minutes: int = 150) -> Session:
    """Worked from half past one over the change: the clock shows three when it is done, and a note at half past one."""
    s = session(wall(2026, 10, 25, 1, 30))
    s.start()
    s.say("noted", step="quilt/cross", text="late")
    s.run(minutes * 60)
    s.clock.zone(offset_at(s.clock.wall))
    s.done(9)
    return s


def shown(record: Record, key: str) -> tuple[str, str]:
    """The only lap's start and end on the clocks of then, as exports have them."""
    (lap,) = record.step(key).laps
    start, end = moment(lap.start, lap.start_offset), moment(lap.end, lap.offset)
    row = next(row for row in rows(record, "s") if row.kind == "lap")
    assert (row.start[:19], row.end[:19]) == (start.iso[:19], end.iso[:19])
    return start.clock, end.clock


def test_a_stretch_typed_over_the_change_keeps_both_its_times():
    """1:30 to 4:00 on that night is three hours and a half: 30 + 60 (2:00 to 3:00, twice) + 60 + 60 minutes [identity]."""
    s = typed("2, 2026-10-25, 1:30 to 4:00", wall(2026, 10, 25, 18, 0))
    assert s.laps() == [(9, 210 * 60)]
    assert shown(s.record, "quilt/cross") == ("01:30", "04:00")


def test_paper_of_summer_typed_in_winter_keeps_its_times():
    """The clock of the day it was, not of the day it is typed; the note and its step too."""
    s = typed("2, 2026-08-01, 10:00 to 11:00, note: warm", wall(2026, 12, 1, 18, 0))
    assert shown(s.record, "quilt/cross") == ("10:00", "11:00")
    (note,) = s.record.remarks
    assert _remark(note, {}).at.clock == "11:00"


def test_a_stretch_worked_over_the_change_keeps_both_its_times(tmp_path):
    """150 minutes from 1:30 summer time: 3:00 winter time [identity]; its step, its sitting and its note too."""
    record = worked_over().record
    assert shown(record, "quilt/cross") == ("01:30", "03:00")
    sitting = _sitting(record.sittings[0])
    assert (sitting.start.clock, sitting.end.clock) == ("01:30", "03:00")
    assert _remark(record.remarks[0], {}).at.clock == "01:30"
    path = tmp_path / "a" / "2026-10-25.jsonl"
    write(path, worked_over())
    assert list(history([path], modes=("practice",)).by_day) == ["2026-10-25"]


def test_midnight_before_the_change_is_that_evening_s(tmp_path):
    """23:30 summer time to 3:00 winter time: half an hour of Saturday, four hours of Sunday [identity]."""
    s = session(wall(2026, 10, 24, 23, 30))
    s.start()
    s.run(270 * 60)
    s.clock.zone(60)
    s.done(9)
    path = tmp_path / "a" / "2026-10-24.jsonl"
    write(path, s)
    by_day = history([path], modes=("practice",)).by_day
    assert {day: total.counted_ms // MINUTE for day, total in by_day.items()} == {"2026-10-24": 30, "2026-10-25": 240}


def test_a_start_put_right_is_read_by_the_clock_of_the_start():
    """Begun at 1:15 by the clock of then: 15 minutes more, worked or typed."""
    for s, n in ((worked_over(), 4), (typed("2, 2026-10-25, 1:30 to 4:00", wall(2026, 10, 25, 18, 0)), 2)):
        was = s.record.step("quilt/cross").counted_ms
        s.say(**correct("start 1:15", s.record, n, s.clock.read()))
        assert shown(s.record, "quilt/cross")[0] == "01:15"
        assert s.record.step("quilt/cross").counted_ms == was + 15 * MINUTE
        assert s.record.corrections[-1].was.startswith("01:30")
        assert s.record.corrections[-1].now.startswith("01:15")


def test_a_sitting_ends_where_it_ended_and_begins_where_it_began():
    """Put away in Berlin, taken up in a zone an hour behind."""
    s = worked_over()
    s.run(3600).say("paused", why="stop")
    s.run(3600)
    s.clock.zone(0)
    s.say("resumed", sitting=2)
    s.run(60).say("paused", why="stop")
    assert [(one.start_offset, one.offset) for one in s.record.sittings] == [(120, 60), (0, 0)]


@pytest.mark.parametrize(
    ("at", "offset"), [("2026-10-25T01:30:00.000+02:00", 120), ("2026-10-25T01:30:00.000Z", 60), (None, 60), ("x", 60)]
)
def test_a_stamp_that_says_no_zone_takes_the_records(at, offset):
    """Journals of before have their times in UTC: the record's own offset, here an hour, is all there is."""
    assert offset_of(at, 60) == offset
    assert offset_of(iso(0, 120), 60) == 120


@pytest.mark.parametrize(("minutes", "sound"), [(-1440, False), (-1439, True), (1439, True), (1440, False)])
def test_a_zone_lies_less_than_a_day_from_utc(minutes, sound):
    """An offset is hh:mm, at most 23:59 either way [source: RFC 3339, 5.6, time-numoffset]."""
    line = encode(replace(Session().events[0], offset=minutes))
    damage = scan(line).damage
    assert (damage is None) == sound
