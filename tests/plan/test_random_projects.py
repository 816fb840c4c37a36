"""What must hold of every project's plan, on projects drawn at random: 2,000 of them under FRAYWORK_FULL=1."""

from collections import Counter
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from guide.errors import GuideError
from guide.plan.layout.panels import squares_on_hand
from guide.plan.make import make_plan
from guide.record.clock import nearest
from guide.show.report import plan_report
from tests.plan.random_projects import many, projects
from tests.plan.sums_of import read, shipped, sums_of
from tests.show.test_adding_up import seconds_of

pytestmark = pytest.mark.usefixtures("anew")
SHARES = st.tuples(st.integers(-60, 60), st.integers(-60, 60))  # thousandths that a panel came out larger


def planned(data: dict[str, Any], measured: dict[str, float] | None = None) -> Any:
    """The plan; a project that cannot be made of its stock is none."""
    try:
        return make_plan(read(data), shipped(), measured)
    except GuideError:
        assume(False)


def as_measured(planned: dict[str, Any], shares: tuple[int, int]) -> dict[str, float]:
    names = ("panel_width", "panel_height")
    return {name: planned[name] * (1 + share / 1000) for name, share in zip(names, shares, strict=True)}


@many
@given(projects(), SHARES)
def test_the_backs_parts_make_the_back(data, shares):
    """As cut and as trimmed, planned and measured: two parts less the zip's two seams, two panels less hems and overlap.

    [identity] back_cut - back_trim = back.
    """
    first = sums_of(data)
    for n in (first, sums_of(data, as_measured(first, shares))):
        if data["kind"] == "throw":
            continue
        across, seams = n["zip_along"] != "column", 2 * n["seam"]
        assert n["back_cut_width"] - n["back_trim_width"] == pytest.approx(n["back_width"])
        assert (n["back_width"], n["back_height"]) == (n["panel_width"], n["panel_height"])
        assert n["back_cut_width"] == pytest.approx(n["across"] * n["pitch"] + seams)
        undrawn = n["down"] * n["pitch"] + seams
        if n["closure"] == "zip":
            whole, cut = ("back_height", undrawn) if across else ("back_width", n["back_cut_width"])
            assert n["back_cut_height"] - n["back_trim_height"] == pytest.approx(n["back_height"])
            assert n["back_cut_1"] + n["back_cut_2"] - seams == pytest.approx(cut)
            assert n["back_part_1"] + n["back_part_2"] - seams == pytest.approx(n[whole])
            for part in "12":
                assert n[f"back_cut_{part}"] - n[f"back_trim_{part}"] == pytest.approx(n[f"back_part_{part}"])
        else:
            for length, high in ((n["envelope_length"], n["back_height"]), (n["envelope_cut_length"], undrawn)):
                assert 2 * (length - n["turn_in"]) - n["envelope_overlap"] == pytest.approx(high)


@many
@given(projects())
def test_measured_to_the_very_mm_as_planned_changes_nothing(data):
    """Every number, step, cut and purchase stays as it was; only that it was measured is new [identity]."""
    first = planned(data)
    sizes = {step.measure: first.quantities[step.measure].value for step in first.steps if step.measure}
    made = planned(data, sizes)
    assert {name: q.value for name, q in made.quantities.items()} == {
        name: q.value for name, q in first.quantities.items()
    }
    assert (made.steps, made.cutting, made.shopping, made.warnings) == (
        first.steps, first.cutting, first.shopping, first.warnings,
    )  # fmt: skip
    assert len(sizes) == 4


@many
@given(projects(), SHARES)
def test_what_is_cut_stays_cut_whatever_is_measured(data, shares):
    """Cloth is cut and its squares are sewn before a panel can be measured."""
    first = planned(data)
    sizes = {name: q.value for name, q in first.quantities.items()}
    made = planned(data, as_measured(sizes, shares))
    assert (made.cutting, made.shopping, made.backing) == (first.cutting, first.shopping, first.backing)
    for name in ("squares", "back_squares", "back_short_seams", "back_long_seams", "wadding_squares"):
        assert made.quantities[name].value == sizes[name], name


@many
@given(projects())
def test_no_limit_is_exceeded(data):
    """Of all makes' squares, front and back: no more of a print than at_most, nor than lies there where none is bought."""
    plan = planned(data)
    square = plan.quantities["square"].value
    used: Counter[str] = Counter()
    for panel in (plan.layout, plan.backing):
        for block in panel.blocks if panel else ():
            used.update(name for name in block.stack for _ in range(plan.project.make))
    assert sum(used.values()) == plan.quantities["squares"].value
    for cloth in plan.project.prints:
        if cloth.at_most is not None:
            assert used[cloth.name] <= cloth.at_most
        if not cloth.width:
            assert used[cloth.name] <= squares_on_hand(cloth, square, plan.project.units)
    cut = Counter(
        one.material
        for one in plan.cutting
        for cloth in one.cloths
        for placed in cloth.placements
        if placed.part == "square"
    )
    assert cut + Counter(plan.ready) == used


# What an article has, by what a maker wrote; whatever else is none, or as a count 0.
HAS = {
    "zip": ("zip_", "back_cut_1", "back_cut_2", "back_part_", "back_trim_1", "back_trim_2"),
    "envelope": ("envelope_", "turn_in", "hem_fold"),
    "back": ("back_", "pad_width", "pad_height", "layers_back", "layers_opening"),
    "patchwork": ("envelope_rows", "back_row", "back_short", "back_long"),
    "plain": ("back_piece_",),
    "wadding": ("wadding_",),
    "row seams": ("row_seam", "snips_a_row_seam", "snips_row", "stitched_rows", "thread_rows"),
    "panel seams": ("panel_seam", "snips_a_panel_seam", "snips_panel", "stitched_panels", "thread_panels"),
    "raw seams": ("layers_raw_seam", "takes_raw_seam", "needle_raw_seam", "size_raw_seam"),
    "crossings": ("crossings", "layers_crossing", "needle_crossing", "size_crossing", "snips_crossing"),
    "quilting": ("quilt_line", "stitched_quilting", "thread_quilting"),
}  # fmt: skip


@many
@given(projects())
def test_what_does_not_apply_is_none(data):
    """No zip without a zip, no crossing on one row, nothing of a back on a throw; and what applies has a figure."""
    n = sums_of(data)
    has = {
        "zip": n["closure"] == "zip",
        "envelope": n["closure"] == "envelope",
        "back": n["back"] != "none",
        "patchwork": n["back"] == "patchwork",
        "plain": n["back"] == "plain" and n["closure"] == "zip",
        "wadding": n["wadding"] == "one",
        "row seams": n["across"] > 1,
        "panel seams": n["down"] > 1,
        "raw seams": n["across"] * n["down"] > 1,
        "crossings": n["across"] > 1 and n["down"] > 1,
        "quilting": n["quilting"] != "none",
    }
    for what, there in has.items():
        for name in shipped().sums if not there else ():
            if name.startswith(HAS[what]):
                assert not n[name], (what, name)
    needed = {"zip": "zip_cut", "envelope": "envelope_length", "back": "back_width", "row seams": "row_seam_run",
              "panel seams": "panel_seam_run", "crossings": "layers_crossing", "quilting": "quilt_line"}  # fmt: skip
    assert all(n[name] for what, name in needed.items() if has[what])
    assert all(value is None or isinstance(value, str | bool) or value >= 0 for value in n.values())


@many
@given(projects())
def test_what_is_printed_in_rows_sums_to_what_is_printed_below(data):
    """Minutes of steps, stages and stations to the total; squares by print; quantity × price to the cost. [identity]"""
    plan = planned(data)
    out = plan_report(plan)
    # What is under a minute and a half stands in seconds beside minutes: rows end half a minute off at the most.
    total = seconds_of(out.forecast.text)
    for rows in (out.work.stages, out.work.stations, out.work.order):
        assert abs(sum(seconds_of(row.hands_on_text) for row in rows) - total) <= 30
    for row in out.work.stages:
        steps = sum(seconds_of(step.hands_on_text) for step in out.steps if step.stage == row.stage)
        assert abs(steps - seconds_of(row.hands_on_text)) <= 30
    waits = sum(seconds_of(row.waits_text) for row in out.work.stages if row.waits_text)
    assert nearest(waits, 60) == nearest(out.forecast.waiting_s, 60)
    number = {name: row.value for name, row in out.quantities.items()}
    assert number["stack_squares"] + number["back_squares"] == number["squares"]
    for line in out.shopping:
        if line.cost:
            product = Decimal(line.quantity) * Decimal(line.price)
            assert product.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(line.cost), line
