"""What the book answers: what earns most an hour, what is late, what is promised, what lies unsold, this month.

Of each currency alone: sums of two are never made. An hour earned is what is left of the sales (less tax, fees and
packing) less what the materials cost, over the hours of making the pieces that were sold.
"""

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal

import msgspec

from guide.book.model import ALWAYS, Article, Book, Cost, Period, Sale
from guide.plan.shopping import cents

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


class LedgerRow(msgspec.Struct, frozen=True):
    """One row; money to the cent, of a return with a minus. net: less tax, fee and packing."""

    date: str
    number: str  # a ticket, or the line of the book
    kind: str  # sale, return, cloth, stall, cost
    what: str
    place: str
    buyer: str
    currency: str
    gross: Decimal
    tax: Decimal
    fee: Decimal
    packing: Decimal
    net: Decimal
    cost_of_goods: Decimal
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
            tax=cents(sale.tax),
            fee=cents(sale.fee),
            packing=cents(sale.packing),
            net=cents(sale.net),
            cost_of_goods=cents(sign * article.cost),
            hours=round(sign * article.hours, 2),
        )


def _spent(book: Book) -> Iterator[LedgerRow]:
    for on, cloth, amount, currency in book.spent:
        yield _cost(Cost(0, on, amount, currency, "", cloth, 0.0, stall=False), "cloth")
    for one in book.costs:
        yield _cost(one, "stall" if one.stall else "cost")


def _cost(one: Cost, kind: str) -> LedgerRow:
    none, gross = cents(Decimal(0)), cents(-one.amount)
    return LedgerRow(
        date=one.on,
        number=str(one.n or ""),
        kind=kind,
        what=one.text,
        place=one.place,
        buyer="",
        currency=one.currency,
        gross=gross,
        tax=none,
        fee=none,
        packing=none,
        net=gross,
        cost_of_goods=none,
        hours=one.hours,
    )
