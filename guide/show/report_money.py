"""A forecast and a price as the report prints them: amounts as texts, to the cent."""

from collections.abc import Sequence
from decimal import Decimal

from guide.money.model import Forecast, Price, Quote, Span, StepActual
from guide.plan.model import Plan
from guide.plan.shopping import money, used_costs
from guide.read.spoken import percent
from guide.show.model import Compared, StepCompared
from guide.show.model_plan import CostLine, CostReport, ForecastReport, PricePart, SpanReport
from guide.show.report_numbers import exact_text
from guide.show.words import minutes


def span_report(span: Span) -> SpanReport:
    """A likely figure and its interval."""
    return SpanReport(span.likely, span.low, span.high)


def forecast_report(forecast: Forecast, standard_s: float | None = None) -> ForecastReport:
    """A forecast as plain figures, s, and as words; `standard_s`: with the rests that are allowed."""
    hands_on = forecast.hands_on
    return ForecastReport(
        hands_on_s=span_report(hands_on),
        clock_s=span_report(forecast.clock),
        waiting_s=forecast.waiting_s,
        resting_s=forecast.resting_s,
        text=minutes(hands_on.likely),
        range_text=f"{minutes(hands_on.low)} to {minutes(hands_on.high)}",
        rests_on=forecast.rests_on,
        says=forecast.says,
        standard_s=standard_s,
    )


def compared_report(rows: Sequence[StepActual]) -> Compared:
    """Forecast beside actual of the finished steps, by key, and how many lay inside their range."""
    within = sum(row.within for row in rows)
    says = (
        f"{within} of {len(rows)} finished steps lay inside the range their forecast gave before the session; "
        "four in five is what it promises."
    )
    steps = {
        row.key: StepCompared(
            row.forecast.likely,
            row.forecast.low,
            row.forecast.high,
            row.actual_s,
            row.within,
            f"{exact_text(row.forecast.low)} to {exact_text(row.forecast.high)}",
            row.ratio,
        )
        for row in rows
    }
    return Compared(steps, within, len(rows), says if rows else "")


def cost_report(plan: Plan, quote: Quote) -> CostReport:
    """The cost of all makes and the price of one, taken apart; money as text."""
    cloths = used_costs(plan.project, plan.cutting)
    used, bought = (sum((getattr(one, name) for one in cloths), Decimal(0)) for name in ("used", "bought"))
    costs, price = quote.costs, quote.price
    return CostReport(
        currency=quote.currency,
        unpriced=quote.unpriced,
        make=quote.make,
        cloth_used=money(used),
        cloth_bought=money(bought),
        cloth_text=f"cloth {money(used)} of it; the cloth bought costs {money(bought)}",
        materials=money(costs.materials),
        materials_bought=money(costs.bought),
        labour=money(costs.labour),
        overhead=money(costs.overhead),
        cost=money(costs.cost),
        each=money(quote.each),
        price=money(price.paid),
        price_text=price_text(quote),
        given=quote.given,
        price_low=None if quote.low is None else money(quote.low),
        price_high=None if quote.high is None else money(quote.high),
        hours_text=minutes(costs.hours * 3600),
        resting_text=minutes(costs.resting_s) if costs.resting_s else "",
        lines=tuple(CostLine(one.name, money(one.amount), one.how) for one in costs.lines),
        apart=_apart(price),
        hourly=None if price.hourly is None else money(price.hourly),
        margin_text="" if price.margin is None else share_text(price.margin),
        markup_text="" if price.markup is None else share_text(price.markup),
        basis=quote.basis,
        says=quote.says,
        left_out=costs.says,
        on_hand=any(cloth.on_hand for cloth in cloths),
    )


def share_text(share: float) -> str:
    """Say a share to a tenth of a per cent: 35.1 %."""
    return percent(share, 1)


def price_text(quote: Quote) -> str:
    """What one is asked for as people read it: `at least` where something in it has no price."""
    return f"{'at least ' if quote.at_least else ''}{money(quote.price.paid)}"


def amounts(cost: CostReport) -> list[tuple[str, str, str]]:
    """A cost's parts as they sum to it, and the price: name, amount, and what more is said of it."""
    return [
        ("materials used", cost.materials, cost.cloth_text),
        ("labour", cost.labour, ""),
        ("overhead", cost.overhead, ""),
        ("cost", cost.cost, ""),
        ("price of one" if cost.make > 1 else "price", cost.price_text, ""),
    ]


def _apart(price: Price) -> tuple[PricePart, ...]:
    """One article's price taken apart, the parts that are not nothing."""
    parts = (
        ("cost of making", price.cost),
        ("made in vain, what nobody buys", price.unsold),
        ("packing", price.packing),
        ("time for a sale", price.selling),
        ("pitch of a day's stall", price.pitch),
        ("hours of a day's stall", price.day),
        ("fee on the price", price.fee),
        ("fee each", price.fee_each),
        ("a shop's part", price.part),
        ("tax", price.tax),
        ("profit", price.profit),
    )
    return tuple(PricePart(name, money(amount)) for name, amount in parts if amount)
