"""Money: identities, published values, and what a real plan costs."""

import random
import re
from decimal import Decimal

import pytest
from msgspec.structs import replace

from guide.errors import GuideError
from guide.money.forecast import forecast
from guide.money.paces import NONE
from guide.money.price import ask, before_tax_for, break_even, in_cents, round_up, stall_break_even, take_apart
from guide.money.quote import costs_of, price_given, price_plan, price_session
from guide.plan.model import Buy, Cutting, Quantity
from guide.plan.shopping import cents
from guide.read.model import Labour, Print, Rate, Sell
from tests.money.hand import lap, plan, record, step

D = Decimal
YARD = 914.4


@pytest.mark.parametrize(("paid", "markup", "margin"), [(90, 0.50, 0.3333), (84, 0.40, 0.2857)])
def test_margin_and_markup_are_two_views_of_one_profit(paid, markup, margin):
    """[identity] on costs of 60: 50 % → 33.33 %; 40 % → 28.57 %."""
    taken = take_apart(D(paid), D(60), Sell())
    assert taken.markup == pytest.approx(markup)
    assert taken.margin == pytest.approx(margin, abs=5e-5)


def test_vat_of_a_fifth_on_a_hundred_is_a_sixth_of_what_is_paid():
    """[source: HMRC, Calculating VAT] 20 % on 100 → 120; inside it 1/6."""
    taken = take_apart(D(120), D(60), Sell(tax=0.20))
    assert taken.before_tax == 100
    assert taken.tax == D(120) / 6
    assert taken.margin == pytest.approx(0.40)


def test_the_price_leaves_the_margin_once_all_is_paid():
    """(cost + packing + fee_each) / (1 − margin − fee) without tax. [identity]"""
    sell = Sell(margin=0.35, fee=0.04, fee_each=D("0.35"), packing=D("3.40"))
    assert before_tax_for(D(40), sell) == D("43.75") / (1 - D("0.35") - D("0.04"))


def test_the_fee_is_on_what_the_buyer_pays_tax_and_all():
    """[identity] p = C / (1 − m − f(1 + t)): taking the price apart gives the margin back."""
    sell = Sell(margin=0.30, fee=0.10, fee_each=D("0.25"), packing=D(2), tax=0.20)
    price, paid = ask(D(40), sell)
    assert paid == D("42.25") / (1 - D("0.30") - D("0.12")) * D("1.2")
    exactly = take_apart(paid, D(40), sell)
    assert exactly.fee == paid * D("0.10")
    assert exactly.margin == pytest.approx(0.30)
    assert price.paid >= paid


def test_ten_thousand_prices_come_back_from_their_margins_to_the_cent():
    """Price → margin → price, before rounding up, to the cent."""
    rng = random.Random(11)
    for _ in range(10_000):
        tax, fee = rng.choice([0.0, 0.07, 0.19, 0.20]), round(rng.uniform(0, 0.15), 3)
        cost = D(rng.randrange(100, 50_000)) / 100
        sell = Sell(fee=fee, tax=tax, fee_each=D(rng.randrange(60)) / 100, packing=D(rng.randrange(800)) / 100)
        paid = cents(cost * D(rng.randrange(130, 400)) / 100 + 15)
        margin = take_apart(paid, cost, sell).margin
        again = before_tax_for(cost, replace(sell, margin=margin)) * (1 + D(repr(tax)))
        assert cents(again) == paid


def test_every_part_of_a_price_adds_up_to_the_cent():
    """[identity] paid = tax + cost + packing + fees + profit, as printed."""
    sell = Sell(margin=0.333, fee=0.0637, fee_each=D("0.25"), packing=D("1.99"), tax=0.19, round_up_to=D("0.50"))
    for cost in ("17.335", "40", "103.01"):
        price = in_cents(ask(D(cost), sell)[0])
        parts = price.tax + price.cost + price.packing + price.fee + price.fee_each + price.profit
        assert parts == price.paid
        assert price.paid % D("0.50") == 0


@pytest.mark.parametrize(
    ("sell", "says"),
    [
        (Sell(margin=0.95, fee=0.05), "100 %"),
        (Sell(margin=0.80, fee=0.30), "110 %"),
        (Sell(margin=0.89, fee=0.10, tax=0.20), "101 %"),
    ],
)
def test_margin_and_fees_that_eat_the_whole_price_are_refused(sell, says):
    """With the reason, as something the user can mend. The third only through the tax."""
    with pytest.raises(GuideError) as refused:
        ask(D(10), sell)
    assert refused.value.exit_code == 2
    assert says in str(refused.value)
    assert "Lower `margin` or `fee`" in str(refused.value)


@pytest.mark.parametrize(
    ("amount", "step", "up"),
    [("40.01", "0.50", "40.50"), ("40.50", "0.50", "40.50"), ("40.51", "5", "45"), ("40.001", None, "40.01")],
)
def test_rounding_goes_up_to_the_step_and_never_over_it(amount, step, up):
    """[identity]"""
    assert round_up(D(amount), D(step) if step else None) == D(up)


def test_an_echo_of_division_is_no_reason_to_go_a_step_up():
    """30 / (1 − 0.4) is exactly 50."""
    assert round_up(D(30) / (1 - D("0.4")), D("0.50")) == 50
    assert round_up(D(10) / 3 * 3 + D("1e-20"), D("0.50")) == 10


def test_break_even_is_fixed_over_what_each_leaves():
    """[identity] 600 / (45 − 30) = 40; a fraction more needs one more."""
    assert break_even(D(600), D(45), D(30)) == 40
    assert break_even(D(601), D(45), D(30)) == 41
    with pytest.raises(GuideError, match="nothing is left"):
        break_even(D(600), D(30), D(30))
    with pytest.raises(GuideError, match="more sales lose more"):
        break_even(D(600), D("29.99"), D(30))


def test_a_stall_is_paid_for_after_fees_packing_and_costs():
    """[identity] 45 paid, 10 % fee, 25.50 cost: 15 left of each."""
    price = take_apart(D(45), D("25.50"), Sell(fee=0.10))
    assert stall_break_even(D(600), price) == 40


def test_hourly_earnings_of_a_price_someone_else_set():
    """[identity] 60 paid, materials 20, fee 6, two hours: (60 − 20 − 6) / 2 = 17, whatever labour was put at."""
    for labour in (D(0), D(36)):
        price = take_apart(D(60), D(20) + labour, Sell(fee=0.10), hours=2.0, labour=labour)
        assert price.hourly == 17
    assert take_apart(D(60), D(20), Sell()).hourly is None


MOSS = Print("moss check", width=1117.6, price=Rate(D("9.60"), YARD))
SHOP = plan(
    step("quilt/cross", 9, 400.0),
    step("wash/dry", 1, 0.0, waits_s=3600.0),
    prints=(MOSS,),
    cutting=(Cutting("moss check", YARD / 2, YARD * 5 / 8, 0.0, 4, 1, ()),),
    shopping=(
        Buy("cloth", "moss check", "0.625", "yd", "9.60", "6.00"),
        Buy("notions", "cushion pad", "1", "each", "7.50", "7.50"),
        Buy("notions", "zip, 13 in", "1", "each", None, None),
        Buy("thread", "thread", "1", "spool", "2.90", "2.90"),
    ),
    quantities={
        "thread": Quantity("thread", 50_000.0, "length"),
        "thread_spools": Quantity("thread_spools", 1, "count"),
        "thread_per_spool": Quantity("thread_per_spool", 100_000.0, "length"),
    },
)  # fmt: skip


def test_costs_are_cloth_used_thread_used_notions_labour_and_overhead():
    """[identity] half a yard at 9.60, half a spool at 2.90, the pad; one hour at 18 with 10 %, 2.50 overhead."""
    shop = replace(SHOP, project=replace(SHOP.project, sell=Sell(overhead=Rate(D("2.50"), 3600.0))))
    costs = costs_of(shop, 3600.0)
    assert {line.name: line.amount for line in costs.lines} == {
        "moss check": D("4.80"), "cushion pad": D("7.50"), "thread": D("1.45"),
        "labour": D("19.80"), "overhead": D("2.50"),
    }  # fmt: skip
    assert costs.materials == D("13.75")
    assert costs.bought == D("6.00") + D("7.50") + D("2.90")
    assert costs.cost == sum(line.amount for line in costs.lines) == D("36.05")
    assert any("zip (13 in)" in line for line in costs.says)


FIGURES = re.compile(r"([\d.]+) h × ([\d.]+)(?: × ([\d.]+))?")


def test_every_line_can_be_multiplied_out_by_who_reads_it():
    """[identity] hours × rate × allowance, number × price, share × spools × price: to the cent, a thousand times."""
    rng = random.Random(12)
    for _ in range(1000):
        rates = [Rate(D(rng.randrange(1, 6000)) / 100, 3600.0) for _ in range(2)]
        labour = Labour(rates[0], rng.choice([0.0, 0.1, 0.125, 0.0733]))
        shop = replace(SHOP, project=replace(SHOP.project, labour=labour, sell=Sell(overhead=rates[1])))
        thread = SHOP.quantities["thread"]
        shop = replace(shop, quantities={**SHOP.quantities, "thread": replace(thread, value=rng.uniform(1, 1e5))})
        lines = {line.name: line for line in costs_of(shop, rng.uniform(60, 400_000)).lines}
        for name in ("labour", "overhead"):
            hours, rate, more = FIGURES.fullmatch(lines[name].how).groups()
            assert cents(D(hours) * D(rate) * D(more or 1)) == lines[name].amount
        assert lines["cushion pad"].how == "1 × 7.50"
        share, price = re.fullmatch(r"([\d.]+) % of 1 spool at ([\d.]+)", lines["thread"].how).groups()
        assert cents(D(share) / 100 * D(price)) == lines["thread"].amount


def test_hours_are_said_as_short_as_they_can_be():
    """One hour at 18.00 with 10 % is 19.80 and needs no more than 1.00 h [identity]."""
    lines = {line.name: line for line in costs_of(SHOP, 3600.0).lines}
    assert lines["labour"].how == "1.00 h × 18.00 × 1.1"
    assert lines["overhead"].how == "none given"


def test_a_project_without_prices_has_none_and_says_so():
    """Nothing is asked for it, and nothing is less than nothing. [identity]"""
    bare = replace(SHOP, project=replace(SHOP.project, labour=Labour(), sell=Sell(margin=0.35, fee=0.04), prints=()))
    bare = replace(bare, shopping=())
    quote = price_plan(bare, forecast(bare, NONE))
    assert [str(one) for one in (quote.price.paid, quote.price.fee, quote.low, quote.high)] == ["0.00"] * 4
    assert quote.unpriced
    assert any(line.startswith("No prices in the project") for line in quote.says)
    assert not price_plan(SHOP, forecast(SHOP, NONE)).unpriced


def test_an_hour_in_the_washer_costs_nothing():
    """The wait is on the clock, never in the price."""
    dry = replace(SHOP, steps=(SHOP.steps[0], replace(SHOP.steps[1], waits_s=None)))
    assert price_plan(SHOP, forecast(SHOP, NONE)).price == price_plan(dry, forecast(dry, NONE)).price


def test_a_planned_price_has_an_interval_round_it():
    """Costs at the ends of the 80 % interval of time."""
    quote = price_plan(SHOP, forecast(SHOP, NONE))
    assert quote.low < quote.price.paid < quote.high
    assert quote.basis == "forecast"
    assert any("starter paces" in line for line in quote.says)
    assert quote.price.hourly > 18


def test_a_session_is_priced_at_the_time_it_took():
    """[identity] trouble is paid for; laps not counted are not. One hour in all."""
    laps = [
        lap("quilt/cross", 1800, 5, trouble_s=300),
        lap("quilt/cross", 1800, 4),
        lap("quilt/cross", 900, counted=False),
    ]
    quote = price_session(SHOP, record(*laps))
    assert quote.costs.hours == 1
    assert quote.costs.labour == D("19.80")
    assert quote.low is None
    assert quote.basis == "session"
    assert not any("rehearsal" in line for line in quote.says)
    assert any("rehearsal" in line for line in price_session(SHOP, record(*laps, mode="rehearsal")).says)
    assert any("not finished" in line for line in price_session(SHOP, record(*laps, state="open")).says)


def test_it_says_how_tax_enters():
    """A buyer's price holds the tax and the fee is on all of it: said where there is a tax, and only there."""
    taxed = replace(SHOP, project=replace(SHOP.project, sell=Sell(margin=0.3, fee=0.05, tax=0.19)))
    assert any("19 %" in line and "fee" in line for line in price_plan(taxed, forecast(taxed, NONE)).says)
    assert not any("Tax" in line for line in price_plan(SHOP, forecast(SHOP, NONE)).says)


def test_one_of_six_costs_a_sixth():
    """[identity]"""
    six = replace(SHOP, project=replace(SHOP.project, make=6))
    one = price_session(SHOP, record(lap("quilt/cross", 3600, 9)))
    of_six = price_session(six, record(lap("quilt/cross", 3600, 9)))
    assert of_six.each == cents(one.costs.cost / 6)
    assert of_six.price.cost == of_six.each


def test_a_given_price_is_taken_apart_for_one_article():
    """[identity] margin × price = profit."""
    quote = price_plan(SHOP, forecast(SHOP, NONE))
    taken = price_given(SHOP, quote.costs, D("80.00"))
    assert taken.paid == 80
    assert float(taken.profit) == pytest.approx(taken.margin * float(taken.before_tax), abs=0.01)
    assert taken.margin == pytest.approx(taken.markup / (1 + taken.markup))


def test_without_a_rate_it_says_that_labour_is_free():
    """A missing key is said, never a silent nothing."""
    bare = replace(SHOP, project=replace(SHOP.project, labour=Labour()))
    costs = costs_of(bare, 3600.0)
    assert costs.labour == 0
    assert any("labour" in line for line in costs.says)


def test_less_than_half_a_cent_lost_is_nothing_lost():
    """[identity] −0.004 is 0 to the cent, and 0 has no sign."""
    assert str(cents(D("-0.004"))) == "0.00"
    assert str(cents(D("-0.006"))) == "-0.01"


def test_a_share_is_said_with_its_sign_apart_and_never_below_nothing_by_rounding():
    """52.41 of 149.50 is 0.35057 [identity]; a space before the sign, as on the pages and in a project."""
    from guide.show.report_money import share_text

    assert [share_text(52.41 / 149.50), share_text(-0.0004)] == ["35.1 %", "0.0 %"]
