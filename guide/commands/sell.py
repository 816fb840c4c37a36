"""`guide sell`: pieces by their tickets: sold, sent to a shop, back from it, returned; what lies unsold."""

import re
from decimal import Decimal
from typing import Any

import click

from guide.book.model import Article, Book
from guide.commands.common import columns, put_page, say, say_json, talk
from guide.commands.entries import amount, book_here, book_open, day, json_option, on_option, only_given
from guide.commands.sessions import code_told
from guide.errors import WrongUse
from guide.plan.shopping import cents
from guide.read.spoken import counted, listed


@click.command(
    "sell",
    epilog="\b\nExamples:\n  guide sell\n  guide sell 14 --got 120 --at stall\n"
    '  guide sell 14-16 --got 95 --fee "4 %"\n  guide sell 17,18 --sent "the corner shop"\n  guide sell 17 --back\n'
    "  guide sell 14 --returned\n  guide sell --sheet stall.html\n"
    "  guide sell 14=120,15=95,16=110 --at stall --on 2026-03-07",
)
@click.argument("tickets", required=False, metavar="[TICKETS]")
@click.option("--got", metavar="AMOUNT", help="What the buyer paid for each, tax in it.")
@click.option("--at", "place", metavar="PLACE", help="Where it was sold.")
@click.option("--fee", metavar="AMOUNT|%", help="What the place kept of each: an amount, or a share of the price, 4 %.")
@click.option("--tax", metavar="AMOUNT|%", help="In the price of each: an amount, or the rate on the price before it.")
@click.option("--packing", metavar="AMOUNT", help="Box, paper, label of each.")
@click.option("--to", "buyer", metavar="NAME", help="Whom to; initials will do.")
@click.option("--order", type=click.IntRange(1), metavar="N", help="For this order.")
@click.option("--sent", metavar="SHOP", help="Sent to a shop instead: still yours.")
@click.option("--back", is_flag=True, help="Back from the shop, unsold.")
@click.option(
    "--returned", is_flag=True, help="Brought back by the buyer; --got says how much was paid back, else all."
)
@click.option("--sheet", metavar="FILE", help="Write a stall sheet to tick, of what is here unsold (or of TICKETS).")
@click.option("--tickets-page", "page", metavar="FILE", help="Write their tickets, to cut apart.")
@click.option("--by", "maker", metavar="NAME", default="", help="The maker, as it stands on a ticket.")
@json_option
@on_option
def command(tickets: str | None, **said: Any) -> int:
    """Sell the pieces of these TICKETS (14, or 14,15, or 14-18); with none, list what is made and unsold.

    A stall sheet is typed in at once, each ticket with what it got: guide sell 14=120,15=95 --at stall
    """
    if tickets and "=" in tickets:
        return _sheet_typed_in(tickets, said)
    these = tickets_of(tickets) if tickets else []
    acts = [name for name in ("got", "sent", "back") if said[name]]
    if said["returned"]:
        acts = ["returned"]
    if said["sheet"] or said["page"]:
        return _papers(these, said)
    if not these and not acts:
        return _listed(as_json=said["as_json"])
    if len(acts) != 1 or not these:
        raise WrongUse("Which pieces, and what of them? Give tickets, and one of --got, --sent, --back or --returned.")
    with book_open() as writer:
        line = {"on": day(said["on"]), "tickets": these} | _line(acts[0], writer.book, these, said)
        writer.add(line)
        told = _told(acts[0], writer.book, these, line)
    talk(told)
    return 0


def _sheet_typed_in(text: str, said: dict[str, Any]) -> int:
    """Write a sheet's sales, all or none. WrongUse for what is no ticket and no amount."""
    pairs = [part.partition("=") for part in text.replace(" ", "").split(",")]
    if any(said[name] for name in ("got", "sent", "back", "returned")):
        raise WrongUse("Each ticket has its own amount here: leave out --got, --sent, --back and --returned.")
    with book_open() as writer:
        sales = [(n, said | {"got": got}) for name, _, got in pairs for n in tickets_of(name)]
        lines = [{"on": day(said["on"]), "tickets": [n]} | _line("got", writer.book, [n], one) for n, one in sales]
        writer.add(*lines)
    talk(f"Sold: {counted(len(lines), 'piece')}, for {sum(line['amount'] for line in lines)}.")
    return 0


def _line(act: str, book: Book, these: list[int], said: dict[str, Any]) -> dict[str, Any]:
    if act == "sent":
        return {"what": "sent", "place": said["sent"].strip()}
    if act == "back":
        return {"what": "back"}
    got = amount(said["got"], "--got")
    if act == "returned":
        return {"what": "returned"} | _taken_back(book, these, got)
    assert got is not None
    return {"what": "sold", "amount": got} | only_given({
        "fee": _share(said["fee"], "--fee", got, inside=False), "tax": _share(said["tax"], "--tax", got, inside=True),
        "packing": amount(said["packing"], "--packing"), "place": said["place"], "buyer": said["buyer"],
        "number": said["order"], "currency": _currency(book, these),
    })  # fmt: skip


def _taken_back(book: Book, these: list[int], back: Decimal | None) -> dict[str, Any]:
    """Give what is paid back, and the tax in it; all of the sale's when nothing is said."""
    sold = next((book.articles[n].sale for n in these if n in book.articles), None)
    if back is None or sold is None or not sold.got:
        return {}
    return {"amount": back, "tax": cents(sold.tax * back / sold.got), "fee": cents(sold.fee * back / sold.got)}


def _currency(book: Book, these: list[int]) -> str:
    kinds = {book.articles[n].currency or book.currency for n in these if n in book.articles}
    if len(kinds) > 1:
        raise WrongUse(f"These pieces are priced in {listed(sorted(kinds))}: sell them apart.")
    return next(iter(kinds), book.currency)


def _share(text: str | None, option: str, got: Decimal, *, inside: bool) -> Decimal | None:
    """Read an amount, or a percent: of the price, or, of what is inside it, on the price before it."""
    if text is None:
        return None
    found = re.fullmatch(r"(\d{1,2}(?:\.\d{1,4})?)\s*%", text.strip())
    if not found:
        return amount(text, option)
    rate = Decimal(found[1]) / 100
    return cents(got * rate / (1 + rate)) if inside else cents(got * rate)


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


def _told(act: str, book: Book, these: list[int], line: dict[str, Any]) -> str:
    names = listed([str(n) for n in these])
    if act == "sent":
        return f"With {line['place']}: {names}."
    if act in {"back", "returned"}:
        return f"In stock again: {names}."
    total, article = line["amount"] * len(these), book.articles[these[0]]
    asked = f" Asked was {article.asked}." if article.asked not in {None, line["amount"]} else ""
    return f"Sold: {names}, for {total} {line['currency']}.{asked}"


def unsold(book: Book) -> list[Article]:
    """Give the pieces that are made and not sold."""
    return [one for one in book.articles.values() if one.sale is None]


def _listed(*, as_json: bool) -> int:
    from guide.show.book_lines import stock_lines, stock_report

    data = [stock_report(one) for one in unsold(book_here())]
    if as_json:
        say_json(data)
    else:
        say("\n".join(stock_lines(data, columns())))
    return code_told()


def _papers(these: list[int], said: dict[str, Any]) -> int:
    from guide.show.pages.papers import stall_sheet, tickets_page

    book = book_here()
    chosen = [one for one in unsold(book) if (one.ticket in these if these else not one.place)]
    if not chosen:
        raise WrongUse("None of these pieces is here unsold." if these else "Nothing is here unsold.")
    if said["sheet"]:
        on = day(said["on"])
        put_page(said["sheet"], lambda fmt: stall_sheet(book, chosen, said["place"] or "", on, fmt))
    if said["page"]:
        from guide.commands.entries import minds_of

        minds = {name: minds_of(name) for name in {one.project for one in chosen}}
        put_page(said["page"], lambda fmt: tickets_page(chosen, said["maker"], minds, fmt))
    talk(f"{counted(len(chosen), 'piece')}.")
    return 0
