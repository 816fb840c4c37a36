"""Where the hours go, step by step: at the pace, setting up, scatter and trouble; and what is worth timing next.

A step's pace here is the median of its later pieces over the starter pace. What a first piece takes beyond that is
setting up, what another takes beyond it is scatter, and trouble is what the maker called so: they sum to the labour.
"""

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal

import msgspec

from guide.money import prior
from guide.money.glean import base_key
from guide.money.model import Forecast, Paces, Seen
from guide.money.paces import chance_var, learnt
from guide.money.price import HOUR_S, NOTHING, exact
from guide.money.stats import normal_quantile, weighted_median
from guide.plan.model import Plan

YEAR = 365  # days, the newest one worked among them


class Paid(msgspec.Struct, frozen=True):
    """What a session says about a step on a day, and what an hour of it was worth."""

    row: Seen
    an_hour: Decimal
    currency: str


class Spent(msgspec.Struct, frozen=True):
    """A step's labour in a year, s, and its money by currency."""

    base: str
    title: str
    pieces: int
    labour_s: float
    at_pace_s: float
    setting_up_s: float
    scatter_s: float
    trouble_s: float
    money: dict[str, Decimal]

    @property
    def tenth(self) -> dict[str, Decimal]:
        """What a tenth less of its time would bring."""
        return {currency: amount / 10 for currency, amount in self.money.items()}


class Worth(msgspec.Struct, frozen=True):
    """A step whose timing would narrow the forecast: so much on each side of it."""

    base: str
    title: str
    narrows_s: float
    narrows: Decimal  # in money, at what an hour is worth


def spent(paid: Iterable[Paid]) -> list[Spent]:
    """Where a year's labour went, the most first."""
    steps: dict[str, list[Paid]] = {}
    rows = list(paid)
    newest = max((one.row.day for one in rows), default=0)
    for one in rows:
        if one.row.day > newest - YEAR:
            steps.setdefault(one.row.base, []).append(one)
    return sorted((_spent(base, these) for base, these in steps.items()), key=lambda one: (-one.labour_s, one.base))


def _spent(base: str, paid: Sequence[Paid]) -> Spent:
    usual = _usual([one.row for one in paid])
    pieces = 0
    labour_s = setting_up_s = scatter_s = trouble_s = 0.0
    money: dict[str, Decimal] = {}
    for one in paid:
        row = one.row
        each_s = usual * (row.starter_s or 1.0)
        labour_s += row.counted_s
        trouble_s += row.counted_s - math.fsum(lap.seconds for lap in row.laps)
        for lap in row.laps:
            over_s = max(lap.seconds - each_s * lap.pieces, 0.0)
            pieces += lap.pieces
            setting_up_s += over_s if lap.first else 0.0
            scatter_s += 0.0 if lap.first else over_s
        money[one.currency] = money.get(one.currency, NOTHING) + exact(row.counted_s) / HOUR_S * one.an_hour
    at_pace_s = labour_s - setting_up_s - scatter_s - trouble_s
    title = paid[-1].row.title or base
    return Spent(base, title, pieces, labour_s, at_pace_s, setting_up_s, scatter_s, trouble_s, money)


def _usual(rows: Sequence[Seen]) -> float:
    """The median piece over its starter pace (over 1 s where there is none), first pieces only where alone."""
    laps = [(lap, row.starter_s or 1.0) for row in rows for lap in row.laps]
    later = [(lap, starter) for lap, starter in laps if not lap.first] or laps
    return weighted_median([(lap.seconds / lap.pieces / starter, float(lap.pieces)) for lap, starter in later])


def worth_timing(plan: Plan, paces: Paces, outlook: Forecast, an_hour: Decimal, most: int = 3) -> list[Worth]:
    """Which steps, timed in one more making, would narrow a plan's price most, and by how much on each side.

    A forecast's variance holds each step's own uncertainty, time² × `mean_var`, which one more day's pieces lower by
    Bayes' rule for a normal mean (precisions add); the interval's half is its deviation times the normal quantile.
    """
    half_s = (outlook.hands_on.high - outlook.hands_on.low) / 2
    quantile = normal_quantile(0.9)
    whole = (half_s / quantile) ** 2
    sums: dict[str, tuple[str, float]] = {}
    for step, told in zip(plan.steps, outlook.steps, strict=True):
        mine = learnt(paces, base_key(step.key))
        now = mine.mean_var if mine else prior.ONE_PIECE_VAR + paces.lean_var
        more = chance_var(paces, mine, step.pieces) + paces.day_var
        less = told.hands_on.likely**2 * (now - 1 / (1 / now + 1 / more))
        title, before = sums.get(base_key(step.key), (step.title.partition(": ")[0], 0.0))
        sums[base_key(step.key)] = title, before + less
    out = []
    for base, (title, less) in sums.items():
        narrows_s = half_s - quantile * math.sqrt(max(whole - less, 0.0))
        out.append(Worth(base, title, narrows_s, exact(narrows_s) / HOUR_S * an_hour))
    return sorted(out, key=lambda one: (-one.narrows_s, one.base))[:most]
