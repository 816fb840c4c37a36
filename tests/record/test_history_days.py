"""Time by day: a stretch over midnight belongs to both days. Times invented, sums arithmetic [identity]."""

from hypothesis import given, settings
from hypothesis import strategies as st

from guide.record.clock import DAY_MS
from guide.record.history import History, _by_day, _named, history
from guide.record.model import Lap
from guide.record.sessions import sessions_below
from tests.record.session import Session
from tests.record.test_sessions import write

EVENING = 12 * 3600 + 30 * 60  # from 10:30 local to 23:00


def told(tmp_path, *sessions: Session) -> History:
    for number, session in enumerate(sessions, 1):
        write(tmp_path / "a" / f"2026-03-{number:02d}.jsonl", session)
    return history(sessions_below(tmp_path), modes=("practice",))


def by_day(found: History) -> dict[str, tuple[int, int]]:
    """Day → counted seconds, pieces."""
    return {day: (total.counted_ms // 1000, total.pieces) for day, total in found.by_day.items()}


def test_a_lap_over_midnight_is_shared_by_its_days(tmp_path):
    """23:00 to 01:30: an hour of the first day, an hour and a half of the second, which finished the pieces."""
    s = Session()
    s.run(EVENING).start()
    s.run(9000).done(4)
    found = told(tmp_path, s)
    assert by_day(found) == {"2026-03-01": (3600, 0), "2026-03-02": (5400, 4)}
    assert [total.sessions for total in found.by_day.values()] == [1, 1]


def test_midnight_is_the_makers_own(tmp_path):
    """One hour ahead of UTC: 23:30 UTC is past it."""
    s = Session()
    s.run(EVENING + 3600 + 1800).start()  # 00:30 local, 23:30 UTC
    s.run(600).done()
    assert by_day(told(tmp_path, s)) == {"2026-03-02": (600, 1)}


def test_days_between_two_sittings_have_no_time(tmp_path):
    """Begun on Sunday evening, put away, finished on Thursday: nothing was sewn in between."""
    s = Session()
    s.run(EVENING).start()
    s.run(1800).say("paused", why="stop")
    s.run(4 * 86_400 - 1800).say("resumed", sitting=2)
    s.say("resumed")
    s.run(600).done()
    found = by_day(told(tmp_path, s))
    assert set(found) == {"2026-03-01", "2026-03-05"}
    assert sum(seconds for seconds, _ in found.values()) == 2400


def over_a_night(first: int, rest: int, second: int) -> tuple[Session, int]:
    """A lap begun, put away after so many seconds, taken up after a rest, and finished; with the number of its record."""
    s = Session()
    s.start()
    s.run(first).say("paused", why="stop")
    s.run(rest).say("resumed", sitting=2)
    s.say("resumed")
    return s, s.run(second).done(4).n


def test_a_lap_set_right_keeps_to_the_sittings_of_the_log(tmp_path):
    """Six minutes, put away; the next day one more and finished; then it is said that it took 30: 6 and 24, as the log."""
    s, lap = over_a_night(360, 86_400, 60)
    s.say("amended", of=lap, set={"ms": 1_800_000})
    assert [one.counted_ms // 1000 for one in s.record.sittings] == [360, 1440]
    assert by_day(told(tmp_path, s)) == {"2026-03-01": (360, 0), "2026-03-02": (1440, 4)}


def test_what_a_sitting_is_told_to_have_had_is_that_days_however_short_its_clock(tmp_path):
    """Six minutes, put away; taken up the next day and finished at once; then it took 30: 6 and 24, as the log."""
    s, lap = over_a_night(360, 86_400, 0)
    s.say("amended", of=lap, set={"ms": 1_800_000})
    assert by_day(told(tmp_path, s)) == {"2026-03-01": (360, 0), "2026-03-02": (1440, 4)}


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 5000), min_size=1, max_size=5), st.integers(0, 9000))
def test_days_hold_what_their_sittings_hold(worked, more):
    """A lap over any number of sittings, each begun at half past ten on a day of its own: each day's time is its sitting's."""
    s = Session()
    s.start()
    for number, seconds in enumerate(worked, 2):
        s.run(seconds).say("paused", why="stop")
        s.run(86_400 - seconds).say("resumed", sitting=number)
        s.say("resumed")
    s.run(more).done(2)
    expected = {f"2026-03-{day:02d}": seconds * 1000 for day, seconds in enumerate([*worked, more], 1) if seconds}
    laps = s.record.step("quilt/cross").laps
    shares = [share for lap in laps for share in _by_day(lap, s.record.sittings)]
    assert {_named(day): share.counted_ms for day, share in shares if share.counted_ms} == expected


def test_a_lap_of_two_sittings_that_was_split_counts_once(tmp_path):
    """An hour, put away, an hour; two minutes told afterwards; split: the days hold what the steps hold."""
    s, lap = over_a_night(3600, 80_000, 3600)
    s.say("interrupted", ms=120_000)
    s.say("amended", of=lap, set={"split": {"at": "2026-03-01T10:00:00Z", "pieces": 2}})
    found = told(tmp_path, s)
    days = sum(total.counted_ms for total in found.by_day.values())
    assert days == sum(total.counted_ms for total in found.by_step.values()) == s.record.counted_ms


def test_days_come_in_the_order_of_the_calendar(tmp_path):
    """Whatever order the sessions are read in, and whatever was typed in from paper later."""
    late, early = Session(), Session()
    late.run(3 * 86_400).start()
    late.run(60).done()
    early.start()
    early.run(60).done()
    assert list(told(tmp_path, late, early).by_day) == ["2026-03-01", "2026-03-04"]


def test_a_line_from_paper_over_midnight_is_shared_too(tmp_path):
    """23:30 to 00:15, typed in the next day: 30 and 15 minutes."""
    s = Session()
    s.run(2 * 86_400)
    typed = {"from": "2026-03-01T22:30:00.000Z", "to": "2026-03-01T23:15:00.000Z"}
    s.done(9, by_hand=True, set=typed)
    assert by_day(told(tmp_path, s)) == {"2026-03-01": (1800, 0), "2026-03-02": (900, 9)}


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(1, 200_000_000), min_size=1, max_size=5))
def test_the_days_add_up_to_the_whole_to_the_millisecond(tmp_path_factory, lengths):
    """However long the laps, and however many midnights they cross: the same sum as by step."""
    s = Session()
    s.run(EVENING).start()
    for ms in lengths:
        s.run(ms / 1000).piece()
    found = told(tmp_path_factory.mktemp("days"), s)
    for part in ("counted_ms", "trouble_ms", "pieces"):
        days = sum(getattr(total, part) for total in found.by_day.values())
        assert days == sum(getattr(total, part) for total in found.by_step.values())
    assert sum(total.counted_ms for total in found.by_day.values()) == sum(lengths)


def test_a_lap_of_a_year_is_shared_and_a_longer_one_is_its_last_day_s():
    """[identity] 366 days from the first midnight: a day's share each; a ms more cannot be, and stands whole."""
    for more, days in ((0, 366), (1, 1)):
        lap = Lap("cut/pieces", 1, 366_000, 0, True, 1, 2, 0, 366 * DAY_MS + more, 0)
        assert len([one for _, one in _by_day(lap, ()) if one.counted_ms]) == days
