"""What a line does to quotations, orders, the stock of finished pieces, and sales."""

from collections.abc import Callable
from decimal import Decimal

from guide.book.model import Article, Book, Cost, Entry, Offer, Order, Sale
from guide.book.shelf_kinds import use_things
from guide.book.unfit import Unfit, need

_NOTHING = Decimal(0)


def _quoted(book: Book, entry: Entry) -> None:
    need(entry.number and entry.number not in book.offers, f"quotes number {entry.number}, which is taken")
    need(entry.count and entry.offer is not None, "quotes nothing")
    book.offers[entry.number] = Offer(
        entry.number, entry.buyer, entry.title, entry.count, entry.on, entry.until, entry.amount, entry.currency,
        entry.deposit or _NOTHING, entry.due, entry.project, entry.offer or {},
    )  # fmt: skip


def _ordered(book: Book, entry: Entry) -> None:
    need(entry.number and entry.number not in book.orders, f"takes order {entry.number}, which is taken")
    need(entry.count, "orders nothing")
    if entry.quotation:
        need(entry.quotation in book.offers, f"takes quotation {entry.quotation}, and there is none")
        need(not book.offers[entry.quotation].order, f"takes quotation {entry.quotation}, which is an order already")
        book.offers[entry.quotation].order = entry.number
    book.orders[entry.number] = Order(
        entry.number, entry.buyer, entry.title, entry.count, entry.on, entry.due, entry.amount, entry.currency,
        entry.deposit or _NOTHING, entry.project, entry.quotation, hours=entry.hours,
    )  # fmt: skip


def _order(book: Book, entry: Entry) -> Order:
    need(entry.number in book.orders, f"is about order {entry.number}, and there is none")
    return book.orders[entry.number]


def _changed(book: Book, entry: Entry) -> None:
    order = _order(book, entry)
    need(order.open, f"changes order {order.number}, which is over")
    need(not entry.count or entry.count >= order.delivered, f"leaves order {order.number} fewer than were delivered")
    order.count = entry.count or order.count
    order.due, order.title, order.buyer = entry.due or order.due, entry.title or order.title, entry.buyer or order.buyer
    order.price = order.price if entry.amount is None else entry.amount
    order.project = entry.project or order.project


def _called_off(book: Book, entry: Entry) -> None:
    order = _order(book, entry)
    need(order.open, f"calls off order {order.number}, which is over")
    order.called_off, order.why = True, entry.why


def _paid(book: Book, entry: Entry) -> None:
    order = _order(book, entry)
    need(entry.amount, "pays nothing")
    need(entry.currency == order.currency, f"pays order {order.number} in another currency than {order.currency}")
    order.paid += entry.amount or _NOTHING


def _delivered(book: Book, entry: Entry) -> None:
    """Deliver pieces of an order: with their tickets each is sold at the order's price."""
    order = _order(book, entry)
    count = len(entry.tickets) or entry.count
    need(not order.called_off, f"delivers order {order.number}, which was called off")
    need(count and order.delivered + count <= order.count, f"delivers {count} of order {order.number}, more than asked")
    articles = [_unsold(book, ticket) for ticket in _each(entry)]
    order.delivered += count
    for article in articles:
        _sell(book, article, entry, order.price or _NOTHING, order.currency)


def _made(book: Book, entry: Entry) -> None:
    if "made" in book.booked.get(entry.session, ()):
        raise Unfit(f"books {entry.session}, which is booked already")
    need(entry.tickets, "makes nothing")
    for ticket in _each(entry):
        if not ticket or ticket in book.articles:
            raise Unfit(f"gives ticket {ticket}, which is given already")
    use_things(book, entry)
    for ticket in entry.tickets:
        book.articles[ticket] = Article(
            ticket, entry.title, entry.project, entry.session, entry.on, entry.size, entry.cost or _NOTHING,
            entry.hours, entry.amount, entry.currency, _quoted_for(book, entry), entry.place,
        )  # fmt: skip
    book.promises.pop(entry.project, None)
    if entry.session:
        book.booked.setdefault(entry.session, set()).add("made")


def _quoted_for(book: Book, entry: Entry) -> Decimal | None:
    """The newest quotation of a project, to be held beside what was asked and got."""
    offers = [one for one in book.offers.values() if entry.project and one.project == entry.project]
    return offers[-1].price if offers else None


def _each(entry: Entry) -> list[int]:
    need(len(set(entry.tickets)) == len(entry.tickets), "names a ticket twice")
    return entry.tickets


def _unsold(book: Book, ticket: int) -> Article:
    article = book.articles.get(ticket)
    if article is None:
        raise Unfit(f"is about ticket {ticket}, and no piece has it")
    if article.sale is not None:
        raise Unfit(f"is about ticket {ticket}, which is sold")
    return article


def _sent(book: Book, entry: Entry) -> None:
    need(entry.tickets and entry.place, "sends nothing, or nowhere")
    articles = [_unsold(book, ticket) for ticket in _each(entry)]
    need(all(not one.place for one in articles), "sends a piece that is with a shop already")
    for article in articles:
        article.place = entry.place


def _back(book: Book, entry: Entry) -> None:
    need(entry.tickets, "brings nothing back")
    articles = [_unsold(book, ticket) for ticket in _each(entry)]
    need(all(one.place for one in articles), "brings a piece back that is with no shop")
    for article in articles:
        article.place = ""


def _sold(book: Book, entry: Entry) -> None:
    need(entry.tickets and entry.amount is not None, "sells nothing, or for no price")
    articles = [_unsold(book, ticket) for ticket in _each(entry)]
    if entry.number:
        order = _order(book, entry)
        need(not order.called_off, f"sells for order {order.number}, which was called off")
        need(order.delivered + len(articles) <= order.count, f"sells more for order {order.number} than it asks for")
        order.delivered += len(articles)
    for article in articles:
        _sell(book, article, entry, entry.amount or _NOTHING, entry.currency)


def _sell(book: Book, article: Article, entry: Entry, got: Decimal, currency: str) -> None:
    fee, tax, packing = (one or _NOTHING for one in (entry.fee, entry.tax, entry.packing))
    buyer = entry.buyer or (book.orders[entry.number].buyer if entry.number else "")
    place = entry.place or article.place or ("order" if entry.number else "")
    article.sale = Sale(
        entry.n, article.ticket, entry.on, place, got, fee, tax, packing, currency, entry.number, buyer
    )  # fmt: skip
    article.order = entry.number
    book.sales.append(article.sale)


def _returned(book: Book, entry: Entry) -> None:
    """Take pieces back: what was paid back, and what of fee and tax came back with it, is taken off again."""
    need(entry.tickets, "takes nothing back")
    for ticket in _each(entry):
        need(ticket in book.articles and book.articles[ticket].sale, f"takes ticket {ticket} back, which is not sold")
    for ticket in entry.tickets:
        article = book.articles[ticket]
        sold = article.sale
        assert sold is not None
        amount = sold.got if entry.amount is None else entry.amount
        tax = sold.tax if entry.tax is None else entry.tax
        fee = sold.fee if entry.fee is None else entry.fee
        book.sales.append(
            Sale(
                entry.n, ticket, entry.on, sold.place, -amount, -fee, -tax, _NOTHING, sold.currency, sold.order,
                sold.buyer, back=True,
            )
        )  # fmt: skip
        article.sale, article.place = None, ""


def _cost(book: Book, entry: Entry) -> None:
    need(entry.amount is not None, "costs nothing")
    book.costs.append(
        Cost(
            entry.n, entry.on, entry.amount or _NOTHING, entry.currency, entry.place, entry.text, entry.hours,
            stall=entry.what == "stall",
        )
    )  # fmt: skip


DO: dict[str, Callable[[Book, Entry], None]] = {
    "quoted": _quoted,
    "ordered": _ordered,
    "changed": _changed,
    "called_off": _called_off,
    "paid": _paid,
    "delivered": _delivered,
    "made": _made,
    "sent": _sent,
    "back": _back,
    "sold": _sold,
    "returned": _returned,
    "cost": _cost,
    "stall": _cost,
}
