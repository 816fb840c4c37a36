"""How work falls into sittings of a stated length, and whether it will be done by a day."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import repeat

import msgspec

from guide.money.hours import EPS_S
from guide.money.model import Forecast
from guide.read.spoken import counted

EVERY_DAY = frozenset(range(7))


class Possible(msgspec.Struct, frozen=True):
    """The answer to "by the 12th at two hours an evening: possible?"."""

    sittings: int  # there are
    chance: float  # 0 … 1
    answer: str  # yes | likely | unlikely | no
    says: str


def walk(
    work: Sequence[tuple[float, float]],
    sitting_s: float | None,
    days: Iterator[float] | None = None,
) -> tuple[float, float, int]:
    """Work steps off in order: (hands-on s, clock s at the table, sittings).

    `work` is (hands-on s, wait s) per step; `days` gives each sitting's factor on the steps begun in it.
    A wait that does not fit into its sitting ends it and runs on in between. None: one sitting, any length.
    """
    days = days or repeat(1.0)
    hands = clock = used = 0.0
    sitting, slower = 1, next(days)
    for usual, wait in work:
        if sitting_s and usual and used >= sitting_s - EPS_S:
            sitting, slower, used = sitting + 1, next(days), 0.0
        hands += usual * slower
        clock += usual * slower
        used += usual * slower
        while sitting_s and used > sitting_s + EPS_S:
            sitting, slower, used = sitting + 1, next(days), used - sitting_s
        if sitting_s and used + wait > sitting_s and wait:
            used = sitting_s
        else:
            used += wait
            clock += wait
    return hands, clock, sitting


def evenings(start: date, by: date, weekdays: frozenset[int] = EVERY_DAY) -> int:
    """How many sittings there are from a day to a day, both included; Monday is 0."""
    days = (by - start).days + 1
    return sum((start + timedelta(days=n)).weekday() in weekdays for n in range(max(days, 0)))


def possible(forecast: Forecast, sittings: int) -> Possible:
    """Whether what is forecast can be done in so many sittings. ValueError for a forecast made without their length."""
    if forecast.sittings is None or forecast.sitting_s is None:
        raise ValueError("the forecast was made without sittings")
    chance = 0.0
    if forecast.chances and sittings > 0:
        chance = forecast.chances[min(sittings, len(forecast.chances)) - 1]
    answer = "yes" if chance >= 0.9 else "likely" if chance >= 0.5 else "unlikely" if chance >= 0.1 else "no"
    hours = forecast.sitting_s / 3600
    needed = forecast.sittings
    says = (
        f"{answer}: {counted(sittings, 'sitting')} of {hours:g} h, {needed.likely:.0f} likely needed "
        f"({needed.low:.0f} to {needed.high:.0f} in four cases of five); chance {chance:.0%}"
    )
    return Possible(sittings, chance, answer, says)
