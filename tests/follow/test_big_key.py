"""The big key: start, count a piece, finish; one key, one record."""

import pytest
from msgspec.structs import replace

from tests.follow.samples_session import Bench


def test_the_big_key_starts_the_first_step():
    """On a fresh session the first press starts the first step and writes just that."""
    bench = Bench()
    bench.press("space")
    assert bench.wrote == ["opened", "step_started"]
    assert bench.newest.step == "cut/straighten"
    assert bench.record.doing == "working"


def test_a_step_of_one_piece_is_started_then_done():
    """Two presses: start, done; the time between them is the step's."""
    bench = Bench()
    bench.press("space")
    bench.press("space", after=42)
    assert (bench.newest.what, bench.newest.count) == ("step_done", 1)
    assert bench.record.step("cut/straighten").counted_ms == 42_000  # [identity]


def test_finishing_lands_on_the_done_card():
    """After the last piece nothing is open; the next step starts only with the next press."""
    bench = Bench()
    bench.press("space", "space")
    assert (bench.record.doing, bench.record.current) == ("ready", None)
    bench.press("space")
    assert bench.newest.what == "step_started"
    assert bench.newest.step == "cut/squares"


def test_each_press_counts_one_piece_and_the_last_finishes():
    """Four blocks: three pieces and one done, one record a press."""
    bench = Bench().open("Sew the cross")
    bench.press("space", "space", "space", "space")
    assert bench.wrote[-4:] == ["piece_done", "piece_done", "piece_done", "step_done"]
    assert [event.count for event in bench.session.journal.events[-4:]] == [1, 1, 1, 1]
    assert bench.record.step("quilt/cross").pieces_done == 4


def test_a_typed_number_counts_that_many():
    """`3` and the big key: three blocks since the last count, in one record."""
    bench = Bench().open("Sew the cross")
    bench.press("3")
    assert bench.desk.typed == "3"
    bench.press("space")
    assert (bench.newest.what, bench.newest.count) == ("piece_done", 3)
    assert bench.desk.typed == ""


@pytest.mark.parametrize("many", ["5", "0", "99"])
def test_a_number_that_cannot_be_is_not_counted(many):
    """More than are left, or none: said, and nothing is written."""
    bench = Bench().open("Sew the cross")
    before = len(bench.wrote)
    bench.press(*many, "space")
    if many == "0":  # no number at all: the press counts one, as ever
        assert bench.newest.count == 1
    else:
        assert len(bench.wrote) == before
        assert "4 blocks left" in bench.said


def test_a_batch_is_finished_by_one_press():
    """Squares are counted as a batch: the big key finishes all that are left."""
    bench = Bench().open("Cut the squares")
    bench.press("6", "space")
    assert (bench.newest.what, bench.newest.count) == ("piece_done", 6)
    bench.press("space")
    assert (bench.newest.what, bench.newest.count) == ("step_done", 10)


def test_a_bounce_is_ignored():
    """A press within 0.4 s of the last writes nothing; after that it counts."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=3)
    count = len(bench.wrote)
    bench.press("space", after=0.399)
    assert len(bench.wrote) == count
    bench.press("space", after=0.4)
    assert len(bench.wrote) == count + 1


def test_a_sleeve_lying_on_the_key_counts_once():
    """A key held down repeats every 30 ms: only its first press counts."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("space", after=3)
    for _ in range(100):
        bench.press("space", after=0.03)
    assert len(bench.wrote) == count + 1


def test_the_guard_goes_by_the_clock_that_cannot_be_set():
    """The wall clock set back between two presses does not make the second a bounce."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=3)
    count = len(bench.wrote)
    bench.clock.wall -= 3_600_000
    bench.press("space", after=3)
    assert len(bench.wrote) == count + 1


def test_all_done_finishes_the_step():
    """`a`: all four blocks done in one record, undone in one."""
    bench = Bench().open("Sew the cross")
    bench.press("a")
    assert (bench.newest.what, bench.newest.count) == ("step_done", 4)
    bench.press("u")
    assert bench.record.step("quilt/cross").pieces_done == 0
    assert bench.record.current == "quilt/cross"


def test_a_step_that_waits_begins_its_wait():
    """The record of the glued zip says how long it holds; no hands are counted for it."""
    bench = Bench().open("Glue the zip")
    bench.press("space")
    assert (bench.newest.what, bench.newest.ms) == ("step_done", 300_000)
    assert [wait.step for wait in bench.record.waits] == ["closure/glue"]


def test_a_step_that_hangs_on_a_wait_asks_first():
    """While the glue holds, the step after it asks: the big key waits, however often it is pressed."""
    bench = Bench().open("Glue the zip")
    bench.press("space", "space")
    assert bench.desk.ask.question == (
        "Still to wait after “Glue the zip”: 5 min, no hands needed. Start “Sew the outer seam”?"
    )
    bench.press(*["space"] * 4)
    assert bench.wrote[-1] == "step_done"


@pytest.mark.parametrize(
    ("answer", "wrote"), [("1", "step_done"), ("2", "waited"), ("3", "step_started"), ("escape", "step_done")]
)
def test_how_the_wait_stands_is_one_record(answer, wrote):
    """Wait: nothing. It is over: `waited`, and the next press starts. All the same: started beside it."""
    bench = Bench().open("Glue the zip")
    bench.press("space", "space")
    count = len(bench.wrote)
    bench.press(answer)
    assert bench.newest.what == wrote
    assert len(bench.wrote) - count == (answer in "23")
    if answer == "2":
        bench.press("space")
        assert bench.newest.what == "step_started"


def test_a_beginner_who_starts_beside_a_wait_reads_the_caution_and_is_not_asked_twice():
    """All the same, the caution, then the start: the wait is not asked about again."""
    bench = Bench(beginner=True).through("Sew the cross")
    bench.press("s", "1")
    bench.open("Glue the zip").press("space", "space", "3")
    assert bench.desk.ask.name == "needle"
    bench.press("space", "space")
    assert [event.what for event in bench.session.journal.events[-2:]] == ["acknowledged", "step_started"]


def washed():
    """A bench whose wash has three steps more: drying, which waits too, brushing and folding."""
    from tests.follow.samples import in_a_row, make_plan, step

    more = (
        step("wash/dry", "Shake and dry", pace_s=240.0, count="none", waits_s=3000.0),
        step("wash/fluff", "Brush the fringe", pace_s=60.0, count="none"),
        step("wash/fold", "Fold it", pace_s=60.0, count="none"),
    )
    bench = Bench()
    bench.session._planning._make_plan = lambda *needs: replace(
        plan := make_plan(*needs), steps=in_a_row(*plan.steps, *more)
    )
    bench.session._planning._made = None
    bench.session.plan = bench.session._planning.plan(bench.session._planned_from)
    return bench


def test_drying_hangs_on_the_wash_and_brushing_on_the_drying():
    """No step is offered beside the wait it needs: dry asks for the wash, brush for the drying, by name."""
    bench = washed().open("Load the wash")
    bench.press("space", "space")
    assert "Still to wait after “Load the wash”" in bench.desk.ask.question
    bench.press("2", "space", "space", "space")
    assert "Still to wait after “Shake and dry”" in bench.desk.ask.question


def test_what_does_not_hang_on_the_wait_is_offered_meanwhile():
    """While the glue holds the edge is snipped: its own need is done, and the glue's is not among them."""
    bench = washed()
    made = bench.session._planning._make_plan
    needs = {"assemble/outer": ("quilt/cross", "closure/glue"), "wash/fold": ("quilt/cross",)}

    def apart(*given):
        plan = made(*given)
        return replace(plan, steps=tuple(replace(one, needs=needs.get(one.key, one.needs)) for one in plan.steps))

    bench.session._planning._make_plan = apart
    bench.session._planning._made = None
    bench.session.plan = bench.session._planning.plan(bench.session._planned_from)
    bench.open("Glue the zip").press("space", "space")
    assert bench.desk.ask.choices[3:] == ("meanwhile: start “Fold it”",)
    bench.press("4")
    assert (bench.newest.what, bench.newest.step) == ("step_started", "wash/fold")
    bench.press("space", "space", after=1)
    assert "Start “Sew the outer seam”?" in bench.desk.ask.question
    assert len(bench.desk.ask.choices) == 3  # all that is left hangs on the glue


def test_glue_holds_up_only_the_step_that_needs_it():
    """Started beside the glue, that is the maker's word for it: no later step asks after the glue again."""
    bench = washed().open("Glue the zip")
    bench.press("space", "space", "3", *["space"] * 4, after=1)
    assert bench.next.title == "Load the wash"
    bench.press("space", "space", after=1)
    assert bench.newest.what == "step_done"
    bench.press("space", after=1)
    assert "Still to wait after “Load the wash”" in bench.desk.ask.question


def test_a_skipped_step_passes_its_wait_on():
    """Drying skipped: brushing hangs on the wash."""
    bench = washed().open("Load the wash")
    bench.press("space", "s", "1", "space")
    assert "Still to wait after “Load the wash”" in bench.desk.ask.question
    assert "Brush" in bench.desk.ask.question


def test_a_wait_that_is_over_is_not_in_the_way():
    """Six minutes later the next press starts the next step."""
    bench = Bench().open("Glue the zip")
    bench.press("space")
    bench.press("space", after=360)
    assert bench.newest.what == "step_started"


def test_over_ends_a_wait_before_its_time():
    """`o`: it holds already."""
    bench = Bench().open("Glue the zip")
    bench.press("space", "o")
    assert (bench.newest.what, bench.newest.step) == ("waited", "closure/glue")
    assert bench.record.waits[0].over
    bench.press("space")
    assert bench.newest.what == "step_started"


def test_the_last_press_closes_the_session():
    """Closing is a press of its own, on the finish card; it says how many records there are."""
    bench = Bench().open("Load the wash")
    bench.press("space")
    bench.press("space", after=3700)
    assert bench.newest.what == "closed"
    assert bench.newest.records == bench.newest.n == len(bench.wrote)  # [identity]
    assert bench.session.left
    assert bench.holds()


def test_the_space_bar_alone_goes_through_everything():
    """From the first press to closed, with no other key."""
    bench = Bench()
    for _ in range(60):
        if bench.session.left:
            break
        bench.press("space", after=600)
    assert bench.record.doing == "closed"
    assert all(step.state == "done" for step in bench.record.steps.values())
    assert bench.holds()


def test_of_two_waits_the_maker_says_which_is_over():
    """Glue and wash run beside each other: o asks, a number answers."""
    bench = Bench().open("Glue the zip")
    bench.press("space", "space", "3", *["space"] * 4, "space", "space", after=1)
    assert len(bench.record.waits) == 2
    bench.press("o")
    assert bench.desk.ask.choices == ("Glue the zip", "Load the wash")
    bench.press("2")
    assert (bench.newest.what, bench.newest.step) == ("waited", "wash/load")


def test_closing_before_the_wash_is_dry_is_asked_about():
    """The first press says what still runs, the second closes all the same."""
    bench = Bench().open("Load the wash")
    bench.press("space", "space")
    assert "still to wait after" in bench.said.lower()
    assert bench.record.doing == "ready"
    bench.press("space")
    assert bench.newest.what == "closed"


def test_nothing_is_over_when_nothing_waits():
    """o without a wait writes nothing."""
    bench = Bench()
    bench.press("o")
    assert bench.wrote == ["opened"]


def test_caps_lock_makes_no_key_dead():
    """P pauses as p does; in a note a capital stays one."""
    bench = Bench().open("Sew the cross")
    bench.press("P")
    assert bench.newest.what == "paused"
    bench.press("space", "N")
    bench.type("Pale side UP")
    bench.press("enter")
    assert (bench.newest.what, bench.newest.text) == ("noted", "Pale side UP")


def test_caps_lock_undoes_and_mends_too():
    """U takes back what u would."""
    bench = Bench().open("Sew the cross")
    bench.press("space", after=60)
    bench.press("U")
    assert (bench.newest.what, bench.record.step("quilt/cross").pieces_done) == ("voided", 0)


def test_two_at_once_are_counted_as_two_and_of_one_make_nobody_is_asked():
    """A number before the big key says how many; a project of one keeps no make with them, one of two does."""
    for make in (1, 2):
        bench = Bench(make=make).open("Sew the cross")
        bench.type("2")
        bench.press("space")
        assert bench.said == "2 blocks counted."
        assert (bench.newest.what, bench.newest.count) == ("piece_done", 2)
        assert bench.newest.make == (0 if make == 1 else 1)


def test_a_note_ends_at_five_hundred_letters():
    """What is typed beyond them is not taken, so a line of the journal stays a line. [identity]"""
    bench = Bench().open("Sew the cross")
    bench.press("n")
    bench.type("a" * 505, after=0.0)
    bench.press("enter")
    assert (bench.newest.what, bench.newest.text) == ("noted", "a" * 500)
