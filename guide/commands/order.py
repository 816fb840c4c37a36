"""`guide order`: what is ordered, what is owed, what is quoted, and in which order to work it off."""

from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

import click
import msgspec
from msgspec import Struct
from msgspec.structs import replace

from guide.book.model import Book, Entry, Order, new_line
from guide.commands.ask import (
    JSON,
    amount,
    argument,
    asks,
    day_option,
    hours,
    maker,
    named,
    option,
    put_page,
    to_come,
    today,
)
from guide.commands.common import SESSIONS, clock, columns, opened, put_out, say, talk
from guide.commands.entries import ON, book_here, book_open, care_of, iso, json_option, on_option, write_line
from guide.errors import WrongUse
from guide.read.places import find_project
from guide.record.clock import local

if TYPE_CHECKING:
    from guide.book.answers import Hours, Slot
    from guide.commands.booking import Work

number = click.argument("number", type=click.IntRange(1))


class Listing(Struct, frozen=True):
    """Which orders are listed, and how."""

    every: bool = option("Those that are over too.", None, "--all")
    as_json: bool = JSON


@click.group(
    "order",
    invoke_without_command=True,
    epilog='\b\nExamples:\n  guide order add "M. Oak" "seat cushion" --count 2 --price 140 --due 2026-12-12\n'
    '  guide order plan --hours "mon-fri 19:00-21:00, sat 10:00-16:00"\n  guide order paid 1 40\n'
    '  guide order quote sessions/window-seat-cushion --to "M. Oak" --due 2026-12-12\n'
    "  guide order deliver 1 --tickets 14,15",
)
@asks(Listing)
def command(said: Listing) -> int:
    """List the orders: what is due when, and what is owed."""
    return 0 if click.get_current_context().invoked_subcommand else listed(said)


def listed(said: Listing) -> int:
    """List the orders, the earliest due first."""
    from guide.show.shelf_lines import order_lines, order_report

    book, now = book_here(), today().isoformat()
    orders = [order_report(order, now) for order in _due_first(book) if said.every or order.open or order.owing]
    return put_out(orders, lambda: order_lines(orders), as_json=said.as_json)


command.command("list")(asks(Listing)(listed))


def _due_first(book: Book) -> list[Order]:
    return sorted(book.orders.values(), key=lambda order: (not order.open, order.due or "9999", order.number))


class Ordered(Struct, frozen=True):
    """What is ordered, by whom."""

    buyer: str = argument()
    article: str = argument()
    count: int = option("So many.", "N", type=click.IntRange(1, 10_000), default=1)
    price: Decimal | None = option("Of one.", "AMOUNT", reads=amount)
    deposit: Decimal | None = option("What is asked for beforehand, of all.", "AMOUNT", reads=amount)
    paid: Decimal | None = option("What is paid already.", "AMOUNT", reads=amount)
    due: date | None = option("The day it is promised for.", "DAY", reads=day_option)
    project: str = option("What it is made from: its time and cloth are planned.", "PROJECT")
    takes: float | None = option("Hands on for one, where there is no project: 3 h.", "LENGTH", reads=hours)
    currency: str = option("The book's own when not said.", "LETTERS")
    on: str = ON


@command.command("add")
@asks(Ordered)
def add(said: Ordered) -> None:
    """Take an order: the BUYER's initials or name, and the ARTICLE."""
    if said.takes is not None and said.project:
        raise WrongUse("--takes is for what has no project; the project says how long it takes.")
    line = new_line(
        "ordered", on=said.on, buyer=named(said.buyer, "The buyer"), title=named(said.article, "The article"),
        count=said.count, amount=said.price or None, deposit=said.deposit or None, due=iso(said.due),
        project=_folder(said.project), hours=said.takes or 0.0,
    )  # fmt: skip
    with book_open(begin=True) as writer:
        new = max(writer.book.orders, default=0) + 1
        line = replace(line, number=new, currency=said.currency or writer.book.currency)
        writer.add(line, *_payment(line, said.paid))
    talk(f"Order {new}." + (f" {said.due} is past already." if said.due and said.due < today() else ""))


def _payment(ordered: Entry, paid: Decimal | None) -> list[Entry]:
    """What is paid with an order, where something is."""
    of = ordered
    return [new_line("paid", on=of.on, number=of.number, amount=paid, currency=of.currency)] if paid else []


def _folder(project: str) -> str:
    return find_project(project, SESSIONS).parent.resolve().name if project else ""


class Changed(Struct, frozen=True):
    """What was agreed anew of an order."""

    number: int = argument(type=click.IntRange(1))
    count: int | None = option("", "N", type=click.IntRange(1, 10_000))
    price: Decimal | None = option("", "AMOUNT", reads=amount)
    due: date | None = option("", "DAY", reads=day_option)
    buyer: str = option("", "NAME")
    article: str = option("", "TEXT")
    project: str = option("", "PROJECT")
    why: str = option("", "TEXT")
    on: str = ON


@command.command("change")
@asks(Changed)
def change(said: Changed) -> None:
    """Change order NUMBER as it was agreed anew; a slip of the pen is put right with guide book correct."""
    nothing = new_line("changed", on=said.on, number=said.number)
    line = replace(
        nothing, count=said.count or 0, amount=said.price or None, due=iso(said.due), buyer=said.buyer,
        title=said.article, project=_folder(said.project),
    )  # fmt: skip
    if line == nothing:
        raise WrongUse("What changes? Say --count, --price, --due, --buyer, --article or --project.")
    write_line(replace(line, why=said.why), f"Changed: order {said.number}.")


@command.command("paid", context_settings={"ignore_unknown_options": True})  # a sum may begin with a minus
@number
@click.argument("sum", metavar="AMOUNT")
@on_option
def paid(number: int, sum: str, on: str) -> None:  # noqa: A002 - click's name for the argument
    """Say that AMOUNT was paid for order NUMBER; a sum with a minus was paid back."""
    money = amount(sum, "AMOUNT", least=Decimal(-(10**9)))
    with book_open() as writer:
        order = writer.book.orders.get(number)
        currency = order.currency if order else ""
        writer.add(new_line("paid", on=on, number=number, amount=money, currency=currency))
        owing = writer.book.orders[number].owing
    talk(f"Still owing for order {number}: {owing} {currency}.")


@command.command("off")
@number
@click.option("--why", default="", metavar="TEXT")
@on_option
def off(number: int, why: str, on: str) -> None:
    """Say that order NUMBER was called off."""
    write_line(new_line("called_off", number=number, on=on, why=why), f"Called off: order {number}.")


class Delivered(Struct, frozen=True):
    """What is delivered of an order."""

    number: int = argument(type=click.IntRange(1))
    tickets: str = option("The pieces, by their tickets: they are sold at the order's price.", "N,N")
    count: int | None = option("So many, where they have no tickets.", "N", type=click.IntRange(1, 10_000))
    paid: Decimal | None = option("What is paid on delivery.", "AMOUNT", reads=amount)
    fee: Decimal | None = option("Of each, what somebody kept of it.", "AMOUNT", reads=amount)
    tax: Decimal | None = option("Of each, in the price.", "AMOUNT", reads=amount)
    packing: Decimal | None = option("Of each.", "AMOUNT", reads=amount)
    note: str = option("Write the delivery note, with a care slip.", "FILE")
    on: str = ON


@command.command("deliver")
@asks(Delivered)
def deliver(said: Delivered) -> None:
    """Deliver pieces of order NUMBER."""
    from guide.commands.sell import tickets_of

    these = tickets_of(said.tickets) if said.tickets else []
    if bool(these) == bool(said.count):
        raise WrongUse("Which pieces? Say --tickets 14,15, or --count where they have none.")
    line = new_line(
        "delivered", on=said.on, number=said.number, tickets=these, count=said.count or 0, fee=said.fee or None,
        tax=said.tax or None, packing=said.packing or None,
    )  # fmt: skip
    with book_open() as writer:
        ordered = writer.book.orders.get(said.number)
        writer.add(line, *_payment(replace(line, currency=ordered.currency if ordered else ""), said.paid))
        order = writer.book.orders[said.number]
        articles = [writer.book.articles[ticket] for ticket in these]
    unsold = "" if these else " Without a ticket it is in no sales: guide book made gives one, and --tickets sells it."
    talk(
        f"Delivered of order {order.number}: {order.delivered} of {order.count}. Owing: {order.owing} {order.currency}."
        f"{unsold}"
    )
    if said.note:
        from guide.show.pages.papers import delivery_note

        care = care_of([order.project, *(one.project for one in articles)])
        put_page(said.note, lambda fmt: delivery_note(order, articles, said.on, care, fmt))


@command.command("show")
@number
@json_option
def show(number: int, *, as_json: bool) -> int:
    """Show order NUMBER whole: what was agreed, paid, delivered, and how far its session is."""
    from guide.show.shelf_lines import order_report, shown_lines

    book = book_here()
    if number not in book.orders:
        raise WrongUse(f"There is no order {number}; guide order lists them.")
    order = book.orders[number]
    data, says = order_report(order, today().isoformat()), ""
    if order.project and order.open:
        from guide.commands.booking import work_of

        says = work_of(order).says
    whole = {**msgspec.to_builtins(data), "says": says}
    return put_out(whole, lambda: shown_lines(data, says), as_json=as_json)


class Planning(Struct, frozen=True):
    """When the open orders are worked off."""

    hours: str = option('When you work: "mon-fri 19:00-21:00, sat 10:00-16:00".', "HOURS", required=True)
    start: date | None = option("From which day on; from now when not said.", "DAY", "--from", reads=day_option)
    as_json: bool = JSON
    maker: str = maker()


@command.command("plan")
@asks(Planning)
def plan(said: Planning) -> int:
    """Plan the open orders: fewest late, then least days late; the chance of each, what to begin and what to buy.

    What washes and dries does so while the next is begun. The chance is for you, never for the buyer.
    """
    from guide.book.answers import chances, hours_of, planned
    from guide.commands.booking import bought_for, draws_for, work_of
    from guide.commands.times import paces_from
    from guide.show.shelf_lines import plan_lines, plan_report

    book = book_here()
    orders = [order for order in _due_first(book) if order.open]
    if not orders:
        raise WrongUse("No order is open.")
    now, first = clock().read(), said.start
    begin = datetime.combine(first, datetime.min.time()) if first else local(now.wall, now.offset)
    free: Hours = hours_of(said.hours, begin)
    paces = paces_from(SESSIONS, said.maker)
    work: dict[int, Work] = {order.number: work_of(order, paces) for order in orders}
    slots: list[Slot] = planned([work[order.number].job for order in orders], free)
    drawn = chances(slots, draws_for([work[slot.job.number] for slot in slots], paces), free)
    buy = bought_for([work[slot.job.number] for slot in slots])
    data = plan_report(slots, drawn, book, {n: (one.says, one.known) for n, one in work.items()}, buy)
    return put_out(data, lambda: plan_lines(data, columns()), as_json=said.as_json)


class Quoting(Struct, frozen=True):
    """What is quoted, to whom, and on what terms."""

    project: str | None = argument(required=False)
    to: str = option("Whom it is for: initials or a name.", "NAME", required=True)
    count: int | None = option("How many; the project's own when not said.", "N", type=click.IntRange(1, 10_000))
    price: Decimal | None = option("Of one; what guide price asks when not said.", "AMOUNT", reads=amount)
    deposit: Decimal | None = option("Asked for when it is ordered.", "AMOUNT", reads=amount)
    due: date | None = option("The day it would be delivered.", "DAY", reads=to_come)
    valid_until: date | None = option("The last day it holds.", "DAY", reads=to_come)
    by: str = option("The maker, as it stands on the page.", "NAME")
    terms: tuple[str, ...] = option("A sentence of your own terms; as often as you like.", "TEXT")
    hours: str | None = option("When you work: with --due, the chance is told, to you alone.", "HOURS")
    anyway: bool = option("Quote a price although something in it has none.")
    page: str = option("Write it as a page (FILE.md: as Markdown); - for stdout.", "FILE")
    maker: str = maker()
    on: str = ON


@command.command("quote")
@asks(Quoting)
def quote(said: Quoting) -> None:
    """Quote PROJECT to a buyer: numbered, dated, kept in the book as it was offered and never worked out again."""
    from guide.commands.booking import quoted

    quoted(opened(said.project), said)


@command.command("quotation")
@number
@click.option("--page", metavar="FILE", help="Write it as a page (FILE.md: as Markdown); - for stdout.")
def quotation(number: int, page: str | None) -> None:
    """Show quotation NUMBER again, as it was offered."""
    from guide.show.pages.papers import quotation_page

    book = book_here()
    if number not in book.offers:
        raise WrongUse(f"There is no quotation {number}.")
    said = book.offers[number].said
    if page:
        put_page(page, lambda fmt: quotation_page(said, fmt))
    else:
        say(quotation_page(said, "markdown"))


class Taken(Struct, frozen=True):
    """A quotation that is taken."""

    number: int = argument(type=click.IntRange(1))
    due: date | None = option("Another day than was quoted.", "DAY", reads=day_option)
    paid: Decimal | None = option("What is paid already.", "AMOUNT", reads=amount)
    on: str = ON


@command.command("take")
@asks(Taken)
def take(said: Taken) -> None:
    """Take quotation NUMBER: it becomes the order, at the price that was offered."""
    with book_open() as writer:
        offer = writer.book.offers.get(said.number)
        if offer is None:
            raise WrongUse(f"There is no quotation {said.number}.")
        line = new_line(
            "ordered", on=said.on, number=max(writer.book.orders, default=0) + 1, quotation=said.number,
            buyer=offer.buyer, title=offer.title, count=offer.count, amount=offer.price or None,
            deposit=offer.deposit or None, currency=offer.currency, due=iso(said.due) or offer.due,
            project=offer.project,
        )  # fmt: skip
        writer.add(line, *_payment(line, said.paid))
    late = f" It held until {offer.until}." if offer.until and said.on > offer.until else ""
    talk(f"Quotation {said.number} is order {line.number}.{late}")
