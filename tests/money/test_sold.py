"""Where it is sold: every price identity by place, against a plain sum of decimals."""

import os
import random
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from msgspec.structs import replace

from guide.errors import GuideError
from guide.money.forecast import forecast
from guide.money.paces import NONE
from guide.money.price import ask, at_place, by_the_hour, floor_of, in_cents, offers, take_apart
from guide.money.quote import at_given, costs_of, price_plan
from guide.read.model import Day, Labour, Rate, Sell
from tests.money.hand import plan, step

D = Decimal
CASES = 10_000 if os.environ.get("FRAYWORK_FULL") else 500
STALL = Sell(
    margin=0.18, fee=0.10, fee_each=D(4), part=0.10, packing=D(5), tax=0.20, unsold=0.20, sale_takes=600.0,
    day=Day(sells=6.0, pitch=D(36), hours=8.0, road=1.0), at="stall",
)  # fmt: skip


def test_a_stalls_price_is_the_sum_of_what_a_sale_must_cover():
    """[identity] Cost 60, of it labour 36 for 2 h at 18. A fifth unsold: 60 / 0.8 = 60 + 15. Packing 5, fee each 4,
    10 min 3.00, pitch 36 / 6, nine hours 162 / 6: 120 in all. p = 120 / (1 − 0.18 − 0.10 − 0.10 × 1.2) = 200, with
    tax 240; of it fee 24, the shop's part 20, profit 36. Hours 2 × 1.25 + 1/6 + 1.5 = 25/6; own 36 + 45 + 3 + 27 = 111.
    """
    price, paid = ask(D(60), STALL, 2.0, D(36), wage=D(18))
    assert round(paid, 12) == 240
    told = in_cents(price)
    assert (told.before_tax, told.tax, told.fee, told.part, told.profit) == (200, 40, 24, 20, 36)
    assert (told.unsold, told.selling, told.pitch, told.day) == (15, 3, 6, 27)
    assert told.hourly == D("26.64")  # 111 / (25 / 6)


def test_under_the_floor_an_hour_all_told_earns_less_than_nothing():
    """[identity] All but her time: 24 × 1.25 + 5 + 4 + 6 = 45; 45 / 0.78 × 1.2 = 69.23. There her hour is worth 0."""
    floor = floor_of(D(60), STALL, D(36))
    assert floor == D(45) / D("0.78") * D("1.2")
    for off, sign in ((D("0.05"), 1), (D(0), 0), (D("-0.05"), -1)):
        hourly = take_apart(floor + off, D(60), STALL, 2.0, D(36), wage=D(18)).hourly
        assert (hourly > 0) - (hourly < 0) == sign


def _cents(value: Fraction) -> Decimal:
    return (D(value.numerator) / D(value.denominator)).quantize(D("0.01"), ROUND_HALF_UP) + 0


def _place(rng: random.Random) -> Sell:
    day = Day(
        float(rng.randint(1, 30)), D(rng.randrange(9000)) / 100, float(rng.randint(0, 12)), float(rng.randint(0, 5))
    )
    return Sell(
        margin=rng.randrange(45) / 100, fee=rng.randrange(150) / 1000, part=rng.choice([0.0, 0.0, 0.25]),
        fee_each=D(rng.randrange(100)) / 100, packing=D(rng.randrange(800)) / 100, tax=rng.choice([0.0, 0.07, 0.2]),
        unsold=rng.choice([0.0, 0.1, 0.35]), sale_takes=60.0 * rng.randrange(45), day=rng.choice([None, day]),
        round_up_to=rng.choice([None, D("0.50"), D(5)]),
    )  # fmt: skip


def test_every_price_adds_up_to_the_cent_at_every_kind_of_place():
    """[identity] In fractions, part by part: what the buyer pays is what all get of it; margin, hour and floor follow."""
    rng = random.Random(23)
    for _ in range(CASES):
        sell, wage = _place(rng), D(rng.randrange(800, 4000)) / 100
        hours, materials = rng.randrange(10, 800) / 100, D(rng.randrange(100, 9000)) / 100
        labour = D(str(hours)) * wage
        price, exact = ask(materials + labour, sell, hours, labour, wage=wage)
        tax, fee, part, unsold, margin = (
            Fraction(str(x)) for x in (sell.tax, sell.fee, sell.part, sell.unsold, sell.margin)
        )
        sells = Fraction(sell.day.sells) if sell.day else 1
        away = (Fraction(sell.day.hours) + Fraction(sell.day.road)) / sells if sell.day else Fraction(0)
        away += Fraction(sell.sale_takes) / 3600
        pitch = Fraction(sell.day.pitch) / sells if sell.day else Fraction(0)
        made = Fraction(materials + labour) / (1 - unsold)
        must = made + Fraction(sell.packing) + Fraction(sell.fee_each) + pitch + away * Fraction(wage)
        p = must / (1 - margin - part - fee * (1 + tax))
        assert float(exact) == pytest.approx(float(p * (1 + tax)), rel=1e-12)
        paid = Fraction(price.paid)
        assert (
            0
            <= paid - p * (1 + tax) + Fraction(1, 10**7)
            < Fraction(sell.round_up_to or D("0.01")) + Fraction(1, 10**6)
        )
        kept = paid / (1 + tax)
        profit = kept - paid * fee - kept * part - must
        own = Fraction(labour) / (1 - unsold) + away * Fraction(wage)
        told = in_cents(price)
        assert told.hourly == _cents((profit + own) / (Fraction(str(hours)) / (1 - unsold) + away))
        floor = (must - own) / (1 - part - fee * (1 + tax)) * (1 + tax)
        assert float(floor_of(materials + labour, sell, labour)) == pytest.approx(float(floor), rel=1e-12)
        assert abs(told.profit - _cents(profit)) <= D("0.05")  # the odd cents of nine parts
        parts = (
            told.tax, told.fee, told.fee_each, told.part, told.packing, told.selling, told.pitch, told.day, told.cost,
            told.unsold, told.profit,
        )  # fmt: skip
        assert sum(parts) == told.paid
        assert told.fee == _cents(paid * fee)
        assert told.part == _cents(kept * part)
        assert told.tax == told.paid - _cents(kept)


PLACES = (STALL, Sell(margin=0.18, packing=D(5), at="to order"))
SOLD = plan(
    step("quilt/cross", 9, 400.0),
    labour=Labour(Rate(D(18), 3600.0), 0.0),
    sell=replace(STALL, places=PLACES),
)


def test_the_flat_form_is_one_unnamed_place():
    """It has one offer, which is the price that is asked. [identity]"""
    flat = replace(SOLD, project=replace(SOLD.project, sell=Sell(margin=0.18, packing=D(5))))
    quoted = price_plan(flat, forecast(flat, NONE))
    (one,) = offers(flat, quoted)
    assert (one.at, one.price, one.pays_from) == ("", quoted.price, None)


def test_each_place_is_offered_and_the_first_is_what_is_asked():
    """One hour's work at 18, a fifth of it unsold 4.50, and what the stall costs as above.

    [identity] must = 18 + 4.5 + 5 + 4 + 3 + 6 + 27 = 67.5, p = 112.50, paid 135.00: fee 13.50, part 11.25. Each leaves
    112.5 − 13.5 − 11.25 − 34.5 = 53.25 for the day's 198: four.
    """
    quoted = price_plan(SOLD, forecast(SOLD, NONE))
    costs = costs_of(SOLD, 3600.0)
    assert costs.cost == 18
    stall, order = offers(SOLD, quoted)
    assert stall.price == quoted.price
    assert (stall.price.paid, stall.pays_from) == (D("135.00"), 4)
    assert order.price.paid == D("28.05")  # 23 / 0.82
    assert order.uncounted == ("your time for each sale", "what nobody buys")
    assert stall.uncounted == ()


def test_a_price_given_is_given_at_every_place_and_only_what_is_left_differs():
    """[identity] 50.00: to order 50 − 18 − 5 = 27 after the wage, (27 + 18) / 1 h."""
    quoted = at_given(SOLD, price_plan(SOLD, forecast(SOLD, NONE)), D(50))
    stall, order = offers(SOLD, quoted)
    assert stall.price.paid == order.price.paid == 50
    assert (order.price.profit, order.price.hourly) == (27, 45)
    assert [one.at for one in by_the_hour((stall, order))] == ["to order", "stall"]
    assert stall.pays_from is None  # 50 / 1.2 × 0.9 − 5 − 34.5 is under nothing


def test_another_place_is_asked_for_by_its_name():
    """One that is not there names those that are."""
    moved = at_place(SOLD, "to order")
    assert price_plan(moved, forecast(moved, NONE)).price.paid == D("28.05")
    assert [one.at for one in offers(moved, price_plan(moved, forecast(moved, NONE)))] == ["stall", "to order"]
    with pytest.raises(GuideError, match=r"did you mean stall.*there are stall, to order"):
        at_place(SOLD, "stal")
