"""`guide order`: what is ordered, what is owed, what is quoted, and in which order to work it off."""

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import click
import msgspec

from guide.book.model import Book, Order
from guide.commands.common import (
    SESSIONS,
    clock,
    columns,
    maker_option,
    opened,
    put_page,
    say,
    say_json,
    talk,
)
from guide.commands.entries import amount, book_here, book_open, day, hours, json_option, named, on_option, only_given
from guide.commands.sessions import code_told
from guide.commands.times import day_option, today
from guide.errors import WrongUse
from guide.read.places import find_project
from guide.record.clock import local

if TYPE_CHECKING:
    from guide.book.answers import Hours, Slot
    from guide.commands.booking import Work

number = click.argument("number", type=click.IntRange(1))


@click.group(
    "order",
    invoke_without_command=True,
    epilog='\b\nExamples:\n  guide order add "M. Oak" "seat cushion" --count 2 --price 140 --due 2026-12-12\n'
    '  guide order plan --hours "mon-fri 19:00-21:00, sat 10:00-16:00"\n  guide order paid 1 40\n'
    '  guide order quote sessions/window-seat-cushion --to "M. Oak" --due 2026-12-12\n'
    "  guide order deliver 1 --tickets 14,15",
)
@click.option("--all", "every", is_flag=True, help="Those that are over too.")
@json_option
@click.pass_context
def command(ctx: click.Context, *, every: bool, as_json: bool) -> int:
    """List the orders: what is due when, and what is owed."""
    return 0 if ctx.invoked_subcommand is not None else listed_orders(every=every, as_json=as_json)


@command.command("list")
@click.option("--all", "every", is_flag=True, help="Those that are over too.")
@json_option
def list_(*, every: bool, as_json: bool) -> int:
    """List the orders, the earliest due first."""
    return listed_orders(every=every, as_json=as_json)


def listed_orders(*, every: bool, as_json: bool) -> int:
    """Print the orders as lines or JSON."""
    from guide.show.shelf_lines import order_lines, order_report

    book, now = book_here(), today().isoformat()
    orders = [order_report(order, now) for order in _due_first(book) if every or order.open or order.owing]
    if as_json:
        say_json(orders)
    else:
        say("\n".join(order_lines(orders, columns())))
    return code_told()


def _due_first(book: Book) -> list[Order]:
    return sorted(book.orders.values(), key=lambda order: (not order.open, order.due or "9999", order.number))


@command.command("add")
@click.argument("buyer")
@click.argument("article")
@click.option("--count", type=click.IntRange(1, 10_000), default=1, metavar="N", help="So many.")
@click.option("--price", metavar="AMOUNT", help="Of one.")
@click.option("--deposit", metavar="AMOUNT", help="What is asked for beforehand, of all.")
@click.option("--paid", metavar="AMOUNT", help="What is paid already.")
@click.option("--due", metavar="DAY", help="The day it is promised for.")
@click.option("--project", metavar="PROJECT", help="What it is made from: its time and cloth are planned.")
@click.option("--takes", metavar="LENGTH", help="Hands on for one, where there is no project: 3 h.")
@click.option("--currency", metavar="LETTERS", help="The book's own when not said.")
@on_option
def add(buyer: str, article: str, **said: Any) -> int:
    """Take an order: the BUYER's initials or name, and the ARTICLE."""
    if said["takes"] and said["project"]:
        raise WrongUse("--takes is for what has no project; the project says how long it takes.")
    due = day_option(said["due"], "--due")
    line = only_given({
        "what": "ordered", "on": day(said["on"]), "buyer": named(buyer, "The buyer"),
        "title": named(article, "The article"), "count": said["count"], "amount": amount(said["price"], "--price"),
        "deposit": amount(said["deposit"], "--deposit"), "due": due.isoformat() if due else "",
        "project": _folder(said["project"]), "hours": hours(said["takes"], "--takes"),
    })  # fmt: skip
    amount(said["paid"], "--paid")
    with book_open(begin=True) as writer:
        new = max(writer.book.orders, default=0) + 1
        currency = said["currency"] or writer.book.currency
        paid = _payment(new, said["paid"], currency, line["on"])
        writer.add(line | {"number": new, "currency": currency}, *paid)
    talk(f"Order {new}." + (f" {due} is past already." if due and due < today() else ""))
    return 0


def _payment(order: int, paid: str | None, currency: str, on: str) -> list[dict[str, Any]]:
    money = amount(paid, "--paid")
    return [{"what": "paid", "on": on, "number": order, "amount": money, "currency": currency}] if money else []


def _folder(project: str | None) -> str:
    return find_project(project, SESSIONS).parent.resolve().name if project else ""


@command.command("change")
@number
@click.option("--count", type=click.IntRange(1, 10_000), metavar="N")
@click.option("--price", metavar="AMOUNT")
@click.option("--due", metavar="DAY")
@click.option("--buyer", metavar="NAME")
@click.option("--article", metavar="TEXT")
@click.option("--project", metavar="PROJECT")
@click.option("--why", metavar="TEXT")
@on_option
def change(number: int, **said: Any) -> int:
    """Change order NUMBER as it was agreed anew; a slip of the pen is put right with guide book correct."""
    due = day_option(said["due"], "--due")
    line = only_given({
        "count": said["count"], "amount": amount(said["price"], "--price"), "due": due.isoformat() if due else "",
        "buyer": said["buyer"], "title": said["article"], "project": _folder(said["project"]),
    })  # fmt: skip
    if not line:
        raise WrongUse("What changes? Say --count, --price, --due, --buyer, --article or --project.")
    return _wrote(line | {"what": "changed", "number": number, "on": day(said["on"])}, said["why"], "Changed")


@command.command("paid", context_settings={"ignore_unknown_options": True})  # a sum may begin with a minus
@number
@click.argument("sum", metavar="AMOUNT")
@on_option
def paid(number: int, sum: str, on: str | None) -> int:  # noqa: A002 - click's name for the argument
    """Say that AMOUNT was paid for order NUMBER; a sum with a minus was paid back."""
    money = amount(sum, "AMOUNT", least=Decimal(-(10**9)))
    with book_open() as writer:
        order = writer.book.orders.get(number)
        currency = order.currency if order else ""
        writer.add({"what": "paid", "on": day(on), "number": number, "amount": money, "currency": currency})
        owing = writer.book.orders[number].owing
    talk(f"Still owing for order {number}: {owing} {currency}.")
    return 0


@command.command("off")
@number
@click.option("--why", metavar="TEXT")
@on_option
def off(number: int, why: str | None, on: str | None) -> int:
    """Say that order NUMBER was called off."""
    return _wrote({"what": "called_off", "number": number, "on": day(on)}, why, "Called off")


def _wrote(line: dict[str, Any], why: str | None, did: str) -> int:
    with book_open() as writer:
        writer.add(line | only_given({"why": why}))
    talk(f"{did}: order {line['number']}.")
    return 0


@command.command("deliver")
@number
@click.option("--tickets", metavar="N,N", help="The pieces, by their tickets: they are sold at the order's price.")
@click.option("--count", type=click.IntRange(1, 10_000), metavar="N", help="So many, where they have no tickets.")
@click.option("--paid", metavar="AMOUNT", help="What is paid on delivery.")
@click.option("--fee", metavar="AMOUNT", help="Of each, what somebody kept of it.")
@click.option("--tax", metavar="AMOUNT", help="Of each, in the price.")
@click.option("--packing", metavar="AMOUNT", help="Of each.")
@click.option("--note", metavar="FILE", help="Write the delivery note, with a care slip.")
@on_option
def deliver(number: int, **said: Any) -> int:
    """Deliver pieces of order NUMBER."""
    from guide.commands.sell import tickets_of

    these = tickets_of(said["tickets"]) if said["tickets"] else []
    if bool(these) == bool(said["count"]):
        raise WrongUse("Which pieces? Say --tickets 14,15, or --count where they have none.")
    with book_open() as writer:
        order = writer.book.orders.get(number)
        on = day(said["on"])
        line = only_given({"what": "delivered", "on": on, "number": number, "tickets": these, "count": said["count"]})
        line |= {name: money for name in ("fee", "tax", "packing") if (money := amount(said[name], f"--{name}"))}
        writer.add(line, *_payment(number, said["paid"], order.currency if order else "", on))
        order = writer.book.orders[number]
        articles = [writer.book.articles[ticket] for ticket in these]
    unsold = "" if these else " Without a ticket it is in no sales: guide book made gives one, and --tickets sells it."
    told = f"Delivered of order {number}: {order.delivered} of {order.count}. Owing: {order.owing} {order.currency}."
    talk(f"{told}{unsold}")
    if said["note"]:
        from guide.commands.entries import care_of
        from guide.show.pages.papers import delivery_note

        care = care_of([order.project, *(one.project for one in articles)])
        put_page(said["note"], lambda fmt: delivery_note(order, articles, on, care, fmt))
    return 0


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
    data, says = order_report(order, today().isoformat()), _progress(order)
    if as_json:
        say_json({**msgspec.to_builtins(data), "says": says})
    else:
        say("\n".join(shown_lines(data, says)))
    return code_told()


def _progress(order: Order) -> str:
    if not order.project or not order.open:
        return ""
    from guide.commands.booking import work_of

    return work_of(order, {}).says


@command.command("plan")
@click.option("--hours", required=True, metavar="HOURS", help='When you work: "mon-fri 19:00-21:00, sat 10:00-16:00".')
@click.option("--from", "start", metavar="DAY", help="From which day on; from now when not said.")
@json_option
@maker_option()
def plan(hours: str, start: str | None, *, as_json: bool, maker: str) -> int:
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
    given, now = day_option(start, "--from"), clock().read()
    begin = datetime.combine(given, datetime.min.time()) if given else local(now.wall, now.offset)
    free: Hours = hours_of(hours, begin)
    paces = paces_from(SESSIONS, maker)
    work: dict[int, Work] = {order.number: work_of(order, {"paces": paces}) for order in orders}
    slots: list[Slot] = planned([work[order.number].job for order in orders], free)
    drawn = chances(slots, draws_for([work[slot.job.number] for slot in slots], paces), free)
    buy = bought_for([work[slot.job.number] for slot in slots])
    data = plan_report(slots, drawn, book, {n: (one.says, one.known) for n, one in work.items()}, buy)
    if as_json:
        say_json(data)
    else:
        say("\n".join(plan_lines(data, columns())))
    return code_told()


@command.command("quote")
@click.argument("project", required=False)
@click.option("--to", "buyer", required=True, metavar="NAME", help="Whom it is for: initials or a name.")
@click.option("--count", type=click.IntRange(1, 10_000), metavar="N", help="How many; the project's own when not said.")
@click.option("--price", metavar="AMOUNT", help="Of one; what guide price asks when not said.")
@click.option("--deposit", metavar="AMOUNT", help="Asked for when it is ordered.")
@click.option("--due", metavar="DAY", help="The day it would be delivered.")
@click.option("--valid-until", "until", metavar="DAY", help="The last day it holds.")
@click.option("--by", "who", metavar="NAME", default="", help="The maker, as it stands on the page.")
@click.option("--terms", multiple=True, metavar="TEXT", help="A sentence of your own terms; as often as you like.")
@click.option("--hours", metavar="HOURS", help="When you work: with --due, the chance is told, to you alone.")
@click.option("--anyway", is_flag=True, help="Quote a price although something in it has none.")
@click.option("--page", metavar="FILE", help="Write it as a page (FILE.md: as Markdown); - for stdout.")
@maker_option()
@on_option
def quote(project: str | None, **said: Any) -> int:
    """Quote PROJECT to a buyer: numbered, dated, kept in the book as it was offered and never worked out again."""
    from guide.commands.booking import quoted

    return quoted(opened(project), said)


@command.command("quotation")
@number
@click.option("--page", metavar="FILE", help="Write it as a page (FILE.md: as Markdown); - for stdout.")
def quotation(number: int, page: str | None) -> int:
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
    return 0


@command.command("take")
@number
@click.option("--due", metavar="DAY", help="Another day than was quoted.")
@click.option("--paid", metavar="AMOUNT", help="What is paid already.")
@on_option
def take(number: int, due: str | None, paid: str | None, on: str | None) -> int:
    """Take quotation NUMBER: it becomes the order, at the price that was offered."""
    other = day_option(due, "--due")
    with book_open() as writer:
        offer = writer.book.offers.get(number)
        if offer is None:
            raise WrongUse(f"There is no quotation {number}.")
        new, at = max(writer.book.orders, default=0) + 1, day(on)
        line = only_given({
            "what": "ordered", "on": at, "number": new, "quotation": number, "buyer": offer.buyer, "title": offer.title,
            "count": offer.count, "amount": offer.price, "deposit": offer.deposit, "currency": offer.currency,
            "due": other.isoformat() if other else offer.due, "project": offer.project,
        })  # fmt: skip
        writer.add(line, *_payment(new, paid, offer.currency, at))
    late = f" It held until {offer.until}." if offer.until and at > offer.until else ""
    talk(f"Quotation {number} is order {new}.{late}")
    return 0
