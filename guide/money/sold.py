"""Where it is best sold, and which of several is: one article's price at every place, and what an hour then earns."""

from collections.abc import Iterable
from decimal import Decimal

import msgspec

from guide.errors import WrongUse
from guide.money.model import Price, Quote
from guide.money.price import NOTHING, ask, break_even, exact, floor_of, in_cents, per_hour, round_up, take_apart
from guide.plan.model import Plan
from guide.read.model import Sell, did_you_mean


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
    sell = msgspec.structs.replace(places[name], places=plan.project.sell.places)
    return msgspec.structs.replace(plan, project=msgspec.structs.replace(plan.project, sell=sell))


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
    day = sell.day.pitch + (exact(sell.day.hours) + exact(sell.day.road)) * wage
    each = price.cost + price.unsold + price.packing + price.fee_each + price.selling
    try:
        return break_even(day, price.before_tax - price.fee - price.part, each)
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
