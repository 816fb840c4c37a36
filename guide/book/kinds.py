"""What each kind of line in the book does: with the shelf, and with orders and sales."""

from collections import Counter
from collections.abc import Callable, Iterable
from decimal import Decimal

import msgspec

from guide.book.model import (
    SMALL,
    Article,
    Book,
    Cost,
    Counted,
    Entry,
    Flow,
    Lot,
    Offer,
    Order,
    Piece,
    Promise,
    Sale,
    Take,
    Unfit,
    need,
    small,
)

# What a line does to the shelf: cloth comes, is counted, washed, promised, cut and given away.
#
# Areas are whole square tenths of a micrometre: bought = cut + scrap + washed away + given + counted off + left.
# Every line is looked at whole before anything is changed.


def _flow(book: Book, cloth: str) -> Flow:
    return book.flows.setdefault(cloth, Flow())


def area(lot: Lot) -> int:
    """The area of one of a lot, square tenths of a micrometre."""
    return int(lot.width * SMALL + 0.5) * int(lot.length * SMALL + 0.5)  # `small` of both: read by the 10,000


def areas(lots: list[Lot]) -> int:
    """The area of all of some lots."""
    total = 0
    for lot in lots:
        total += area(lot) * lot.count
    return total


_Cost = tuple[Decimal, int, int, str, str]  # what was paid, the share of it and the whole; currency, day


def _laid(book: Book, name: str, cloth: str, lot: Lot, cost: _Cost) -> None:
    """Lay a lot on the shelf under its number; cost: of one, and since when it lies there."""
    book.pieces[name] = Piece(
        name, cloth, small(lot.width), small(lot.length), lot.count, lot.straight, lot.washed,
        small(lot.selvedge), *cost,
    )  # fmt: skip


def _bought(book: Book, entry: Entry) -> None:
    need(entry.cloth and entry.lots, "buys nothing")
    sized = [bool(lot.width and lot.length) for lot in entry.lots]
    need(all(sized) or not any(sized), "buys cloth and things under one name")
    need(all(lot.count for lot in entry.lots), "buys none of something")
    paid, bought = entry.amount or Decimal(0), areas(entry.lots)
    whole = bought or sum(lot.count for lot in entry.lots)
    for place, lot in enumerate(entry.lots, 1):
        name = f"{entry.n}.{place}" if len(entry.lots) > 1 else f"{entry.n}"
        _laid(book, name, entry.cloth, lot, (paid, area(lot) or 1, whole, entry.currency, entry.on))
    if bought:
        _flow(book, entry.cloth).bought += bought
    _spend(book, entry, entry.cloth, entry.amount)


def _spend(book: Book, entry: Entry, cloth: str, amount: Decimal | None) -> None:
    if amount is not None:
        book.spent.append((entry.on, cloth, amount, entry.currency))


def _there(book: Book, name: str, count: int, project: str | None = None) -> Piece:
    """Find a piece that so many can be taken of by a project, or by nobody's promise. Raises Unfit."""
    piece = book.pieces.get(name)
    if piece is None:
        raise Unfit(f"takes piece {name}, which is not on the shelf")
    need(count <= piece.count, f"takes {count} of piece {name}, and there are {piece.count}")
    if book.promises and count > (free := book.free(name, project)):
        raise Unfit(f"takes {count} of piece {name}, and {piece.count - free} of {piece.count} are promised")
    return piece


def _take(book: Book, piece: Piece, count: int) -> None:
    piece.count -= count
    if not piece.count:
        del book.pieces[piece.id]


def _counted(book: Book, entry: Entry) -> None:
    need(entry.piece in book.pieces, f"counts piece {entry.piece}, which is not on the shelf")
    need(entry.lot, "counts nothing")
    piece, lot = book.pieces[entry.piece], entry.lot
    assert lot is not None
    width, length = (small(lot.width), small(lot.length)) if lot.width and lot.length else (piece.width, piece.length)
    need(bool(width) == bool(piece.width), f"gives piece {piece.id} a size, and it is a thing that has none")
    before = piece.area * piece.count
    now, was = (lot.count, width, length), (piece.count, piece.width, piece.length)
    if now == was:
        return
    book.counts.append(Counted(entry.on, piece.id, piece.cloth, now, was))
    if piece.area:
        _flow(book, piece.cloth).counted_off += before - width * length * lot.count
        piece.share, piece.whole = piece.share * width * length, piece.whole * piece.area
    piece.width, piece.length = width, length
    _less_promised(book, piece.id, lot.count)
    _take(book, piece, piece.count - lot.count)


def _less_promised(book: Book, piece: str, count: int) -> None:
    """Take promises back that a count leaves nothing for, the latest first."""
    over = book.promised(piece) - count
    for project in reversed(list(book.promises)):
        kept, over = _less(reversed(book.promises[project]), piece, over)
        book.promises[project] = kept[::-1]


def _less(promises: Iterable[Promise], piece: str, count: int) -> tuple[list[Promise], int]:
    """Take so many of a piece off promises in their order: what stays of them, and how many are still to be taken."""
    kept = []
    for one in promises:
        less = min(one.count, max(count, 0)) if one.piece == piece else 0
        count -= less
        kept += [Promise(one.piece, one.count - less)] if one.count > less else []
    return kept, count


def _washed(book: Book, entry: Entry) -> None:
    need(entry.piece in book.pieces and entry.lot, f"washes piece {entry.piece}, which is not on the shelf")
    piece, lot = book.pieces[entry.piece], entry.lot
    assert lot is not None
    width, length = small(lot.width), small(lot.length)
    need(not piece.washed, f"washes piece {piece.id}, which is washed already")
    need(0 < width <= piece.width and 0 < length <= piece.length, f"washes piece {piece.id} to no size it can come to")
    _flow(book, piece.cloth).washed_away += (piece.area - width * length) * piece.count
    piece.width, piece.length, piece.selvedge = width, length, piece.selvedge * width // piece.width
    piece.washed = True


def _parted(book: Book, entry: Entry) -> None:
    """Cut one of a piece right across, or right along, into lots that lie there as pieces of their own."""
    piece = _there(book, entry.piece, 1)
    sides = [(small(lot.width), small(lot.length)) for lot in entry.lots if lot.count == 1]
    need(1 < len(sides) == len(entry.lots) and all(map(all, sides)), f"cuts piece {piece.id} into nothing")
    wide, long = zip(*sides, strict=True)
    across = set(wide) == {piece.width} and sum(long) == piece.length
    along = set(long) == {piece.length} and sum(wide) == piece.width and not piece.selvedge
    need(across or along, f"cuts piece {piece.id} into what does not come to it")
    for place, (width, length) in enumerate(sides, 1):
        book.pieces[f"{entry.n}.{place}"] = Piece(
            f"{entry.n}.{place}", piece.cloth, width, length, 1, piece.straight, piece.washed, piece.selvedge,
            piece.paid, piece.share * width * length, piece.whole * piece.area, piece.currency, piece.since,
        )  # fmt: skip
    _take(book, piece, 1)


def _given(book: Book, entry: Entry) -> None:
    need(entry.count, "gives nothing away")
    piece = _there(book, entry.piece, entry.count)
    if piece.area:
        _flow(book, piece.cloth).given += piece.area * entry.count
    _take(book, piece, entry.count)


def _used(book: Book, entry: Entry) -> None:
    need(entry.count, "uses nothing")
    piece = _there(book, entry.piece, entry.count, entry.project or None)
    need(not piece.area, f"uses piece {piece.id} up as a thing, and it is cloth: what is cut of it is booked as cut")
    _kept_promise(book, entry.project, piece.id, entry.count)
    _take(book, piece, entry.count)


def use_things(book: Book, entry: Entry) -> None:
    """Take the zips and pads that an article took off the shelf. Raises Unfit before anything is changed."""
    for name, count in _of_each(entry.takes).items():
        piece = _there(book, name, count, entry.project)
        need(not piece.area, f"uses piece {name} up as a thing, and it is cloth")
    for name, count in _of_each(entry.takes).items():
        _kept_promise(book, entry.project, name, count)
        _take(book, book.pieces[name], count)


def _promised(book: Book, entry: Entry) -> None:
    need(entry.project and entry.takes, "promises nothing")
    for name, count in _of_each(entry.takes).items():
        need(count, "promises none of something")
        _there(book, name, count)
    book.promises.setdefault(entry.project, []).extend(Promise(take.piece, take.count) for take in entry.takes)


def _of_each(takes: list[Take]) -> Counter[str]:
    counts: Counter[str] = Counter()
    for take in takes:
        if take.lot is None:
            counts[take.piece] += take.count
    return counts


def _released(book: Book, entry: Entry) -> None:
    need(book.promises.get(entry.project), f"frees what is promised to {entry.project}, and nothing is")
    del book.promises[entry.project]


def _kept_promise(book: Book, project: str, piece: str, count: int) -> None:
    """Take what a project used of a piece off what was promised to it."""
    if project in book.promises:
        book.promises[project], _ = _less(book.promises[project], piece, count)


def _cut(book: Book, entry: Entry) -> None:
    """Cut pieces of the shelf, and cloth bought for it, into parts, scrap and what is left over.

    Raises Unfit when the session's cut is booked already.
    """
    need("cut" not in book.booked.get(entry.session, ()), f"cuts for {entry.session}, which is booked already")
    need(entry.takes, "cuts nothing")
    for name, count in _of_each(entry.takes).items():
        _there(book, name, count, entry.project)
    sounded = [_sound(book, take) for take in entry.takes]
    place = 0
    for take, (base, table, cut, left) in zip(entry.takes, sounded, strict=True):
        cloth = take.cloth if take.lot is not None else book.pieces[take.piece].cloth
        washed, flow = bool(take.laid), _flow(book, cloth)
        if take.lot is not None:
            washed = washed or take.lot.washed
            flow.bought += base
            _spend(book, entry, cloth, take.amount)
            paid, share, whole, currency = take.amount or Decimal(0), 1, 1, entry.currency
        else:
            piece = book.pieces[take.piece]
            paid, share, whole, currency = piece.paid, piece.share, piece.whole, piece.currency
            washed = washed or piece.washed
            _kept_promise(book, entry.project, piece.id, 1)
            _take(book, piece, 1)
        flow.washed_away += base - table
        flow.cut += cut
        flow.scrap += table - cut - left
        for lot in take.left:
            place += 1
            cost = (paid, share * area(lot), whole * table, currency, entry.on)
            lies = msgspec.structs.replace(lot, straight=True, washed=washed)
            _laid(book, f"{entry.n}.{place}", cloth, lies, cost)
    if entry.session:
        book.booked.setdefault(entry.session, set()).add("cut")


def _sound(book: Book, take: Take) -> tuple[int, int, int, int]:
    """Give the areas of the piece that is cut, as it was and on the table, of its parts and of what is left.

    Raises Unfit for parts that do not come out of it.
    """
    need(take.count == 1, "cuts several pieces as one")
    base = area(take.lot) if take.lot is not None else book.pieces[take.piece].area
    if take.lot is None and take.cloth not in {"", book.pieces[take.piece].cloth}:
        raise Unfit(f"cuts {take.cloth} of piece {take.piece}, which is {book.pieces[take.piece].cloth}")
    name = take.cloth if take.lot is not None else f"piece {take.piece}"
    need(base, f"cuts {name}, which is no cloth")
    table = area(take.laid) if take.laid else base
    need(0 < table <= base, f"washes {name} to more than it was")
    cut, left = areas(take.parts), areas(take.left)
    need(cut + left <= table, f"cuts more out of {name} than there is in it")
    return base, table, cut, left


def _passed(book: Book, entry: Entry) -> None:
    need(entry.session, "passes over no session")
    book.booked.setdefault(entry.session, set()).add("passed")


# What a line does to quotations, orders, the stock of finished pieces, and sales.

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
    """Book the articles a session made, with their tickets.

    Raises Unfit when it is booked already, or a ticket is given.
    """
    need("made" not in book.booked.get(entry.session, ()), f"books {entry.session}, which is booked already")
    need(entry.tickets, "makes nothing")
    for ticket in _each(entry):
        need(ticket and ticket not in book.articles, f"gives ticket {ticket}, which is given already")
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
    """Find the piece of a ticket, still unsold. Raises Unfit where there is none."""
    article = book.articles.get(ticket)
    if article is None:
        raise Unfit(f"is about ticket {ticket}, and no piece has it")
    need(article.sale is None, f"is about ticket {ticket}, which is sold")
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
        given_back = {"got": -amount, "fee": -fee, "tax": -tax, "packing": _NOTHING}
        book.sales.append(msgspec.structs.replace(sold, n=entry.n, on=entry.on, **given_back, back=True))
        article.sale, article.place = None, ""


def _cost(book: Book, entry: Entry) -> None:
    need(entry.amount is not None, "costs nothing")
    book.costs.append(
        Cost(
            entry.n, entry.on, entry.amount or _NOTHING, entry.currency, entry.place, entry.text, entry.hours,
            stall=entry.what == "stall",
        )
    )  # fmt: skip


def _begun(book: Book, entry: Entry) -> None:
    book.units, book.currency = entry.units or book.units, entry.currency or book.currency


def _recovered(book: Book, entry: Entry) -> None:
    """Nothing of it was ever in the book."""


def _forgotten(book: Book, entry: Entry) -> None:
    need(entry.buyer and entry.text, "names nobody to be forgotten")
    book.forgotten[entry.buyer] = entry.text


DO: dict[str, Callable[[Book, Entry], None]] = {  # each under its own name
    do.__name__[1:]: do
    for do in (
        _begun, _bought, _counted, _washed, _parted, _cut, _used, _given, _promised, _released, _passed,
        _quoted, _ordered, _changed, _called_off, _paid, _delivered, _made, _sent, _back, _sold, _returned, _cost,
        _forgotten, _recovered,
    )
}  # fmt: skip
DO["stall"] = _cost
