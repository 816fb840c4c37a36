"""What to ask for a planned article, or for one that has been made, and what the making costs.

Cost is cloth used (bought beside it), thread, notions, labour, overhead.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

import msgspec

from guide.money.glean import counted_labour_s
from guide.money.model import Costs, Forecast, Line, Price, Quote
from guide.money.price import HOUR_S, NOTHING, ask, exact, in_cents, per_hour, take_apart
from guide.plan.model import Buy, Plan
from guide.plan.parts import WADDING
from guide.plan.shopping import ClothCost, amount_text, cents, factor_text, item_words, per_text, used_costs
from guide.plan.steps import resting_s
from guide.read.model import Rate
from guide.read.spoken import counted, percent, said
from guide.read.units import show_weight
from guide.record.model import Record

NOT_REAL = "these are not the times of real work."
COUNTED_COUNTERS = ("notions", "thread")


def costs_of(plan: Plan, hands_on_s: float, resting_s: float = 0.0) -> Costs:
    """Cost all the articles of a plan at so many seconds of hands-on work; each line to the cent.

    labour = hours × rate × (1 + allowance); overhead = hours × overhead rate. Waits cost nothing. The allowance is for
    rest, so the hands' rests are in it; where it is less than they take, they are paid in its place.
    """
    says: list[str] = []
    materials, bought, missing = _materials(plan, says)
    hours = exact(hands_on_s) / HOUR_S
    labour, overhead = _by_the_hour(plan, hours, exact(resting_s) / HOUR_S, says)
    lines = (*materials, labour, overhead)
    missing += [] if plan.project.labour.rate else ["hours at the table"]
    return Costs(
        currency=plan.project.currency,
        make=max(plan.project.make, 1),
        lines=lines,
        materials=_sum(materials),
        bought=cents(bought),
        labour=labour.amount,
        overhead=overhead.amount,
        cost=_sum(lines),
        hours=hands_on_s / HOUR_S,
        resting_s=resting_s,
        given=bool(materials or plan.project.labour.rate or plan.project.sell.overhead),
        says=tuple(says),
        missing=tuple(missing),
    )


def _sum(lines: tuple[Line, ...]) -> Decimal:
    return sum((line.amount for line in lines), NOTHING)


def _by_the_hour(plan: Plan, hours: Decimal, resting: Decimal, says: list[str]) -> tuple[Line, Line]:
    """Price labour and overhead; the figures said with them multiply out to the amounts."""
    labour, overhead = plan.project.labour, plan.project.sell.overhead
    if labour.rate is None:
        says.append("No `labour: {rate: …}` in the project: the hours are priced at nothing.")
    more = 1 + exact(labour.allowance)
    times = (per_hour(labour.rate) * more, per_hour(overhead))
    shown = f"{factor_text(hours, times)} h × "
    rested = f" × {more:g}" if more != 1 else ""
    paid, paid_how = hours * times[0], _how(shown, labour.rate, rested)
    if labour.rate and resting > hours * exact(labour.allowance):
        rate = per_hour(labour.rate)
        paid, with_rests = (hours + resting) * rate, f"{factor_text(hours + resting, [rate])} h × "
        paid_how = _how(with_rests, labour.rate, ", the hands' rests in it")
    return (
        Line(said("labour", plan.project.words), cents(paid), paid_how),
        Line("overhead", cents(hours * times[1]), _how(shown, overhead)),
    )


def _how(shown: str, rate: Rate | None, rested: str = "") -> str:
    return "none given" if rate is None else f"{shown}{amount_text(per_hour(rate))}{rested}"


def _materials(plan: Plan, says: list[str]) -> tuple[tuple[Line, ...], Decimal, list[str]]:
    """Lines of what is used, the cost of the same as bought, and what has no price."""
    words = plan.project.words
    cloths = used_costs(plan.project, plan.cutting)
    lines = [Line(_material(cloth.material, words), cloth.used, _used(cloth)) for cloth in cloths]
    bought = sum((cloth.bought for cloth in cloths), NOTHING)
    # What has no price is gathered on the way: it is counted as nothing, and must be told.
    priced = {cloth.material for cloth in cloths}
    missing = [_material(cutting.material, words) for cutting in plan.cutting if cutting.material not in priced]
    for line in plan.shopping:
        if line.counter in COUNTED_COUNTERS and line.cost is None:
            name, comma, size = item_words(line, words).partition(", ")
            missing.append(f"{name} ({size})" if comma else name)
        elif line.counter in COUNTED_COUNTERS and line.cost is not None:
            bought += Decimal(line.cost)
            lines.append(_bought(line, words, _thread_share(plan) if line.counter == "thread" else None))
    if any(cloth.on_hand for cloth in cloths):
        says.append("What is used of cloth on hand is reckoned at its price too: it was paid for once.")
    if missing:
        missing = list(dict.fromkeys(missing))
        says.append(f"No price given, counted as nothing: {', '.join(missing)}.")
    return tuple(lines), bought, missing


def _used(cloth: ClothCost) -> str:
    """What is used of a cloth, and at what price: `0.528 yd × 9.60`."""
    quantity = factor_text(cloth.quantity, [cloth.rate.amount])
    part = ", on hand in part" if cloth.on_hand else ""
    return f"{quantity} {per_text(cloth.rate)} × {amount_text(cloth.rate.amount)}{part}"


def _bought(line: Buy, words: str, share: Decimal | None) -> Line:
    """What is used of something bought by the piece: `6 × 7.50`, `43 % of 2 spools at 2.90`."""
    cost, name = Decimal(line.cost or 0), item_words(line, words)
    if share is None:
        return Line(name, cost, f"{line.quantity} × {line.price}")
    used = factor_text(share * 100, [cost / 100], 0)
    return Line(name, cents(cost * share), f"{used} % of {counted(int(line.quantity), line.unit)} at {line.price}")


def _material(name: str, words: str) -> str:
    """A cloth by the name its maker gave it, the wadding in the project's words."""
    return said(name, words) if name == WADDING else name


def _thread_share(plan: Plan) -> Decimal | None:
    """How much of the thread bought is used; None when the plan does not say."""
    used, spools, spool_mm = (plan.number(name) for name in ("thread", "thread_spools", "thread_per_spool"))
    if not used or not spools or not spool_mm:
        return None
    return min(exact(used) / (exact(spools) * exact(spool_mm)), Decimal(1))


UNPRICED = (
    "No prices in the project: write `price:` beside its prints and `labour: {rate: 18.00 / hour}`, and it has one."
)
ROUNDED = "The price is rounded up last; what the rounding gives is profit."
LESS = "What has no price still comes off the profit shown."


def _quote(plan: Plan, costs: Costs, basis: Literal["forecast", "session"]) -> Quote:
    """One article of a plan at these costs, with what is to be said of any."""
    n, sell = costs.make, plan.project.sell
    price, paid = ask(costs.cost / n, sell, costs.hours / n, costs.labour / n, wage=per_hour(plan.project.labour.rate))
    bare = not (costs.given or sell.packing or sell.fee_each or (sell.day and sell.day.pitch))
    return Quote(
        currency=costs.currency,
        make=n,
        costs=costs,
        each=cents(costs.cost / n),
        price=in_cents(price),
        exact=paid,
        low=None,
        high=None,
        basis=basis,
        says=(UNPRICED,) if bare else (*costs.says, *_of_any(plan), ROUNDED),
        weight_g=plan.number("weight_each"),
        unpriced=bare,
    )


def price_plan(plan: Plan, forecast: Forecast) -> Quote:
    """Price one article of a plan at its likely time; `low` and `high` at the ends of the 80 % interval."""
    took, rests = forecast.hands_on, forecast.resting_s
    likely, low, high = (_quote(plan, costs_of(plan, s, rests), "forecast") for s in (took.likely, took.low, took.high))
    says = () if likely.unpriced else (f"Times from {forecast.rests_on}.", _of_sittings(forecast))
    return msgspec.structs.replace(likely, low=low.price.paid, high=high.price.paid, says=(*says, *likely.says))


def price_session(plan: Plan, record: Record) -> Quote:
    """Price one article of a session at the time it really took: counted labour, no interval."""
    worked_s = [record.step(step.key).counted_ms / 1000 for step in plan.steps]
    costs = costs_of(plan, counted_labour_s(record), resting_s(plan, worked_s))
    quoted = _quote(plan, costs, "session")
    says = quoted.says
    if record.header.mode not in ("", "real"):
        says = (f"A {record.header.mode}: {NOT_REAL}", *says)
    elif not record.closed:
        says = ("The session is not finished: only the time worked so far is counted.", *says)
    return msgspec.structs.replace(quoted, says=says)


def price_given(plan: Plan, costs: Costs, paid: Decimal) -> Price:
    """What a price someone else set gives for one article: margin, markup, hourly earnings."""
    n, wage = costs.make, per_hour(plan.project.labour.rate)
    return in_cents(take_apart(paid, costs.cost / n, plan.project.sell, costs.hours / n, costs.labour / n, wage=wage))


def at_given(plan: Plan, quoted: Quote, paid: Decimal) -> Quote:
    """The same article at a price someone else set: nothing of it was rounded, no likely time moves it."""
    says = [sentence for sentence in quoted.says if sentence != ROUNDED]
    return msgspec.structs.replace(
        quoted, price=price_given(plan, quoted.costs, paid), exact=paid, low=None, high=None, given=True,
        says=(*says, *([LESS] if quoted.costs.missing else [])),
    )  # fmt: skip


def _of_any(plan: Plan) -> Iterator[str]:
    """Say of an article at any price: tax, what one weighs for the parcel, and at which place."""
    sell, weight = plan.project.sell, plan.number("weight_each")  # texts of long ago know no weight
    if tax := sell.tax:
        yield f"Tax of {percent(tax)} on the price before tax is in it; the fee is on what the buyer pays, tax too."
    if weight is not None:
        less = "" if plan.project.back == "none" else " without its pad"
        told = f"One weighs {show_weight(weight, plan.project.units)} dry{less}, an estimate by its cloth"
        yield f"{said(told, plan.project.words)}: postage is in the price as far as `packing:` holds it."
    if sell.at:
        yield f"Where nothing else is said, the price is that at {sell.at}."


def _of_sittings(forecast: Forecast) -> str:
    if forecast.sittings is None or forecast.sitting_s is None:
        return "Reckoned as one day's work; --sitting 2h reckons in sittings of 2 h."
    needed = forecast.sittings
    told = f"{needed.likely:.0f} likely, {needed.low:.0f} to {needed.high:.0f} in four cases of five"
    return f"Reckoned in sittings of {forecast.sitting_s / 3600:g} h, on days apart: {told}."
