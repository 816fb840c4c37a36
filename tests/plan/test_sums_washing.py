"""What washing and quilting take, as ISO 5077 reckons a change of dimension."""

import pytest

from tests.plan.article import IN
from tests.plan.sums_of import sums


def prints(*shrinks):
    return [
        {"name": f"print {i}", "width": "44 in", "shrinks": {"length": f"{length} %", "width": f"{width} %"}}
        for i, (length, width) in enumerate(shrinks)
    ]


def change(before, after):
    """Dimensional change in per cent, minus for shrinkage [source: ISO 5077, second hand]."""
    return 100 * (after - before) / before


def test_350_mm_that_shrinks_3_per_cent_measures_339_5():
    """350 → 339.5 mm is −3.0 % [identity on ISO 5077's formula]."""
    n = sums(grid={"across": 2, "down": 2}, square="200.4 mm", prints=prints((0, 3)))
    face = n["face_width"]
    assert face == pytest.approx(350)
    assert n["washed_width"] == pytest.approx(339.5)
    assert change(face, n["washed_width"]) == pytest.approx(-3.0)


def test_two_changes_one_after_the_other_multiply():
    """−3 % then −1 % is −3.97 %, not −4 % [identity]: quilting draws in, then washing shrinks."""
    n = sums(draw_in="3 %", prints=prints((1, 1)))
    assert change(n["face_width"], n["washed_width"]) == pytest.approx(-3.97)


def test_to_finish_at_450_after_5_per_cent_takes_473_68():
    """473.68, not 472.5 [identity]."""
    square = 473.684 / 2 + 2 * 12.7  # each of two blocks gives half the face, and a seam on both sides
    n = sums(grid={"across": 2, "down": 2}, square=f"{square:.4f} mm", prints=prints((5, 5)))
    assert n["face_width"] == pytest.approx(473.684, abs=1e-3)
    assert n["washed_width"] == pytest.approx(450, abs=1e-3)


def test_the_cloths_length_runs_down_the_face():
    """Shrinkage along the grain shortens, across it narrows [practice]."""
    n = sums(prints=prints((4, 1)))
    assert n["washed_width"] == pytest.approx(12 * 0.99 * IN)
    assert n["washed_height"] == pytest.approx(12 * 0.96 * IN)


def test_the_least_size_is_that_of_the_print_that_shrinks_most():
    """Mean of the prints, and the worst of them [identity]."""
    n = sums(prints=prints((2, 1), (4, 1), (6, 4)))
    assert n["washed_height"] == pytest.approx(12 * IN * (1 - (0.02 + 0.04 + 0.06) / 3))
    assert n["washed_height_least"] == pytest.approx(12 * IN * 0.94)
    assert n["washed_width_least"] == pytest.approx(12 * IN * 0.96)
    assert n["washed_width_least"] <= n["washed_width"] <= n["face_width"]
    drawn = sums(prints=prints((2, 1), (6, 4)), draw_in="2 %")
    assert drawn["washed_height"] == pytest.approx(12 * IN * 0.98 * (1 - (0.02 + 0.06) / 2))
    assert drawn["washed_width"] == pytest.approx(12 * IN * 0.98 * (1 - (0.01 + 0.04) / 2))
    assert drawn["washed_height_least"] == pytest.approx(12 * IN * 0.98 * 0.94)
    assert drawn["washed_width_least"] == pytest.approx(12 * IN * 0.98 * 0.96)


def test_the_pad_is_larger_than_the_washed_cover_by_its_ease():
    """A pad half an inch larger fills the corners [practice]."""
    n = sums(pad={"ease": "1/2 in"}, prints=prints((4, 3)))
    assert n["pad_width"] - n["washed_width"] == pytest.approx(IN / 2)
    assert n["pad_height"] - n["washed_height"] == pytest.approx(IN / 2)
