"""Thread by lockstitch geometry, layers under the needle, needle numbers."""

import re
from math import ceil

import pytest
from msgspec.structs import replace

from guide.plan.make import make_plan
from guide.plan.warn import advice_of, needle_size
from guide.show.words import render_step
from tests.plan.article import IN
from tests.plan.sums_of import ENVELOPE, THROW, ZIP, cushion, read, shipped, sums


def test_a_seam_a_hundredth_of_an_inch_thick_at_ten_stitches_takes_2_2():
    """Type 301: C = 2 + 2·T·S = 2.2 in per in [source: textile-engineering teaching texts, second hand].

    An ordinary seam of two layers, each 0.005 in, stitched at 10 to the inch.
    """
    n = sums(cloth_thickness="0.005 in", stitch={"length": "0.1 in", "tack": "5 mm"})
    assert n["takes_back"] == pytest.approx(2.2)


def test_a_chain_stitch_takes_one_length_more_than_a_lockstitch():
    """Type 101: C = 3 + 2·T·S; T 0.005 in, S 9 gives 3.09 [source: the same texts, second hand].

    Our seams are lockstitch, so the same seam must come to 3.09 less the chain's third length.
    """
    n = sums(cloth_thickness="0.0025 in", stitch={"length": f"{IN / 9:.6f} mm", "tack": "5 mm"})
    assert n["takes_back"] == pytest.approx(3.09 - 1, abs=1e-6)


def test_a_raw_edge_seam_takes_far_more_than_the_flat_two_and_a_half():
    """T 4 mm at a 3 mm stitch takes 4.667 [identity]: eight layers of half a millimetre."""
    n = sums(cloth_thickness="0.5 mm", stitch={"length": "3 mm", "tack": "5 mm"}, layers={"above": 2, "below": 2})
    assert n["takes_raw_seam"] == pytest.approx(4.667, abs=5e-4)


def lockstitch(length, layers, extra=0.0, stitch=2.5, cloth=0.25):
    """Both threads of a seam, laid stitch by stitch: along above, along below, down and up the thickness."""
    thick = layers * cloth + extra
    return length / stitch * (stitch + stitch + thick + thick)


def test_each_kind_of_seam_takes_thread_by_its_own_layers():
    """Quilting 3 + wadding, raw seams 6, outer seam 4, back 2, zip 3 layers [identity, stitch by stitch]."""
    n = sums(wadding={"gap": "5/8 in", "thickness": "1.2 mm"})
    assert n["thread_quilting"] == pytest.approx(lockstitch(n["stitched_quilting"], 3, 1.2))
    assert n["thread_rows"] == pytest.approx(lockstitch(n["stitched_rows"], 6))
    assert n["thread_panels"] == pytest.approx(lockstitch(n["stitched_panels"], 6))
    assert n["thread_outer"] == pytest.approx(lockstitch(n["stitched_outer"], 4))
    assert n["thread_back"] == pytest.approx(lockstitch(n["stitched_back"], 2))
    assert n["thread_zip"] == pytest.approx(lockstitch(n["stitched_zip"], 3))
    layers = {"rows": 6, "panels": 6, "outer": 4, "back": 2, "zip": 3, "hems": 3}
    others = sum(lockstitch(n[f"stitched_{kind}"], count) for kind, count in layers.items())
    assert n["thread_sewn"] == pytest.approx(lockstitch(n["stitched_quilting"], 3, 1.2) + others)
    hemmed = sums(closure=ENVELOPE)
    assert hemmed["thread_hems"] == pytest.approx(lockstitch(2 * 21.25 * IN, 3))
    assert hemmed["thread_sewn"] == pytest.approx(
        lockstitch(hemmed["stitched_quilting"], 3, 1.0)
        + sum(lockstitch(hemmed[f"stitched_{kind}"], count) for kind, count in (layers | {"outer": 5}).items())
    )


def test_every_start_of_a_seam_leaves_four_tails():
    """Two ends, needle and bobbin each; 30 lines, 12 + 2 raw seams, 1 outer, 10 + 4 in the back, 1 zip [identity].

    The back in five columns of three: two short seams in each, four long ones between them, the zip's too.
    """
    starts = 15 * 2 + 12 + 2 + 1 + (5 * 2 + 4) + 1
    n = sums(thread={"tail": "70 mm"})
    assert n["runs"] == starts
    assert n["thread_tails"] == pytest.approx(starts * 2 * 2 * 70)
    quilt = 15 * 2 + 12 + 2 + 1
    assert sums(**THROW)["runs"] == quilt
    sheets = [3 * 4 + 2, 3 * 4 + 2]  # two envelope panels of three rows of five squares
    assert sums(closure=ENVELOPE)["runs"] == quilt + sum(sheets) + len(sheets)
    plain = {"back": {"plain": "dot"}}
    assert sums(**plain)["runs"] == quilt + 1 + 1  # one zip seam, one box
    assert sums(closure=ENVELOPE, **plain)["runs"] == quilt + 2


def test_back_stitches_sew_three_back_and_three_forth_at_both_ends():
    """A run of one kind of seam more means 12 more stitches in its layers [identity, stitch by stitch]."""
    one, two = sums(quilting="none"), sums()
    more = two["thread_backstitch"] - one["thread_backstitch"]
    assert more == pytest.approx(sum(lockstitch(12 * 2.5, 3, 1.0) for _ in range(30)))
    layers = [6] * (12 + 2) + [4] + [2] * (10 + 4) + [3]  # raw seams, outer seam, back with its zip seam, zip box
    assert one["thread_backstitch"] == pytest.approx(sum(lockstitch(12 * 2.5, count) for count in layers))


def test_chain_sewing_saves_two_tails_at_every_short_seam():
    """Ten seams in the columns of a patchwork back, two tails left out of four [identity]."""
    assert sums(thread={"tail": "80 mm"})["thread_chain_saves"] == pytest.approx(10 * 2 * 80)


def test_needle_and_bobbin_share_the_thread_and_whole_spools_hold_it():
    """Half each; spools and bobbins in whole numbers that hold enough and not one too many [identity]."""
    for across in (2, 5, 9):
        n = sums(grid={"across": across, "down": 4}, thread={"metres_per_spool": 50, "bobbin": "20 m"}, make=3, **THROW)
        assert n["thread_needle"] + n["thread_bobbin"] == pytest.approx(n["thread"])
        assert n["thread_spools"] == ceil(n["thread"] / 50_000)
        assert n["thread_bobbins"] == ceil(n["thread_bobbin"] / 20_000)


def test_waste_is_added_to_all_that_is_sewn_and_cut_off():
    """15 % on top, the practice's upper figure [practice]; none when none is asked for [identity]."""
    none, some = sums(thread={"waste": "0 %"}), sums(thread={"waste": "15 %"})
    assert none["thread"] == pytest.approx(none["thread_sewn"] + none["thread_backstitch"] + none["thread_tails"])
    assert some["thread"] / none["thread"] == pytest.approx(1.15)


def test_layers_are_those_lying_under_the_needle():
    """Three-layer blocks, stacked up as they lie at each place [practice: one more than a block at the outer seam]."""
    block = ["front", "under", "inside"]
    n = sums()
    assert n["layers_block"] == len(block)
    assert n["layers_quilting"] == len([*block, "wadding"])
    assert n["layers_raw_seam"] == len(block + block)
    assert n["layers_crossing"] == len((block + block) * 2)  # two seams, each block with its flap opened flat
    assert n["layers_outer"] == len([*block, "back square"]) == 4
    assert n["layers_outer_worst"] == len(block + block) + len(["back", "allowance", "allowance"])
    assert sums(**THROW)["layers_outer"] == len(block)
    assert sums(**THROW)["layers_outer_worst"] == len(block + block)  # a seam's two blocks, opened flat
    assert sums(closure=ENVELOPE)["layers_outer"] == len([*block, "under panel", "upper panel"])
    assert sums(wadding="none")["layers_quilting"] == len(block)


def test_every_needle_named_has_both_its_numbers_right():
    """Nm = 60 + 5·(size − 8) below size 19: 10/70, 12/80, 14/90, 16/100, 18/110 [source: teaching text, second hand]."""
    chart = {70: 10, 80: 12, 90: 14, 100: 16, 110: 18}
    assert {metric: needle_size(metric) for metric in chart} == chart
    for layers in ({"above": 1, "below": 0}, {"above": 2, "below": 2}, {"above": 4, "below": 4}):
        plan = make_plan(read(cushion(layers=layers)), shipped())
        tools = [re.fullmatch(r"needle (\d+)/(\d+)", t) for step in plan.steps for t in step.tools if "needle" in t]
        assert len(tools) >= 6
        assert all(found and chart[int(found[1])] == int(found[2]) for found in tools)
        assert {a.needle for a in plan.advice} <= {f"{metric}/{size}" for metric, size in chart.items()}


def advised(**changes):
    return {a.place: (a.layers, a.needle) for a in make_plan(read(cushion(**changes)), shipped()).advice}


def test_needles_grow_with_the_layers_under_them():
    """80/12 ordinary cotton, 90/14 several layers, 100/16 bulky seams [practice]."""
    assert advised() == {
        "quilting": (4, "90/14"), "raw-edge seams": (6, "90/14"), "where seams cross": (12, "100/16"),
        "outer seam": (4, "90/14"), "outer seam at worst": (9, "100/16"),
        "seams of the back": (2, "80/12"), "zip or hems": (3, "90/14"),
    }  # fmt: skip
    thin = advised(layers={"above": 1, "below": 0}, wadding="none")
    assert thin["raw-edge seams"] == (2, "80/12")
    assert thin["where seams cross"] == (4, "90/14")


def test_advice_is_given_only_for_what_the_article_has():
    """No quilting, no crossing in one row, no back on a throw [identity]."""
    assert "quilting" not in advised(quilting="none")
    assert "where seams cross" not in advised(grid={"across": 4, "down": 1}, closure=ENVELOPE)
    assert not {"seams of the back", "zip or hems"} & set(advised(**THROW))


def test_a_zip_is_sewn_with_the_zip_foot_and_a_hem_with_any():
    """A walking foot is as wide as the teeth: the needle moved beside them strikes it [practice]."""
    for closure, foot in ((ZIP, "zip foot"), (ENVELOPE, "any foot")):
        (one,) = [a for a in make_plan(read(cushion(closure=closure)), shipped()).advice if a.place == "zip or hems"]
        assert one.pressure == foot


@pytest.mark.parametrize(
    ("layers", "foot", "why"),
    [
        (4, "walking foot", "ordinary seam"),
        (5, "walking foot", "thin needle bends"),
        (15, "walking foot", "thin needle bends"),
        (16, "walking foot", "domestic machine labours"),
    ],
)
def test_from_five_layers_on_the_foot_and_the_stitch_help(layers, foot, why):
    """Five ask for help at the foot, sixteen labour on a domestic machine [practice]; an outer seam has no other rule."""
    project = read(cushion())
    figures = make_plan(project, shipped()).quantities
    made = figures | {"layers_outer": replace(figures["layers_outer"], value=float(layers))}
    (one,) = [advice for advice in advice_of(project, made) if advice.place == "outer seam"]
    assert one.layers == layers
    assert one.pressure.startswith(foot)
    assert one.stitch.endswith("or longer") == (layers >= 5)
    assert why in one.why


@pytest.mark.parametrize(("above", "layers"), [(2, 6), (3, 8)])
def test_more_than_six_layers_are_snipped_in_two_bites(above, layers):
    """Two blocks of three layers are six, taken at once; of four are eight [practice]."""
    plan = make_plan(read(cushion(layers={"above": above, "below": 1})), shipped())
    (rows,) = [step for step in plan.steps if step.key == "snip/rows"]
    assert plan.quantities["layers_raw_seam"].value == layers
    assert ("two bites" in render_step(plan, rows)["do"]) == (layers > 6)


def test_advice_says_why_and_that_it_is_practice():
    """Every line has its reason and its label; sixteen layers are said to be hard on a domestic machine."""
    advice = make_plan(read(cushion(layers={"above": 2, "below": 2})), shipped()).advice
    assert all(a.why and a.source == "common practice" for a in advice)
    (worst,) = [a for a in advice if a.layers == 16]
    assert "domestic machine labours" in worst.why
    assert "by hand" in worst.why


@pytest.mark.parametrize(("mm", "per_inch"), [(2.5, 10.16), (2.0, 12.7), (5.0, 5.08)])
def test_stitches_per_inch_are_an_inch_over_the_stitch(mm, per_inch):
    """2.5 mm → 10.16 [identity]: an inch of seam holds so many stitches' worth of thickness."""
    n = sums(cloth_thickness="1 mm", stitch={"length": f"{mm} mm", "tack": "5 mm"})
    thickness_in = 2 * 1.0 / IN
    assert (n["takes_back"] - 2) / (2 * thickness_in) == pytest.approx(per_inch)
