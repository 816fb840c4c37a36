"""The book's answers as plain data and in plain lines: one page, what matters first."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

import msgspec
from msgspec.structs import replace

from guide.book import answers
from guide.book.answers import Earned
from guide.book.file import hidden
from guide.book.model import Article, Book, Entry, Period, Promise
from guide.read.spoken import counted
from guide.show.model_plan import told_of
from guide.show.shelf_lines import OrderReport, order_report, shelf_report
from guide.show.table import headed, heading


class StockReport(msgspec.Struct, frozen=True):
    """A piece in stock; money to the cent, as text."""

    ticket: int
    article: str
    size: str
    made: str
    cost: str
    asked: str | None
    currency: str
    hours: float
    place: str


class EarnedReport(msgspec.Struct, frozen=True):
    """What sales came to, of an article, a size, a place, a month or all, in one currency; money as text."""

    name: str
    currency: str
    sold: int
    got: str
    tax: str
    fees: str
    packing: str
    net: str
    cost_of_goods: str
    earned: str
    hours: float
    an_hour: str | None
    quoted: str
    quoted_got: str
    asked: str
    asked_got: str


class MonthReport(msgspec.Struct, frozen=True):
    """This month so far: what was sold, and what was spent, by currency."""

    first: str = msgspec.field(name="from")
    sales: list[EarnedReport]
    costs: dict[str, str]
    cloth: dict[str, str]


class BookReport(msgspec.Struct, frozen=True):
    """All the book's answers, for the days asked about; sums by currency."""

    today: str
    first: str = msgspec.field(name="from")
    last: str = msgspec.field(name="to")
    articles: list[EarnedReport]
    sizes: list[EarnedReport]
    places: list[EarnedReport]
    all: list[EarnedReport]
    month: MonthReport
    costs: dict[str, str]
    cloth: dict[str, str]
    orders: list[OrderReport]
    unsold: list[StockReport]
    stock_worth: dict[str, str]
    shelf_worth: dict[str, str]
    promised: dict[str, list[Promise]]
    months: list[EarnedReport]


def stock_report(one: Article) -> StockReport:
    """Say what a piece in stock is and what is asked for it."""
    return told_of(StockReport, one, article=one.title)


def stock_lines(stock: Sequence[StockReport]) -> list[str]:
    """List what is made and unsold."""
    if not stock:
        return ["Nothing is made and unsold. Sessions that are finished come in with: guide book enter"]
    rows = [
        (str(one.ticket), one.article, one.size, one.made, _sum(one.asked, one.currency), one.place) for one in stock
    ]
    return headed(("ticket", "article", "size", "made", "asked", "where"), rows)


def _sum(amount: str | None, currency: str) -> str:
    return "" if amount is None else f"{amount} {currency}".strip()


def earned_report(one: Earned) -> EarnedReport:
    """Say what sales came to."""
    return told_of(EarnedReport, one, cost_of_goods=f"{one.cost:.2f}", hours=round(one.hours, 6))


def book_report(book: Book, today: str, period: Period) -> BookReport:
    """Give all the answers."""
    month = Period(today[:8] + "01", today)
    orders = [order_report(order, today) for order in book.orders.values() if order.open or order.owing]
    shelf = shelf_report(book)
    return BookReport(
        today=today,
        first=period.first,
        last=period.last,
        articles=[earned_report(one) for one in answers.by_article(book, period)],
        sizes=[earned_report(one) for one in answers.by_size(book, period)],
        places=[earned_report(one) for one in answers.by_place(book, period)],
        all=[earned_report(one) for one in answers.in_all(book, period)],
        month=MonthReport(
            first=month.first,
            sales=[earned_report(one) for one in answers.in_all(book, month)],
            costs=_texts(answers.added((c.currency, c.amount) for c in answers.costs_in(book, month))),
            cloth=_texts(answers.spent_in(book, month)),
        ),
        costs=_texts(answers.added((c.currency, c.amount) for c in answers.costs_in(book, period))),
        cloth=_texts(answers.spent_in(book, period)),
        orders=sorted(orders, key=lambda one: (one.state != "open", one.due or "9999")),
        unsold=[stock_report(one) for one in book.articles.values() if one.sale is None],
        stock_worth=_texts(answers.stock_worth(book)),
        shelf_worth=shelf.worth,
        promised=shelf.promised,
        months=_months(book, period),
    )


def _texts(sums: Mapping[str, Decimal]) -> dict[str, str]:
    return {currency: f"{amount:.2f}" for currency, amount in sums.items()}


def _months(book: Book, period: Period) -> list[EarnedReport]:
    """Give what each month with a sale came to."""
    out = []
    for name in sorted({sale.on[:7] for sale in book.sales if period.holds(sale.on)}):
        month = Period(max(f"{name}-01", period.first), min(f"{name}-31", period.last or "9999"))
        out += [replace(earned_report(one), name=name) for one in answers.in_all(book, month)]
    return out


def book_lines(data: BookReport, width: int) -> list[str]:
    """Lay the answers out on one page: what earns most and what is late come first."""
    out = [*_earns(data, width), "", *_late(data, width), "", *_unsold(data, width), "", *_month(data, width)]
    if data.promised:
        out += ["", heading("Promised from the shelf", width)]
        out += [
            f"  {name}: {counted(sum(one.count for one in these), 'piece')}" for name, these in data.promised.items()
        ]
    worth = [f"{amount} {currency}" for currency, amount in data.shelf_worth.items()]
    return [*out, "", f"Cloth on the shelf: {', '.join(worth)}. See it with: guide shelf"] if worth else out


def entry_line(entry: Entry, forgotten: dict[str, str]) -> str:
    """Say one line of the book: its number, day, kind, and what it tells."""
    about = [entry.cloth or entry.title, entry.buyer, entry.place, entry.project, entry.text, entry.why]
    numbers = [f"of line {entry.of}"] if entry.of else []
    numbers += [f"piece {entry.piece}"] if entry.piece else []
    numbers += [f"no. {entry.number}"] if entry.number else []
    numbers += [f"ticket {', '.join(map(str, entry.tickets))}"] if entry.tickets else []
    money = [f"{entry.amount} {entry.currency}".strip()] if entry.amount is not None else []
    told = " · ".join(filter(None, [*numbers, *about, *money]))
    line = f"{entry.n:>5}  {entry.on or entry.at[:10]}  {entry.what.replace('_', ' '):<11}{told}"
    return str(hidden(line.rstrip(), forgotten))


_SHOWN = 5  # articles on the page; --json and --page have all


def _earns(data: BookReport, width: int) -> list[str]:
    since = f" from {data.first}" * bool(data.first) + f" to {data.last}" * bool(data.last)
    out = [heading(f"Earns most an hour{since}", width)]
    if not data.articles:
        return [*out, "  Nothing is sold yet. A sale is written with: guide sell TICKET --got AMOUNT"]
    rows = [
        (f"  {one.name}", _hour(one), str(one.sold), one.got, one.earned, f"{one.hours:.1f}")
        for one in data.articles[:_SHOWN]
    ]
    out += headed(("  article", "an hour", "sold", "got", "left", "hours"), rows)
    best = [f"{one.name} {_hour(one)}" for one in data.places if one.an_hour][:3]
    return [*out, f"  by place: {' · '.join(best)}"] if best else out


def _hour(one: EarnedReport) -> str:
    return f"{one.an_hour} {one.currency}" if one.an_hour else "hours not known"


def _late(data: BookReport, width: int) -> list[str]:
    late = [one for one in data.orders if one.days_late]
    open_ = [one for one in data.orders if one.state == "open" and not one.days_late]
    owing = [one for one in data.orders if one.state != "open"]
    out = [heading("Late", width)]
    out += [_order(one, f", {counted(one.days_late, 'day')}") for one in late] or ["  Nothing is late."]
    if open_:
        out += ["", heading("Promised to buyers", width), *(_order(one, "") for one in open_)]
    return [
        *out,
        *(f"  order {one.number}, {one.buyer}: {one.owing} {one.currency} owing" for one in owing),
    ]


def _order(one: OrderReport, more: str) -> str:
    due = f"due {one.due}{more}" if one.due else "no day said"
    mark = "▲" if more else " "
    return f"{mark} order {one.number}, {one.buyer}: {one.count - one.delivered} × {one.article}, {due}"


def _unsold(data: BookReport, width: int) -> list[str]:
    out = [heading("Made and unsold", width)]
    if not data.unsold:
        return [*out, "  Nothing."]
    groups: dict[tuple[str, str], list[int]] = {}
    for one in data.unsold:
        groups.setdefault((one.article, one.place), []).append(one.ticket)
    for (name, place), tickets in groups.items():
        where = f", at {place}" if place else ""
        out.append(
            f"  {len(tickets)} × {name}{where}: ticket {', '.join(map(str, tickets[:8]))}{' …' * (len(tickets) > 8)}"
        )
    worth = ", ".join(f"{amount} {currency}".strip() for currency, amount in data.stock_worth.items())
    return [*out, f"  at cost: {worth}"]


def _month(data: BookReport, width: int) -> list[str]:
    month = data.month
    out = [heading(f"This month, from {month.first}", width)]
    for one in month.sales:
        hour = f", {one.an_hour} an hour" if one.an_hour else ""
        out.append(f"  {one.sold} sold, {one.got} {one.currency} got, {one.earned} left{hour}")
    out += [f"  {amount} {currency} spent on stalls and other costs" for currency, amount in month.costs.items()]
    out += [f"  {amount} {currency} spent on cloth and things" for currency, amount in month.cloth.items()]
    return out if len(out) > 1 else [*out, "  Nothing yet."]
