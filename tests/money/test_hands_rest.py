"""Hands that cut and snip rest by one rule: the same minutes on the checklist, in the forecast and in the price.

[memory] three minutes after fifteen of cutting or snipping, after ten through more than six layers; other work is rest.
"""

from decimal import Decimal

import pytest

from guide.follow.halting import rest_due
from guide.money.checklist import checklist_times
from guide.money.forecast import forecast
from guide.money.hours import Hours
from guide.money.paces import NONE
from guide.money.quote import price_plan, price_session
from guide.plan.model import Quantity
from guide.plan.steps import had_enough, rests
from guide.read.model import Labour, Rate
from tests.money.hand import lap, plan, record, step

CUT, THICK, OTHER = 900.0, 600.0, None


@pytest.mark.parametrize(
    ("stretches", "fall"),
    [
        ([(CUT, 899.0)], [[]]),
        ([(CUT, 901.0)], [[900.0]]),
        ([(CUT, 900.0)], [[]]),  # nothing follows
        ([(CUT, 900.0), (CUT, 60.0)], [[900.0], []]),
        ([(CUT, 2700.5)], [[900.0, 1800.0, 2700.0]]),
        ([(THICK, 601.0)], [[600.0]]),
        ([(CUT, 450.0), (THICK, 301.0)], [[], [300.0]]),  # half of fifteen, half of ten
        ([(THICK, 300.0), (CUT, 451.0)], [[], [450.0]]),
        ([(CUT, 800.0), (OTHER, 179.0), (CUT, 101.0)], [[], [], [100.0]]),  # under three minutes rest nothing
        ([(CUT, 800.0), (OTHER, 180.0), (CUT, 899.0)], [[], [], []]),
        ([(CUT, 800.0), (OTHER, 90.0), (OTHER, 90.0), (CUT, 899.0)], [[], [], [], []]),
        ([(CUT, 800.0), (OTHER, 90.0), (CUT, 50.0), (OTHER, 90.0), (CUT, 51.0)], [[], [], [], [], [50.0]]),
        ([(CUT, 900.0), (OTHER, 600.0), (CUT, 300.0)], [[], [], []]),  # the other work is the rest
        ([(CUT, 900.0), (OTHER, 60.0), (CUT, 300.0)], [[900.0], [], []]),
    ],
)
def test_where_rests_fall(stretches, fall):
    """By hand, s into each stretch. [identity]"""
    assert [pytest.approx(list(mine)) for mine in fall] == [list(mine) for mine in rests(stretches)]


HANDS = {"cautions": ("hands",)}
PLAN = plan(
    step("cut/pieces", 40, 30.0, **HANDS),  # 20 min: a rest after 15, then 5 of 15 worn
    step("cut/pile", 1, 120.0),  # 2 min: no rest
    step("snip/rows", 10, 60.0, **HANDS),  # seven layers: 400 s more are two thirds of ten minutes, a rest; 200 s
    step("join/look", 1, 180.0),  # 3 min of other work
    step("snip/panel", 10, 60.0, **HANDS),  # ten minutes, and then other work
    step("closure/zip", 1, 300.0),
    quantities={"layers_raw_seam": Quantity("layers_raw_seam", 7.0, "count")},
)
HANDS_ON_S, RESTING_S = 1200 + 120 + 600 + 180 + 600 + 300, 2 * 180


def at_an_hour(allowance):
    return Labour(Rate(Decimal("18.00"), 3600.0), allowance)


def test_checklist_forecast_and_price_rest_the_hands_alike():
    """Two rests, six minutes, in 50 of work: summed by hand above. [identity]"""
    told = forecast(PLAN, NONE)
    assert (told.hands_on.likely, told.resting_s) == (HANDS_ON_S, RESTING_S)
    assert told.clock.likely == HANDS_ON_S + RESTING_S
    assert told.clock.low - told.hands_on.low == pytest.approx(RESTING_S)
    assert forecast(PLAN, NONE, sitting_s=7200).clock.likely == HANDS_ON_S + RESTING_S
    rows = checklist_times(PLAN, NONE, hours=Hours(break_s=0.0))
    assert {row.key: row.inner_rests_s for row in rows if row.inner_rests_s} == {"cut/pieces": 180, "snip/rows": 180}
    assert rows[-1].end_s == HANDS_ON_S + RESTING_S
    assert price_plan(PLAN, told).costs.resting_s == RESTING_S
    worked = record(*(lap(one.key, one.pace_s * one.pieces, one.pieces, n=2 * i) for i, one in enumerate(PLAN.steps)))
    assert price_session(PLAN, worked).costs.resting_s == RESTING_S


@pytest.mark.parametrize(("allowance", "labour"), [(0.0, "16.80"), (0.10, "16.80"), (0.12, "16.80"), (0.20, "18.00")])
def test_rests_are_paid_for_once(allowance, labour):
    """56 min at 18.00 are 16.80; an allowance of a fifth is 10 min of rest, the hands' six in it. [identity]"""
    project = PLAN.project
    mine = plan(*PLAN.steps, quantities=PLAN.quantities, labour=at_an_hour(allowance), sell=project.sell)
    costs = price_plan(mine, forecast(mine, NONE)).costs
    assert costs.labour == Decimal(labour)
    assert costs.hours == pytest.approx(HANDS_ON_S / 3600)


def test_a_step_parted_by_a_night_keeps_its_rests():
    """Two hours of cutting, one a day: seven rests in all, none lost or told twice. [identity]"""
    long = plan(step("cut/pieces", 240, 30.0, **HANDS))
    rows = checklist_times(long, NONE, hours=Hours(day_s=3600.0, break_s=0.0, meal_s=0.0))
    steps = [row for row in rows if row.kind == "step"]
    assert len(steps) > 1
    assert all(row.end_s - row.start_s == pytest.approx(row.hands_on_s + row.inner_rests_s) for row in steps)
    assert all(row.end_s - row.start_s <= 3600 + 1e-6 for row in steps)
    assert sum(row.inner_rests_s for row in steps) == 7 * 180 == forecast(long, NONE).resting_s


def test_the_machine_says_so_at_the_piece_that_fills_the_time():
    """The rule's own moments, piece by piece; where the work ends it is said too, for who knows what comes. [identity]"""
    laps, said = [], []
    for one in PLAN.steps:
        for _ in range(one.pieces):
            n = 2 * len(laps)
            began = laps[-1].end if laps else 0
            laps.append(lap(one.key, one.pace_s, n=n))
            laps[-1] = type(laps[-1])(
                **{name: getattr(laps[-1], name) for name in laps[-1].__struct_fields__}
                | {"start": began, "end": began + laps[-1].counted_ms}
            )
            if rest_due(PLAN, record(*laps), beginner=False):
                said.append((one.key, sum(each.step == one.key for each in laps)))
    assert said == [("cut/pieces", 30), ("snip/rows", 7), ("snip/panel", 10)]
    assert [n for n, _ in had_enough([(900.0, 900.0)])] == [0]
