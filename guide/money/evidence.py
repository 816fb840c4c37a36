"""What one step's pace rests on: which sessions, at which size, what was left out, how far it leans on the starter."""

import math
from collections import deque
from collections.abc import Iterable, Sequence
from decimal import Decimal

import msgspec

from guide.money import stats
from guide.money.forecast import forecast
from guide.money.glean import base_key, glean
from guide.money.model import LEVEL, Flag, Forecast, Pace, Paces, Seen, Span
from guide.money.paces import chance_var, learn, learnt, sift
from guide.money.price import HOUR_S, NOTHING, exact
from guide.money.stats import normal_quantile, weighted_median
from guide.plan.model import Plan
from guide.read.model import grouped
from guide.read.spoken import counted
from guide.record.clock import day_of
from guide.record.model import Record

# Was each making inside what was said before it? Forecasts held against what came of them, one after another.

NEWEST = 40  # makings that are held against their forecasts


class Audited(msgspec.Struct, frozen=True):
    """One making: what its maker's times said before it, and what the same steps took."""

    session: str  # when it was opened
    day: int  # of its first work, the maker's own, as an ordinal
    title: str
    maker: str
    forecast: Span
    actual_s: float
    within: bool
    sessions: int  # of the maker's before it that the forecast rests on


def audit(sessions: Iterable[tuple[Record, Plan | None]], newest: int = NEWEST) -> list[Audited]:
    """Hold each finished making against the forecast its maker's earlier sessions give; sessions come oldest first.

    Only the steps that were done are forecast, all their pieces. The first making has only starter paces; it counts.
    """
    past: dict[tuple[str, str], list[Seen]] = {}
    makings: deque[tuple[Record, Plan, int]] = deque(maxlen=newest)
    for record, plan in sessions:
        head = record.header
        mine = past.setdefault((head.maker, head.whom), [])
        if plan is not None:
            if record.closed and (head.mode or "real") == "real":
                makings.append((record, plan, len(mine)))
            mine += glean(record, plan.steps, make=plan.project.make)
    return [one for making in makings if (one := _held(*making, past)) is not None]


def _held(record: Record, plan: Plan, before: int, past: dict[tuple[str, str], list[Seen]]) -> Audited | None:
    head = record.header
    done = tuple(step for step in plan.steps if record.step(step.key).state == "done")
    actual_s = sum(record.step(step.key).counted_ms for step in done) / 1000
    if not actual_s:
        return None
    day = min(day_of(lap.start, lap.offset) for step in done for lap in record.step(step.key).laps)
    paces = learn(past[head.maker, head.whom][:before], maker=head.maker, whom=head.whom)
    said = forecast(msgspec.structs.replace(plan, steps=done), paces).hands_on
    within = said.low <= actual_s <= said.high
    return Audited(head.at, day, plan.project.title, head.maker, said, actual_s, within, paces.sessions)


def audit_says(told: Sequence[Audited]) -> str:
    """Say how many were inside, in a sentence."""
    within = sum(one.within for one in told)
    return f"{within} of {counted(len(told), 'making')} inside their {LEVEL * 100:.0f} %"


class Reading(msgspec.Struct, frozen=True):
    """One session's day at the step; seconds are per piece."""

    session: str  # when it was opened
    day: int  # the maker's own, as an ordinal
    effort: float | None  # of one piece: its size
    noun: str
    pieces: int
    own_s: float
    first_s: float | None  # the first piece, which is kept out of the pace where there are more
    starter_s: float | None
    by_hand: int  # laps typed in afterwards


class Evidence(msgspec.Struct, frozen=True):
    """All that a step's pace was learnt from."""

    base: str
    pace: Pace
    readings: tuple[Reading, ...]
    out: tuple[Flag, ...]  # laps left out of it
    tempo: float  # the maker's time over the starter paces, over all steps: 1.04 is 4 % slower
    learning: float | None  # what each doubling of makes takes of the time, where that is sure


def evidence(seen: Iterable[Seen], base: str, *, maker: str | None = None, whom: str = "") -> Evidence | None:
    """What the pace of a step (stage/id) rests on; None when nobody has timed it.

    A step timed only with others that one press counted rests on what all of them took together.
    """
    rows = list(seen)
    paces = learn(rows, maker=maker, whom=whom)
    pace = learnt(paces, base)
    if pace is None:
        return None
    _, kept, _ = sift(rows, maker=maker, whom=whom)
    curve = paces.curve
    return Evidence(
        base=pace.step,
        pace=pace,
        readings=tuple(_reading(row) for row in sorted(kept[pace.step], key=lambda row: (row.day, row.session))),
        out=tuple(flag for flag in paces.flags if flag.step.partition(":")[0] == pace.step),
        tempo=math.exp(paces.tempo),
        learning=curve.rate if curve is not None and curve.sure else None,
    )


def _reading(row: Seen) -> Reading:
    later = [lap for lap in row.laps if not lap.first]
    firsts = [lap.seconds for lap in row.laps if lap.first]
    pieces = sum(lap.pieces for lap in later)
    seconds = math.fsum(lap.seconds for lap in later)
    return Reading(
        session=row.session,
        day=row.day,
        effort=row.effort,
        noun=row.noun,
        pieces=pieces + len(firsts),
        own_s=seconds / pieces if pieces else firsts[0],
        first_s=firsts[0] if firsts else None,
        starter_s=row.starter_s,
        by_hand=sum(lap.by_hand for lap in row.laps),
    )


# Where the hours go, step by step: at the pace, setting up, scatter and trouble; and what is worth timing next.
#
# A step's pace here is the median of its later pieces over the starter pace. What a first piece takes beyond that is
# setting up, what another takes beyond it is scatter, and trouble is what the maker called so: they sum to the labour.

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
    rows = list(paid)
    newest = max((one.row.day for one in rows), default=0)
    steps = grouped((one for one in rows if one.row.day > newest - YEAR), lambda one: one.row.base)
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
        now = mine.mean_var if mine else stats.ONE_PIECE_VAR + paces.lean_var
        more = chance_var(paces, mine, step.pieces) + paces.day_var
        less = told.hands_on.likely**2 * (now - 1 / (1 / now + 1 / more))
        title, before = sums.get(base_key(step.key), (step.title.partition(": ")[0], 0.0))
        sums[base_key(step.key)] = title, before + less
    out = []
    for base, (title, less) in sums.items():
        narrows_s = half_s - quantile * math.sqrt(max(whole - less, 0.0))
        out.append(Worth(base, title, narrows_s, exact(narrows_s) / HOUR_S * an_hour))
    return sorted(out, key=lambda one: (-one.narrows_s, one.base))[:most]
