"""The demo project and others, followed and rehearsed with the shipped stages and the real sums."""

import os
from pathlib import Path

import pytest

from guide.follow.model import Desk
from guide.follow.order import open_step, piece_words, under_needle
from guide.follow.session import InventedClock, Session, rehearse
from guide.plan.make import make_plan
from guide.read.places import open_project
from guide.record.fold import fold
from guide.show.words import shown_values
from tests.follow.samples import START, Memory, opened, starter_ms

DEMO = Path(__file__).parents[2] / "sessions/window-seat-cushion/project.yaml"
IN = 25.4


def begun(changes=(), beginner=False):
    """A session on the demo project, with some of its keys changed."""
    here = open_project(DEMO, os.environ, changes)
    clock = InventedClock(START)
    first = make_plan(here.project, here.language)
    memory = Memory.__new__(Memory)
    memory.events, memory.refuse, memory.wrote = [], 0, []
    stacks = [list(block.stack) for block in first.layout.blocks]
    memory.append(opened("rehearsal") | {"project": here.project.text, "layout": stacks}, clock.read())

    def plan(measured, laid, texts):
        return make_plan(here.project, here.language, measured, laid.layout)

    return Session(memory, plan, clock, desk=Desk(beginner=beginner)), clock


@pytest.mark.parametrize(
    "changes",
    [
        (),
        ("square=7in",),
        ("make=2",),
        ("seam=15 mm", "free_end=10 mm", "square=15 cm", "wadding.gap=15 mm"),
        ("grid.across=5", "square=5 1/4 in", "seam=5/8 in", "free_end=1/2 in", "wadding.gap=5/8 in", "layers.above=1"),
        ("quilting=none",),
        ("closure={type: envelope, overlap: 4 in, hem: 1 in}",),
        ("kind=throw", "closure=none", "back=none"),
        ("wadding=none", "make=3"),
    ],
    ids=lambda changes: " ".join(changes) or "demo",
)
def test_any_project_is_rehearsed_to_its_end_at_its_own_paces(changes):
    """Whatever its sizes: closed, every step done, counted time the sum of pieces × starter pace to the ms."""
    session, clock = begun(changes, beginner=len(changes) == 1)
    first = session.plan
    rehearse(session, clock)
    record = session.record
    assert record.doing == "closed"
    assert {step.key for step in first.steps} == {key for key, one in record.steps.items() if one.state == "done"}
    assert sum(one.counted_ms for one in record.steps.values()) == starter_ms(first)
    assert record.assumed == []
    assert fold(session.journal.events) == record


def test_a_panel_measured_narrow_shortens_zip_and_outer_seam():
    """3/4 in under: the zip loses 3/4 in, the outer seam twice that, from that record on and at once."""
    session, clock = begun()
    planned = {name: session.plan.quantities[name].value for name in ("zip_cut", "outer_seam", "panel_width")}
    while (step := under_needle(session.plan, session.record)).measure != "panel_width" or not session.record.current:
        clock.run(400_000)
        session.press("a" if session.record.current else "space")
        assert not session.left
    assert open_step(session.plan, session.record) is step
    session.press("m")
    for key in "20", "1/4":
        for letter in key:
            session.press(letter)
        session.press("space")
    session.press("enter")
    now = session.plan.quantities
    assert planned["panel_width"] == pytest.approx(21 * IN)  # [identity] four blocks of 5 in and the seams at both ends
    assert now["panel_width"].measured
    assert now["zip_cut"].value == pytest.approx(planned["zip_cut"] - 0.75 * IN)  # [identity]
    assert now["outer_seam"].value == pytest.approx(planned["outer_seam"] - 1.5 * IN)  # [identity]
    assert session.desk.said == (
        "3/4 in under: zip as cut 19 becomes 18 1/4 in, opening 18 becomes 17 1/4 in, back across 21 becomes 20 1/4 in, "
        "washed size across ≈ 19 3/8 becomes ≈ 18 11/16 in."
    )
    session.press("u")
    assert session.plan.quantities["zip_cut"].value == pytest.approx(planned["zip_cut"])


def test_what_is_made_can_be_measured_again_anywhere():
    """On a later step that measures nothing, m asks which: 2 is the panel's height, held against its plan of 16 in."""
    session, clock = begun()
    while under_needle(session.plan, session.record).stage != "closure":
        clock.run(400_000)
        asked = session.desk.ask is not None
        session.press("escape" if asked else "a" if session.record.current else "space")
    session.press("m")
    assert session.desk.ask.choices[:2] == ("panel width", "panel height")
    for key in ("2", "1", "6", "enter"):
        session.press(key)
    assert session.record.measured() == {"panel_height": pytest.approx(16 * IN)}
    assert session.desk.said.lower().startswith("as planned")


def test_a_measuring_step_shows_what_was_planned_and_what_was_measured():
    """Written 20 1/4 in at the step planned at 21 in: both stand there, each by its name."""
    here = open_project(DEMO, os.environ)
    plan = make_plan(here.project, here.language, {"panel_width": 20.25 * IN})
    step = next(one for one in plan.steps if one.measure == "panel_width")
    assert shown_values(plan, step) == [("21 in", "planned across"), ("20 1/4 in", "measured")]
    later = next(one for one in plan.steps if one.id == "back_trim")
    assert ("20 1/4 in", "wide") in shown_values(plan, later)


def test_what_is_cut_for_all_makes_is_of_no_one_of_them(tmp_path):
    """Three makes: cloth is pressed and cut once for all, blocks and seams are sewn make by make. [practice]"""
    (tmp_path / "project.yaml").write_text(
        DEMO.read_text(encoding="utf-8").replace("make: 1", "make: 3"), encoding="utf-8"
    )
    opened_here = open_project(tmp_path, {})
    plan = make_plan(opened_here.project, opened_here.language)
    of_makes = {step.key: step.of_makes for step in plan.steps}
    assert not any(of_makes[key] for key in of_makes if key.startswith("cut/"))
    assert of_makes["quilt/cross"]
    assert of_makes["closure/zip_box"]
    record = fold([])
    first = next(
        step for step in plan.steps if step.key.startswith("cut/") and step.pieces % 3 == 0 and step.pieces > 1
    )
    assert "make" not in piece_words(plan, first, record)
    assert "make 1 of 3" in piece_words(plan, next(one for one in plan.steps if one.key == "quilt/cross"), record)


def test_the_next_make_s_sizes_are_no_change():
    """The measure of make 1 changed its numbers, and that was said; make 2 has the plan's own, and nothing is said."""
    session, clock = begun(("make=2",))
    while (step := under_needle(session.plan, session.record)).measure != "panel_width" or not session.record.current:
        clock.run(400_000)
        session.press("a" if session.record.current else "space")
    assert step.pieces == 2
    for key in ("m", *"21", "space", *"1/2", "enter"):
        clock.run(1000)
        session.press(key)
    assert "zip" in session.desk.said
    clock.run(20_000)
    session.press("space")
    assert (session.desk.make, session.record.step(step.key).pieces_done) == (2, 1)
    assert "Changed" not in session.desk.said
    assert session.desk.changes == ()
