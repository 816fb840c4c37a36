"""Sizes of blocks, panel and face, against an article laid out block by block."""

from fractions import Fraction as F

import pytest

from tests.plan.article import IN, Article
from tests.plan.sums_of import ACROSS_THE_BACK, THROW, sums


def sizes(grid, square="5 1/4 in", seam="5/8 in", **changes):
    across, down = grid
    return sums(grid={"across": across, "down": down}, square=square, seam=seam, **changes)


@pytest.mark.parametrize(
    ("across", "down", "square", "seam"), [(5, 3, F(21, 4), F(5, 8)), (4, 3, F(6), F(1, 2)), (3, 7, F(13, 2), F(3, 4))]
)
def test_panel_and_face_are_what_blocks_laid_one_after_another_come_to(across, down, square, seam):
    """Every block starts one seam before the last line of stitches [identity, walked]."""
    article = Article(across, down, square, seam)
    n = sizes((across, down), f"{float(square)} in", f"{float(seam)} in", wadding={"gap": "1 in"})
    width, height = article.panel()
    assert n["panel_width"] == pytest.approx(float(width) * IN)
    assert n["panel_height"] == pytest.approx(float(height) * IN)
    face_width, face_height = article.face()
    assert n["face_width"] == pytest.approx(float(face_width) * IN)
    assert n["face_height"] == pytest.approx(float(face_height) * IN)


def test_five_by_three_blocks_of_5_and_a_quarter_make_a_face_of_20_by_12_in():
    """5 1/4 less a 5/8 in seam on both sides is 4 in a block: 5 · 4 by 3 · 4, and 15 blocks of 3 squares [identity]."""
    n = sums()
    assert (n["face_width"], n["face_height"]) == pytest.approx((20 * IN, 12 * IN))
    assert n["wadding_size"] == pytest.approx(4 * IN)  # as the gap is the seam
    assert n["stack_squares"] == 45


def test_nine_blocks_of_5_in_squares_come_out_as_makers_know_them():
    """3 × 3, four 5 in squares, half-inch seams, a zip across: face 12, wadding 4, zip 11 in, 184 snips [practice].

    By hand: 3 · (5 − 1) = 12; 5 − 1 = 4; 13 less 1 in at both ends; 42 + 46 + 96 snips, crossings apart.
    """
    n = sizes(
        (3, 3), "5 in", "1/2 in", layers={"above": 2, "below": 2}, wadding={"gap": "1/2 in"}, closure=ACROSS_THE_BACK
    )
    inches = {name: n[name] / IN for name in ("face_width", "face_height", "wadding_size", "zip_seam", "zip_cut")}
    expected = {"face_width": 12, "face_height": 12, "wadding_size": 4, "zip_seam": 13, "zip_cut": 11}
    assert inches == pytest.approx(expected)
    assert n["zip_opening"] == pytest.approx(10 * IN)
    assert n["snip_cuts"] - n["snips_crossing"] == 184
    assert (n["stack_squares"], n["layers_outer"]) == (36, 5)


def test_the_window_seat_cushion_is_21_by_16_in_raw_and_20_by_15_in_sewn():
    """4 by 3 of 6 in squares, half-inch seams [identity]."""
    n = sizes((4, 3), "6 in", "1/2 in", wadding={"gap": "1/2 in"})
    assert (n["panel_width"], n["panel_height"]) == pytest.approx((21 * IN, 16 * IN))
    assert (n["face_width"], n["face_height"]) == pytest.approx((20 * IN, 15 * IN))
    assert n["wadding_size"] == pytest.approx(5 * IN)


def test_a_plain_quilt_line_is_the_wadding_side_and_a_diagonal_is_its_hypotenuse():
    """Both lines of a block stop at the wadding's edge: Pythagoras on a 4 in square [identity]."""
    cross, plus, bare = sums(), sums(quilting="plus"), sums(quilting="none")
    assert cross["quilt_line"] ** 2 == pytest.approx((4 * IN) ** 2 + (4 * IN) ** 2)
    assert plus["quilt_line"] == pytest.approx(4 * IN)
    assert cross["quilt_lines"] == plus["quilt_lines"] == sum(2 for _ in range(5 * 3))
    assert (bare["quilt_line"], bare["quilt_lines"], bare["stitched_quilting"]) == (None, 0, 0)


def test_without_wadding_the_quilting_stops_short_of_every_fringe():
    """A line through the middle of a block keeps clear of the seams on both sides, 1/8 in [practice]."""
    n = sums(wadding="none", quilting="plus")
    assert n["wadding_size"] is None
    assert n["wadding_squares"] == 0
    assert (n["square"] - n["quilt_line"]) / 2 - n["seam"] == pytest.approx(IN / 8)


def test_no_quilting_line_reaches_the_seam_whatever_the_gap():
    """Half of what is left beside the line is never less than the seam, but for 1 mm of grace [identity]."""
    for gap in ("15 mm", "5/8 in", "3/4 in", "1 in"):
        n = sums(wadding={"gap": gap}, quilting="plus")
        assert (n["square"] - n["quilt_line"]) / 2 >= n["seam"] - 1.0


def test_a_throw_has_no_pad_no_back_and_no_zip():
    """Both faces show and nothing goes in [practice]."""
    n = sums(**THROW)
    for name in ("pad_width", "pad_height", "back_width", "back_height", "zip_seam", "zip_cut", "envelope_length"):
        assert n[name] is None, name
    assert n["back_squares"] == n["stitched_back"] == n["stitched_zip"] == n["stitched_hems"] == 0


def test_one_row_or_one_column_still_adds_up():
    """A single line of blocks is one square high, raw edge to raw edge [identity]."""
    row = sizes((5, 1), **THROW)
    column = sizes((1, 5), **THROW)
    assert row["panel_height"] == column["panel_width"] == pytest.approx(5.25 * IN)
    assert row["panel_seams"] == column["row_seams"] == 0
    assert row["row_seams"] == column["panel_seams"] == 4
    assert row["snips_panel"] == column["snips_row"] == row["crossings"] == column["crossings"] == 0


def test_seams_are_counted_where_two_blocks_meet():
    """Row seams at every pair side by side, one panel seam under every row but the last [identity, walked]."""
    for across, down, make in ((5, 3, 1), (4, 3, 2), (1, 6, 3), (6, 1, 1)):
        n = sizes((across, down), make=make, **THROW)
        article = Article(across, down, F(21, 4), F(5, 8), make=make)
        assert n["row_seams"] == article.side_by_side()
        assert n["crossings"] == article.crossings()
        assert n["panel_seams"] == make * len(list(zip(range(down), range(1, down), strict=False)))


def test_a_raw_edge_seam_stops_short_of_both_ends():
    """5 1/4 in square, 3/8 in unsewn at each end: 4 1/2 in; a 21 1/4 in panel: 20 1/2 in [identity]."""
    n = sums(free_end="3/8 in")
    assert n["row_seam_run"] == pytest.approx(4.5 * IN)
    assert n["panel_seam_run"] == pytest.approx(20.5 * IN)
