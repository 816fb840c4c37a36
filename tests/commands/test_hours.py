"""The same commands at any hour and in any zone: the maker's day is the one her clock shows [identity]."""

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import FakeClock, run

DEMO = "sessions/window-seat-cushion"
HOURS = [("00:05", 60), ("05:00", -480), ("12:00", 0), ("23:55", 60), ("00:05", 345), ("23:55", -720), ("00:05", 840)]


def clock_at(moment: str, offset: int) -> FakeClock:
    """A clock that shows this moment where local time is so many minutes ahead of UTC."""
    shown = datetime.fromisoformat(moment).replace(tzinfo=UTC)
    return FakeClock(wall=round(shown.timestamp() * 1000) - offset * 60_000, boot="hours", offset=offset)


@pytest.fixture
def at(workshop, capsys, monkeypatch):
    """Call a command by a clock, with lines typed; what it printed on both streams, and the code it ended with."""

    def call(clock, *argv, typed="", code=0) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        ended, said = run(argv, clock), capsys.readouterr()
        assert ended == code, said.err
        return said.out + said.err

    return call


@pytest.mark.parametrize(("hour", "offset"), HOURS)
def test_yesterday_and_today_are_the_makers(at, hour, offset):
    """120 minutes less 10 of yesterday; typed in today, whatever day it is in Greenwich."""
    clock = clock_at(f"2026-11-20 {hour}", offset)
    at(clock, "amend", DEMO, "--new", "--enter", "1-13, yesterday, 10:00 to 12:00, less 10 min")
    assert [path.name for path in Path(DEMO).glob("*.jsonl")] == ["2026-11-19.jsonl"]
    log = at(clock, "log", DEMO, "--markdown", "-o", "-")
    assert "| on paper | 19 November 2026 | 10:00 | 12:00 | 1:50:00 |" in log
    assert "typed in afterwards, on 20 November 2026" in log


@pytest.mark.parametrize(("hour", "offset"), HOURS)
def test_a_time_of_today_is_taken_once_it_is_over(at, hour, offset):
    """9:20 is still to come at 5:00, and over at 12:00."""
    to_come = hour < "09:20"
    said = at(clock_at(f"2026-11-20 {hour}", offset), "amend", DEMO, "--enter", "1, 9:00 to 9:20", code=2 * to_come)
    assert ("09:20 is still to come" in said) is to_come


@pytest.mark.parametrize(("hour", "offset"), HOURS)
def test_a_session_bears_the_day_it_began_and_a_deadline_counts_from_it(at, hour, offset):
    """Tomorrow is two evenings from today, and yesterday is over."""
    clock = clock_at(f"2026-11-20 {hour}", offset)
    at(clock, "follow", DEMO, "--plain", typed="\nq\n")
    assert [path.name for path in Path(DEMO).glob("*.jsonl")] == ["2026-11-20.jsonl"]
    evenings = ("plan", DEMO, "--evening", "2 h", "--by")
    assert "2 sittings" in at(clock, *evenings, "2026-11-21")
    assert "that day is over; it is 2026-11-20 now" in at(clock, *evenings, "2026-11-19", code=2)


def test_the_hour_that_comes_twice_is_two(at):
    """The last night of summer time: from 2:30 to 2:30 an hour goes by, worked; both sittings are at 2:30."""
    first, again = clock_at("2026-10-25 02:30", 120), clock_at("2026-10-25 02:30", 60)
    again.awake, again.total = first.awake + 3_600_000, first.total + 3_600_000
    assert again.wall - first.wall == 3_600_000
    at(first, "follow", DEMO, "--plain", typed="\nq\n")
    said = at(again, "follow", DEMO, "--plain", typed="\n1\nq\n")
    record = fold(read_journal(Path(DEMO, "2026-10-25.jsonl")).events)
    assert [(one.start_offset, one.number) for one in record.sittings] == [(120, 1), (60, 2)]
    assert record.sittings[1].start - record.sittings[0].start == 3_600_000
    assert "clock" not in said.lower()  # nobody set it
    log = at(again, "log", DEMO, "--markdown", "-o", "-")
    assert log.count("| 25 October 2026 | 02:30 |") == 2
