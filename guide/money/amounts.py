"""Money in Decimal: exact until it is shown, half a cent up, and a price rounded up last of all."""

from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from guide.read.model import Rate

CENT = Decimal("0.01")
NOTHING = Decimal(0)
HOUR_S = 3600


def exact(value: float | Decimal) -> Decimal:
    """A float as the decimal a person would have written."""
    return value if isinstance(value, Decimal) else Decimal(repr(value))


def cents(amount: Decimal) -> Decimal:
    """To the cent, half a cent up; less than half a cent lost is nothing lost, not −0.00."""
    return amount.quantize(CENT, ROUND_HALF_UP) + NOTHING


def round_up(amount: Decimal, step: Decimal | None) -> Decimal:
    """Up to a whole number of steps (0.50, 1, 5); to the cent without one.

    A hundred-millionth over a step is an echo of division, not a reason to go a whole step up.
    """
    size = step or CENT
    steps = ((amount - Decimal("1e-8")) / size).to_integral_value(ROUND_CEILING)
    return (steps * size).quantize(min(size, CENT))


def per_hour(rate: Rate | None) -> Decimal:
    """What an hour costs at a rate that is per a time."""
    return NOTHING if rate is None else rate.amount * HOUR_S / exact(rate.per)
