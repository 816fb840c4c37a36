"""Money in Decimal: exact until it is shown, half a cent up, and a price rounded up last of all."""

from decimal import ROUND_CEILING, Decimal

from guide.plan.shopping import CENT
from guide.read.model import Rate

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
