"""The book as rows for a bookkeeper: sales and returns, what was bought, costs."""

from collections.abc import Iterator
from decimal import Decimal

import msgspec

from guide.book.model import Book, Cost, Period
from guide.plan.shopping import cents


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
