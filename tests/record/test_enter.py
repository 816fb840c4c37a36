"""Paper first: times typed in afterwards. Invented; sums arithmetic [identity]."""

import pytest

from guide.errors import WrongUse
from guide.record.clock import stamp
from guide.record.enter import Paced, _members, _near_day, enter
from tests.record.session import Session

SHEET = [
    Paced("quilt/mark", 9, "block", 20.0),
    Paced("quilt/cross", 9, "block", 60.0),
    Paced("quilt/check", 1, "piece", 180.0),
    Paced("wash/load", 1, "load", 120.0, waits_ms=3_600_000),
    Paced("join/measure_width", 1, "panel", 60.0, measure="panel_width"),
    Paced("join/measure_height", 1, "panel", 60.0, measure="panel_height"),
    Paced("wash/measure_width", 1, "panel", 60.0, measure="washed_width"),
]


def typed(*lines: str) -> Session:
    """Lines typed at 18:00 local, the sheet's day."""
    s = Session()
    s.run(7.5 * 3600)
    for line in lines:
        for members in enter(line, SHEET, s.record, s.clock.read()):
            s.say(**members)
    return s


def test_a_line_is_shared_by_pace_and_loses_nothing():
    """80 minutes over 9·20 s + 9·60 s + 180 s: 16, 48 and 16 minutes."""
    s = typed("1-3, 10:00 to 11:20")
    assert [s.laps(one.key) for one in SHEET[:3]] == [[(9, 960)], [(9, 2880)], [(1, 960)]]
    laps = [lap for one in s.record.steps.values() for lap in one.laps]
    assert all(lap.by_hand for lap in laps)
    assert sum(lap.counted_ms for lap in laps) == 80 * 60_000
    assert [s.record.step(one.key).state for one in SHEET[:3]] == ["done"] * 3


def test_uneven_shares_add_up_to_the_millisecond():
    """A minute over paces that do not divide it, with a break."""
    s = typed("1-3, 10:00 to 10:01, less 7 s")
    assert sum(one.counted_ms for one in s.record.steps.values()) == 53_000


def test_a_part_of_the_pieces_leaves_the_step_begun():
    """Five blocks of nine: begun, not done; the rest can follow."""
    s = typed("2, 10:00-10:50, 5 blocks")
    step = s.record.step("quilt/cross")
    assert (step.state, step.pieces_done) == ("aside", 5)
    for members in enter("2, 11:00 to 11:30", SHEET, s.record, s.clock.read()):
        s.say(**members)
    assert (s.record.step("quilt/cross").state, s.laps()) == ("done", [(5, 3000), (4, 1800)])


def test_a_day_and_midnight():
    """Another day is named; a stretch may run past midnight."""
    s = typed("1, yesterday, 23:30 to 0:15")
    assert s.laps("quilt/mark") == [(9, 2700)]
    assert s.record.step("quilt/mark").laps[0].end < s.events[0].awake + 1_772_357_400_000


def test_a_wait_is_kept_with_the_step():
    """A step with a wait begins it at the end typed."""
    s = typed("4, 10:00 to 10:05")
    (wait,) = s.record.waits
    assert wait.planned_ms == 3_600_000
    assert wait.begun.wall == 1_772_357_400_000 - 25 * 60_000  # 10:05 local, 09:05 UTC


@pytest.mark.parametrize(
    ("line", "minutes", "load", "measure"),
    [
        ("4-5, 10:00 to 11:20, 20 in", 80, 800, 400),  # 80 min less the hour it washes, shared 2 : 1
        ("4-5, 10:00 to 10:33, 20 in", 33, 120, 60),  # not all of the hour was waited for: hands at their usual pace
        ("4-5, 10:00 to 10:02, 20 in", 2, 80, 40),  # nothing was
        ("4-5, 10:00 to 11:20, less 60 min, 20 in", 80, 800, 400),  # it was taken off already
        ("4-5, 10:00 to 11:20, less 20 min, 20 in", 80, 800, 400),  # a part of it
    ],
)
def test_a_wait_between_the_steps_of_a_line_is_no_work(line, minutes, load, measure):
    """What runs on its own is in the line's times and nobody's labour; sums by hand [identity]."""
    s = typed(line)
    assert s.laps("wash/load") == [(1, load)]
    assert s.laps("join/measure_width") == [(1, measure)]
    begun, ended = (s.record.step(one).laps[0] for one in ("wash/load", "join/measure_width"))
    assert s.record.waits[0].begun.wall == begun.end <= ended.start
    assert ended.end - begun.start == minutes * 60_000


def test_a_wait_behind_a_line_or_before_its_step_is_done_is_not_in_its_times():
    """The last step's wait runs on; a load of two that is still to come begins none. Sums by hand [identity]."""
    assert typed("3-4, 10:00 to 11:20").laps("wash/load") == [(1, 1920)]  # 80 min shared 180 : 120
    sheet = [Paced("wash/dry", 2, "load", 60.0, waits_ms=60_000), Paced("wash/fold", 1, "load", 60.0)]
    s = Session()
    s.run(7.5 * 3600)
    for members in enter("1-2, 10:00 to 10:20, 1 load", sheet, s.record, s.clock.read()):
        s.say(**members)
    assert s.laps("wash/dry") == [(1, 600)]


@pytest.mark.parametrize(
    ("line", "mm"),
    [
        ("5, 10:00 to 10:05, 20 1/4 in", 514.35),
        ("5, 10:00 to 10:05, measure 20 1/4 in", 514.35),
        ("5, 10:00 to 10:05, panel width: 51.5 cm", 515.0),
        ("5, 10:00 to 10:05, 51,5 cm", 515.0),
        ("5-6, 10:00 to 10:05, panel height 15 in, panel width 20¼ in", 514.35),
    ],
)
def test_a_size_from_the_sheet_is_kept_with_its_step(line, mm):
    """As follow would have kept it, at the time the step ended. 1 in = 25.4 mm [international yard, 1959]."""
    record = typed(line).record
    (found,) = record.measures["panel_width"]
    assert (found.mm, found.step) == (pytest.approx(mm), "join/measure_width")
    lap = record.step("join/measure_width").laps[0]
    assert (found.at, lap.by_hand) == (lap.end, True)


def test_a_refusal_counts_in_the_sheet_s_words():
    """One panel, not “1 panels”; batches of a stitch that ends in sh, not “batchs”."""
    with pytest.raises(WrongUse, match="has 1 panel left, not 2"):
        typed("5, 10:00 to 10:05, 2 panels")
    sheet = [Paced("cut/squares", 3, "batch", 60.0), *SHEET]
    s = Session()
    with pytest.raises(WrongUse, match="batches"):
        list(enter("1, 10:00 to 10:05, 2 hedgehogs", sheet, s.record, s.run(7.5 * 3600).clock.read()))


@pytest.mark.parametrize("words", ["note: frays, fast", "- frays, fast", "Note: frays, fast"])
def test_a_note_from_the_sheet_is_kept_as_it_was_written(words):
    """To the end of the line, commas and all; a dash between times is no note."""
    record = typed(f"1, 10:00 - 10:20, {words}" if words[0] in "nN" else f"1, 10:00 - 10:20 {words}").record
    assert [(one.kind, one.text, one.step) for one in record.remarks] == [("noted", "frays, fast", "quilt/mark")]
    assert record.remarks[0].at == record.step("quilt/mark").laps[0].end


def test_pieces_hold_for_every_step_that_has_as_many_left():
    """“5 blocks” of marking and sewing, written over a range whose first step counts stacks."""
    sheet = [Paced("stack/count", 80, "stack", 10.0), *SHEET[:3]]
    s = Session()
    s.run(7.5 * 3600)
    for members in enter("1-4, 10:00 to 11:00, 5 blocks", sheet, s.record, s.clock.read()):
        s.say(**members)
    assert [s.record.step(one.key).pieces_done for one in sheet] == [5, 5, 5, 1]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("1, 10:00 to 10:05, 20 in", "measure nothing"),
        ("5-6, 10:00 to 10:05, 20 in", "Which size is it"),
        ("5, 10:00 to 10:05, zip 20 in", "measure panel width, not zip"),
        ("5-7, 10:00 to 10:05, zip 20 in", "measure panel width, panel height and washed width, not zip"),
        ("5, 10:00 to 10:05, 20 in, 21 in", "said twice"),
        ("5, 10:00 to 10:05, 0 in", "more than nothing"),
        ("10:00 to 11:00", "the steps' numbers"),
        ("1-3", "the steps' numbers"),
        ("9, 10:00 to 11:00", "no step 9"),
        ("3-1, 10:00 to 11:00", "1-3"),
        ("1, steps 1-2, 10:00 to 11:00", "named twice"),
        ("1, 10:00 to 19:00", "still to come"),
        ("1, 25:00 to 26:00", "Hours go to 23"),
        ("1, yesterday, 10:00 to 9:00", "a slip"),
        ("1, 10:00 to 11:00, 12 blocks", "9 blocks left, not 12"),
        ("1, 10:00 to 11:00, 9 rows", "None of these steps counts rows"),
        ("1, 10:00 to 10:05, less 5 min", "More is taken off"),
        ("1, about ten", "not understood"),
        ("1, 2026-02-30, 10:00 to 11:00", "no day of the calendar"),
    ],
)
def test_a_slip_of_the_pen_is_told(line, says):
    """Nothing is written; the sentence says what is wrong."""
    with pytest.raises(WrongUse, match=says):
        typed(line)


def test_a_step_left_open_by_a_crash_ends_with_its_last_sign_of_life():
    """Two minutes at the machine, killed, and the step written in from paper three days later: 2 min and what was typed."""
    s = Session()
    s.start("quilt/mark")
    s.run(120).say("alive")
    s.run(3 * 86_400)
    for members in enter("1, yesterday, 12:00 to 12:05", SHEET, s.record, s.clock.read()):
        s.say(**members)
    laps = s.record.step("quilt/mark").laps
    assert [(lap.pieces, lap.counted_ms, lap.by_hand) for lap in laps] == [(0, 120_000, False), (9, 300_000, True)]
    assert laps[0].end - laps[0].start == 120_000
    assert [one.counted_ms for one in s.record.sittings] == [120_000]
    assert s.record.counted_ms == 420_000
    assert any("last sign of life" in said for said in s.record.assumed)
    assert (s.record.step("quilt/mark").state, s.record.current) == ("done", None)


@pytest.mark.parametrize("line", ["1, 2-3, 10:00 to 10:10", "1, 3-2, 10:00 to 10:10", "1, 02-03, 10:00 to 10:10"])
def test_a_day_without_its_year_is_not_taken_for_steps(line):
    """The sheet is typed on 1 March: 2-3 could be the 3rd of February, so it is asked what was meant."""
    with pytest.raises(WrongUse, match=r"write steps 0?2-0?3|the first step comes first"):
        typed(line)
    assert [typed("step 1, steps 2-3, 10:00 to 10:10").record.step(one.key).state for one in SHEET[:3]] == ["done"] * 3


def test_a_day_written_in_full_leaves_runs_of_steps_alone():
    """Nothing else on that line can be meant as a day."""
    s = typed("1, 2-3, on 2026-02-28, 10:00 to 10:10")
    assert [s.record.step(one.key).state for one in SHEET[:3]] == ["done"] * 3


def test_a_trouble_broken_off_by_a_crash_ends_with_it():
    """Trouble at ten minutes, a sign of life at twelve, written in from paper hours later: two minutes."""
    s = Session()
    s.start("quilt/mark")
    s.run(600).say("trouble", step="quilt/mark", why="bobbin")
    s.run(120).say("alive")
    s.run(5 * 3600)
    for members in enter("1, yesterday, 12:00 to 12:05", SHEET, s.record, s.clock.read()):
        s.say(**members)
    s.run(3600).start()
    assert [one.ms for one in s.record.remarks if one.kind == "trouble"] == [120_000]


def test_a_lap_that_a_line_from_paper_put_aside_can_be_left_out():
    """It goes by the stop that ended it: not counted, or another length; the line itself stays."""
    s = Session()
    s.start("quilt/mark")
    stop = s.run(1800).say("paused", why="stop")
    s.run(3 * 3600)
    for members in enter("1, yesterday, 12:00 to 12:05", SHEET, s.record, s.clock.read()):
        s.say(**members)
    s.say("amended", of=stop.n, set={"counted": False})
    assert [(lap.counted_ms, lap.counted) for lap in s.record.step("quilt/mark").laps] == [
        (1_800_000, False),
        (300_000, True),
    ]
    assert not [said for said in s.record.assumed if "left out" in said]


def test_a_day_alone_that_was_read_as_steps_is_told_with_the_refusal():
    """Step 2 is done, and the line meant the 3rd of February: both are in the sentence."""
    with pytest.raises(WrongUse, match=r"done already.*\(2-3 was read as steps 2 to 3: .* as 2026-03-01\.\)"):
        typed("2, 10:00 to 11:00", "2-3, 14:00 to 14:03")


def test_a_step_is_not_entered_twice():
    """Done is done."""
    with pytest.raises(WrongUse, match="done already"):
        typed("1, 10:00 to 11:00", "1, 12:00 to 13:00")


def test_times_by_hand_can_be_put_right():
    """A typed end is corrected like any other."""
    from guide.record.amend import correct

    s = typed("2, 10:00 to 11:00")
    members = correct("end 10:40", s.record, 2, s.clock.read())
    s.say(**members)
    assert s.laps() == [(9, 2400)]
    assert s.record.corrections[0].was == "11:00:00"


def test_the_length_that_was_typed_stands_beside_its_correction():
    """21 minutes on the paper, 7 when put right, 9 when put right again."""
    from guide.record.amend import correct

    s = typed("2, 10:00 to 10:26, less 5 min")
    for words in ("took 7 min", "took 9 min"):
        s.say(**correct(words, s.record, 2, s.clock.read()))
    assert [(one.was, one.now) for one in s.record.corrections] == [("21 min", "7 min"), ("7 min", "9 min")]


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 1), ("2026-10-25", 3)])
def test_times_over_a_change_of_the_clocks_have_their_true_length(day, hours):
    """01:30 to 03:30 on the two nights [source: directive 2000/84/EC: last Sundays of March and October, 01:00 UTC]."""
    summer, winter = 1_774_746_000_000, 1_792_890_000_000
    s = Session()
    s.clock.wall = winter + 40 * 86_400_000
    line = f"2, {day}, 01:30 to 03:30"
    (members,) = enter(line, SHEET, s.record, s.clock.read(), lambda wall: 120 if summer <= wall < winter else 60)
    s.say(**members)
    assert s.laps() == [(9, hours * 3600)]


def test_a_step_with_no_piece_left_takes_no_time_even_before_it_is_done():
    """Nine of nine blocks counted one by one, the step not finished: there is nothing left a line could tell of."""
    s = Session()
    s.start()
    for _ in range(9):
        s.run(60).piece()
    s.run(60).say("paused", why="stop")
    s.run(7.5 * 3600)
    assert (s.record.step("quilt/cross").state, s.record.step("quilt/cross").pieces_done) == ("open", 9)
    with pytest.raises(WrongUse, match="done already"):
        enter("2, 15:00 to 15:10", SHEET, s.record, s.clock.read())
    assert enter("1, 15:00 to 15:10", SHEET, s.record, s.clock.read())[0]["count"] == 9


def test_every_photo_of_a_line_is_kept():
    """Two of one step, and two that were forgotten."""
    for line in ("2, 10:00 to 10:50, photo: a.jpg, photo: b.jpg", "photo: a.jpg, photo: b.jpg"):
        photos = [event.name for event in typed(line).events if event.what == "photo"]
        assert photos == ["a.jpg", "b.jpg"]


@pytest.mark.parametrize(
    ("line", "twice"),
    [
        ("2, 10:00 to 10:20, 11:00 to 11:30", "times"),
        ("2, 10:00 to 10:20, 3 blocks, 4 blocks", "pieces"),
        ("2, 2026-02-01, yesterday, 10:00 to 10:20", "days"),
    ],
)
def test_what_a_line_can_hold_once_is_refused_twice(line, twice):
    """Neither is dropped without a word: a stretch that was left out would be work that nobody is paid for."""
    with pytest.raises(WrongUse, match=f"two {twice}.*a line of its own"):
        typed(line)


PINS = [*SHEET[:2], Paced("safety/pins", 1, "count", 60.0, count_in="pins")]


def entered(line):
    s = Session()
    s.run(7.5 * 3600)
    return enter(line, PINS, s.record, s.clock.read())


@pytest.mark.parametrize("said", ["24 out, 24 in", "24 out 24 in", "24 pins out, 24 back in", "24 Out and 24 In"])
def test_pins_are_counted_in_on_paper_as_at_the_machine(said):
    """Both numbers stand in the record that finishes the step, and in no other. [identity]"""
    found = entered(f"1-3, {said}, 10:00 to 11:00, note: all there")
    assert [one.get("text") for one in found if one["what"] == "step_done"] == [None, None, "24 out, 24 in"]


@pytest.mark.parametrize(
    ("line", "refused"),
    [
        ("3, 10:00 to 10:01", "How many pins were counted out, and how many are back in"),
        ("3, 10:00 to 10:01, 24 out, 22 in", "2 short: look through the piece"),
        ("3, 10:00 to 10:01, 24 out, 25 in", "1 more than went out"),
        ("3, 10:00 to 10:01, 1 out, 1 in, 2 out, 2 in", "There are two counts in it"),
        ("1, 10:00 to 10:01, 24 out, 24 in", "None of these steps is finished by counting something in"),
    ],
)
def test_the_pins_step_is_not_finished_without_both_numbers(line, refused):
    """What protects somebody is asked for on every way."""
    with pytest.raises(WrongUse, match=refused):
        entered(line)


@pytest.mark.parametrize(("month", "day", "near"), [(1, 15, True), (1, 14, False), (3, 1, True), (12, 25, False)])
def test_a_day_of_the_last_six_weeks_is_near(month, day, near):
    """On 1 March 2026 the 15th of January is 45 days ago, 17 + 28; the day before is 46, and Christmas is 66."""
    now = Session().clock.read()
    assert stamp(now.wall).startswith("2026-03-01")
    assert _near_day(month, day, now) == near


def test_only_a_step_that_is_done_begins_its_wait():
    """Two loads that dry for a minute: after the first nothing waits, after the second it does; sewing never."""
    drying, sewing = Paced("wash/dry", 2, "load", 60.0, waits_ms=60_000), Paced("quilt/cross", 1, "block", 60.0)
    record, time = Session().record, ("2026-03-01T09:00:00Z", "2026-03-01T09:10:00Z", 0)
    assert "ms" not in _members(drying, 1, record, time, None)
    assert _members(drying, 2, record, time, None)["ms"] == 60_000
    assert "ms" not in _members(sewing, 1, record, time, None)
