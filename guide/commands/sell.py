"""`guide sell`: pieces by their tickets: sold, sent to a shop, back from it, returned; what lies unsold."""

import re
from decimal import Decimal

import click
from msgspec import Struct
from msgspec.structs import replace

from guide.book.model import Article, Book, Entry, new_line
from guide.commands.ask import JSON, amount, argument, asks, option, put_page
from guide.commands.common import put_out, talk
from guide.commands.entries import ON, book_here, book_open, minds_of
from guide.errors import WrongUse
from guide.plan.shopping import cents
from guide.read.spoken import counted, listed


class Sold(Struct, frozen=True):
    """What is asked of pieces: that they are sold, sent, back; or papers of them."""

    tickets: str | None = argument(required=False, metavar="[TICKETS]")
    got: Decimal | None = option("What the buyer paid for each, tax in it.", "AMOUNT", reads=amount)
    at: str = option("Where it was sold.", "PLACE")
    fee: str | None = option("What the place kept of each: an amount, or a share of the price, 4 %.", "AMOUNT|%")
    tax: str | None = option("In the price of each: an amount, or the rate on the price before it.", "AMOUNT|%")
    packing: Decimal | None = option("Box, paper, label of each.", "AMOUNT", reads=amount)
    to: str = option("Whom to; initials will do.", "NAME")
    order: int | None = option("For this order.", "N", type=click.IntRange(1))
    sent: str = option("Sent to a shop instead: still yours.", "SHOP")
    back: bool = option("Back from the shop, unsold.")
    returned: bool = option("Brought back by the buyer; --got says how much was paid back, else all.")
    sheet: str = option("Write a stall sheet to tick, of what is here unsold (or of TICKETS).", "FILE")
    page: str = option("Write their tickets, to cut apart.", "FILE", "--tickets-page")
    by: str = option("The maker, as it stands on a ticket.", "NAME")
    as_json: bool = JSON
    on: str = ON

    @property
    def acts(self) -> list[str]:
        """What is said of them."""
        said = {"got": self.got is not None, "sent": bool(self.sent), "back": self.back}
        return ["returned"] if self.returned else [act for act, so in said.items() if so]


@click.command(
    "sell",
    epilog="\b\nExamples:\n  guide sell\n  guide sell 14 --got 120 --at stall\n"
    '  guide sell 14-16 --got 95 --fee "4 %"\n  guide sell 17,18 --sent "the corner shop"\n  guide sell 17 --back\n'
    "  guide sell 14 --returned\n  guide sell --sheet stall.html\n"
    "  guide sell 14=120,15=95,16=110 --at stall --on 2026-03-07",
)
@asks(Sold)
def command(said: Sold) -> int:
    """Sell the pieces of these TICKETS (14, or 14,15, or 14-18); with none, list what is made and unsold.

    A stall sheet is typed in at once, each ticket with what it got: guide sell 14=120,15=95 --at stall
    """
    if said.tickets and "=" in said.tickets:
        return _sheet_typed_in(said.tickets, said)
    these = tickets_of(said.tickets) if said.tickets else []
    if said.sheet or said.page:
        return _papers(these, said)
    if not these and not said.acts:
        from guide.show.book_lines import stock_lines, stock_report

        data = [stock_report(one) for one in unsold(book_here())]
        return put_out(data, lambda: stock_lines(data), as_json=said.as_json)
    if len(said.acts) != 1 or not these:
        raise WrongUse("Which pieces, and what of them? Give tickets, and one of --got, --sent, --back or --returned.")
    with book_open() as writer:
        line = _line(said.acts[0], writer.book, these, said)
        writer.add(line)
        told = _told(writer.book, line)
    talk(told)
    return 0


def _sheet_typed_in(text: str, said: Sold) -> int:
    """Write a sheet's sales, all or none. WrongUse for what is no ticket and no amount."""
    pairs = [part.partition("=") for part in text.replace(" ", "").split(",")]
    if said.acts:
        raise WrongUse("Each ticket has its own amount here: leave out --got, --sent, --back and --returned.")
    with book_open() as writer:
        sales = [(n, replace(said, got=amount(got, "--got"))) for name, _, got in pairs for n in tickets_of(name)]
        lines = [_line("got", writer.book, [n], one) for n, one in sales]
        writer.add(*lines)
    talk(f"Sold: {counted(len(lines), 'piece')}, for {sum(line.amount or 0 for line in lines)}.")
    return 0


def _line(act: str, book: Book, these: list[int], said: Sold) -> Entry:
    """What is to stand in the book; of what is returned, all of the sale is paid back where nothing is said."""
    if act == "sent":
        return new_line("sent", on=said.on, tickets=these, place=said.sent.strip())
    if act == "back":
        return new_line("back", on=said.on, tickets=these)
    if act == "returned":
        line = new_line("returned", on=said.on, tickets=these)
        sold = next((book.articles[n].sale for n in these if n in book.articles), None)
        if said.got is None or sold is None or not sold.got:
            return line
        tax, fee = (cents(part * said.got / sold.got) for part in (sold.tax, sold.fee))
        return replace(line, amount=said.got, tax=tax, fee=fee)
    assert said.got is not None
    return new_line(
        "sold", on=said.on, tickets=these, amount=said.got, packing=said.packing or None, place=said.at,
        fee=_share(said.fee, "--fee", said.got, inside=False), tax=_share(said.tax, "--tax", said.got, inside=True),
        buyer=said.to, number=said.order or 0, currency=_currency(book, these),
    )  # fmt: skip


def _currency(book: Book, these: list[int]) -> str:
    """Give the one currency that pieces are priced in. Raises WrongUse where there are several."""
    kinds = {book.articles[n].currency or book.currency for n in these if n in book.articles}
    if len(kinds) > 1:
        raise WrongUse(f"These pieces are priced in {listed(sorted(kinds))}: sell them apart.")
    return next(iter(kinds), book.currency)


def _share(text: str | None, option: str, got: Decimal, *, inside: bool) -> Decimal | None:
    """Read an amount over nothing, or a percent: of the price, or, of what is inside it, on the price before it."""
    if text is None:
        return None
    found = re.fullmatch(r"(\d{1,2}(?:\.\d{1,4})?)\s*%", text.strip())
    if not found:
        return amount(text, option) or None
    rate = Decimal(found[1]) / 100
    return cents(got * rate / (1 + rate) if inside else got * rate) or None


def tickets_of(text: str) -> list[int]:
    """Read `14`, `14,15` or `14-18`. WrongUse for what is none."""
    out: list[int] = []
    for part in text.replace(" ", "").split(","):
        found = re.fullmatch(r"(\d{1,9})(?:[-–](\d{1,9}))?", part)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (1, 0)
        if not 0 < first <= last < first + 1000:
            raise WrongUse(f"{part!r} are no tickets; write them like 14, 14,15 or 14-18.")
        out += range(first, last + 1)
    return out


def _told(book: Book, line: Entry) -> str:
    names = listed([str(n) for n in line.tickets])
    if line.what == "sent":
        return f"With {line.place}: {names}."
    if line.amount is None or line.what != "sold":
        return f"In stock again: {names}."
    asked = dict.fromkeys(filter(None, (book.articles[ticket].asked for ticket in line.tickets)))
    more = f" Asked: {listed([str(one) for one in asked])}." if asked.keys() - {line.amount} else ""
    count = len(line.tickets)
    each = f"{line.amount} {line.currency} each, " if count > 1 else ""
    return f"Sold: {names}, for {each}{line.amount * count} {line.currency}{' in all' if each else ''}.{more}"


def unsold(book: Book) -> list[Article]:
    """Give the pieces that are made and not sold."""
    return [one for one in book.articles.values() if one.sale is None]


def _papers(these: list[int], said: Sold) -> int:
    """Write the papers of pieces that are here unsold. Raises WrongUse when none is."""
    from guide.show.pages.papers import stall_sheet, tickets_page

    book = book_here()
    chosen = [one for one in unsold(book) if (one.ticket in these if these else not one.place)]
    if not chosen:
        raise WrongUse("None of these pieces is here unsold." if these else "Nothing is here unsold.")
    if said.sheet:
        put_page(said.sheet, lambda fmt: stall_sheet(book, chosen, said.at, said.on, fmt))
    if said.page:
        minds = {name: minds_of(name) for name in {one.project for one in chosen}}
        put_page(said.page, lambda fmt: tickets_page(chosen, said.by, minds, fmt))
    talk(f"{counted(len(chosen), 'piece')}.")
    return 0
