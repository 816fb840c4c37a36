"""Measures: typed or nudged, held against the plan at once, and every later number follows."""

import pytest
from msgspec.structs import replace

from guide.errors import NeedsMending
from guide.follow.model import Ask
from guide.follow.noting import far_off, measured, verdict
from tests.follow.samples import IN, make_plan
from tests.follow.samples_session import Bench


@pytest.mark.parametrize(
    ("typed", "mm"),
    [("13.25", 13.25 * IN), ("13 1/4", 13.25 * IN), ("13 1/4 in", 13.25 * IN), ("33.6 cm", 336.0), ("336 mm", 336.0)],
)  # [source: international yard agreement 1959: an inch is 25.4 mm]
def test_a_size_is_typed_as_makers_write_it(typed, mm):
    """A bare number is in the project's units."""
    bench = Bench().open("Measure the panel")
    bench.press("m")
    bench.type(typed)
    bench.press("enter")
    assert bench.newest.what == "measured"
    assert bench.newest.mm == pytest.approx(mm)
    assert bench.newest.name == "panel_width"
    assert bench.newest.text == typed


def test_a_bare_number_is_centimetres_in_a_metric_project():
    """28 in a metric project is 28 cm."""
    bench = Bench(units="metric").open("Measure the panel")
    bench.press("m", "2", "8", "enter")
    assert bench.newest.mm == pytest.approx(280.0)


def test_enter_alone_takes_the_planned_size():
    """Measured as planned changes nothing."""
    bench = Bench().open("Measure the panel")
    bench.press("m", "enter")
    assert bench.newest.mm == pytest.approx(11 * IN)
    assert bench.said.lower().startswith("as planned")
    assert bench.desk.changes == ()


@pytest.mark.parametrize(("units", "step"), [("inch", IN / 8), ("metric", 5.0)])
def test_the_size_is_nudged_from_what_is_expected(units, step):
    """Left takes 1/8 in or 5 mm off, right puts it on."""
    bench = Bench(units=units).open("Measure the panel")
    bench.press("m", "left", "left", "right", "enter")
    assert bench.newest.mm == pytest.approx(11 * IN - step)  # [identity]


def test_what_changes_is_said_while_nudging():
    """Six nudges down are 3/4 in: before anything is written, the zip's new size is there."""
    bench = Bench().open("Measure the panel")
    bench.press("m", *["left"] * 6)
    assert bench.wrote[-1] == "step_started"
    assert bench.desk.changes[0] == ("zip", "8 in", "7 1/4 in")


def test_a_narrow_panel_shortens_the_zip():
    """3/4 in under: said at once with what changes, and the plan follows from that record on."""
    bench = Bench().open("Measure the panel")
    bench.press("m")
    bench.type("10 1/4")
    bench.press("enter")
    assert bench.said == "3/4 in under: zip 8 becomes 7 1/4 in, opening 7 becomes 6 1/4 in."
    assert bench.session.plan.quantities["zip_cut"].value == pytest.approx(7.25 * IN)
    bench.press("u")
    assert bench.session.plan.quantities["zip_cut"].value == pytest.approx(8 * IN)


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (11 * IN, "as planned"),
        (11.25 * IN, "1/4 in over, near enough"),
        (11.26 * IN, "1/4 in over"),
        (10.25 * IN, "3/4 in under"),
    ],
)
def test_a_size_is_held_against_what_its_step_allows(mm, words):
    """The step allows 1/4 in: exactly that is near enough, more is not."""
    assert verdict(make_plan(), "panel_width", mm).replace("≈ ", "") == words


@pytest.mark.parametrize(("inches", "far"), [(8.26, False), (8.24, True), (13.74, False), (13.76, True), (11.0, False)])
def test_a_size_is_far_off_from_a_quarter_of_what_was_planned_on(inches, far):
    """11 in planned: a quarter of it is 2 3/4 in, either way: 8 1/4 in to 13 3/4 in is believed [identity]."""
    assert far_off(make_plan(), "panel_width", inches * IN) == far


def test_a_slip_of_the_finger_is_asked_about():
    """15 in for an 11 in panel: Enter once more would write it, a new size goes in its place."""
    bench = Bench().open("Measure the panel")
    bench.press("m", "1", "5", "enter")
    assert bench.wrote[-1] == "step_started"
    assert "far from" in bench.said
    bench.press("backspace", "1", "enter")
    assert bench.newest.mm == pytest.approx(11 * IN)


def test_what_is_no_size_is_said_and_can_be_mended():
    """The words typed stay, the message says what to write."""
    bench = Bench().open("Measure the panel")
    bench.press("m")
    bench.type("3,5")
    bench.press("enter")
    assert "3.5" in bench.said
    assert bench.desk.ask.typed == "3,5"
    bench.press("escape")
    assert bench.desk.ask is None


@pytest.mark.parametrize(("typed", "mm"), [("38,5", 385), ("38,5 cm", 385), ("385,0 mm", 385), ("38.5", 385)])
def test_a_metric_maker_types_a_comma(typed, mm):
    """At the machine 38,5 is 38.5 cm; the words typed stay in the record. [source: ISO 80000-1, either decimal sign]"""
    bench = Bench(units="metric").open("Measure the panel")
    bench.press("m")
    bench.type(typed)
    bench.press("enter")
    if bench.desk.ask:  # far from the plan: once more
        bench.press("enter")
    assert (bench.newest.mm, bench.newest.text) == (pytest.approx(mm), typed)


def test_a_measure_that_does_not_work_out_is_not_written():
    """A size that no plan can be made from would shut the session for good: it is refused."""
    bench = Bench().open("Measure the panel")

    def refusing(measured, layout, texts):
        if measured:
            raise NeedsMending("the zip would have no length")
        return make_plan()

    bench.session._planning._make_plan = refusing
    count = len(bench.wrote)
    bench.press("m", "1", "0", "enter")
    assert len(bench.wrote) == count
    assert bench.said == "10 in is too small for the panel width (planned 11 in); type it again."
    assert bench.desk.ask is not None
    assert bench.desk.ask.typed == ""


def test_each_make_is_measured_for_itself():
    """With two makes the second m asks for the second panel."""
    bench = Bench(make=2).open("Measure the panel")
    bench.press("m", "1", "1", "enter")
    bench.press("m", "1", "0", "enter")
    assert bench.record.measured(1) == {"panel_width": pytest.approx(11 * IN)}
    assert bench.record.measured(2) == {"panel_width": pytest.approx(10 * IN)}


def test_what_is_not_made_yet_is_not_measured():
    """At the first step there is no panel: m says where it is measured, and asks nothing."""
    bench = Bench()
    bench.press("m")
    assert bench.desk.ask is None
    assert bench.said == "There is no panel width yet: it is measured at step 6, “Measure the panel”."


def test_a_size_can_be_measured_again_at_any_later_step():
    """Once its step has come, also when it was skipped, m asks for it wherever the work is."""
    bench = Bench().through("Measure the panel")
    bench.press("s", "1")
    bench.open("Sew the outer seam")
    bench.press("m", "1", "1", "enter")
    assert (bench.newest.what, bench.newest.name) == ("measured", "panel_width")


@pytest.mark.parametrize("key", ["space", "enter", "escape"])
@pytest.mark.parametrize("beginner", [False, True])
def test_a_measuring_step_asks_before_it_is_done(beginner, key):
    """The big key opens the question and writes nothing; no answer finishes the step without a measure."""
    bench = Bench(beginner=beginner).open("Measure the panel")
    bench.press("space")
    assert bench.wrote[-1] == "step_started"
    assert bench.desk.ask.question == "Panel width: planned 11 in. Type what it is; = as planned; enter: no measure."
    bench.press(key)
    assert bench.wrote[-1] == "step_done"
    assert bench.said == "Done without a measure."
    assert not bench.record.measures


@pytest.mark.parametrize("keys", [("1", "0", "space", "1", "/", "4"), ("left",) * 6])
def test_the_size_is_one_record_and_done_another(keys):
    """Typed or nudged at the end: `measured`, and the next press finishes."""
    bench = Bench().open("Measure the panel")
    bench.press("space", *keys, "enter")
    assert (bench.newest.what, bench.newest.mm) == ("measured", pytest.approx(10.25 * IN))
    bench.press("space")
    assert bench.newest.what == "step_done"


def test_nudged_to_and_fro_is_as_planned():
    """Who touched the size means it: what it stands at is written, though it is the planned one."""
    bench = Bench().open("Measure the panel")
    bench.press("space", "left", "right", "enter")
    assert (bench.newest.what, bench.newest.mm) == ("measured", pytest.approx(11 * IN))


def test_as_planned_is_said_by_a_key_of_its_own():
    """= and enter: the planned size was measured. One of the two alone writes nothing."""
    bench = Bench().open("Measure the panel")
    bench.press("space", "=")
    assert bench.wrote[-1] == "step_started"
    bench.press("enter")
    assert (bench.newest.what, bench.newest.mm) == ("measured", pytest.approx(11 * IN))
    bench.press("u")
    assert not bench.record.measures


def test_presses_of_the_big_key_alone_never_write_a_size():
    """However often a foot comes down on the pedal: a panel nobody measured has no measure. [practice]"""
    bench = Bench().open("Measure the panel")
    bench.press(*["space"] * 12)
    assert "step_done" in bench.wrote
    assert "measured" not in bench.wrote


def test_an_equals_sign_in_what_is_typed_is_a_letter():
    """Behind a number = is typed like any other, and refused like any other."""
    bench = Bench().open("Measure the panel")
    bench.press("space", "1", "=", "enter")
    assert bench.desk.ask.typed == "1="
    assert not bench.record.measures


def test_a_bouncing_pedal_does_not_answer_the_question():
    """Two presses within 0.4 s are one: the question stays."""
    bench = Bench().open("Measure the panel")
    bench.press("space")
    bench.press("space", after=0.1)
    assert bench.desk.ask is not None


def test_a_finished_size_is_not_asked_for_again():
    """Measured with m before: the big key finishes at once."""
    bench = Bench().open("Measure the panel")
    bench.press("m", "enter", "space")
    assert bench.newest.what == "step_done"


def test_the_numbers_are_those_of_the_make_in_hand():
    """Taken up on the second make's edges: the plan is the second panel's, from the first look on."""
    bench = Bench(make=2).open("Measure the panel")
    bench.press("m", "1", "1", "enter")
    bench.press("m", "1", "0", "enter")
    assert bench.session.plan.quantities["zip_cut"].value == pytest.approx(8 * IN)
    bench.open("Sew the outer seam").press("space", "space")
    again = Bench(make=2, memory=bench.memory)
    assert again.desk.make == bench.desk.make == 2
    assert again.session.plan.quantities["zip_cut"].value == pytest.approx(7 * IN)
    assert again.session.plan.quantities == bench.session.plan.quantities


@pytest.mark.parametrize("typed", ["0.1", "900"])
def test_a_size_no_panel_has_is_never_taken(typed):
    """A panel of 11 in is not 900 in, nor a tenth of one: it is refused at once and however often it is said."""
    bench = Bench().open("Measure the panel")
    bench.press("m")
    for _ in range(3):
        bench.press("escape" if bench.desk.ask is None else "backspace", after=0.1)
        if bench.desk.ask is None:
            bench.press("m")
        bench.type(typed)
        bench.press("enter")
        assert f"too {'small' if typed < '1' else 'large'}" in bench.said
    assert "measured" not in {event.what for event in bench.session.journal.events}


def test_a_size_beyond_its_tolerance_says_so_what_it_changes_and_what_to_look_for():
    """The demo's panel 3/4 in narrow, good within 1/4 in: said before it is written, with the step's own advice."""
    from guide.show.cards import card_of
    from guide.show.scene import Scene
    from tests.show.demo import demo_plan

    plan = demo_plan()
    step = next(one for one in plan.steps if one.measure == "panel_width")
    bench = Bench()
    at = bench.session
    question = Ask("measure", "measure", "Panel width: planned 21 in.", measured, name="panel_width", typed="20 1/4")
    told = card_of(Scene(plan, at.record, replace(at.desk, ask=question), at.clock.read()))
    lines = ["".join(text for _, text in row.parts) for row in told.rows]
    assert "3/4 in under: more than the 1/4 in that is good" in lines
    look = next(line for line in lines if line.startswith("Look for: "))
    assert step.texts["if_wrong"].split(".")[0] in look
    fine = card_of(Scene(plan, at.record, replace(at.desk, ask=replace(question, typed="21 1/8")), at.clock.read()))
    assert not any("Look for" in text for row in fine.rows for _, text in row.parts)
