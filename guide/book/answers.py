"""What the book answers: what earns most an hour, what is late, what is promised, what lies unsold, this month.

Of each currency alone: sums of two are never made. An hour earned is what is left of the sales (less tax, fees and
packing) less what the materials cost, over the hours of making the pieces that were sold.
"""

import re
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import combinations

import msgspec

from guide.book.model import ALWAYS, Article, Book, Cost, Period, Sale
from guide.errors import WrongUse
from guide.plan.shopping import cents
from guide.read.units import time_of_day_s

# In which order to work off the orders: fewest late, then least days late; and the chance that each is ready.
#
# One maker, one piece of work at a time, in the hours kept free for it. Washing and drying run on their own, while the
# next order is begun. Up to `EXACT` orders every sequence is weighed by dynamic programming over sets of orders (Held
# and Karp, 1962): what an order costs depends only on what was worked before it, not in which order. Of more, as many
# as can be are on time by Moore's rule (1968), which is exact for one machine; the days late of the rest are then
# lowered by exchanging two at a time, and may not be the least.

EXACT = 12  # orders of which every sequence is weighed
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_WEEK_S = 7 * 86_400
_DAY_S = 86_400


class Job(msgspec.Struct, frozen=True):
    """What is left of an order: hands-on work and the waits after it, s; None: due on no day."""

    number: int
    hands_s: float
    waits_s: float = 0.0
    due: date | None = None


class Slot(msgspec.Struct, frozen=True):
    """An order in its place: when it is begun, when it is ready, washed and dried, and how many days late."""

    job: Job
    begin: datetime
    ready: datetime
    days_late: int


class Hours:
    """The hours of a week kept free for work; what is worked after a moment is mapped to the clock."""

    def __init__(self, spans: Sequence[tuple[float, float]], start: datetime) -> None:
        """Take spans of a week, s from Monday's midnight, and the moment work may begin."""
        self.start = start
        monday = datetime.combine(start.date() - timedelta(days=start.weekday()), datetime.min.time())
        self._monday = monday
        self._spans = sorted(spans)
        self._sums = [0.0]
        for a, b in self._spans:
            self._sums.append(self._sums[-1] + b - a)
        self._before = self._worked((start - monday).total_seconds())

    def _worked(self, at_s: float) -> float:
        """Give the seconds of work between Monday and a moment of the same week."""
        return sum(min(max(at_s - a, 0.0), b - a) for a, b in self._spans)

    def after(self, worked_s: float) -> datetime:
        """Give the moment when so much is worked, s from the start on."""
        if worked_s <= 0:
            return self.start
        week_s = self._sums[-1]
        weeks, rest = divmod(self._before + worked_s, week_s)
        if rest < 1e-6 and weeks:  # the last moment of a week's hours, not the first of the next's
            weeks, rest = weeks - 1.0, week_s
        at = max(bisect_left(self._sums, rest - 1e-6), 1)
        seconds = weeks * _WEEK_S + self._spans[at - 1][0] + rest - self._sums[at - 1]
        return self._monday + timedelta(seconds=seconds)

    def begins(self, worked_s: float) -> datetime:
        """Give the moment when the work after so much begins: the next free hour, not the end of the last."""
        return max(self.after(worked_s + 1e-3).replace(microsecond=0), self.start)


def hours_of(text: str, start: datetime) -> Hours:
    """Read `mon-fri 19:00-21:00, sat 10:00-16:00`. WrongUse for what is no hours."""
    spans: list[tuple[float, float]] = []
    for part in text.lower().split(","):
        found = re.fullmatch(r"\s*([a-z]{3})(?:-([a-z]{3}))?\s+(\d{1,2}:\d\d)\s*-\s*(\d{1,2}:\d\d)\s*", part)
        if not found or not {found[1], found[2] or found[1]} <= set(DAYS):
            raise WrongUse(
                f"--hours: {part.strip()!r} are no hours; write them like mon-fri 19:00-21:00, sat 10:00-16:00."
            )
        first, last = DAYS.index(found[1]), DAYS.index(found[2] or found[1])
        opens, shuts = (_DAY_S if clock == "24:00" else time_of_day_s(clock) for clock in (found[3], found[4]))
        if shuts <= opens:
            raise WrongUse(f"--hours: {part.strip()} ends before it begins.")
        days = range(first, last + 1) if first <= last else [*range(first, 7), *range(last + 1)]
        spans += [(day * _DAY_S + opens, day * _DAY_S + shuts) for day in days]
    for (_, end), (begin, _) in zip(sorted(spans), sorted(spans)[1:], strict=False):
        if begin < end:
            raise WrongUse("--hours: two of these hours lie over each other.")
    return Hours(spans, start)


def ready_at(job: Job, worked_s: float, hours: Hours) -> datetime:
    """Give when an order is ready whose work ends after so much is worked: its waits run on the clock."""
    return hours.after(worked_s) + timedelta(seconds=job.waits_s)


def days_late(job: Job, worked_s: float, hours: Hours) -> int:
    """Give how many days after its day an order is ready; 0 when it is in time or due on none."""
    if job.due is None:
        return 0
    return max((ready_at(job, worked_s, hours).date() - job.due).days, 0)


def planned(jobs: Sequence[Job], hours: Hours) -> list[Slot]:
    """Give the orders in the sequence with the fewest late, then the least days late; of equals the earliest due."""
    ordered = sorted(jobs, key=lambda job: (job.due or date.max, job.number))
    sequence = _exact(ordered, hours) if len(ordered) <= EXACT else _many(ordered, hours)
    slots, worked = [], 0.0
    for job in sequence:
        begin = hours.begins(worked)
        worked += job.hands_s
        slots.append(Slot(job, begin, ready_at(job, worked, hours), days_late(job, worked, hours)))
    return slots


def cost_of(sequence: Sequence[Job], hours: Hours) -> tuple[int, int]:
    """Give how many orders are late in a sequence, and by how many days together."""
    worked, late, days = 0.0, 0, 0
    for job in sequence:
        worked += job.hands_s
        mine = days_late(job, worked, hours)
        late, days = late + (mine > 0), days + mine
    return late, days


def _exact(jobs: Sequence[Job], hours: Hours) -> list[Job]:
    """Weigh every sequence: the best of each set of orders worked first, by which of them is the last."""
    best: dict[int, tuple[tuple[int, int], int]] = {0: ((0, 0), -1)}
    for chosen in range(1, 1 << len(jobs)):
        worked = sum(job.hands_s for at, job in enumerate(jobs) if chosen >> at & 1)
        tries = []
        for at in reversed(range(len(jobs))):  # of equals the latest due goes last
            if chosen >> at & 1:
                late = days_late(jobs[at], worked, hours)
                (count, days), _ = best[chosen ^ 1 << at]
                tries.append(((count + (late > 0), days + late), at))
        best[chosen] = min(tries, key=lambda one: one[0])
    sequence, left = [], (1 << len(jobs)) - 1
    while left:
        at = best[left][1]
        sequence.append(jobs[at])
        left ^= 1 << at
    return sequence[::-1]


def _many(jobs: Sequence[Job], hours: Hours) -> list[Job]:
    """Keep as many on time as can be (Moore's rule), the late ones after them; then exchange two at a time."""
    latest = sorted(jobs, key=lambda job: (_last_end(job), job.number))
    kept: list[Job] = []
    late: list[Job] = []
    for job in latest:
        kept.append(job)
        if days_late(job, sum(one.hands_s for one in kept), hours):
            longest = max(kept, key=lambda one: one.hands_s)
            kept.remove(longest)
            late.append(longest)
    sequence = [*kept, *late]
    best, better = cost_of(sequence, hours), True
    while better:
        better = False
        for a, b in combinations(range(len(sequence)), 2):
            sequence[a], sequence[b] = sequence[b], sequence[a]
            cost = cost_of(sequence, hours)
            if cost < best:
                best, better = cost, True
            else:
                sequence[a], sequence[b] = sequence[b], sequence[a]
    return sequence


def _last_end(job: Job) -> float:
    """Give the last moment at which the work of an order may end, s, whatever the hours."""
    return float("inf") if job.due is None else (job.due.toordinal() + 1) * _DAY_S - job.waits_s


def chances(slots: Sequence[Slot], draws: Sequence[Sequence[float]], hours: Hours) -> list[float | None]:
    """Give the chance that each order, in this sequence, is ready by its day; None where none is due.

    draws: hands-on seconds of each, in the slots' order, draw by draw.
    """
    ready = [0] * len(slots)
    for draw in draws:
        worked = 0.0
        for at, (slot, takes_s) in enumerate(zip(slots, draw, strict=True)):
            worked += takes_s
            ready[at] += not days_late(slot.job, worked, hours)
    return [None if slot.job.due is None else count / len(draws) for slot, count in zip(slots, ready, strict=True)]


_NOTHING = Decimal(0)


class Earned(msgspec.Struct):
    """What sales came to under one name; one that came back is taken off again."""

    name: str
    currency: str
    sold: int = 0
    got: Decimal = _NOTHING
    tax: Decimal = _NOTHING
    fees: Decimal = _NOTHING
    packing: Decimal = _NOTHING
    cost: Decimal = _NOTHING  # of the goods sold
    hours: float = 0.0
    quoted: Decimal = _NOTHING  # of those that were quoted, what was quoted and got
    quoted_got: Decimal = _NOTHING
    asked: Decimal = _NOTHING
    asked_got: Decimal = _NOTHING

    @property
    def net(self) -> Decimal:
        """What is left of the sales: less tax, fees and packing."""
        return self.got - self.tax - self.fees - self.packing

    @property
    def earned(self) -> Decimal:
        """What is left once the goods are paid for: labour and profit."""
        return self.net - self.cost

    @property
    def an_hour(self) -> Decimal | None:
        """What an hour of making brought; None where no hours are known."""
        return self.earned / Decimal(repr(self.hours)) if self.hours > 0 else None


def earned_by(book: Book, period: Period, name_of: Callable[[Sale, Article], str]) -> list[Earned]:
    """Add sales up by a name, each currency alone; what earns most an hour comes first, unknown hours last."""
    totals: dict[tuple[str, str], Earned] = {}
    for sale in (one for one in book.sales if period.holds(one.on)):
        article = book.articles[sale.ticket]
        key = (name_of(sale, article), sale.currency)
        _add(totals.setdefault(key, Earned(*key)), sale, article)
    return sorted(totals.values(), key=lambda one: (one.an_hour is None, -(one.an_hour or _NOTHING), one.name))


def _add(total: Earned, sale: Sale, article: Article) -> None:
    sign = -1 if sale.back else 1
    total.sold += sign
    total.got += sale.got
    total.tax += sale.tax
    total.fees += sale.fee
    total.packing += sale.packing
    total.cost += sign * article.cost
    total.hours += sign * article.hours
    if article.quoted is not None:
        total.quoted, total.quoted_got = total.quoted + sign * article.quoted, total.quoted_got + sale.got
    if article.asked is not None:
        total.asked, total.asked_got = total.asked + sign * article.asked, total.asked_got + sale.got


def by_article(book: Book, period: Period = ALWAYS) -> list[Earned]:
    """What each article earned."""
    return earned_by(book, period, lambda _, article: article.title)


def by_size(book: Book, period: Period = ALWAYS) -> list[Earned]:
    """What each size of an article earned."""
    return earned_by(book, period, lambda _, article: ", ".join(filter(None, (article.title, article.size))))


def by_place(book: Book, period: Period = ALWAYS) -> list[Earned]:
    """What each place earned."""
    return earned_by(book, period, lambda sale, _: sale.place or "no place said")


def in_all(book: Book, period: Period = ALWAYS) -> list[Earned]:
    """What all of it came to, a currency a line."""
    return earned_by(book, period, lambda _, __: "all")


def costs_in(book: Book, period: Period) -> list[Cost]:
    """Give what was spent besides cloth in a period: stalls and other costs."""
    return [cost for cost in book.costs if period.holds(cost.on)]


def added(amounts: Iterable[tuple[str, Decimal]]) -> dict[str, Decimal]:
    """Add amounts up, each currency alone."""
    out: dict[str, Decimal] = {}
    for currency, amount in amounts:
        out[currency] = out.get(currency, _NOTHING) + amount
    return out


def stock_worth(book: Book) -> dict[str, Decimal]:
    """Give what the pieces made and unsold cost in materials."""
    return added((one.currency, one.cost) for one in book.articles.values() if one.sale is None)


def spent_in(book: Book, period: Period) -> dict[str, Decimal]:
    """Give what was spent on cloth and things in a period."""
    return added((currency, amount) for on, _, amount, currency in book.spent if period.holds(on))


# The book as rows for a bookkeeper: sales and returns, what was bought, costs.

_NO_CENTS = cents(_NOTHING)


class LedgerRow(msgspec.Struct, frozen=True, kw_only=True):
    """One row; money to the cent, of a return with a minus. net: less tax, fee and packing."""

    date: str
    number: str  # a ticket, or the line of the book
    kind: str  # sale, return, cloth, stall, cost
    what: str
    place: str
    buyer: str = ""
    currency: str
    gross: Decimal
    tax: Decimal = _NO_CENTS
    fee: Decimal = _NO_CENTS
    packing: Decimal = _NO_CENTS
    net: Decimal
    cost_of_goods: Decimal = _NO_CENTS
    hours: float


def ledger(book: Book, period: Period) -> list[LedgerRow]:
    """Give the rows of a period, by date."""
    rows = [*_sales(book), *_spent(book)]
    return sorted((row for row in rows if period.holds(row.date)), key=lambda row: (row.date, row.kind, row.number))


def _sales(book: Book) -> Iterator[LedgerRow]:
    for sale in book.sales:
        article, sign = book.articles[sale.ticket], -1 if sale.back else 1
        yield LedgerRow(
            date=sale.on,
            number=str(sale.ticket),
            kind="return" if sale.back else "sale",
            what=article.title,
            place=sale.place,
            buyer=sale.buyer,
            currency=sale.currency,
            gross=cents(sale.got),
            **{name: cents(getattr(sale, name)) for name in ("tax", "fee", "packing", "net")},
            cost_of_goods=cents(sign * article.cost),
            hours=round(sign * article.hours, 2),
        )


def _spent(book: Book) -> Iterator[LedgerRow]:
    for on, cloth, amount, currency in book.spent:
        yield _cost(Cost(0, on, amount, currency, "", cloth, 0.0, stall=False), "cloth")
    for one in book.costs:
        yield _cost(one, "stall" if one.stall else "cost")


def _cost(one: Cost, kind: str) -> LedgerRow:
    gross = cents(-one.amount)
    return LedgerRow(
        date=one.on,
        number=str(one.n or ""),
        kind=kind,
        what=one.text,
        place=one.place,
        currency=one.currency,
        gross=gross,
        net=gross,
        hours=one.hours,
    )
