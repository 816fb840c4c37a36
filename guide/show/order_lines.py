"""Orders in plain lines: what is due and owed, one order whole, and the plan of all."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from guide.book.model import Book, Order
from guide.book.orders import EXACT, Slot
from guide.read.spoken import counted, percent
from guide.show.columns import cells, clip, fill
from guide.show.table import lines, of_texts


def order_dict(order: Order, today: str) -> dict[str, Any]:
    """Give an order as plain data; money as text."""
    late = (date.fromisoformat(today) - date.fromisoformat(order.due)).days if order.due and order.open else 0
    return {
        "number": order.number,
        "buyer": order.buyer,
        "article": order.title,
        "count": order.count,
        "delivered": order.delivered,
        "taken": order.taken,
        "due": order.due,
        "days_late": max(late, 0),
        "price": None if order.price is None else f"{order.price:.2f}",
        "deposit": f"{order.deposit:.2f}",
        "paid": f"{order.paid:.2f}",
        "owing": f"{order.owing:.2f}",
        "currency": order.currency,
        "project": order.project,
        "quotation": order.offer,
        "state": "called off" if order.called_off else "open" if order.open else "delivered",
    }


def order_lines(orders: Sequence[Mapping[str, Any]], room: int) -> list[str]:
    """List orders; those that are late are marked."""
    del room
    if not orders:
        return ["No order is open. One is taken with: guide order add BUYER ARTICLE --due DAY"]
    rows = [
        (
            f"{one['number']}",
            one["buyer"],
            f"{one['count']} × {one['article']}" + (f", {one['delivered']} delivered" if one["delivered"] else ""),
            _due(one),
            f"{one['owing']} {one['currency']}" if float(one["owing"]) else "paid",
        )
        for one in orders
    ]
    return lines(of_texts(_HEAD, rows), indent=0, heads=True)


_HEAD = ("no.", "buyer", "what", "due", "owing")


def _due(one: Mapping[str, Any]) -> str:
    if one["state"] != "open":
        return str(one["state"])
    if one["days_late"]:
        return f"▲ {one['due']}, {counted(one['days_late'], 'day')} late"
    return one["due"] or "no day said"


def shown_lines(one: Mapping[str, Any]) -> list[str]:
    """Show an order whole."""
    pairs = [
        ("buyer", one["buyer"]), ("what", f"{one['count']} × {one['article']}"), ("taken", one["taken"]),
        ("due", _due(one)), ("delivered", f"{one['delivered']} of {one['count']}"),
        ("price of one", f"{one['price']} {one['currency']}" if one["price"] else "not said"),
        ("deposit asked", f"{one['deposit']} {one['currency']}" if float(one["deposit"]) else ""),
        ("paid", f"{one['paid']} {one['currency']}"), ("owing", f"{one['owing']} {one['currency']}"),
        ("quotation", str(one["quotation"] or "")), ("project", one["project"]), ("work", one["says"]),
    ]  # fmt: skip
    return [f"Order {one['number']}", *(f"  {name:<15}{text}" for name, text in pairs if text)]


def plan_dict(
    slots: Sequence[Slot],
    chances: Sequence[float | None],
    book: Book,
    works: Mapping[int, tuple[str, bool]],
    buy: list[dict[str, Any]],
) -> dict[str, Any]:
    """Give the plan of all orders as plain data; works: of each, what it was reckoned from, and whether it is known."""
    rows = []
    for slot, chance in zip(slots, chances, strict=True):
        order = book.orders[slot.job.number]
        says, known = works[order.number]
        rows.append({
            "number": order.number, "buyer": order.buyer, "article": order.title,
            "count": order.count - order.delivered, "begin": slot.begin.isoformat(timespec="minutes"),
            "ready": slot.ready.isoformat(timespec="minutes"), "due": order.due, "days_late": slot.days_late,
            "chance": chance if known else None, "hands_on_s": slot.job.hands_s, "waits_s": slot.job.waits_s,
            "work": says, "known": known,
        })  # fmt: skip
    late = [row for row in rows if row["days_late"]]
    return {"orders": rows, "late": len(late), "days_late": sum(row["days_late"] for row in late), "buy": buy}


def plan_lines(data: Mapping[str, Any], room: int) -> list[str]:
    """Lay the plan of all orders out: what to begin, when each is ready, what to buy.

    Where the room is too narrow weekdays, the days of late orders and the ends of long names are left out.
    """
    first = data["orders"][0]
    out = [f"Begin with order {first['number']}, {first['article']}: {first['work']}.", ""]
    heads = ("no.", "what", "begin", "ready", "due", "chance")
    table = lines(of_texts(heads, [_planned(one, short=False) for one in data["orders"]]), indent=0, heads=True)
    if (over := max(map(cells, table)) - room) > 0:
        rows = [_planned(one, short=True) for one in data["orders"]]
        table = lines(of_texts(heads, rows), indent=0, heads=True)
        if (over := max(map(cells, table)) - room) > 0:
            most = max(max(cells(row[1]) for row in rows) - over, 8)
            clipped = [(number, clip(what, most), *more) for number, what, *more in rows]
            table = lines(of_texts(heads, clipped), indent=0, heads=True)
    out += table
    out += ["", _late(data)]
    if data["buy"]:
        item = max(cells(line["item_text"]) for line in data["buy"]) + 3
        out += ["", "To buy for all that is not begun"]
        out += [
            f"  {fill(line['item_text'], item)}{line['text']:<10}{line['cost'] or '':>9}".rstrip()
            for line in data["buy"]
        ]
    return out


def _planned(one: Mapping[str, Any], *, short: bool) -> tuple[str, ...]:
    """Give an order's row: its number, what, when it is begun and ready, its day, and the chance."""
    due = one["due"] or "no day"
    if one["days_late"]:
        late = f"{counted(one['days_late'], 'day')} late"
        due = f"▲ {late}" if short else f"▲ {due}, {late}"
    times = [_moment(one[name], short=short) for name in ("begin", "ready")] if one["known"] else ["", "not known"]
    chance = "" if one["chance"] is None else chance_text(one["chance"])
    return (str(one["number"]), f"{one['count']} × {one['article']}", *times, due, chance)


def _late(data: Mapping[str, Any]) -> str:
    if not data["late"]:
        return "All in time, if each takes what is likely."
    told = f"{counted(data['late'], 'order')} late, by {counted(data['days_late'], 'day')} in all"
    return f"{told}: no sequence does better." if len(data["orders"]) <= EXACT else f"{told}."


def _moment(text: str, *, short: bool) -> str:
    at = datetime.fromisoformat(text)
    return ("" if short else f"{at:%a} ") + f"{at.day} {at:%b %H:%M}"


def chance_text(share: float) -> str:
    """Say a chance to the whole percent; never all or nothing, which a thousand draws cannot tell."""
    return "over 99 %" if share > 0.995 else "under 1 %" if share < 0.005 else percent(share, 0)
