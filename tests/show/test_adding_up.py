"""Figures that stand together add up: what is rounded in a table sums to the rounded total below it."""

import json
import re
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guide.plan.make import make_plan
from guide.plan.shopping import factor_text
from guide.record.clock import nearest, shared_out, time_text
from guide.show.model_plan import StepPace
from guide.show.report import plan_report, report
from guide.show.words import minutes_each
from tests.commands.conftest import guide, workshop
from tests.commands.test_totals_agree import Kept, ms_of, row_of
from tests.plan.sums_of import cushion, read, shipped
from tests.show.demo import demo_plan

__all__ = ["guide", "workshop"]
METRIC = """\
project: Invented runner
kind: throw
units: metric
grid: {across: 5, down: 2}
square: 15 cm
seam: 12 mm
layers: {above: 1, below: 1}
prints:
  - {name: leaf, width: 110 cm, price: 9.00 / yd}
  - {name: dot, width: 110 cm, price: 12.50 / m}
  - {name: check, width: 110 cm, price: 0.07 / cm}
closure: none
labour: {rate: 17.50 / hour}
thread: {metres_per_spool: 100, price: 2.90}
"""


def seconds_of(text: str) -> int:
    """`45 s`, `12 min`, `1 h 05` of a table, s."""
    if found := re.fullmatch(r"(?:(\d+) h )?(\d+)( s)?(?: min)?", text):
        return int(found[2]) if found[3] else (int(found[1] or 0) * 60 + int(found[2])) * 60
    raise AssertionError(text)


def texts(times, total_s=None, fixed=()):
    return [one.text for one in minutes_each(times, total_s, fixed)]


def test_the_largest_remainders_are_rounded_up():
    """Three parts of 5/3 make 5, so two of them are 2 and one is 1; to 6 of a unit each would say 2. [identity]

    1.4 + 1.4 + 1.2 = 4: the floors are 1 each, and one of the larger remainders takes what is left. 2.6 + 2.4 = 5.
    """
    assert shared_out([100, 100, 100], 60) == [2, 2, 1]
    assert shared_out([14, 14, 12], 10) == [2, 1, 1]
    assert shared_out([26, 24], 10) == [3, 2]
    assert shared_out([], 60) == []


def test_a_total_that_is_given_is_met():
    """4 of 1.2 + 1.2 + 1.2: the smallest index of equals takes the odd one; of 2 one is rounded below its floor."""
    assert shared_out([12, 12, 12], 10, 4) == [2, 1, 1]
    assert shared_out([12, 12, 12], 10, 2) == [1, 1, 0]


@given(st.lists(st.integers(0, 10**8), max_size=12), st.sampled_from([10, 1000, 60_000]))
def test_rounded_parts_sum_to_the_rounded_total_each_within_one(parts, unit):
    """[identity] Hamilton's method keeps each share between its floor and its ceiling, or one below where halves go down."""
    shares = shared_out(parts, unit)
    half_up = (Decimal(sum(parts)) / unit).quantize(Decimal(1), ROUND_HALF_UP)
    assert sum(shares) == half_up
    assert all(abs(Decimal(part) / unit - share) < 1 for part, share in zip(parts, shares, strict=True))


def test_short_times_stay_in_seconds_beside_minutes():
    """40 s + 100 s + 100 s are 4 min: 40 s count as one, 3 are left; 100 s twice are 1 2/3, so 2 and 1. [identity]

    20 + 25.4 + 30.4 are 75.8 s, 76: the odd second goes to the earlier of the two that lost .4.
    """
    assert texts([40, 100, 100]) == ["40 s", "2 min", "1 min"]
    assert texts([20, 25.4, 30.4]) == ["20 s", "26 s", "30 s"]
    assert texts([0, 3900]) == ["0 s", "1 h 05"]


def test_what_is_made_of_short_times_is_what_they_add_up_to():
    """75 s twice are 150 s, so 3 min, beside 100 s and 100 s: 350 s are 6 min, 3 left for the two of them. [identity]

    Shared out freely each would have 2 of the 6, and below the first's its steps would say 75 s twice.
    """
    assert texts([150, 100, 100]) == ["2 min", "2 min", "2 min"]
    assert texts([150, 100, 100], fixed={0}) == ["3 min", "2 min", "1 min"]
    assert texts([75, 75], 180) == ["75 s", "75 s"]
    assert texts([100, 100], 180) == ["2 min", "1 min"]


@given(st.lists(st.integers(0, 20_000_000).map(lambda ms: ms / 1000), min_size=1, max_size=9))
def test_minutes_that_are_said_sum_to_the_minutes_of_the_total(times):
    """Whatever is added up as it is printed rounds to what is printed as its total. [identity]"""
    told = sum(map(seconds_of, texts(times)))
    if max(times) >= 90:
        assert nearest(told, 60) == nearest(sum(times), 60)
    else:
        assert told == nearest(sum(times))


def test_the_plans_stages_sum_to_its_total():
    """Three stages of 100 s are 5 min, not three times 2: the last two thirds go to the first two. [identity]"""
    plan = demo_plan()
    first = [next(step.key for step in plan.steps if step.stage == stage) for stage in ("cut", "quilt", "snip")]
    paces = {step.key: StepPace(100.0 if step.key in first else 0.0) for step in plan.steps}
    data = report(plan, paces=paces)
    told = {row.stage: row.hands_on_text for row in data.work.stages}
    assert told == {stage.name: "0 s" for stage in shipped().stages if stage.name in told} | {
        "cut": "2 min", "quilt": "2 min", "snip": "1 min",
    }  # fmt: skip
    steps = {step.key: step.hands_on_text for step in data.steps}
    assert [steps[key] for key in first] == ["2 min", "2 min", "1 min"]


@settings(max_examples=12)
@given(st.integers(2, 6), st.integers(2, 6), st.integers(1, 4), st.integers(1, 3))
def test_every_plans_minutes_add_up(across, down, make, below):
    """Steps to their stage, stages and stations to the total, waits to the waiting. [identity]"""
    data = cushion(
        grid={"across": across, "down": down},
        make=make,
        closure={"type": "zip", "after_row": 1},
        layers={"above": 2, "below": below},
    )
    out = plan_report(make_plan(read(data), shipped()))
    total = nearest(seconds_of(out.forecast.text), 60)
    for rows in (out.work.stages, out.work.stations, out.work.order):
        assert nearest(sum(seconds_of(row.hands_on_text) for row in rows), 60) == total
    waits = sum(seconds_of(row.waits_text) for row in out.work.stages if row.waits_text)
    assert nearest(waits, 60) == nearest(out.forecast.waiting_s, 60)
    for row in out.work.stages:
        steps = sum(seconds_of(step.hands_on_text) for step in out.steps if step.stage == row.stage)
        assert time_text(steps) == row.hands_on_text


def test_the_table_and_the_page_print_those_minutes(guide, workshop):
    """Rows of the table under `steps, at their usual paces`, and the page's headings, beside `hands on`."""
    data = json.loads(guide("plan", "--json").out)
    told = {row["stage"]: row["hands_on_text"] for row in data["work"]["stages"]}
    lines = guide("plan").out.split("\n")
    for stage, text in told.items():
        assert any(re.match(rf"  {stage} +\d+ steps? +{text}( |$)", line) for line in lines), stage
    page = guide("plan", "--page", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    titles = {row["title"]: row["hands_on_text"] for row in data["work"]["stages"]}
    assert dict(re.findall(r'<h3>([^<]+) <span class="soft small">([^<]+)</span>', page)) == titles


def test_the_logs_seconds_sum_to_its_total(guide, workshop):
    """3 pieces of 10.4 s in cut are 31.2 s, 12 in stack 124.8: 31 and 125 make 2:36, as 156.0 does. [identity]

    A fourth of 10.4 s under the needle: 166.4, so 2:46; .2 + .8 + .4 lost, and the one second to give goes to .8.
    """
    kept = Kept()
    for key in ("cut/press", "stack/count"):
        kept.work(key, 10.4)
    pieces = {step.key: step.pieces for step in kept.plan.steps}
    assert (pieces["cut/press"], pieces["stack/count"]) == (3, 12)
    kept.say("step_started", step="stack/lay").say("paused", 10.4, why="stop")
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    under = next(step.title for step in kept.plan.steps if step.key == "stack/lay") + " (under the needle"
    rows = ("**All of it**", "**Cut the cloth**", "**Build the stacks**", under)
    assert [ms_of(row_of(log, row)[2]) for row in rows] == [166_000, 31_000, 125_000, 10_000]


def test_a_stages_steps_sum_to_the_stage(guide, workshop):
    """Two steps of 12 pieces at 10.2 s: 122.4 s each, 244.8 together: 4:05, so 2:03 and 2:02, not 2:02 twice."""
    kept = Kept()
    for key in ("stack/count", "stack/lay"):
        kept.work(key, 10.2)
    pieces = {step.key: step.pieces for step in kept.plan.steps}
    assert (pieces["stack/count"], pieces["stack/lay"]) == (12, 12)
    titles = {step.key: step.title for step in kept.plan.steps}
    log = guide("log", str(kept.path), "--markdown", "-o", "-").out
    rows = ("**Build the stacks**", titles["stack/count"], titles["stack/lay"])
    assert [ms_of(row_of(log, row)[2]) for row in rows] == [245_000, 123_000, 122_000]
    assert ms_of(row_of(log, "**All of it**")[2]) == 245_000


@pytest.fixture
def runner(workshop):
    """An invented runner in metric, of cloths sold by the yard, the metre and the centimetre."""
    folder = workshop / "sessions" / "runner"
    folder.mkdir()
    (folder / "project.yaml").write_text(METRIC, encoding="utf-8")
    return str(folder)


def test_a_unit_price_is_shown_as_the_project_wrote_it(guide, runner):
    """9.00 / yd is 9.8425 a metre: 9.84 times the metres is not the cost. [source: yard 0.9144 m, 1959 agreement]"""
    page = guide("plan", runner, "--page", "-").out.replace("\N{NO-BREAK SPACE}", " ")
    shown = re.findall(r'<td data-is="price" class="n">([^<]*)</td>', page)
    assert shown[:3] == ["9.00 / yd", "12.50 / m", "0.07 / cm"]


def test_quantity_times_price_is_the_cost(guide, runner):
    """In the report the price is per unit bought, with as many places as its cost needs. [identity]"""
    for line in json.loads(guide("plan", runner, "--json").out)["shopping"]:
        if line["cost"]:
            product = Decimal(line["quantity"]) * Decimal(line["price"])
            assert product.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(line["cost"]), line


def test_a_factor_has_as_few_places_as_give_the_amount():
    """98.5/36 yd × 9.00 is 24.625, half a cent, which goes up; 2.736 falls short and 2.737 does not. [identity]

    25/9 × 1.80 is 5 to the cent with two places; a third of 0.03 is 0.01 whatever the places.
    """
    assert factor_text(Decimal("98.5") / 36, [Decimal("9.00")]) == "2.737"
    assert factor_text(Decimal(25) / 9, [Decimal("1.80")]) == "2.78"
    assert factor_text(Decimal(1) / 3, [Decimal("0.03")]) == "0.33"


@given(st.integers(1, 400_000), st.integers(1, 9_999), st.integers(1, 9_999))
def test_a_factor_never_runs_out_of_places(sixteenths, price, other):
    """A quantity in sixteenths of an inch, as yards, at two prices to the cent: five places always do. [identity]"""
    value, prices = Decimal(sixteenths) / 576, [Decimal(price) / 100, Decimal(other) / 100]
    text = factor_text(value, prices)
    assert len(text.partition(".")[2]) <= 5
    for one in prices:
        cents = [(Decimal(x) * one).quantize(Decimal("0.01"), ROUND_HALF_UP) for x in (value, Decimal(text))]
        assert cents[0] == cents[1]


def test_the_plans_amounts_sum_to_its_cost(guide, workshop):
    """Materials, labour and overhead are all of the cost; the cloth stands beside them as a part. [identity]"""
    lines = guide("plan").out.split("\n")
    found = [re.fullmatch(r"  ([a-z ]+), EUR +([0-9.]+)(?:   cloth .*)?", line) for line in lines]
    told = {one[1]: Decimal(one[2]) for one in found if one}
    assert told["materials used"] + told["labour"] + told["overhead"] == told["cost"]
    assert list(told) == ["materials used", "labour", "overhead", "cost", "price"]


def test_own_times_add_up_to_what_is_forecast_from_them(guide, workshop):
    """Each first piece takes twice what the others do, so labour is more than pace times pieces, and stages say it too.

    [identity] What the steps of the report take sums to the likely hands-on time, to the ms.
    """
    kept = Kept()
    for step in kept.plan.steps[:12]:
        kept.say("step_started", step=step.key)
        for piece in range(step.pieces):
            what = "step_done" if piece == step.pieces - 1 else "piece_done"
            kept.say(what, step.pace_s * (1 if piece else 2), step=step.key, count=1)
    kept.say("closed", records=kept.count + 1)
    data = json.loads(guide("plan", "--json").out)
    assert data["forecast"]["from"].startswith("1 timed session of Ada Example for 12 of ")
    likely = data["forecast"]["hands_on_s"]["likely"]
    assert sum(step["hands_on_s"] for step in data["steps"]) == pytest.approx(likely, abs=0.001)
    assert likely > sum(step["pace_s"] * step["pieces"] for step in data["steps"]) + 60
    total = nearest(seconds_of(data["forecast"]["text"]), 60)
    for rows in data["work"].values():
        assert nearest(sum(seconds_of(row["hands_on_text"]) for row in rows), 60) == total
