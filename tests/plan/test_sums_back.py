"""Backs and closures: the zip along its seam, the envelope's two panels, the squares behind."""

import itertools
from fractions import Fraction as F
from math import isclose

import pytest

from tests.plan.article import IN, Article
from tests.plan.sums_of import ACROSS_THE_BACK, ENVELOPE, ZIP, cushion, sums, sums_of

HALF_INCH = {"seam": "1/2 in", "wadding": {"gap": "1/2 in"}}


def test_a_seam_of_13_and_a_quarter_takes_a_zip_two_inches_shorter_and_an_opening_one_less():
    """1 in kept at each end, stops marked 1/2 in from the zip's ends: 13 1/4, 11 1/4, 10 1/4 in [practice]."""
    n = sums()
    assert [n[name] / IN for name in ("zip_seam", "zip_cut", "zip_opening")] == pytest.approx([13.25, 11.25, 10.25])


def test_the_zip_seam_is_its_two_sewn_ends_and_the_tacking_between():
    """What is sewn, tacked and sewn covers the seam from end to end [identity]."""
    for closure in (ZIP, ACROSS_THE_BACK, ZIP | {"end_gap": "3 cm", "stop_gap": "9 mm"}):
        n = sums(closure=closure, grid={"across": 4, "down": 3})
        assert n["zip_ends"] + n["zip_tack"] + n["zip_ends"] == pytest.approx(n["zip_seam"])
        assert n["zip_ends"] == pytest.approx(n["zip_end_gap"] + n["zip_stop_gap"])


def test_the_box_is_the_outline_of_a_rectangle_round_the_opening():
    """Corner to corner to corner round the teeth, one gap out on both sides [identity, walked]."""
    n = sums()
    long, short = n["zip_opening"], n["zip_box_gap"]
    corners = [(0, -short), (long, -short), (long, short), (0, short), (0, -short)]
    walked = sum(abs(x2 - x1) + abs(y2 - y1) for (x1, y1), (x2, y2) in itertools.pairwise(corners))
    assert n["zip_box"] == pytest.approx(walked)


def test_the_zip_runs_across_the_back_or_down_it():
    """After a row its seam is as long as the panel is wide, after a column as it is high [identity]."""
    assert sums(closure=ACROSS_THE_BACK)["zip_seam"] == pytest.approx((5 * 4 + 1.25) * IN)
    assert sums()["zip_seam"] == pytest.approx((3 * 4 + 1.25) * IN)


def test_the_zip_to_buy_leaves_two_inches_to_cut_off_and_less_than_four():
    """2 in spare, then up to the next even inch a shop keeps [practice]."""
    for across, square in itertools.product(range(2, 9), ("5 1/4 in", "5 1/2 in", "4 7/8 in")):
        n = sums(grid={"across": across, "down": 3}, square=square, closure=ACROSS_THE_BACK)
        assert 2 * IN - 1e-6 <= n["zip_buy"] - n["zip_cut"] < 4 * IN
        assert isclose(n["zip_buy"] / IN % 2, 0, abs_tol=1e-9) or isclose(n["zip_buy"] / IN % 2, 2)


def test_two_plain_pieces_sewn_at_the_zip_make_a_back_as_high_as_the_panel():
    """Each gives one seam to the zip: 9 1/4 and 13 1/4 in of a 21 1/4 in panel, 22 1/2 less two of 5/8 [identity]."""
    n = sums(back={"plain": "dot"})
    assert [n["back_piece_1"] / IN, n["back_piece_2"] / IN] == pytest.approx([9.25, 13.25])
    assert n["back_piece_1"] + n["back_piece_2"] - 2 * n["seam"] == pytest.approx(n["panel_width"])
    n = sums(back={"plain": "dot"}, closure=ACROSS_THE_BACK)
    assert [n["back_piece_1"] / IN, n["back_piece_2"] / IN] == pytest.approx([5.25, 9.25])
    assert n["back_piece_1"] + n["back_piece_2"] - 2 * n["seam"] == pytest.approx(n["panel_height"])


def test_an_envelope_is_half_the_panel_half_the_overlap_and_its_hem():
    """(13 1/4 + 4)/2 + 2·1 is 10 5/8 in; (19 + 5)/2 + 2·1 is 14 in for a 19 in panel and a 5 in overlap [identity]."""
    n = sums(closure=ENVELOPE)
    assert n["envelope_length"] == pytest.approx(10.625 * IN)
    assert n["envelope_width"] == pytest.approx(21.25 * IN)
    large = sums(closure=ENVELOPE | {"overlap": "5 in"}, square="7 in", grid={"across": 2, "down": 3}, **HALF_INCH)
    assert large["envelope_length"] == pytest.approx(14 * IN)  # 3 · 6 in and a seam at both ends: 19 in


@pytest.mark.parametrize("double", [True, False])
def test_two_hemmed_panels_lie_over_each_other_by_the_overlap(double):
    """Take off what the hem turns in, lay both on the front: they overlap as asked [identity]."""
    n = sums(closure=ENVELOPE | {"double_hem": double, "hem": "3/4 in"}, grid={"across": 2, "down": 5})
    first_ends = n["envelope_length"] - n["turn_in"]
    second_starts = n["panel_height"] - (n["envelope_length"] - n["turn_in"])
    assert first_ends - second_starts == pytest.approx(n["envelope_overlap"])
    folds = [0.75, 0.75] if double else [3 / 8, 0.75]  # the raw edge folded under, then the hem [practice]
    assert n["turn_in"] == pytest.approx(sum(folds) * IN)
    assert n["hem_fold"] == pytest.approx(folds[0] * IN)


def test_envelope_squares_are_whole_rows_until_the_panel_is_long_enough():
    """Rows are joined one by one until the panel reaches its length; two panels [identity, walked]."""
    for down, overlap in ((3, "4 in"), (4, "4 in"), (5, "6 in"), (2, "3 in"), (3, "1 1/2 in"), (3, "1 in")):
        closure = ENVELOPE | {"overlap": overlap}
        n = sums(closure=closure, grid={"across": 3, "down": down}, make=2)
        rows = 1
        while float(Article(3, rows, F(21, 4), F(5, 8)).panel()[1]) * IN < n["envelope_length"] - 1e-6:
            rows += 1
        assert n["envelope_rows"] == rows
        assert n["back_squares"] == sum(3 for _panel in range(2 * 2) for _row in range(rows))


def test_a_patchwork_back_has_a_square_behind_every_block():
    """A zip back is the grid again in single squares; a plain one has none [identity]."""
    assert sums(make=2)["back_squares"] == 2 * len([(r, c) for r in range(3) for c in range(5)])
    assert sums(back={"plain": "dot"})["back_squares"] == 0
    n = sums()
    assert n["squares"] == 15 * 3 + 15


def stitched_in_squares(across, down):
    """Length of all seams inside a sheet of single squares, sewn edge to edge in rows, in."""
    article = Article(across, down, F(21, 4), F(5, 8))
    short = sum(5.25 for _ in range(article.side_by_side()))
    return short + sum(float(article.panel()[0]) for _ in range(down - 1))


def test_the_backs_seams_are_those_of_a_sheet_of_squares():
    """Short seams edge to edge, then the long ones, the zip's among them [identity, walked]."""
    n = sums(closure=ACROSS_THE_BACK)
    assert n["stitched_back"] == pytest.approx(stitched_in_squares(5, 3) * IN)
    assert n["back_short_seams"] == 12
    assert n["back_long_seams"] == 1  # two joins between three rows, one of them the zip's
    turned = sums(grid={"across": 3, "down": 5})
    assert turned["stitched_back"] == pytest.approx(n["stitched_back"])
    down = sums()  # in columns: 10 short seams of 5 1/4 in, three long ones of 13 1/4 and the zip's
    assert (down["back_short_seams"], down["back_long_seams"]) == (10, 3)
    assert down["stitched_back"] == pytest.approx((10 * 5.25 + 4 * 13.25) * IN)


def test_an_envelopes_panels_are_two_sheets_and_two_hems():
    """Two sheets of three rows of squares, two hems right across [identity, walked]."""
    n = sums(closure=ENVELOPE)
    assert n["envelope_rows"] == 3  # 5 1/4, 9 1/4, 13 1/4 in: 10 5/8 in needs the third
    assert n["stitched_back"] == pytest.approx(2 * stitched_in_squares(5, 3) * IN)
    assert n["stitched_hems"] == pytest.approx(2 * 21.25 * IN)


def test_a_plain_back_has_only_the_zip_seam():
    """One seam down a plain zip back, none in a plain envelope [identity]."""
    assert sums(back={"plain": "dot"})["stitched_back"] == pytest.approx(13.25 * IN)
    assert sums(back={"plain": "dot"}, closure=ENVELOPE)["stitched_back"] == 0


def test_a_panel_measured_narrow_shortens_the_zip_and_twice_that_the_outer_seam():
    """3/4 in narrower: zip 3/4 in shorter, outer seam 1 1/2 in shorter, the back as narrow [identity]."""
    planned = sums(closure=ACROSS_THE_BACK)
    made = sums_of(cushion(closure=ACROSS_THE_BACK), {"panel_width": planned["panel_width"] - 0.75 * IN})
    assert planned["zip_cut"] - made["zip_cut"] == pytest.approx(0.75 * IN)
    assert planned["outer_seam"] - made["outer_seam"] == pytest.approx(1.5 * IN)
    assert planned["back_width"] - made["back_width"] == pytest.approx(0.75 * IN)


def test_the_outer_seam_goes_round_the_face():
    """Four sides of a 20 by 12 in face, two cushions [identity, walked]."""
    assert sums(make=2)["outer_seam"] == pytest.approx(2 * (20 + 12 + 20 + 12) * IN)


def test_all_that_is_stitched_is_the_sum_of_its_kinds():
    """Quilting, rows, panel, outer seam, back, zip or hems, nothing twice [identity]."""
    kinds = ("quilting", "rows", "panels", "outer", "back", "zip", "hems")
    for closure in (ZIP, ACROSS_THE_BACK, ENVELOPE):
        n = sums(closure=closure)
        assert n["stitched"] == pytest.approx(sum(n[f"stitched_{kind}"] for kind in kinds))
    n = sums()
    assert n["stitched_quilting"] == pytest.approx(15 * 2 * (32**0.5) * IN)  # two diagonals of 4 in
    assert n["stitched_rows"] == pytest.approx(12 * 4.25 * IN)  # 5 1/4 less half an inch at both ends
    assert n["stitched_panels"] == pytest.approx(2 * 20.25 * IN)
