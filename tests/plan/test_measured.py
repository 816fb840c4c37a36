"""What is measured takes the place of what was planned, and every later number follows."""

import pytest

from guide.plan.graph import work_out
from guide.plan.make import cut_out, make_plan
from tests.plan.sums_of import cushion, read, shipped

INCH = 25.4


def numbers(measured=None, **changes):
    project = read(cushion(**changes))
    return {name: q.value for name, q in work_out(shipped(), project.given, measured).items()}


def test_a_measured_panel_has_drawn_in_already():
    """Planned 2 % of draw-in is not taken off again: half an inch less is half an inch less face [identity]."""
    planned = numbers(draw_in="2 %")
    made = numbers({"panel_width": planned["panel_width"] - INCH / 2}, draw_in="2 %")
    face = planned["face_width"] - INCH / 2
    assert made["washed_width"] == pytest.approx(face * (1 - planned["shrink_width"]))
    assert made["washed_height"] == pytest.approx(planned["washed_height"])  # not measured yet: still planned


def test_with_several_makes_totals_keep_the_plan():
    """A measure belongs to one make; what counts over all makes stays as planned."""
    planned = numbers(make=3)
    made = numbers({"panel_height": planned["panel_height"] - 0.75 * INCH}, make=3)
    assert made["zip_cut"] == pytest.approx(planned["zip_cut"] - 0.75 * INCH)
    assert made["outer_seam"] == pytest.approx(planned["outer_seam"])


def test_with_several_makes_the_sizes_of_the_one_measured_follow():
    """A panel 1 1/2 in narrower: its panel seams are as much shorter, and have 3 half-inch snips fewer each [identity]."""
    planned = numbers(make=3, snips={"every": "1/2 in"})
    made = numbers({"panel_width": planned["panel_width"] - 1.5 * INCH}, make=3, snips={"every": "1/2 in"})
    assert planned["panel_seam_run"] - made["panel_seam_run"] == pytest.approx(1.5 * INCH)
    assert planned["snips_a_panel_seam"] - made["snips_a_panel_seam"] == 3


@pytest.mark.parametrize("make", [1, 3])
def test_a_plan_on_cloth_that_is_cut_already_is_the_same_plan(make):
    """Cloth is cut before anything is measured, so planning it anew for a measure gives nothing else [identity]."""
    project = read(cushion(make=make))
    first = make_plan(project, shipped())
    stacks = [list(block.stack) for block in first.layout.blocks]
    cut = cut_out(project, shipped(), stacks)
    for measured in (None, {"panel_width": 20.75 * INCH}, {"panel_height": 12.5 * INCH, "washed_width": 19 * INCH}):
        assert make_plan(project, shipped(), measured, stacks, cut=cut) == make_plan(
            project, shipped(), measured, stacks
        )
        assert make_plan(project, shipped(), measured, stacks, cut=cut).cutting == first.cutting


def test_another_layout_on_cloth_that_is_cut_uses_no_other_cloth():
    """Laid upside down, every step and number of what was cut stays; only the blocks lie elsewhere [identity]."""
    project = read(cushion())
    first = make_plan(project, shipped())
    stacks = [list(block.stack) for block in first.layout.blocks]
    laid = make_plan(project, shipped(), None, stacks[::-1], cut=cut_out(project, shipped(), stacks))
    assert [list(block.stack) for block in laid.layout.blocks] == stacks[::-1]
    assert (laid.cutting, laid.shopping, laid.steps) == (first.cutting, first.shopping, first.steps)


def test_what_was_measured_says_so_and_what_follows_from_it_does_not():
    """The panel's width is measured, its height and the zip are worked out; what does not apply is never measured."""
    given = read(cushion()).given
    made = work_out(shipped(), given, {"panel_width": 20 * INCH, "envelope_length": 5.0})
    assert {name for name, one in made.items() if one.measured} == {"panel_width"}
    assert not any(one.measured for one in work_out(shipped(), given).values())
