"""Planned beside made: what past panels and washes teach the next plan, through the front door."""

import json

import pytest

from guide.plan.learnt import Made, Pair, drawn_pair, learn_draw_in
from tests.commands.worked import worked

INCH = 25.4
DEMO = "sessions/window-seat-cushion"


def starter(step):
    return step.pace_s


def panels(drew_in):
    """The demo's panel as measured when its face of 20 × 15 in came out so much smaller; seams stay 1/2 in."""
    return {"panel_width": (20 * (1 - drew_in) + 1) * INCH, "panel_height": (15 * (1 - drew_in) + 1) * INCH}


def test_the_last_three_panels_say_what_to_write(guide):
    """Mean of 1.0, 1.3 and 1.6 % is 1.3 % [identity]; the fourth last, 9 %, is history."""
    for day, drew_in in enumerate((0.09, 0.010, 0.013, 0.016)):
        worked(DEMO, day, starter, measures=panels(drew_in))
    said = guide("plan", DEMO)
    assert said.code == 0, said.err
    assert "your last three panels drew in 1.3 % (1 % to 1.6 %)" in said.out
    assert "The project says 0 %" in said.out
    assert "draw_in: 1.3 %" in said.out


def test_what_was_learnt_is_tried_beside_the_project(guide):
    """`--as-made`: 20 in of face, drawn in 1.3 % and shrunk by the prints' mean of 3 % [identity]."""
    for day, drew_in in enumerate((0.010, 0.013, 0.016)):
        worked(DEMO, day, starter, measures=panels(drew_in))
    data = json.loads(guide("plan", DEMO, "--as-made", "--json").out)
    assert data["quantities"]["draw_in"]["value"] == pytest.approx(0.013)
    assert data["quantities"]["washed_width"]["value"] == pytest.approx(20 * INCH * 0.987 * 0.97)
    assert data["quantities"]["panel_width"]["value"] == pytest.approx((20 * 0.987 + 1) * INCH)
    assert data["quantities"]["back_cut_width"]["value"] == pytest.approx(21 * INCH)  # cut as before
    beside = guide("plan", DEMO, "--as-made").out
    assert "as made" in beside
    assert "› washed size" in beside


def test_written_into_the_project_the_hint_is_gone(guide, workshop):
    """Nothing is offered that the project says already."""
    for day in range(3):
        worked(DEMO, day, starter, measures=panels(0.013))
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("draw_in: 0 %", "draw_in: 1.3 %"), encoding="utf-8")
    said = guide("plan", DEMO, "--as-made")
    assert "drew in" not in said.out
    assert "Nothing that was measured" in said.err


def test_measured_as_planned_teaches_nothing(guide):
    """Measured = planned changes nothing [identity]."""
    worked(DEMO, 0, starter, measures=panels(0.0))
    assert "As made" not in guide("plan", DEMO).out


def test_shrinkage_is_held_against_the_face_as_it_was_made(guide):
    """A face of 19.8 in as made, washed to 18.81: 5 % in width; 14.85 to 13.959: 6 % in length [identity]."""
    washed = {"washed_width": 19.8 * 0.95 * INCH, "washed_height": 14.85 * 0.94 * INCH}
    worked(DEMO, 0, starter, measures=panels(0.01) | washed)
    out = guide("plan", DEMO).out
    assert "your last wash took 5 % in width" in out
    assert "your last wash took 6 % in length" in out
    assert "shrinks: {length: 6 %}" in out
    data = json.loads(guide("plan", DEMO, "--as-made", "--json").out)
    assert data["quantities"]["washed_height"]["value"] == pytest.approx(15 * INCH * 0.99 * 0.94)


def test_rehearsals_and_practice_teach_nothing(guide):
    """Only real makings are asked."""
    worked(DEMO, 0, starter, measures=panels(0.03), mode="practice")
    assert "As made" not in guide("plan", DEMO).out


def test_other_quilting_teaches_nothing_about_this_one(guide, workshop):
    """What a cross draws in is not what no quilting draws in."""
    worked(DEMO, 0, starter, measures=panels(0.03))
    path = workshop / DEMO / "project.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("quilting: cross", "quilting: none "), encoding="utf-8")
    assert "drew in" not in guide("plan", DEMO).out


def test_seams_are_not_quilted():
    """A panel of 21 in with 1/2 in seams that came out at 20.74: 0.26 of 20 in is 1.3 % [identity]."""
    assert drawn_pair(21, 20.74, 0.5).lost == pytest.approx(0.013)


def test_a_panel_that_grew_asks_for_no_draw_in():
    """Draw-in is never written under nothing, and the words say what was seen."""
    grown = learn_draw_in([Made((Pair(100, 101),))], 0.02)
    assert grown is not None
    assert grown.value == 0
    assert "grew by 1 %" in grown.says
    assert learn_draw_in([], 0.02) is None
