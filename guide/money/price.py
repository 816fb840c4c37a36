"""What to ask, and what a price really gives.

The buyer pays P; tax is inside it, so the maker's price before tax is p = P / (1 + tax). A fee is a share
of what the buyer pays, tax and all, so it takes fee·(1 + tax) of p. With the margin a share of p:

    p = (cost / (1 − unsold) + packing + fee_each + selling + day) / (1 − margin − part − fee·(1 + tax))

Of what is made a share `unsold` finds no buyer, so what is sold pays for it; selling is the maker's own time for each
sale; a day at a stall, its pitch and its hours, is shared among what is sold on it; a shop keeps its part of p.
P is rounded up last, and what the rounding gives is profit. [identity; HMRC: 20 % on 100 is 120]
"""

from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal

import msgspec
from msgspec.structs import replace

from guide.errors import WrongUse
from guide.money.model import Price, Quote
from guide.plan.model import Plan
from guide.plan.shopping import CENT, cents
from guide.read.model import Rate, Sell, did_you_mean
from guide.read.spoken import percent

NOTHING = Decimal(0)
HOUR_S = 3600
# What a price before tax goes to; the rest of it is profit.
OF_SOME_PLACES = ("unsold", "selling", "pitch", "day", "part")
PARTS = ("cost", "packing", "fee", "fee_each", *OF_SOME_PLACES)


def exact(value: float | Decimal) -> Decimal:
    """A float as the decimal a person would have written."""
    return value if isinstance(value, Decimal) else Decimal(repr(value))


def round_up(amount: Decimal, step: Decimal | None) -> Decimal:
    """Up to a whole number of steps (0.50, 1, 5); to the cent without one.

    A hundred-millionth over a step is an echo of division, not a reason to go a whole step up.
    """
    size = step or CENT
    steps = ((amount - Decimal("1e-8")) / size).to_integral_value(ROUND_CEILING)
    return (max(NOTHING, steps) * size).quantize(min(size, CENT))


def per_hour(rate: Rate | None) -> Decimal:
    """What an hour costs at a rate that is per a time."""
    return NOTHING if rate is None else rate.amount * HOUR_S / exact(rate.per)


def _kept(sell: Sell) -> Decimal:
    """What others keep of a price before tax, as a share of it."""
    return exact(sell.part) + exact(sell.fee) * (1 + exact(sell.tax))


def _lost(sell: Sell) -> Decimal:
    """What is made in vain for each one sold."""
    return exact(sell.unsold) / (1 - exact(sell.unsold))


def _day(sell: Sell) -> tuple[Decimal, Decimal]:
    """Each sale's share of a day at a stall: of its pitch, and of its hours."""
    if sell.day is None:
        return NOTHING, NOTHING
    sells = exact(sell.day.sells)
    return sell.day.pitch / sells, (exact(sell.day.hours) + exact(sell.day.road)) / sells


def per_sale(cost: Decimal, sell: Sell, wage: Decimal = NOTHING) -> Decimal:
    """What one sale must cover before margin, fees in per cent and tax: its own costs, and its share of a day.

    `wage`: what an hour of the maker's is worth.
    """
    pitch, hours = _day(sell)
    hours += exact(sell.sale_takes) / HOUR_S
    return cost + cost * _lost(sell) + sell.packing + sell.fee_each + pitch + hours * wage


def before_tax_for(cost: Decimal, sell: Sell, wage: Decimal = NOTHING) -> Decimal:
    """The exact price before tax that leaves the margin; WrongUse when margin and fees eat it all."""
    left = 1 - exact(sell.margin) - _kept(sell)
    if left <= 0:
        part = f", the shop's part {percent(sell.part)}" if sell.part else ""
        with_tax = f" on the price with tax, {percent(sell.fee * (1 + sell.tax))}" if sell.tax else ""
        raise WrongUse(
            f"margin {percent(sell.margin)}{part} and fee {percent(sell.fee)}{with_tax} take "
            f"{percent(1 - float(left))} of the price: no price is high enough. Lower `margin` or `fee` under `sell:` "
            "so that together they stay under 100 %."
        )
    return per_sale(cost, sell, wage) / left


def floor_of(cost: Decimal, sell: Sell, labour: Decimal = NOTHING) -> Decimal:
    """What the buyer must pay for the maker's hours, all told, to earn nothing: under it she pays to work.

    It covers all but her own time. `labour` is the part of the cost that is hers. WrongUse where others keep it all.
    """
    free = replace(sell, margin=0.0)
    return before_tax_for(cost - labour, free) * (1 + exact(sell.tax))


def ask(
    cost: Decimal, sell: Sell, hours: float = 0.0, labour: Decimal = NOTHING, *, wage: Decimal = NOTHING
) -> tuple[Price, Decimal]:
    """The price of one article with the margin wanted, rounded up; and what it was before rounding up.

    `cost`, `hours` and `labour` (a part of the cost) are of one article; `wage` is of an hour.
    """
    paid = before_tax_for(cost, sell, wage) * (1 + exact(sell.tax))
    return take_apart(round_up(paid, sell.round_up_to), cost, sell, hours, labour, wage=wage), paid


def take_apart(
    paid: Decimal, cost: Decimal, sell: Sell, hours: float = 0.0, labour: Decimal = NOTHING, *, wage: Decimal = NOTHING
) -> Price:
    """What a price gives, also one someone else set: margin, markup and hourly earnings.

    margin = profit / price before tax, markup = profit / all costs, so margin = markup / (1 + markup).
    Hourly earnings are profit and what is paid for the maker's own time, over all her hours: at the table, for what
    nobody buys too, and those that selling takes.
    """
    before_tax = paid / (1 + exact(sell.tax))
    lost, (pitch, day_hours), sale_hours = _lost(sell), _day(sell), exact(sell.sale_takes) / HOUR_S
    fee, part = paid * exact(sell.fee), before_tax * exact(sell.part)
    costs = per_sale(cost, sell, wage) + fee + part
    profit = before_tax - costs
    all_told = exact(hours) * (1 + lost) + sale_hours + day_hours
    own_time = labour * (1 + lost) + (sale_hours + day_hours) * wage
    return Price(
        paid=paid,
        before_tax=before_tax,
        tax=paid - before_tax,
        fee=fee,
        fee_each=sell.fee_each,
        packing=sell.packing,
        cost=cost,
        profit=profit,
        margin=float(profit / before_tax) if before_tax else None,
        markup=float(profit / costs) if costs else None,
        hourly=cents((profit + own_time) / all_told) if all_told > 0 else None,
        part=part,
        unsold=cost * lost,
        selling=sale_hours * wage,
        pitch=pitch,
        day=day_hours * wage,
    )


def in_cents(price: Price) -> Price:
    """The same to the cent, the odd cent in the profit, so that what is printed adds up."""
    paid, before_tax = cents(price.paid), cents(price.before_tax)
    parts = {name: cents(getattr(price, name)) for name in PARTS}
    profit = before_tax - sum(parts.values(), NOTHING)
    return replace(price, paid=paid, before_tax=before_tax, tax=paid - before_tax, profit=profit, **parts)


MORE_LEFT = "Raise the price or lower the costs."


def break_even(fixed: Decimal, each_brings: Decimal, each_costs: Decimal) -> int:
    """How many must be sold before a stall or a batch pays for its fixed costs: fixed / (price − variable).

    `each_brings` is what one sale leaves before its own costs (before tax, less fees). WrongUse when it does
    not cover them.
    """
    left = each_brings - each_costs
    if not left:
        raise WrongUse(f"each one brings {cents(each_brings)} and costs as much: nothing is left. {MORE_LEFT}")
    if left < 0:
        raise WrongUse(
            f"each one brings {cents(each_brings)} and costs {cents(each_costs)}: more sales lose more. {MORE_LEFT}"
        )
    return int((fixed / left).to_integral_value(ROUND_CEILING))


def stall_break_even(stall: Decimal, price: Price, margin: float | None = None) -> int:
    """How many of an article pay for a stall: fees, packing, materials and labour of each are covered first.

    `margin`: the one the price was made for (None: the price was given). WrongUse when nothing is left of a sale.
    """
    if margin is not None and margin <= 0:
        raise WrongUse(
            f"At a margin of 0 % nothing is left of a sale for a stall; what rounding up gives ({price.profit}) is "
            'chance. Try --set sell.margin="20 %", or a price with --given.'
        )
    return _pays(stall, price)


def _pays(fixed: Decimal, price: Price) -> int:
    costs = price.cost + price.unsold + price.packing + price.fee_each + price.selling
    return break_even(fixed, price.before_tax - price.fee - price.part, costs)


# Where it is best sold, and which of several is: one article's price at every place, and what an hour then earns.


class Offer(msgspec.Struct, frozen=True):
    """One article of a batch at one place."""

    title: str
    make: int
    tried: str  # what of the project was changed for it
    at: str  # the place; none: the only one
    each_s: float  # hands on for one
    price: Price
    floor: Decimal  # under this she pays to work
    pays_from: int | None  # so many sold pay for a day at the stall; None: no day, or it never pays
    uncounted: tuple[str, ...]  # what the place does not say, and is reckoned as nothing
    at_least: bool  # something in it has no price
    unpriced: bool = False  # nothing in it has one: there is nothing to ask


def at_place(plan: Plan, name: str) -> Plan:
    """The plan as it is sold at another of its places. Raises WrongUse naming those there are."""
    places = {one.at: one for one in plan.project.sell.places}
    if name not in places:
        there = f"; there are {', '.join(places)}" if places else ": write them under `sell: {places: …}`"
        raise WrongUse(f"--at: {plan.project.title} has no place {name}{did_you_mean(name, tuple(places))}{there}.")
    sell = replace(places[name], places=plan.project.sell.places)
    return replace(plan, project=replace(plan.project, sell=sell))


def offers(plan: Plan, quoted: Quote, tried: str = "") -> tuple[Offer, ...]:
    """One article at each place of its project, in the project's order; at the price given where someone set it."""
    costs, wage = quoted.costs, per_hour(plan.project.labour.rate)
    cost, hours, labour = costs.cost / costs.make, costs.hours / costs.make, costs.labour / costs.make
    made = []
    for sell in plan.project.sell.places or (plan.project.sell,):
        if quoted.given:
            price = take_apart(quoted.price.paid, cost, sell, hours, labour, wage=wage)
        else:
            price, _ = ask(cost, sell, hours, labour, wage=wage)
        made.append(
            Offer(
                title=plan.project.title,
                make=costs.make,
                tried=tried,
                at=sell.at,
                each_s=hours * 3600,
                price=in_cents(price),
                floor=round_up(floor_of(cost, sell, labour), None),
                pays_from=_pays_from(price, sell, wage),
                uncounted=_uncounted(sell),
                at_least=quoted.at_least,
                unpriced=quoted.unpriced and not quoted.given,
            )
        )
    return tuple(made)


def by_the_hour(many: Iterable[Offer]) -> list[Offer]:
    """What an hour earns most with comes first, and what has no price at all last."""
    return sorted(
        many, key=lambda one: (one.unpriced, -(one.price.hourly or NOTHING), one.title, one.make, one.tried, one.at)
    )


def _pays_from(price: Price, sell: Sell, wage: Decimal) -> int | None:
    """How many must be sold for a day at a stall to pay for its pitch and its hours."""
    if sell.day is None:
        return None
    try:
        return _pays(sell.day.pitch + (exact(sell.day.hours) + exact(sell.day.road)) * wage, price)
    except WrongUse:
        return None


def _uncounted(sell: Sell) -> tuple[str, ...]:
    """What a place most likely costs, and does not say."""
    rows = (
        ("packing", bool(sell.packing)),
        ("your time for each sale", bool(sell.sale_takes or sell.day)),
        ("your hours at the stall", sell.day is None or bool(sell.day.hours)),
        ("your hours on the road", sell.day is None or bool(sell.day.road)),
        ("what nobody buys", bool(sell.unsold)),
    )
    return tuple(name for name, said in rows if not said)
