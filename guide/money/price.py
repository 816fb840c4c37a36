"""What to ask, and what a price really gives.

The buyer pays P; tax is inside it, so the maker's price before tax is p = P / (1 + tax). A fee is a share
of what the buyer pays, tax and all, so it takes fee·(1 + tax) of p. With the margin a share of p:

    p = (cost + packing + fee_each) / (1 − margin − fee·(1 + tax))

P is rounded up last, and what the rounding gives is profit. [identity; HMRC: 20 % on 100 is 120]
"""

from decimal import ROUND_CEILING, Decimal

import msgspec

from guide.errors import WrongUse
from guide.money.model import Price
from guide.plan.shopping import CENT, cents
from guide.read.model import Rate, Sell

NOTHING = Decimal(0)
HOUR_S = 3600


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


def before_tax_for(cost: Decimal, sell: Sell) -> Decimal:
    """The exact price before tax that leaves the margin; WrongUse when margin and fees eat it all."""
    left = 1 - exact(sell.margin) - exact(sell.fee) * (1 + exact(sell.tax))
    if left <= 0:
        fee = f"fee {sell.fee:.2%}" + (f" on the price with tax, {sell.fee * (1 + sell.tax):.2%}" if sell.tax else "")
        raise WrongUse(
            f"margin {sell.margin:.2%} and {fee} take {1 - float(left):.2%} of the price: no price is high "
            "enough. Lower `margin` or `fee` under `sell:` so that together they stay under 100 %."
        )
    return (cost + sell.packing + sell.fee_each) / left


def ask(cost: Decimal, sell: Sell, hours: float = 0.0, labour: Decimal = NOTHING) -> tuple[Price, Decimal]:
    """The price of one article with the margin wanted, rounded up; and what it was before rounding up.

    `cost`, `hours` and `labour` (a part of the cost) are of one article.
    """
    paid = before_tax_for(cost, sell) * (1 + exact(sell.tax))
    return take_apart(round_up(paid, sell.round_up_to), cost, sell, hours, labour), paid


def take_apart(paid: Decimal, cost: Decimal, sell: Sell, hours: float = 0.0, labour: Decimal = NOTHING) -> Price:
    """What a price gives, also one someone else set: margin, markup and hourly earnings.

    margin = profit / price before tax, markup = profit / all costs, so margin = markup / (1 + markup).
    Hourly earnings are labour and profit together over the hours at the table.
    """
    before_tax = paid / (1 + exact(sell.tax))
    fee = paid * exact(sell.fee)
    costs = cost + sell.packing + sell.fee_each + fee
    profit = before_tax - costs
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
        hourly=cents((profit + labour) / exact(hours)) if hours > 0 else None,
    )


def in_cents(price: Price) -> Price:
    """The same to the cent, the odd cent in the profit, so that what is printed adds up."""
    paid, before_tax, fee, cost = (cents(x) for x in (price.paid, price.before_tax, price.fee, price.cost))
    packing, fee_each = cents(price.packing), cents(price.fee_each)
    return msgspec.structs.replace(
        price,
        paid=paid,
        before_tax=before_tax,
        tax=paid - before_tax,
        fee=fee,
        fee_each=fee_each,
        packing=packing,
        cost=cost,
        profit=before_tax - cost - packing - fee - fee_each,
    )


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
            "chance. Try --set sell.margin=20%, or a price with --given."
        )
    return break_even(stall, price.before_tax - price.fee, price.cost + price.packing + price.fee_each)
