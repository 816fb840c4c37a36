"""Where it is sold, and which of several earns most: one table, for the terminal, the page and JSON."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from guide.money.sold import Offer
from guide.plan.shopping import money
from guide.read.spoken import counted
from guide.show.table import Column, Table, table
from guide.show.words import minutes

HOUR = (
    "After wage: what is left once your own time is paid. Your hour: that and your wage, over your hours all told, at "
    "the table, selling, there and on the road. Under the floor you pay to work."
)


def sold_table(many: Sequence[Offer], currency: str, *, label: str = "Where it is sold") -> Table:
    """Each offer a row; what is the same in all of them has no column."""
    several = any(one.title != many[0].title or one.make != many[0].make or one.tried for one in many)
    selling = any(_selling(one) for one in many)
    columns = [
        Column[Offer]("what", lambda one: one.title, shown=len({one.title for one in many}) > 1),
        Column[Offer]("make", lambda one: f"{one.make}", number=True, shown=several),
        Column[Offer]("with", lambda one: one.tried, shown=any(one.tried for one in many)),
        Column[Offer]("at", lambda one: one.at, shown=any(one.at for one in many)),
        Column[Offer]("one takes", lambda one: minutes(one.each_s), number=True, shown=several),
        _amount("price", lambda one: one.price.paid),
        _amount("fees", lambda one: one.price.fee + one.price.fee_each + one.price.part, shown=not several),
        _amount("packing", lambda one: one.price.packing, shown=not several),
        _amount("selling", _selling, shown=selling and not several),
        _amount("after wage", lambda one: one.price.profit),
        _amount("your hour", lambda one: one.price.hourly),
        _amount("floor", lambda one: one.floor),
    ]
    return table(columns, [many], label=f"{label}, {currency}")


def _amount(head: str, says: Callable[[Offer], Decimal | None], *, shown: bool = True) -> Column[Offer]:
    """A column of amounts; what has no price has none."""

    def cell(one: Offer) -> str:
        amount = says(one)
        return "—" if amount is None or one.unpriced else money(amount)

    return Column[Offer](head, cell, number=True, shown=shown)


def sold_says(many: Sequence[Offer]) -> list[str]:
    """What the table's figures mean, and what is not in them, place by place."""
    out = [HOUR]
    if any(one.unpriced for one in many):
        out.append("— has no price at all: its project gives none.")
    if any(one.at_least and not one.unpriced for one in many):
        out.append("Something in it has no price: every price is at least that, and what is left is less.")
    days = dict.fromkeys((one.at, one.pays_from) for one in many if one.pays_from is not None)
    if len({(one.title, one.make, one.tried) for one in many}) == 1:
        out += [f"A day at {at or 'the stall'} pays from {counted(sold, 'piece')} sold." for at, sold in days]
    places = dict.fromkeys((one.at, one.uncounted) for one in many if one.uncounted)
    if places:
        told = [f"{f'at {at} ' if at else ''}{', '.join(names)}" for at, names in places]
        out.append(f"Not counted: {'; '.join(told)}.")
    return out


def sold_rows(many: Sequence[Offer]) -> list[dict[str, Any]]:
    """The same as plain data; money as text, times in s."""
    return [
        {
            "title": one.title,
            "make": one.make,
            "set": one.tried,
            "at": one.at,
            "each_s": one.each_s,
            "paid": money(one.price.paid),
            "tax": money(one.price.tax),
            "cost": money(one.price.cost),
            "unsold": money(one.price.unsold),
            "fee": money(one.price.fee),
            "fee_each": money(one.price.fee_each),
            "part": money(one.price.part),
            "packing": money(one.price.packing),
            "selling": money(one.price.selling),
            "pitch": money(one.price.pitch),
            "day": money(one.price.day),
            "after_wage": money(one.price.profit),
            "an_hour": None if one.price.hourly is None else money(one.price.hourly),
            "floor": money(one.floor),
            "pays_from": one.pays_from,
            "not_counted": list(one.uncounted),
            "at_least": one.at_least,
            "unpriced": one.unpriced,
        }
        for one in many
    ]


def _selling(one: Offer) -> Decimal:
    """The place's own costs besides fees and packing: time, a share of a day, what is made in vain."""
    price = one.price
    return price.selling + price.pitch + price.day + price.unsold
