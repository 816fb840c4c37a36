"""What is measured takes the place of what was planned, and every later number follows."""

import pytest

from guide.plan.graph import work_out
from tests.plan.sums_of import cushion, read, shipped

INCH = 25.4


def numbers(measured=None, **changes):
    project = read(cushion(**changes))
    return {name: q.value for name, q in work_out(shipped(), project.given, measured).items()}


def test_a_measured_panel_has_drawn_in_already():
    """Planned 2 % of draw-in is not taken off again once the panel was measured with it [identity]."""
    planned = numbers(draw_in="2 %")
    made = numbers({"panel_width": planned["panel_width"] * 0.98}, draw_in="2 %")
    face = planned["panel_width"] * 0.98 - 2 * planned["seam"]
    assert planned["washed_width"] == pytest.approx(planned["face_width"] * 0.98 * (1 - planned["shrink_width"]))
    assert made["washed_width"] == pytest.approx(face * (1 - planned["shrink_width"]))
    assert made["washed_height"] == pytest.approx(planned["washed_height"])  # not measured yet: still planned


def test_with_several_makes_totals_keep_the_plan():
    """A measure belongs to one make; what counts over all makes stays as planned."""
    planned = numbers(make=3)
    made = numbers({"panel_width": planned["panel_width"] - 0.75 * INCH}, make=3)
    assert made["zip_cut"] == pytest.approx(planned["zip_cut"] - 0.75 * INCH)
    assert made["outer_seam"] == pytest.approx(planned["outer_seam"])
