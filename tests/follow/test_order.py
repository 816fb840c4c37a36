"""Which step is next, which piece is in hand, how far the work is, when it will end."""

import pytest
from msgspec.structs import replace

from guide.follow.order import (
    cues,
    day,
    estimate,
    lines,
    make_in_hand,
    next_step,
    open_ms,
    progress,
    spot,
    under_needle,
    waits,
)
from guide.follow.righting import said_of
from guide.record.clock import stamp
from guide.record.model import Event, Reading
from tests.follow.samples import START, starter_ms
from tests.follow.samples_session import Bench


def test_steps_come_in_the_plans_order():
    """Each done card leads to the next step of the plan, none is passed over."""
    bench = Bench()
    seen = []
    while not bench.session.left:
        if not bench.record.current and (step := under_needle(bench.session.plan, bench.record)):
            seen.append(step.key)
        bench.press("space", after=4000)
        while bench.record.current:
            bench.press("space", after=1)
    assert seen == [step.key for step in bench.session.plan.steps]


@pytest.mark.parametrize(("done", "place"), [(0, (1, 1)), (1, (1, 2)), (2, (2, 1)), (3, (2, 2))])
def test_blocks_are_worked_row_by_row(done, place):
    """The block in hand lies where a reader of the panel would look next."""
    bench = Bench().open("Sew the cross")
    bench.press(*["space"] * done)
    at = spot(bench.session.plan, bench.next, bench.record)
    assert (at.row, at.column, at.piece, at.make) == (*place, done + 1, 1)


def test_makes_follow_one_another_within_a_step():
    """Three makes of four blocks: the fifth block is the first of the second make."""
    bench = Bench(make=3).open("Sew the cross")
    bench.press(*["space"] * 4)
    at = spot(bench.session.plan, bench.next, bench.record)
    assert (at.piece, at.make, at.row, at.column) == (5, 2, 1, 1)
    assert make_in_hand(bench.session.plan, bench.record) == 2
    bench.press("space")
    assert bench.newest.make == 2


def test_other_pieces_have_no_place_in_the_panel():
    """An edge is counted, not found in a row."""
    bench = Bench().open("Sew the outer seam")
    at = spot(bench.session.plan, bench.next, bench.record)
    assert (at.piece, at.row, at.column) == (1, None, None)


def test_a_lone_step_goes_with_no_other():
    """g where there is no group says so and writes nothing."""
    bench = Bench().open("Sew the cross")
    bench.press("g")
    assert bench.said == "This step goes with no other."
    assert bench.record.way == ""


def test_cues_are_said_two_steps_ahead():
    """The iron is needed at the glue: said from two steps before it, not earlier, not at it."""
    bench = Bench()
    heard = {}
    while bench.record.doing != "closed" and bench.next is not None:
        heard.setdefault(
            bench.next.key, dict(cues(bench.session.plan, bench.record, bench.clock.read())).get("iron on")
        )
        bench.press("space", after=4000)
        while bench.record.current and heard.get(bench.record.current, -1) != -1:
            bench.press("space", after=1)
    assert heard["stack/top"] is None
    assert heard["quilt/cross"] == 2
    assert heard["join/check"] == 1
    assert heard["closure/glue"] is None


class DryingBench(Bench):
    """The bench with 50 min of drying after the cross, one step before the iron is needed for the glue."""

    def _plan(self, measured, layout, texts):
        plan = super()._plan(measured, layout, texts)
        drying = {"quilt/cross": {"waits_s": 3000.0}, "join/check": {"cue": "tape to hand"}}
        return replace(plan, steps=tuple(replace(step, **drying.get(step.key, {})) for step in plan.steps))


def test_nothing_is_made_ready_before_a_long_wait():
    """An iron on an hour before it is needed stands hot beside drying cloth: it is told when the wait nears its end."""
    bench = DryingBench().open("Sew the cross")

    def heard():
        return cues(bench.session.plan, bench.record, bench.clock.read())

    assert heard() == ()
    bench.press(*["space"] * 5)
    assert [one.step.key for one in waits(bench.session.plan, bench.record, bench.clock.read())] == ["quilt/cross"]
    assert heard() == ()
    bench.clock.run(41 * 60)
    assert heard() == (("tape to hand", 0), ("iron on", 1))
    bench.clock.run(30 * 60)
    assert heard() == (("tape to hand", -1), ("iron on", 1))  # now: it is dry, and the maker is not back yet
    bench.open("Measure the panel")
    assert heard() == (("iron on", 1),)


def test_progress_adds_up_to_the_plans_steps():
    """Nothing done is nothing; half the blocks are half a step; all done is every step."""
    bench = Bench()
    stages = progress(bench.session.plan, bench.record)
    assert [one.stage for one in stages] == ["cut", "stack", "quilt", "join", "closure", "assemble", "wash"]
    assert sum(one.total for one in stages) == 9
    assert sum(one.done for one in stages) == 0
    bench.open("Sew the cross").press("space", "space")
    assert {one.stage: one.done for one in progress(bench.session.plan, bench.record)}["quilt"] == 0.5  # [identity]


def test_the_whole_work_is_estimated_from_the_starter_paces():
    """Before the first press: all hands-on time is still to come, and the clock's end adds the waits."""
    bench = Bench()
    ends = estimate(bench.session.plan, bench.record, bench.clock.read())
    assert abs(ends.all_ends - START - starter_ms(bench.session.plan) - (300 + 3600) * 1000) <= 2  # [identity]


def test_the_makers_own_pace_replaces_the_starter_pace():
    """30 s a block instead of 60: the step of four ends two minutes earlier."""
    bench = Bench().open("Sew the cross")
    now = bench.clock.read()
    plan, record = bench.session.plan, bench.record
    usual = estimate(plan, record, now).step_ends - now.wall
    own = estimate(plan, record, now, paces={"quilt/cross": 30.0}).step_ends - now.wall
    assert (usual, own) == (240_000, 120_000)  # [identity]: the clock has not run since the start


def test_a_beginner_takes_longer():
    """The step's beginner factor, 2 here, doubles what is left."""
    bench = Bench().open("Sew the cross")
    now = bench.clock.read()
    ends = estimate(bench.session.plan, bench.record, now, beginner=True)
    assert ends.step_ends - now.wall == 480_000  # [identity]


def test_a_wait_is_due_by_the_clock_that_goes_on_in_sleep():
    """Glue holds while the computer sleeps: 5 min of sleep are 5 min of glue."""
    bench = Bench().open("Glue the zip")
    bench.press("space")
    bench.clock.run(60)
    one = waits(bench.session.plan, bench.record, bench.clock.read())[0]
    assert (one.left_ms, one.over) == (240_000, False)
    bench.clock.sleep(240)
    one = waits(bench.session.plan, bench.record, bench.clock.read())[0]
    assert (one.left_ms, one.over) == (0, True)
    bench.press("space")
    assert waits(bench.session.plan, bench.record, bench.clock.read()) == ()


def test_the_open_piece_runs_only_while_working():
    """20 s of work, then a pause: the piece's time stands."""
    bench = Bench().open("Sew the cross")
    bench.clock.run(20)
    assert open_ms(bench.record, bench.clock.read()) == 20_000
    bench.press("p", after=0)
    bench.clock.run(500)
    assert open_ms(bench.record, bench.clock.read()) == 20_000


def test_skipped_steps_are_not_next():
    """A step that was skipped does not come up again."""
    bench = Bench()
    bench.press("s", "1")
    assert next_step(bench.session.plan, bench.record).key == "cut/squares"


def test_a_step_put_off_comes_round_at_the_end_of_its_stage():
    """Skipped for later: the rest of the stage first, then this one, then the next stage."""
    bench = Bench()
    bench.press("s", "6")
    assert (bench.newest.what, bench.newest.why) == ("step_skipped", "later: at the end of the stage")
    assert bench.next.key == "cut/squares"
    assert lines(bench.session.plan, bench.record, bench.clock.read())[0] == "Last: put off, Straighten the cloth."
    bench.press("space", "a")
    assert bench.next.key == "cut/straighten"
    bench.press("space", "space")
    assert bench.record.step("cut/straighten").state == "done"
    assert bench.next.key == "stack/spray"
    assert bench.holds()


def test_the_last_step_of_a_stage_is_not_put_off():
    """With nothing after which it could come round, later is no answer."""
    bench = Bench().through("Sew the cross")
    bench.press("s")
    assert len(bench.desk.ask.choices) == 5
    bench.press("escape")
    assert bench.desk.ask is None


def test_coming_back_says_three_things():
    """Last, under the needle, next."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    bench.clock.run(24 * 3600)
    said = lines(bench.session.plan, bench.record, bench.clock.read())
    assert said[0].startswith("Last: Sew the cross, block 1 of 4, yesterday ")
    assert said[1] == "Under the needle: Sew the cross, block 2 of 4, row 1 column 2, stack oat stripe, clay dot."
    assert said[2] == "Next: Measure the panel."


def test_coming_back_to_a_fresh_and_to_a_finished_session():
    """Both ends have words."""
    bench = Bench()
    assert lines(bench.session.plan, bench.record, bench.clock.read()) == (
        "Last: nothing is done yet.",
        "On the table: Straighten the cloth.",
        "Next: Cut the squares.",
    )
    bench.open("Load the wash").press("space")
    assert lines(bench.session.plan, bench.record, bench.clock.read())[1:] == (
        "On the table: nothing; every step is done.",
        "Next: the end.",
    )


def test_coming_back_after_a_skip_says_what_was_skipped():
    """The newest thing done was a skip, with a note after it: that is what is said."""
    bench = Bench()
    bench.press("s", "1", "n", "x", "enter")
    said = lines(bench.session.plan, bench.record, bench.clock.read())
    assert said[:2] == ("Last: skipped, Straighten the cloth.", "On the table: Cut the squares, square 1 of 16.")


def test_coming_back_after_skipping_an_open_step_counts_nothing_of_it():
    """Begun, looked at, skipped: it was skipped, and no piece 0 was last."""
    bench = Bench().open("Cut the squares")
    bench.press("s", "1", after=60)
    assert lines(bench.session.plan, bench.record, bench.clock.read())[0] == "Last: skipped, Cut the squares."


def test_only_what_is_at_the_machine_is_under_the_needle():
    """An open step at the table lies on the table."""
    bench = Bench()
    bench.press("space")
    said = lines(bench.session.plan, bench.record, bench.clock.read())
    assert said[1] == "On the table: Straighten the cloth."


@pytest.mark.parametrize(
    ("ago_hours", "said"), [(0, "today"), (9, "today"), (11, "yesterday"), (34, "yesterday"), (35, "27 February 2026")]
)
def test_a_day_is_said_as_the_maker_lived_it(ago_hours, said):
    """At 10:30 local time (09:30 UTC, one hour ahead): days change at local midnight, not at UTC's."""
    now = Reading(START + 30 * 60_000, 60, 0, 0, "b")  # 2026-03-01 10:30 local
    assert day(now.wall - ago_hours * 3_600_000, 60, now) == said


def test_work_of_yesterday_typed_in_since_is_not_the_last():
    """Last is what was worked last by the clock; and nobody rests from yesterday's cutting."""
    bench = Bench().open("Cut the squares")
    bench.press("space", after=60)
    today = lines(bench.session.plan, bench.record, bench.clock.read())[0]
    day_before = bench.clock.read().wall - 86_400_000
    typed = {"from": stamp(day_before - 3_600_000), "to": stamp(day_before)}
    members = {"what": "piece_done", "step": "stack/spray", "count": 1, "by_hand": True, "set": typed}
    bench.session.journal.append(members, bench.clock.read())
    bench = Bench(memory=bench.session.journal)
    assert lines(bench.session.plan, bench.record, bench.clock.read())[0] == today


def test_undoing_says_what_a_new_layout_was():
    """A print that ran out is taken back by its own words; a swap by its."""
    plan = Bench().session.plan
    assert said_of(plan, Event(9, "", 0, 0, 0, "", "laid", text="fern ran out.")) == "fern ran out"
    assert said_of(plan, Event(9, "", 0, 0, 0, "", "laid")) == "blocks changing places"
