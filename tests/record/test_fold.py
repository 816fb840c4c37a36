"""What a session's events come to. All times are invented; sums are arithmetic [identity]."""

import pytest

from guide.follow.order import open_ms
from guide.record.fold import undo_target
from tests.record.session import Session, grown


def test_pieces_are_laps_and_the_first_is_marked():
    """A lap lies between two presses, holds the pieces counted, and says whether it holds the first."""
    s = Session()
    s.start()
    s.run(90).piece()
    s.run(60).piece(6)
    s.run(30).done(2)
    step = s.record.step("quilt/cross")
    assert s.laps() == [(1, 90), (6, 60), (2, 30)]
    assert [lap.first for lap in step.laps] == [True, False, False]
    assert (step.state, step.pieces_done, step.counted_ms) == ("done", 9, 180_000)
    assert s.record.doing == "ready"
    assert s.record.current is None


def test_another_step_puts_the_open_one_aside_and_keeps_its_time():
    """Starting another step keeps the unfinished lap, with no pieces."""
    s = Session()
    s.start("quilt/cross")
    s.run(40).start("quilt/trim")
    s.run(10).done(1, "quilt/trim")
    s.start("quilt/cross")
    s.run(20).piece()
    assert s.laps() == [(0, 40), (1, 20)]
    assert s.record.step("quilt/cross").state == "open"
    assert s.laps("quilt/trim") == [(1, 10)]


def test_pauses_are_not_counted():
    """Between paused and resumed nothing is counted; a press on the big key ends a pause too."""
    s = Session()
    s.start()
    s.run(10).say("paused", why="pause")
    s.run(1000).say("resumed")
    s.run(5).say("paused", why="break")
    s.run(500).piece()
    s.run(7).done(0)
    assert s.laps() == [(1, 15), (0, 7)]


def test_trouble_is_labour_and_shown_apart():
    """Trouble is in the counted time and also apart."""
    s = Session()
    s.start()
    s.run(10).say("trouble", step="quilt/cross", why="bobbin")
    s.run(30).say("resumed")
    s.run(20).piece()
    lap = s.record.step("quilt/cross").laps[0]
    assert (lap.counted_ms, lap.trouble_ms) == (60_000, 30_000)
    (remark,) = s.record.remarks
    assert (remark.kind, remark.text, remark.ms) == ("trouble", "bobbin", 30_000)


def test_an_interruption_is_not_counted():
    """Live: the clock stands until resumed."""
    s = Session()
    s.start()
    s.run(10).say("interrupted", step="quilt/cross")
    s.run(300).say("resumed")
    s.run(20).piece()
    assert s.laps() == [(1, 30)]
    assert s.record.remarks[0].ms == 300_000


def test_an_interruption_told_afterwards_comes_off_the_open_lap():
    """Seven minutes off; never below zero, and then it is said."""
    s = Session()
    s.start()
    s.run(600).say("interrupted", ms=420_000)
    s.run(20).piece()
    s.run(10).say("interrupted", ms=420_000)
    s.run(5).piece()
    assert s.laps() == [(1, 200), (1, 5)]
    assert "only 10 s" in s.record.assumed[0]


def test_an_interruption_told_between_steps_comes_off_the_last_lap():
    """With no lap open, it is the last finished one that was too long."""
    s = Session()
    s.start()
    s.run(600).done()
    s.run(50).say("interrupted", ms=60_000)
    assert s.laps() == [(1, 540)]
    assert s.record.sittings[0].counted_ms == 540_000


def test_coming_back_after_a_stop_counts_nothing_between():
    """A stop, a night, a new sitting: the open lap goes on where it was once work goes on."""
    s = Session()
    s.start()
    s.run(100).say("paused", why="stop")
    s.clock.reboot(50_000)
    s.say("resumed", sitting=2)
    assert (s.record.doing, s.record.doing_why) == ("paused", "back")
    s.run(30).say("resumed")
    s.run(20).piece()
    assert s.laps() == [(1, 120)]
    assert s.record.assumed == []
    assert [(one.number, one.counted_ms) for one in s.record.sittings] == [(1, 100_000), (2, 20_000)]


def test_after_a_crash_the_open_lap_counts_up_to_the_last_sign_of_life():
    """A crash leaves the end unknown: the last record bounds it, and the log says so."""
    s = Session()
    s.start()
    s.run(60).say("alive")
    s.run(45)
    s.clock.reboot(3600)
    s.say("recovered", file="x.torn")
    s.say("resumed", sitting=2)
    s.say("resumed")
    s.run(30).piece()
    assert s.laps() == [(1, 90)]
    assert any("last sign of life at 10:31" in sentence for sentence in s.record.assumed)


def test_sleep_is_left_out_and_said():
    """The computer slept an hour: not counted, and told."""
    s = Session()
    s.start()
    s.run(60)
    s.clock.suspend(3600)
    s.say("gap", ms=3_600_000)
    s.run(30).piece()
    assert s.laps() == [(1, 90)]
    assert s.record.assumed == ["quilt/cross, 10:30 to 11:31: the computer slept 1 h 00 of it; not counted."]
    s.say("amended", of=3, set={"counted": True}, why="sewed on")
    assert s.laps() == [(1, 3690)]


def test_setting_the_clock_changes_no_time():
    """The wall clock set back two hours: counted as ever, and told."""
    s = Session()
    s.start()
    s.run(60)
    s.clock.step(-7200)
    s.run(30).piece()
    assert s.laps() == [(1, 90)]
    assert "set back by 2 h 00;" in s.record.assumed[0]


def test_summer_time_changes_no_time():
    """Clocks go forward an hour in the middle of a lap: counted as ever, and told."""
    s = Session()
    s.start()
    s.run(60)
    s.clock.zone(120)
    s.run(30).piece()
    assert s.laps() == [(1, 90)]
    assert "forward by 1 h 00 (" in s.record.assumed[0]


def test_after_a_restart_the_wall_clock_is_taken_and_said_to_be_unverified():
    """Another boot leaves only the wall clock."""
    s = Session()
    s.start()
    s.run(60)
    s.clock.reboot(40)
    s.run(20).piece()
    assert s.laps() == [(1, 120)]
    assert "not verified" in s.record.assumed[0]


def test_a_wait_begins_with_its_step_and_ends_with_the_makers_word():
    """The wait keeps what the plan said; hands-on time does not know it."""
    s = Session()
    s.start("wash/load")
    s.run(120).done(1, "wash/load", ms=3_600_000)
    (wait,) = s.record.waits
    assert (wait.planned_ms, wait.over, wait.begun) == (3_600_000, False, s.clock.read())
    s.run(3000).say("waited", step="wash/load")
    assert s.record.waits[0].over
    assert s.laps("wash/load") == [(1, 120)]


def test_undo_takes_back_the_newest_thing_a_key_wrote():
    """Undo steps backwards over what was undone, and over what no key wrote."""
    s = Session()
    s.start()
    s.run(60).piece()
    s.run(60).piece()
    s.say("alive")
    s.say("gap", ms=5000)
    assert undo_target(s.events) == 4
    s.say("voided", of=4)
    assert undo_target(s.events) == 3
    s.say("voided", of=3)
    assert undo_target(s.events) == 2
    s.say("voided", of=2)
    assert undo_target(s.events) is None
    assert s.record.step("quilt/cross").state == "untouched"


def test_voiding_a_void_brings_back():
    """What was taken back can be brought back."""
    s = Session()
    s.start()
    s.run(60).piece()
    s.say("voided", of=3)
    assert s.record.step("quilt/cross").pieces_done == 0
    s.say("voided", of=4)
    assert s.laps() == [(1, 60)]


def test_a_moved_start_and_end_move_two_laps():
    """The end of one lap is the start of the next: the sum stays."""
    s = Session()
    s.start()
    s.run(600).piece()
    s.run(600).piece()
    s.say("amended", of=3, set={"at": "2026-03-01T09:38:00Z"}, why="pressed late")
    assert s.laps() == [(1, 480), (1, 720)]
    (fix,) = s.record.corrections
    assert (fix.what, fix.was, fix.now, fix.why) == ("quilt/cross: end", "10:40:00", "10:38:00", "pressed late")


def test_a_lap_is_split_joined_shortened_and_left_out():
    """Each correction of a lap, exact to the millisecond."""
    s = Session()
    s.start()
    s.run(600).piece(4)
    s.run(300).piece(2)
    s.run(10).done(1)
    s.say("amended", of=3, set={"split": {"at": "2026-03-01T09:35:00Z", "pieces": 1}})
    assert s.laps() == [(1, 300), (3, 300), (2, 300), (1, 10)]
    s.say("amended", of=3, set={"join": True})
    assert s.laps() == [(6, 900), (1, 10)]
    s.say("amended", of=4, ms=60_000)
    assert s.laps() == [(6, 60), (1, 10)]
    fix = s.record.corrections[-1]
    assert (fix.what, fix.was, fix.now) == ("quilt/cross: length", "15 min", "60 s")
    s.say("amended", of=4, set={"counted": False})
    assert s.record.step("quilt/cross").counted_ms == 10_000
    assert s.record.sittings[0].counted_ms == 10_000


@pytest.mark.parametrize(("before", "firsts"), [(0, [False, True]), (1, [True, False]), (4, [True, False])])
def test_the_first_piece_of_a_split_lap_is_in_the_half_that_finished_it(before, firsts):
    """Four pieces in 600 s, split after 300: the step's first piece is in the first half that holds any."""
    s = Session()
    s.start()
    s.run(600).piece(4)
    s.run(300).done(2)
    s.say("amended", of=3, set={"split": {"at": "2026-03-01T09:35:00Z", "pieces": before}})
    assert s.laps() == [(before, 300), (4 - before, 300), (2, 300)]
    assert [lap.first for lap in s.record.step("quilt/cross").laps] == [*firsts, False]


def test_a_step_is_taken_out_whole():
    """Voiding a step leaves it untouched; voiding that brings all of it back."""
    s = Session()
    s.start()
    s.run(600).piece(4)
    s.run(300).done(2)
    s.say("amended", of=2, set={"out": True}, why="wrong step")
    assert s.record.step("quilt/cross").state == "untouched"
    assert s.record.sittings[0].counted_ms == 0
    s.say("voided", of=5)
    assert s.laps() == [(4, 600), (2, 300)]


def test_a_corrected_measure_keeps_what_was_first_written():
    """And a note moves to another step."""
    s = Session()
    s.say("measured", name="panel_width", mm=500.0, step="join/panels")
    s.say("noted", text="pale side up", step="join/panels")
    s.say("amended", of=2, set={"mm": 514.0}, why="misread")
    s.say("amended", of=3, set={"step": "join/rows"})
    (measure,) = s.record.measures["panel_width"]
    assert (measure.mm, measure.first_mm) == (514.0, 500.0)
    assert (s.record.corrections[0].what, s.record.corrections[0].was) == ("panel_width", "500 mm")
    assert s.record.remarks[0].step == "join/rows"


def test_times_typed_afterwards_are_laps_marked_so():
    """They leave the open lap and the sittings alone."""
    s = Session()
    s.start("join/rows")
    typed = {"from": "2026-02-28T09:00:00Z", "to": "2026-02-28T10:20:00Z", "less": 600_000}
    s.run(5).done(9, by_hand=True, set=typed)
    s.run(5).piece(1, "join/rows")
    (lap,) = s.record.step("quilt/cross").laps
    assert (lap.by_hand, lap.counted_ms, lap.pieces) == (True, 70 * 60_000, 9)
    assert s.laps("join/rows") == [(1, 10)]
    assert s.record.sittings[0].counted_ms == 10_000


def test_the_running_lap_is_known_at_any_moment():
    """Up to the newest record in the record itself, and from there by the clock handed in."""
    s = Session()
    s.start()
    s.run(10).say("alive")
    assert s.record.lap_ms == 10_000
    assert open_ms(s.record, s.run(7).clock.read()) == 17_000
    s.say("trouble", why="thread")
    assert open_ms(s.record, s.run(3).clock.read()) == 20_000
    s.say("paused", why="pause")
    assert open_ms(s.record, s.run(99).clock.read()) == 20_000
    assert s.record.lap_trouble_ms == 3_000


def test_growing_event_by_event_is_the_same_as_folding_all():
    """One key does not fold everything again, and nothing differs by it."""
    s = Session()
    s.start()
    s.run(10).say("trouble", why="thread")
    s.run(10).piece()
    s.say("paused", why="stop")
    s.run(500).say("resumed", sitting=2)
    s.say("resumed")
    s.run(5).say("interrupted", ms=3000)
    s.run(5).done()
    s.say("voided", of=7)
    s.say("closed", records=12)
    assert grown(s.events) == s.record


def test_a_kind_from_a_later_version_is_kept():
    """Unknown kinds are kept, and change nothing."""
    s = Session()
    s.start()
    s.run(5).say("hummed", text="a tune")
    s.run(5).piece()
    assert [event.what for event in s.record.unknown] == ["hummed"]
    assert s.laps() == [(1, 10)]


def test_a_stamp_that_is_no_time_stops_nothing():
    """Another program's line with a right checksum and a wrong time: the steady clocks still tell the length."""
    from msgspec.structs import replace

    s = Session()
    s.start()
    s.run(60).piece()
    s.say("amended", of=3, set={"counted": False})
    for at in ("soon", "", "2026-03-01T09:31:00", "2026-13-01T00:00:00Z"):
        for index in range(len(s.events)):
            events = [replace(one, at=at) if place == index else one for place, one in enumerate(s.events)]
            assert [lap.counted_ms for lap in grown(events).step("quilt/cross").laps] == [60_000]


def test_trouble_is_cut_with_a_lap_that_is_shortened_below_it():
    """[identity] 10 s of work and 30 of trouble, 25 of them gone for a telephone: 15 are left, all of them trouble's."""
    for off, left in ((25, 15_000), (5, 30_000)):
        s = Session()
        s.start()
        s.run(10).say("trouble", step="quilt/cross", why="thread")
        s.run(30).say("resumed")
        s.say("interrupted", ms=off * 1000)
        assert s.record.lap_trouble_ms == left
