"""What must hold of the sums whatever the project: scale, units, number of makes, seams, measures, turning."""

import os
from fractions import Fraction as F
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.sums_of import shipped, sums_of

MM = F(254, 10)
few = settings(max_examples=200 if os.environ.get("FRAYWORK_FULL") else 25, deadline=None)

CLOSURES = ("zip across", "zip down", "envelope", "throw")


@st.composite
def articles(draw: st.DrawFn, closures: tuple[str, ...] = CLOSURES) -> dict[str, Any]:
    """Sizes in sixteenths of an inch, so that inches and mm can both be written exactly."""

    def sixteenths(least: int, most: int) -> F:
        return F(draw(st.integers(least, most)), 16)

    closure = draw(st.sampled_from(closures))
    seam = sixteenths(4, 12)
    return {
        "closure": closure,
        "across": draw(st.integers(2 if closure == "zip down" else 1, 6)),
        "down": draw(st.integers(2 if closure == "zip across" else 1, 6)),
        "make": draw(st.integers(1, 3)),
        "above": draw(st.integers(1, 3)),
        "below": draw(st.integers(1, 3)),
        "square": 8 * seam + sixteenths(0, 64),
        "seam": seam,
        "free_end": seam * F(draw(st.integers(0, 4)), 4),
        "gap": seam + sixteenths(0, 8),
        "every": sixteenths(4, 24),
        "end_gap": seam + sixteenths(1, 4),
        "plain": closure != "throw" and draw(st.booleans()),
        "quilting": draw(st.sampled_from(["cross", "plus", "none"])),
        "shrinks": (draw(st.integers(0, 8)), draw(st.integers(0, 8))),
    }


def written(a: dict[str, Any], *, units: str = "inch", k: int = 1) -> dict[str, Any]:
    """The article as a project file, every length `k` times as long, in inches or in mm."""

    def length(inches: F | int) -> str:
        value = F(inches) * k
        return f"{float(value):.10g} in" if units == "inch" else f"{float(value * MM):.10g} mm"

    zips = {"end_gap": length(a["end_gap"]), "stop_gap": length(F(1, 8)), "box_gap": length(F(1, 4)), "type": "zip"}
    closure: Any = {
        "zip across": zips | {"after_row": 1},
        "zip down": zips | {"after_column": 1},
        "envelope": {"type": "envelope", "overlap": length(a["square"] / 2), "hem": length(1), "double_hem": True},
        "throw": "none",
    }[a["closure"]]
    back: Any = "none" if a["closure"] == "throw" else {"plain": "leaf"} if a["plain"] else "patchwork"
    length_by, width_by = a["shrinks"]
    return {
        "project": "An invented article",
        "kind": "throw" if a["closure"] == "throw" else "cushion",
        "units": units,
        "grid": {"across": a["across"], "down": a["down"]},
        "make": a["make"],
        "layers": {"above": a["above"], "below": a["below"]},
        "square": length(a["square"]),
        "seam": length(a["seam"]),
        "free_end": length(a["free_end"]),
        "wadding": {"gap": length(a["gap"]), "width": length(90), "thickness": length(F(1, 16))},
        "cloth_thickness": length(F(1, 64)),
        "prints": [
            {"name": "leaf", "width": length(44), "shrinks": {"length": f"{length_by} %", "width": f"{width_by} %"}},
            {"name": "dot", "width": length(44)},
        ],
        "back": back,
        "closure": closure,
        "quilting": a["quilting"],
        "pad": {"ease": length(F(1, 2))},
        "snips": {"every": length(a["every"]), "clear": length(F(1, 8)), "at_crossing": 2},
        "stitch": {"length": length(F(1, 16)), "tack": length(F(1, 8))},
        "thread": {"metres_per_spool": 100 * k, "tail": length(3), "bobbin": length(700)},
        "tolerance_fine": length(F(1, 16)),
        "tolerance": length(F(1, 8)),
        "tolerance_loose": length(F(1, 4)),
        "last_snip": length(F(1, 4)),
        "corner_slit": length(F(1, 8)),
        "zip_step": length(2),
        "zip_spare": length(2),
        "hem_raw": length(F(3, 8)),
        "quilt_clear": length(F(1, 8)),
        "outer_again": length(F(1, 8)),
        "slider_gap": length(F(5, 2)),
        "ruler": length(24),
        "zigzag_width": length(F(1, 8)),
        "zigzag_length": length(F(1, 16)),
    }  # fmt: skip


# As much cloth as there is area of it: neither a length nor the same at another size.
WEIGHED = {"weight_cloth", "weight_wadding", "weight_each", "articles_first", "articles_again", "loads_first", "loads_again",
           "back_area"}  # fmt: skip


def compare(one: dict[str, Any], other: dict[str, Any], *, but: set[str], k: float = 1.0) -> None:
    """Every length of `other` is k times that of `one`, everything else is the same."""
    for name, value in one.items():
        if name in but:
            continue
        expected = value * k if isinstance(value, float) and shipped().dims[name] == "length" else value
        assert other[name] == (pytest.approx(expected) if isinstance(expected, float) else expected), name


@few
@given(articles(), st.sampled_from([2, 3]))
def test_everything_twice_as_large_is_twice_as_large(a, k):
    """All lengths by k, and every length is k times as long, every count and ratio the same [identity].

    But for how much slower a larger piece is handled, which is for the hands to say.
    """
    compare(sums_of(written(a)), sums_of(written(a, k=k)), but={"bulk", *WEIGHED}, k=k)


@few
@given(articles())
def test_inches_and_millimetres_of_the_same_size_give_the_same_numbers(a):
    """The inch is 25.4 mm [source: international yard agreement 1959]; units only change
    what is shown, and what is taken where a length is not written."""
    compare(sums_of(written(a)), sums_of(written(a, units="metric")), but={"units"})


OF_ALL_MAKES = (
    "blocks", "squares", "stack_squares", "back_squares", "wadding_squares", "quilt_lines", "row_seams", "panel_seams",
    "outer_seam", "snips_row", "snips_panel", "snips_outer", "snips_crossing", "snip_cuts", "crossings", "stitched",
    "stitched_quilting", "stitched_rows", "stitched_panels", "stitched_outer", "stitched_back", "stitched_zip",
    "stitched_hems", "back_short_seams", "back_long_seams", "runs", "runs_back", "runs_opening", "runs_raw", "runs_thin", "thread",
    "runs_outer", "runs_inside", "outer_second", "inner_ends", "inside_short", "inside_long", "inside_run",
    "stitched_inside", "thread_inside", "thread_overlocked",
    "thread_sewn", "thread_tails", "thread_backstitch", "thread_needle", "thread_bobbin", "thread_chain_saves",
    "thread_quilting", "thread_rows", "thread_panels", "thread_outer", "thread_back", "thread_zip", "thread_hems",
)  # fmt: skip


@few
@given(articles(), st.integers(2, 7))
def test_making_n_takes_n_times_as_much_and_no_other_size(a, n):
    """What is counted over all makes grows n-fold; what one article measures stays [identity]."""
    one, many = sums_of(written(a | {"make": 1})), sums_of(written(a | {"make": n}))
    for name in OF_ALL_MAKES:
        expected = None if one[name] is None else pytest.approx(n * one[name])
        assert many[name] == expected, name
    compare(one, many, but={*OF_ALL_MAKES, "make", "thread_spools", "thread_bobbins", "loads_first", "loads_again"})


@few
@given(articles(), st.integers(1, 8))
def test_a_wider_seam_never_makes_the_face_larger(a, sixteenths):
    """More is taken into the seams, so less shows [practice]; the fringe grows as much."""
    wider = a["seam"] + F(sixteenths, 16)
    grown = {"seam": wider, "gap": a["gap"] + F(sixteenths, 16), "end_gap": a["end_gap"] + F(sixteenths, 16)}
    room = {"square": max(a["square"], 5 * wider)}
    narrow, wide = sums_of(written(a | room)), sums_of(written(a | room | grown))
    assert wide["face_width"] < narrow["face_width"]
    assert wide["face_height"] < narrow["face_height"]
    assert wide["fringe_height"] > narrow["fringe_height"]


MEASURED = ("panel_width", "panel_height", "washed_width", "washed_height")


@few
@given(articles())
def test_a_measure_that_agrees_with_the_plan_changes_nothing(a):
    """Every name that a step measures, set to what was planned [identity]."""
    planned = sums_of(written(a))
    assert set(MEASURED) == {step.measure for stage in shipped().stages for step in stage.steps if step.measure}
    compare(planned, sums_of(written(a), {name: planned[name] for name in MEASURED}), but=set())


SWAPPED = {
    "panel_width": "panel_height", "face_width": "face_height", "washed_width": "washed_height",
    "washed_width_least": "washed_height_least", "pad_width": "pad_height", "back_width": "back_height",
}  # fmt: skip
UNTURNED = (
    "blocks", "stack_squares", "back_squares", "outer_seam", "snips_outer", "snips_crossing", "stitched_quilting",
    "stitched_outer", "stitched_back", "stitched_zip", "zip_seam", "zip_cut", "zip_opening", "zip_box", "zip_ends",
    "zip_buy", "back_piece_1", "back_piece_2", "back_short_seams", "back_long_seams", "layers_outer",
)  # fmt: skip


@few
@given(articles(("zip across", "zip down", "throw")))
def test_a_project_turned_on_its_side_swaps_width_and_height(a):
    """Rows for columns, the zip with them, the grain's shrinkage too [identity]."""
    turned = a | {
        "closure": {"zip across": "zip down", "zip down": "zip across"}.get(a["closure"], a["closure"]),
        "across": a["down"], "down": a["across"], "shrinks": a["shrinks"][::-1],
    }  # fmt: skip
    one, other = sums_of(written(a)), sums_of(written(turned))
    for wide, high in SWAPPED.items():
        for here, there in ((wide, high), (high, wide)):
            expected = None if one[here] is None else pytest.approx(one[here])
            assert other[there] == expected, here
    for name in UNTURNED:
        expected = None if one[name] is None else pytest.approx(one[name])
        assert other[name] == expected, name


@few
@given(articles(), st.integers(-16, 16))
def test_what_is_measured_on_one_make_leaves_the_totals_of_all_as_planned(a, sixteenths):
    """With several makes a measure belongs to one of them: totals keep the plan, its own sizes follow."""
    planned = sums_of(written(a | {"make": 3}))
    measured = planned["panel_width"] + sixteenths * 25.4 / 16
    made = sums_of(written(a | {"make": 3}), {"panel_width": measured})
    for name in OF_ALL_MAKES:
        assert made[name] == planned[name], name
    assert made["face_width"] == pytest.approx(measured - 2 * planned["seam"])
