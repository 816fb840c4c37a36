"""What goes into the washer: cloth before it is cut and pieces made of it, by weight; and what weight says of the price."""

import pytest

from guide.money.checklist import checklist_times
from guide.money.forecast import forecast
from guide.money.paces import NONE
from guide.money.quote import price_given, price_plan
from guide.plan.parts import cloth_loads
from guide.show.pages.checklist import render_checklist
from guide.show.report import report
from guide.show.words import render_step
from tests.plan.test_cloths import IN, loads, prints, throw

WASHED = {"washed_first": True}


def test_cloth_washed_before_it_is_cut_is_heavier_by_what_it_shrank():
    """Nothing of a cloth's weight goes with its size: 130 g/m² on 92 % · 94 % of a square metre are 150.3 [identity].

    Sewn first, a square weighs what it did when it was cut, however much it shrinks.
    """
    square = (6 * IN / 1000) ** 2
    assert throw(*["double gauze"] * 4).number("weight_cloth") == pytest.approx(12 * square * 130)
    assert throw(*["double gauze"] * 4, **WASHED).number("weight_cloth") == pytest.approx(
        12 * square * 130 / (0.92 * 0.94)
    )
    assert throw(*["quilting cotton"] * 4, washed_first=True, prints=prints(*[None] * 4)).number(
        "weight_cloth"
    ) == pytest.approx(12 * square * 150)  # of a kind that is not named nobody knows what it shrinks


@pytest.mark.parametrize(("kind", "at_once"), [("fleece", 2), ("felt", 2), ("cotton wadding", 2), ("jersey", 2)])
def test_what_lies_inside_is_cut_in_fewer_layers(kind, at_once):
    """Four of fleece squeeze to 4.8 mm, as sixteen of denim's half: a cutter goes through two [practice]."""
    plan = throw(*["denim"] * 4, wadding={"gap": "1/2 in", "made_of": kind})
    (cut,) = [step for step in plan.steps if step.key.startswith("cut/pieces:wadding")]
    assert cut.row["at_once"] == at_once
    assert cut.row["layers"] <= at_once


@pytest.mark.parametrize(
    ("cloth", "inside", "first", "told"),
    [
        ("denim", "fleece", False, "wadding of fleece shrinks 1.0 % in length and print 0 5.0 %"),  # 5 − 1 = 4
        ("double gauze", "cotton wadding", False, "wadding of cotton wadding shrinks 3.0 % in length and print 0 8.0 %"),
        ("quilting cotton", "cotton wadding", False, ""),  # 3 and 3
        ("double gauze", "cotton wadding", True, "wadding of cotton wadding shrinks 3.0 % in length and washed cloth no more"),
        ("double gauze", "fleece", True, ""),  # 1 and 0
        ("denim", None, False, ""),  # of wadding that no kind is named of nobody knows
    ],
)  # fmt: skip
def test_what_lies_inside_and_shrinks_unlike_its_cloth_is_warned_of(cloth, inside, first, told):
    """3 % apart pucker, whichever of the two it is that shrinks [practice]."""
    wadding = {"gap": "1/2 in"} | ({"made_of": inside} if inside else {})
    found = [
        one.text for one in throw(*[cloth] * 4, wadding=wadding, washed_first=first).warnings if "inside" in one.name
    ]
    assert [one[: len(told)].replace("\u00a0", " ") for one in found] == ([told] if told else [])


def washing(kind, **changes):
    """A throw of three cloths that are washed first, 58 in wide: what goes into the washer, load by load."""
    cloths = prints(*[kind] * 3, width="58 in", selvedge="0.5 in")
    plan = throw(prints=cloths, washed_first=True, **changes)
    wash = [step for step in plan.steps if step.key.startswith(("cut/wash", "cut/dry"))]
    return plan, wash


def test_cloth_that_is_washed_first_goes_into_as_many_loads_as_its_weight_asks_for():
    """Three lengths of denim, as they are bought, 58 in wide, 400 g/m²: no load over 5 kg, each dried before the next."""
    plan, wash = washing("denim", grid={"across": 12, "down": 14}, square="7 in")
    bought = {
        one.material: one.buy_mm / 1000 * 58 * IN / 1000 * 400 for one in plan.cutting if one.material != "wadding"
    }
    assert 5000 < sum(bought.values()) < 10_000
    assert [(step.key, step.title, step.pieces) for step in wash] == [
        ("cut/wash", "Wash all the cloths: load 1 of 2", 2), ("cut/dry", "Dry the cloths: load 1 of 2", 1),
        ("cut/wash:2", "Wash all the cloths: load 2 of 2", 1), ("cut/dry:2", "Dry the cloths: load 2 of 2", 1),
    ]  # fmt: skip
    for step in wash[::2]:
        names = step.row["names"].split(" and ")
        assert step.row["weighs"] == pytest.approx(sum(bought[name] for name in names))
        assert step.row["weighs"] <= 5000
        weighs = f"≈ {step.row['weighs'] / 453.59237:.3g} lb"
        assert f"In this load: {step.row['names']}, {weighs} dry." in render_step(plan, step)["do"].replace(
            "\u00a0", " "
        )
    assert [step.waits_s for step in wash] == [3600, 3000] * 2
    assert [wash[at].key in wash[at + 1].needs for at in range(3)] == [True] * 3


def test_the_heaviest_go_in_first_so_that_loads_are_few():
    """Of 2, 2, 3 and 3 parts into loads of five: 3 and 2, twice; in the order written it would be three loads [identity]."""
    cloths = [
        {"name": f"print {i}", "width": "44 in", "weight": f"{part}00 g/m2"} for i, part in enumerate((2, 2, 3, 3))
    ]
    plan = throw(prints=cloths, washed_first=True, grid={"across": 4, "down": 4})
    lengths = {one.buy_mm for one in plan.cutting if one.material != "wadding"}
    assert len(lengths) == 1, "the cloths weigh in the proportion of their kinds"
    holds = 500 * lengths.pop() / 1000 * 44 * IN / 1000
    rows = cloth_loads(plan.project, plan.cutting, {"washer_load": holds})
    assert [row["names"] for row in rows] == ["print 0 and print 2", "print 1 and print 3"]
    assert [row["weighs"] for row in rows] == [pytest.approx(holds)] * 2
    (whole,) = cloth_loads(plan.project, plan.cutting, {"washer_load": 2 * holds})
    assert whole["names"] == "print 0, print 1, print 2 and print 3"


def test_one_load_of_cloth_is_washed_as_ever():
    """A light one: one step of all the cloths, two minutes and two for each [the stage's pace]."""
    plan, wash = washing("lawn")
    assert [(step.key, step.title, step.pieces) for step in wash] == [
        ("cut/wash", "Wash all the cloths", 3), ("cut/dry", "Dry the cloths", 1)]  # fmt: skip
    assert wash[0].pace_s * 3 == pytest.approx(480)
    assert "In this load" not in render_step(plan, wash[0])["do"]


def test_a_length_of_cloth_over_the_washer_is_washed_elsewhere():
    """One cloth may be more than any load: it is told, and its load is its own."""
    plan, _ = washing("denim", grid={"across": 20, "down": 20}, square="9 in")
    told = [one.text for one in plan.warnings if one.name == "cloth_load"]
    heavy = [
        one for one in plan.cutting if one.buy_mm / 1000 * 58 * IN / 1000 * 400 > 5000 and one.material != "wadding"
    ]
    assert len(told) == len(heavy) == 3
    assert all("dry and the washer takes 5 kg" in one for one in told)


def test_weight_and_loads_are_one_in_forecast_checklist_and_price():
    """Ten of flannelette are two first loads: each washed, dried, waited for and paid for; the parcel's weight is told."""
    paid = {"labour": {"rate": "20.00 / hour"}}
    (ten, _), (nine, _) = (loads("flannelette", make, **paid) for make in (10, 9))
    each = ten.number(
        "weight_each"
    )  # 236.9 g of cloth, 19.4 of wadding, 2 of thread; a pound is 453.59237 g [identity]
    assert each / 453.59237 == pytest.approx(0.5694, abs=0.0005)
    outlook, fewer = forecast(ten, NONE), forecast(nine, NONE)
    assert outlook.waiting_s - fewer.waiting_s == 3600 + 3000
    rows = checklist_times(ten, NONE, "10:00")
    waits = [row.key for row in rows if row.kind == "wait" and row.key.startswith("wash/")]
    assert waits == ["wash/load", "wash/dry", "wash/load:1-2", "wash/dry:1-2"]
    page = render_checklist(report(ten, rows=rows, texts=True), "markdown").replace("\u00a0", " ")
    assert page.count("At most ≈ 5.51 lb: this is ≈ 2.85 lb, by its cloth.") == 2  # five of 0.5694 lb; 2.5 kg
    quoted = price_plan(ten, outlook)
    assert quoted.weight_g == pytest.approx(each)
    assert [
        told for told in quoted.says if told.startswith("One weighs ≈ 9.11 oz dry without its pad")
    ]  # 258.3 / 28.3495
    done = {step.key: step.pace_s * step.pieces for step in ten.steps if step.station == "washer"}
    assert sum(done.values()) == pytest.approx(2 * (120 + 240))  # two loads are loaded and shaken out by hand
    assert quoted.costs.hours == pytest.approx(outlook.hands_on.likely / 3600)
    assert price_given(ten, quoted.costs, quoted.price.paid) == quoted.price
