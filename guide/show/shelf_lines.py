"""The shelf in plain lines: every piece by its number, drawn to one scale, and what lies there in money."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Literal

import msgspec

from guide.book.answers import EXACT, Slot
from guide.book.model import SMALL, Book, Counted, Order, Piece, Promise, in_mm
from guide.book.shelf import Choice, Wanted
from guide.plan.shopping import cents
from guide.read.spoken import counted, percent
from guide.read.units import SAME_MM, Units, show_length
from guide.show.model_plan import BuyReport, told_of
from guide.show.table import cells, clip, fill, headed

_WIDE = 30  # columns that the longest piece is drawn with
_TALL = 2.0  # a terminal's row is about twice as high as a column is wide


def money_of(value: Fraction) -> Decimal:
    """Give a share of what was paid, to the cent."""
    return cents(Decimal(value.numerator) / Decimal(value.denominator))


def size_text(width: int, length: int, units: Units) -> str:
    """Say a piece's size: width across, then length along the grain; nothing for a thing."""
    return " × ".join(show_length(in_mm(side), units) for side in (width, length)) if width else ""


def count_text(found: Counted, units: Units) -> str:
    """Say what a count found otherwise."""
    pairs = [(str(found.now[0]), str(found.was[0]))] if found.now[0] != found.was[0] else []
    if found.now[1:] != found.was[1:]:
        pairs.append((size_text(*found.now[1:], units), size_text(*found.was[1:], units)))
    differs = ", and ".join(f"{now} where the book had {was}" for now, was in pairs)
    return f"{found.on}, piece {found.piece}, {found.cloth}: {differs}"


class PieceReport(msgspec.Struct, frozen=True):
    """One piece of the shelf, or so many alike; sides in mm, none of a thing; what they are worth, to the cent."""

    id: str
    cloth: str
    width_mm: float
    length_mm: float
    count: int
    promised: int
    straight: bool
    washed: bool
    worth: str
    currency: str
    size_text: str
    since: str


class ShelfReport(msgspec.Struct, frozen=True):
    """The shelf: its pieces, what they are worth by currency, promises by project, where bought cloth went (mm²)."""

    units: Units
    pieces: list[PieceReport]
    worth: dict[str, str]
    promised: dict[str, list[Promise]]
    cloth: dict[str, dict[str, float]]
    counts: list[str]


def shelf_report(book: Book) -> ShelfReport:
    """Say what lies on the shelf."""
    return ShelfReport(
        units=book.units,
        pieces=[_piece(book, piece) for piece in book.pieces.values()],
        worth={currency: f"{amount}" for currency, amount in _by_currency(book).items()},
        promised={project: list(these) for project, these in book.promises.items() if these},
        cloth={name: _flow(book, name) for name in book.flows},
        counts=[count_text(found, book.units) for found in book.counts],
    )


def _piece(book: Book, piece: Piece) -> PieceReport:
    return told_of(
        PieceReport,
        piece,
        width_mm=in_mm(piece.width),
        length_mm=in_mm(piece.length),
        promised=book.promised(piece.id),
        worth=f"{money_of(piece.each * piece.count)}",
        size_text=size_text(piece.width, piece.length, book.units),
    )


def left_of(book: Book, name: str) -> int:
    """Give the area of a cloth that lies on the shelf, square tenths of a micrometre."""
    return sum(piece.area * piece.count for piece in book.pieces.values() if piece.cloth == name)


def _flow(book: Book, name: str) -> dict[str, float]:
    flow, square = book.flows[name], SMALL * SMALL
    ways = ("bought", "cut", "scrap", "washed_away", "given", "counted_off")
    areas = {way: getattr(flow, way) for way in ways} | {"left": left_of(book, name)}
    return {f"{way}_mm2": area / square for way, area in areas.items()}


def _by_currency(book: Book) -> dict[str, Decimal]:
    worth: dict[str, Fraction] = {}
    for piece in book.pieces.values():
        if piece.each:
            worth[piece.currency] = worth.get(piece.currency, Fraction(0)) + piece.each * piece.count
    return {currency: money_of(value) for currency, value in worth.items()}


def shelf_lines(data: ShelfReport, columns: int) -> list[str]:
    """List the shelf, cloth by cloth, each piece drawn to one scale where there is room for it."""
    if not data.pieces:
        return ['The shelf is empty. What you buy goes on it with: guide shelf add "moss check" "2 yd" --width 44in']
    out: list[str] = []
    longest = max((max(one.width_mm, one.length_mm) for one in data.pieces), default=0.0)
    for name in dict.fromkeys(one.cloth for one in data.pieces):
        mine = [one for one in data.pieces if one.cloth == name]
        out += ["", name]
        out += _rows(mine)
        out += [f"  {line}" for line in drawn(mine, longest, columns - 4)]
    worth = [f"{amount} {currency}".strip() for currency, amount in data.worth.items()]
    out += ["", f"On the shelf: {', '.join(worth)}, at what was paid." if worth else "What was paid is not said."]
    out += [f"Promised to {project}: {_promises(these)}" for project, these in data.promised.items()]
    return [*out[1:], *(f"Counted {told}" for told in data.counts[-3:])]


def _promises(these: Iterable[Promise]) -> str:
    return ", ".join(f"piece {one.piece}" + (f" ({one.count})" if one.count > 1 else "") for one in these)


def _rows(pieces: list[PieceReport]) -> list[str]:
    wide = max(cells(_told(one)) for one in pieces) + 2
    return [
        f"  {one.id:>5}  {fill(_told(one), wide)}{one.worth if Decimal(one.worth) else '':>8} "
        f"{one.currency if Decimal(one.worth) else '':<4}{_marks(one)}".rstrip()
        for one in pieces
    ]


def _told(one: PieceReport) -> str:
    if not one.size_text:
        return f"{one.count}"
    return one.size_text if one.count == 1 else f"{counted(one.count, 'piece')} of {one.size_text}"


def _marks(one: PieceReport) -> str:
    marks = ["washed"] if one.washed else []
    if one.promised:
        marks.append("promised" if one.promised == one.count else f"{one.promised} promised")
    return " · ".join(marks)


def drawn(pieces: list[PieceReport], longest_mm: float, columns: int) -> list[str]:
    """Draw pieces of cloth side by side to one scale, the grain across the page; nothing for things."""
    if not longest_mm or columns < 30:
        return []
    scale = longest_mm / min(columns, _WIDE)  # mm a column
    boxes = [_box(one, scale) for one in pieces if one.size_text and one.width_mm / scale / _TALL >= 1]
    rows: list[list[list[str]]] = [[]]
    for box in boxes:
        if rows[-1] and sum(len(one[0]) + 2 for one in rows[-1]) + len(box[0]) > columns:
            rows.append([])
        rows[-1].append(box)
    return [line for row in rows if row for line in _beside(row)]


def _box(one: PieceReport, scale: float) -> list[str]:
    label = one.id if one.count == 1 else f"{one.id}×{one.count}"
    wide = max(round(one.length_mm / scale), len(label) + 2)
    high = max(round(one.width_mm / scale / _TALL), 1)
    inner = wide - 2
    body = [f"│{(label if row == high // 2 else ''):^{inner}.{inner}}│" for row in range(high)]
    return [f"┌{'─' * inner}┐", *body, f"└{'─' * inner}┘"]


def _beside(boxes: list[list[str]]) -> list[str]:
    high = max(len(box) for box in boxes)
    padded = [[*[" " * len(box[0])] * (high - len(box)), *box] for box in boxes]
    return ["  ".join(line).rstrip() for line in zip(*padded, strict=True)]


def choice_lines(
    choices: Sequence[Choice], asked: tuple[float, float] | None, wanted: Wanted, units: Units
) -> list[str]:
    """Lay out what the shelf gives: grids and squares, how many of each, and how far off a size they are."""
    if not choices or not choices[0].count:
        told = f"The shelf gives no {wanted.kind} of that"
        return [f"{told}: no two alike may meet, and there must be squares for all its layers."]
    washed = wanted.shrinks is not None
    rows = [("how many", "blocks", "square", "face as sewn", "washed" if washed else "", "off by" if asked else "")]
    for one in choices:
        sides = (one.width_mm, one.height_mm)
        face = " × ".join(show_length(side, units) for side in sides)
        left = zip(sides, wanted.shrinks or (), strict=False)
        then = " × ".join(show_length(side * (1 - share), units) for side, share in left)
        off = (show_length(one.off_mm, units) if one.off_mm > SAME_MM else "nothing") if asked else ""
        rows.append((str(one.count), f"{one.across} × {one.down}", show_length(one.square_mm, units), face, then, off))
    out = headed(rows[0], rows[1:])
    if asked:
        told = " × ".join(show_length(side, units) for side in asked)
        out = [f"Asked for a face of {told}{', washed' * washed}; nearest first, those that the shelf gives.", "", *out]
    return out


# Orders in plain lines: what is due and owed, one order whole, and the plan of all.


class OrderReport(msgspec.Struct, frozen=True):
    """An order as it stands; money to the cent, as text."""

    number: int
    buyer: str
    article: str
    count: int
    delivered: int
    taken: str
    due: str
    days_late: int
    price: str | None
    deposit: str
    paid: str
    owing: str
    currency: str
    project: str
    quotation: int
    state: Literal["called off", "open", "delivered"]


def order_report(order: Order, today: str) -> OrderReport:
    """Say how an order stands on a day."""
    late = (date.fromisoformat(today) - date.fromisoformat(order.due)).days if order.due and order.open else 0
    state = "called off" if order.called_off else "open" if order.open else "delivered"
    days = max(late, 0)
    return told_of(OrderReport, order, article=order.title, days_late=days, quotation=order.offer, state=state)


def order_lines(orders: Sequence[OrderReport]) -> list[str]:
    """List orders; those that are late are marked."""
    if not orders:
        return ["No order is open. One is taken with: guide order add BUYER ARTICLE --due DAY"]
    rows = []
    for one in orders:
        what = f"{one.count} × {one.article}" + (f", {one.delivered} delivered" if one.delivered else "")
        owing = f"{one.owing} {one.currency}" if float(one.owing) else "paid"
        rows.append((f"{one.number}", one.buyer, what, _due(one), owing))
    return headed(("no.", "buyer", "what", "due", "owing"), rows)


def _due(one: OrderReport) -> str:
    if one.state != "open":
        return one.state
    if one.days_late:
        return f"▲ {one.due}, {counted(one.days_late, 'day')} late"
    return one.due or "no day said"


def shown_lines(one: OrderReport, says: str) -> list[str]:
    """Show an order whole; says: how far its work is."""
    pairs = [
        ("buyer", one.buyer), ("what", f"{one.count} × {one.article}"), ("taken", one.taken),
        ("due", _due(one)), ("delivered", f"{one.delivered} of {one.count}"),
        ("price of one", f"{one.price} {one.currency}" if one.price else "not said"),
        ("deposit asked", f"{one.deposit} {one.currency}" if float(one.deposit) else ""),
        ("paid", f"{one.paid} {one.currency}"), ("owing", f"{one.owing} {one.currency}"),
        ("quotation", str(one.quotation or "")), ("project", one.project), ("work", says),
    ]  # fmt: skip
    return [f"Order {one.number}", *(f"  {name:<15}{text}" for name, text in pairs if text)]


class PlannedOrder(msgspec.Struct, frozen=True):
    """One order in the plan of all: when it is begun and ready (to the minute), how late, and how likely in time."""

    number: int
    buyer: str
    article: str
    count: int
    begin: str
    ready: str
    due: str
    days_late: int
    chance: float | None
    hands_on_s: float
    waits_s: float
    work: str
    known: bool


class OrdersPlan(msgspec.Struct, frozen=True):
    """The plan of all orders: in their sequence, how many are late, and what is bought for those not begun."""

    orders: list[PlannedOrder]
    late: int
    days_late: int
    buy: Sequence[BuyReport]


def plan_report(
    slots: Sequence[Slot],
    chances: Sequence[float | None],
    book: Book,
    works: Mapping[int, tuple[str, bool]],
    buy: Sequence[BuyReport],
) -> OrdersPlan:
    """Say how all orders are planned; works: of each, what it was reckoned from, and whether it is known."""
    rows = []
    for slot, chance in zip(slots, chances, strict=True):
        order = book.orders[slot.job.number]
        says, known = works[order.number]
        begin, ready = (at.isoformat(timespec="minutes") for at in (slot.begin, slot.ready))
        rows.append(told_of(
            PlannedOrder, order, article=order.title, count=order.count - order.delivered, begin=begin, ready=ready,
            days_late=slot.days_late, chance=chance if known else None, hands_on_s=slot.job.hands_s,
            waits_s=slot.job.waits_s, work=says, known=known,
        ))  # fmt: skip
    late = [row.days_late for row in rows if row.days_late]
    return OrdersPlan(rows, len(late), sum(late), buy)


def plan_lines(data: OrdersPlan, room: int) -> list[str]:
    """Lay the plan of all orders out: what to begin, when each is ready, what to buy.

    Where the room is too narrow weekdays, the days of late orders and the ends of long names are left out.
    """
    first = data.orders[0]
    out = [f"Begin with order {first.number}, {first.article}: {first.work}.", ""]
    heads = ("no.", "what", "begin", "ready", "due", "chance")
    rows = [_planned(one, short=False) for one in data.orders]
    if max(map(cells, headed(heads, rows))) > room:
        rows = [_planned(one, short=True) for one in data.orders]
    if (over := max(map(cells, headed(heads, rows))) - room) > 0:
        most = max(max(cells(row[1]) for row in rows) - over, 8)
        rows = [(number, clip(what, most), *more) for number, what, *more in rows]
    out += [*headed(heads, rows), "", _late(data)]
    if data.buy:
        item = max(cells(line.item_text) for line in data.buy) + 3
        out += ["", "To buy for all that is not begun"]
        out += [f"  {fill(line.item_text, item)}{line.text:<10}{line.cost or '':>9}".rstrip() for line in data.buy]
    return out


def _planned(one: PlannedOrder, *, short: bool) -> tuple[str, ...]:
    """Give an order's row: its number, what, when it is begun and ready, its day, and the chance."""
    due = one.due or "no day"
    if one.days_late:
        late = f"{counted(one.days_late, 'day')} late"
        due = f"▲ {late}" if short else f"▲ {due}, {late}"
    times = [_moment(at, short=short) for at in (one.begin, one.ready)] if one.known else ["", "not known"]
    chance = "" if one.chance is None else chance_text(one.chance)
    return (str(one.number), f"{one.count} × {one.article}", *times, due, chance)


def _late(data: OrdersPlan) -> str:
    if not data.late:
        return "All in time, if each takes what is likely."
    told = f"{counted(data.late, 'order')} late, by {counted(data.days_late, 'day')} in all"
    return f"{told}: no sequence does better." if len(data.orders) <= EXACT else f"{told}."


def _moment(text: str, *, short: bool) -> str:
    at = datetime.fromisoformat(text)
    return ("" if short else f"{at:%a} ") + f"{at.day} {at:%b %H:%M}"


def chance_text(share: float) -> str:
    """Say a chance to the whole percent; never all or nothing, which a thousand draws cannot tell."""
    return "over 99 %" if share > 0.995 else "under 1 %" if share < 0.005 else percent(share, 0)
