"""Steps that go together, one block at a time: with one press a block, or a press a step that begins the next."""

import msgspec

from guide.follow.order import next_step
from guide.money.glean import glean
from guide.money.paces import learn, pace_of
from guide.record.fold import fold
from tests.follow.samples import Clock, Memory, make_plan
from tests.follow.samples_session import Bench

SPRAY, TOP = "stack/spray", "stack/top"
STARTER = {SPRAY: 50.3337, TOP: 12.0}  # the sample's starter paces, s a block


def at_the_stacks(way, **more):
    """Before the first stack, worked in this way."""
    bench = Bench(**more).through("Spray the wadding")
    while bench.record.way != way:
        bench.press("g", after=0)
    return bench


def pieces(bench):
    return [bench.record.step(key).pieces_done for key in (SPRAY, TOP)]


def ms(bench, key):
    return bench.record.step(key).counted_ms


def test_one_press_a_block_counts_it_in_all_its_steps():
    """Started once, then four presses for four blocks of two steps; the eight pieces are counted and both are done."""
    bench = at_the_stacks("block")
    before = bench.record.counted_ms
    bench.press("space")
    bench.press(*["space"] * 4, after=62.0)
    assert bench.wrote[-5:] == ["step_started", "piece_done", "piece_done", "piece_done", "step_done"]
    assert pieces(bench) == [4, 4]
    assert {bench.record.step(key).state for key in (SPRAY, TOP)} == {"done"}
    # [identity] four times 62 s, nothing lost; each step's share is its usual time of both together
    assert bench.record.counted_ms - before == 4 * 62_000 == ms(bench, SPRAY) + ms(bench, TOP)
    assert abs(ms(bench, TOP) - 248_000 * 12.0 / 62.334) < 4
    assert all(lap.shared == (SPRAY, TOP) for key in (SPRAY, TOP) for lap in bench.record.step(key).laps)
    assert bench.next.title == "Sew the cross"
    assert bench.holds()


def test_a_press_a_step_begins_the_next_with_it():
    """Started once, then eight presses for four blocks of two steps; every second is the step's that was worked."""
    bench = at_the_stacks("each")
    bench.press("space")
    for _ in range(4):
        bench.press("space", after=40.0)
        bench.press("space", after=10.0)
    worked = [(event.what, event.step, event.then) for event in bench.session.journal.events[-8:]]
    assert worked[0] == ("piece_done", SPRAY, TOP)
    assert worked[1] == ("piece_done", TOP, SPRAY)
    assert worked[-2:] == [("step_done", SPRAY, TOP), ("step_done", TOP, "")]
    assert "step_started" not in {what for what, _, _ in worked}
    assert pieces(bench) == [4, 4]
    assert (ms(bench, SPRAY), ms(bench, TOP)) == (160_000, 40_000)
    assert not any(lap.shared for lap in bench.record.laps())
    assert bench.holds()


def test_undo_takes_back_a_press_whole():
    """u takes the one record back: the block in all its steps, or the piece with the start of the next step."""
    bench = at_the_stacks("block")
    bench.press("space")
    bench.press("space", "space", after=62.0)
    bench.press("u", after=1.0)
    assert bench.said == "Taken back: 1 block through 2 steps."
    assert pieces(bench) == [1, 1]
    bench.press("space", after=9.0)
    assert ms(bench, SPRAY) + ms(bench, TOP) == 62_000 + 62_000 + 10_000
    bench = at_the_stacks("each")
    bench.press("space")
    bench.press("space", after=40.0)
    assert bench.record.current == TOP
    bench.press("u", after=5.0)
    assert (bench.record.current, pieces(bench)) == (SPRAY, [0, 0])
    bench.press("space", after=5.0)  # the same lap goes on: 40 and twice 5 s
    assert (ms(bench, SPRAY), bench.record.current) == (50_000, TOP)
    assert bench.holds()


def test_the_way_holds_after_a_stop():
    """The way of working is in the journal: another sitting goes on with it, and u takes a change of it back."""
    bench = at_the_stacks("block")
    bench.press("space")
    bench.press("space", after=62.0)
    bench.press("q")
    later = Bench(memory=bench.memory)
    later.session.take_up()
    later.clock.run(1e5)
    assert later.record.way == "block"
    later.press("space", "space", after=60.0)
    assert pieces(later) == [2, 2]
    later.press("g")
    assert later.record.way == "each"
    later.press("u")
    assert later.record.way == "block"
    assert later.said == "Taken back: another way of working."


def test_a_number_takes_that_many_blocks():
    """3 before the press: three blocks through both steps; more than are left is refused."""
    bench = at_the_stacks("block")
    bench.press("space", "3", "space")
    assert pieces(bench) == [3, 3]
    bench.press("2", "space")
    assert bench.said == "1 block left: 2 is not counted."


def test_a_number_typed_before_starting_is_not_lost():
    """2, then the big key: the step starts, and the 2 stands for the press that counts."""
    bench = at_the_stacks("block")
    bench.press("2", "space")
    assert bench.desk.typed == "2"
    assert bench.said.startswith("Started; 2 stands")
    bench.press("space")
    assert pieces(bench) == [2, 2]


def test_a_group_half_done_goes_on_where_each_step_stands():
    """Two blocks sprayed step by step, then block by block: top catches up first, nothing is counted twice."""
    bench = at_the_stacks("")
    bench.press(*["space"] * 3)
    assert pieces(bench) == [2, 0]
    bench.press("g", "space")  # the press begins the step whose turn it is
    assert bench.record.current == TOP
    bench.press("3", "space")
    assert bench.said == "2 blocks left: 3 is not counted."
    bench.press("2", "space")
    assert pieces(bench) == [2, 2]
    bench.press("space", "space", after=60.0)
    assert pieces(bench) == [4, 4]
    bench = at_the_stacks("")
    bench.press(*["space"] * 3)
    bench.press("g", "g", *["space"] * 8)
    assert pieces(bench) == [4, 4]
    assert bench.holds()


def test_the_first_block_is_a_trial():
    """After the first block is through all its steps, it is to be looked over; never again after that."""
    for way, presses in (("block", 1), ("each", 2)):
        bench = at_the_stacks(way)
        bench.press("space", *["space"] * presses)
        assert bench.said.startswith("The trial block is through")
        bench.press(*["space"] * presses)
        assert bench.said == ""


def test_an_older_reader_still_counts_the_blocks():
    """Without the members that are new, and the new kind: the blocks are counted, and their time is whole."""
    for way in ("block", "each"):
        bench = at_the_stacks(way)
        bench.press("space")
        bench.press(*["space"] * (4 if way == "block" else 8), after=30.0)
        events = [msgspec.structs.replace(event, then="", through=None) for event in bench.session.journal.events]
        old = fold(
            [msgspec.structs.replace(event, what="unheard-of") if event.what == "way" else event for event in events]
        )
        assert old.step(SPRAY).pieces_done == 4
        assert not any("no earlier" in said for said in old.assumed)
        if way == "block":
            assert old.step(SPRAY).counted_ms == 120_000
        else:
            assert old.step(TOP).pieces_done == 4


def test_a_beginner_reads_the_cautions_of_all_steps_first():
    """One press counts both steps, so the caution of either is asked about before the first starts."""
    bench = Bench(beginner=True).through("Spray the wadding")
    bench.press("g", "space")
    assert bench.desk.ask.name == "spray"


def test_trouble_and_a_correction_are_shared_out_too():
    """Trouble is labour of all the steps; a length set right afterwards is shared out anew, to the ms."""
    bench = at_the_stacks("block")
    bench.press("space")
    bench.press("t", "2", after=20.0)
    bench.press("space", after=31.0)
    bench.press("space", after=11.0)
    laps = [bench.record.step(key).laps[0] for key in (SPRAY, TOP)]
    assert sum(lap.counted_ms for lap in laps) == 82_000
    assert sum(lap.trouble_ms for lap in laps) == 31_000
    bench.press("x", "1", after=1.0)
    bench.type("1")
    bench.press("enter", after=0.1)
    assert ms(bench, SPRAY) + ms(bench, TOP) == 60_000
    assert pieces(bench) == [1, 1]
    assert bench.holds()


def test_minutes_called_away_come_off_all_the_steps():
    """`1 i` after the last block takes a minute off what all steps share."""
    bench = at_the_stacks("block")
    bench.press("space")
    bench.press(*["space"] * 4, after=70.0)
    bench.press("1", "i", after=1.0)
    assert ms(bench, SPRAY) + ms(bench, TOP) == 4 * 70_000 - 60_000
    assert bench.holds()


def test_one_press_teaches_the_groups_pace_and_no_single_steps():
    """Four blocks of 93.5 s, half as long again as the starter paces of both: learnt as one, lent to each."""
    bench = at_the_stacks("block")
    bench.press("space")
    bench.press(*["space"] * 4, after=1.5 * 62.3337)
    plan = bench.session.plan
    seen = [one for one in glean(bench.record, plan.steps) if one.base.startswith("stack/")]
    assert [one.base for one in seen] == ["stack/spray+stack/top"]
    assert [round(lap.seconds) for lap in seen[0].laps] == [94, 94, 94, 94]  # [identity] 1.5 × 62.33
    paces = learn(seen)
    assert SPRAY not in paces.steps
    for step in (one for one in plan.steps if one.key in STARTER):
        pace, rests = pace_of(paces, step)
        assert rests.startswith("own times")
        assert 1.2 < pace / STARTER[step.key] < 1.5


def test_a_group_that_measures_or_waits_has_a_press_a_step_only():
    """One press cannot stand for a size that is asked for, nor for a wait that begins."""
    plan = make_plan()
    steps = tuple(msgspec.structs.replace(one, waits_s=60.0) if one.key == SPRAY else one for one in plan.steps)
    bench = Bench()
    bench.session._planning._make_plan = lambda *_: msgspec.structs.replace(plan, steps=steps)
    bench.session._planning._made = None
    bench.session.plan = msgspec.structs.replace(plan, steps=steps)
    while next_step(bench.session.plan, bench.record).key != SPRAY or bench.record.current:
        bench.press("space")
    bench.press("g")
    assert bench.record.way == "each"


def test_two_presses_never_pass_a_measuring_step_unasked():
    """Started and pressed again: the size is asked for; nothing is counted until that is answered or left."""
    bench = Bench(memory=Memory(Clock().read())).open("Measure the panel")
    bench.press("space")
    assert bench.desk.ask.about == "measure_done"
    assert bench.record.step("join/check").state == "open"
