"""What to ask for a planned article, or for one that has been made."""

from decimal import Decimal

import msgspec

from guide.money.cost import costs_of
from guide.money.glean import counted_labour_s
from guide.money.model import Costs, Forecast, Price, Quote
from guide.money.price import ask, in_cents, per_hour, take_apart
from guide.plan.hands import resting_s
from guide.plan.model import Plan
from guide.plan.shopping import cents
from guide.read.lengths import show_weight
from guide.read.spoken import said
from guide.record.model import Record

UNPRICED = (
    "No prices in the project: write `price:` beside its prints and `labour: {rate: 18.00 / hour}`, and it has one."
)
ROUNDED = "The price is rounded up last; what the rounding gives is profit."
LESS = "What has no price still comes off the profit shown."


def price_plan(plan: Plan, forecast: Forecast) -> Quote:
    """Price one article of a plan at its likely time; `low` and `high` at the ends of the 80 % interval."""
    rests = forecast.resting_s
    costs = costs_of(plan, forecast.hands_on.likely, rests)
    low, high = (_ask(plan, costs_of(plan, s, rests))[0].paid for s in (forecast.hands_on.low, forecast.hands_on.high))
    price, paid = _ask(plan, costs)
    bare = _unpriced(plan, costs)
    return Quote(
        currency=costs.currency,
        make=costs.make,
        costs=costs,
        each=cents(costs.cost / costs.make),
        price=price,
        exact=paid,
        low=low,
        high=high,
        basis="forecast",
        says=(UNPRICED,)
        if bare
        else (
            f"Times from {forecast.rests_on}.",
            _of_sittings(forecast),
            *costs.says,
            *_of_tax(plan),
            *_weighs(plan),
            *_of_place(plan),
            ROUNDED,
        ),
        weight_g=plan.number("weight_each"),
        unpriced=bare,
    )


def price_session(plan: Plan, record: Record) -> Quote:
    """Price one article of a session at the time it really took: counted labour, no interval."""
    worked_s = [record.step(step.key).counted_ms / 1000 for step in plan.steps]
    costs = costs_of(plan, counted_labour_s(record), resting_s(plan, worked_s))
    price, paid = _ask(plan, costs)
    bare = _unpriced(plan, costs)
    says = [UNPRICED] if bare else [*costs.says, *_of_tax(plan), *_weighs(plan), *_of_place(plan), ROUNDED]
    if record.header.mode not in ("", "real"):
        says.insert(0, f"A {record.header.mode}: these are not the times of real work.")
    elif not record.closed:
        says.insert(0, "The session is not finished: only the time worked so far is counted.")
    return Quote(
        currency=costs.currency,
        make=costs.make,
        costs=costs,
        each=cents(costs.cost / costs.make),
        price=price,
        exact=paid,
        low=None,
        high=None,
        basis="session",
        says=tuple(says),
        weight_g=plan.number("weight_each"),
        unpriced=bare,
    )


def price_given(plan: Plan, costs: Costs, paid: Decimal) -> Price:
    """What a price someone else set gives for one article: margin, markup, hourly earnings."""
    n = costs.make
    made = (costs.hours / n, costs.labour / n)
    return in_cents(take_apart(paid, costs.cost / n, plan.project.sell, *made, wage=_wage(plan)))


def at_given(plan: Plan, quoted: Quote, paid: Decimal) -> Quote:
    """The same article at a price someone else set: nothing of it was rounded, no likely time moves it."""
    says = [sentence for sentence in quoted.says if sentence != ROUNDED]
    return msgspec.structs.replace(
        quoted, price=price_given(plan, quoted.costs, paid), exact=paid, low=None, high=None, given=True,
        says=(*says, *([LESS] if quoted.costs.missing else [])),
    )  # fmt: skip


def _unpriced(plan: Plan, costs: Costs) -> bool:
    sell = plan.project.sell
    return not (costs.given or sell.packing or sell.fee_each or (sell.day and sell.day.pitch))


def _wage(plan: Plan) -> Decimal:
    """What an hour of the maker's is worth away from the table, where no rests are allowed for."""
    return per_hour(plan.project.labour.rate)


def _of_tax(plan: Plan) -> tuple[str, ...]:
    sell = plan.project.sell
    if not sell.tax:
        return ()
    return (
        f"Tax of {_percent(sell.tax)} on the price before tax is in it; the fee is on what the buyer pays, tax too.",
    )


def _weighs(plan: Plan) -> tuple[str, ...]:
    """Say what one weighs, for the parcel; nothing where the texts of long ago do not know it."""
    weight = plan.number("weight_each")
    if weight is None:
        return ()
    less = "" if plan.project.back == "none" else " without its pad"
    told = f"One weighs {show_weight(weight, plan.project.units)} dry{less}, an estimate by its cloth"
    return (f"{said(told, plan.project.words)}: postage is in the price as far as `packing:` holds it.",)


def _of_sittings(forecast: Forecast) -> str:
    if forecast.sittings is None or forecast.sitting_s is None:
        return "Reckoned as one day's work; --sitting 2h reckons in sittings of 2 h."
    needed = forecast.sittings
    told = f"{needed.likely:.0f} likely, {needed.low:.0f} to {needed.high:.0f} in four cases of five"
    return f"Reckoned in sittings of {forecast.sitting_s / 3600:g} h, on days apart: {told}."


def _of_place(plan: Plan) -> tuple[str, ...]:
    at = plan.project.sell.at
    return (f"Where nothing else is said, the price is that at {at}.",) if at else ()


def _percent(share: float) -> str:
    return f"{share * 100:.4g} %"


def _ask(plan: Plan, costs: Costs) -> tuple[Price, Decimal]:
    n = costs.make
    made = (costs.hours / n, costs.labour / n)
    price, paid = ask(costs.cost / n, plan.project.sell, *made, wage=_wage(plan))
    return in_cents(price), paid
