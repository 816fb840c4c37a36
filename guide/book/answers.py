"""What the book answers: what earns most an hour, what is late, what is promised, what lies unsold, this month.

Of each currency alone: sums of two are never made. An hour earned is what is left of the sales (less tax, fees and
packing) less what the materials cost, over the hours of making the pieces that were sold.
"""

from collections.abc import Callable, Iterable
from decimal import Decimal

import msgspec

from guide.book.model import ALWAYS, Article, Book, Cost, Period, Sale

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
