"""A metric maker works in metric sizes: no inch turned into millimetres, and zips as metric shops sell them.

What stands here for metric is a whole millimetre near the inch default. [practice]
"""

import pytest

from guide.plan.make import make_plan
from guide.read.units import show_length
from tests.plan.sums_of import THROW, cushion, read, shipped, sums

METRIC = {
    "units": "metric",
    "square": "13 cm",
    "seam": "15 mm",
    "wadding": {},
    "snips": None,
    "prints": [{"name": name, "width": "112 cm"} for name in ("leaf", "check", "dot", "stripe")],
}
ZIP = {"type": "zip", "after_column": 2}
WAYS = {
    "a zip": {"closure": ZIP},
    "an envelope": {"closure": {"type": "envelope", "double_hem": False}},
    "a throw without wadding": THROW | {"wadding": "none"},
}


@pytest.mark.parametrize("way", WAYS)
def test_every_default_of_a_metric_project_is_a_whole_metric_size(way):
    """Whatever its file does not say is a size on a metric ruler, exactly: nothing is shown with ≈."""
    plan = make_plan(read(cushion(**METRIC | WAYS[way])), shipped())
    inputs = [q for q in plan.quantities.values() if q.dim == "length" and q.formula is None and q.value is not None]
    shown = {q.name: show_length(q.value, "metric") for q in inputs}
    assert {name: text for name, text in shown.items() if "≈" in text} == {}
    assert len(inputs) > 12


@pytest.mark.parametrize("units", ["inch", "metric"])
def test_a_panel_is_judged_by_the_tolerance_it_is_told(units):
    """6 mm said is 6 mm held against, not 1/4 in; in inches the two are one. [identity]"""
    plan = make_plan(read(cushion(**METRIC if units == "metric" else {})), shipped())
    panel = [step for step in plan.steps if step.measure in {"panel_width", "panel_height"}]
    assert [step.within_mm for step in panel] == [plan.quantities["tolerance_loose"].value] * 2


def test_a_metric_cushion_of_13_cm_squares_fits_a_pad_of_50_by_30():
    """13 cm less two seams of 15 mm is 10 in a block: 5 · 10 by 3 · 10 cm, wadding 10 cm [identity]."""
    at = sums(**METRIC | {"closure": ZIP})
    assert (at["face_width"], at["face_height"], at["wadding_size"]) == pytest.approx((500, 300, 100))


def test_the_defaults_of_a_metric_project():
    """A whole millimetre near the inch default, as the trade sets it. [practice]"""
    at = sums(**METRIC | {"closure": ZIP})
    expected = {
        "free_end": 12.0, "zip_end_gap": 25.0, "zip_stop_gap": 12.0, "zip_box_gap": 6.0, "pad_ease": 10.0,
        "snip_every": 12.0, "snip_clear": 3.0, "wadding_width": 2200.0, "tolerance_fine": 2.0, "tolerance": 3.0,
        "tolerance_loose": 6.0,
    }  # fmt: skip
    assert {name: at[name] for name in expected} == expected
    turned = sums(**METRIC | {"closure": {"type": "envelope", "double_hem": False}})
    assert (turned["envelope_overlap"], turned["hem"], turned["turn_in"]) == (100.0, 25.0, 35.0)
    assert sums(**METRIC | THROW | {"wadding": "none"})["quilt_box"] == pytest.approx(130 - 2 * (15 + 3))
    assert read(cushion(**METRIC | {"closure": ZIP})).prints[0].selvedge == 12.0


@pytest.mark.parametrize(
    ("square", "down", "buy"),
    [
        ("13 cm", 3, 350),  # seam 33, zip 28: a 35 cm zip has 7 cm to cut off, a 30 only 2 [identity]
        ("14 cm", 3, 350),  # seam 36, zip 31: a 35 has its two ends to the hair
        ("14.5 cm", 3, 400),  # seam 37.5, zip 32.5: 2.5 cm would be too little for two ends, the next is 40
    ],
)
def test_a_zip_is_bought_in_a_metric_shops_lengths(square, down, buy):
    """Whole 5 cm, with 2 cm to cut off at each end. [practice]"""
    at = sums(**METRIC | {"closure": ZIP, "square": square, "grid": {"across": 5, "down": down}})
    assert at["zip_buy"] == pytest.approx(buy)


def test_a_shop_with_other_zips_can_be_written():
    """The steps a shop sells in are a key like any other: in steps of 10 cm a zip of 48 takes a 60."""
    shop = METRIC | {"closure": ZIP, "zip_step": "10 cm"}
    assert sums(**shop)["zip_buy"] == pytest.approx(400)  # 28 and 4 of ends
    assert sums(**shop | {"grid": {"across": 5, "down": 5}})["zip_buy"] == pytest.approx(600)  # 48 and 4 of ends


HELD = {  # what holds when nothing is written: mm in a project in inches, in a metric one [practice]
    "free_end": (9.525, 12.0), "wadding_gap": (12.7, 15.0), "wadding_width": (2286.0, 2200.0), "wadding_thickness": (1.0, 1.0),
    "cloth_thickness": (0.25, 0.25), "pad_ease": (12.7, 10.0), "snip_every": (12.7, 12.0), "snip_clear": (3.175, 3.0),
    "stitch_length": (2.5, 2.5), "tack_length": (5.0, 5.0), "thread_per_spool": (100_000.0, 100_000.0),
    "thread_tail": (80.0, 80.0), "bobbin_holds": (35_000.0, 35_000.0), "zip_end_gap": (25.4, 25.0),
    "zip_stop_gap": (12.7, 12.0), "zip_box_gap": (6.35, 6.0), "zip_step": (50.8, 50.0), "hem_raw": (9.525, 10.0),
}  # fmt: skip


@pytest.mark.parametrize("name", HELD)
def test_what_holds_when_nothing_is_written(name):
    """Seams of 1/2 in and of 15 mm: the free end is 1/8 in and 3 mm less, the wadding as much smaller as the seam."""
    bare = {"wadding": {}, "closure": {"type": "zip", "after_row": 1}, "pad": None, "snips": None}
    inch = read(cushion(**bare, square="6 in", seam="1/2 in")).given[name]
    metric = read(cushion(**bare, square="15 cm", seam="15 mm", units="metric")).given[name]
    assert (inch.value, metric.value) == (pytest.approx(HELD[name][0]), pytest.approx(HELD[name][1]))


def test_what_holds_of_an_envelope_when_nothing_is_written():
    """4 in over each other and 1 in of hem, turned twice; 10 cm and 25 mm."""
    for units, overlap, hem in (("inch", 101.6, 25.4), ("metric", 100.0, 25.0)):
        given = read(cushion(closure={"type": "envelope"}, units=units)).given
        assert given["envelope_overlap"].value == pytest.approx(overlap)
        assert (given["hem"].value, given["double_hem"].value) == (pytest.approx(hem), True)
