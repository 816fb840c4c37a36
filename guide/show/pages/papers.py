"""Papers of the book: quotation, delivery note, tickets, stall sheet, shelf list, and the page of answers.

Each is made as plain data (figures, and sections of lines, pairs, a table or pictures) and printed by one template.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from guide.book.model import Article, Book, Order
from guide.read.spoken import counted
from guide.show.model import Setting
from guide.show.pages.illustrate import safe
from guide.show.pages.render import Format, render
from guide.show.pictures.times import bars
from guide.show.shelf_lines import shelf_dict
from guide.show.table import Cell, Column, Table, table

Section = dict[str, Any]


def section(title: str, **parts: Any) -> Section:
    """Give a section: its `lines`, `pairs`, `head` and `rows` of a table, `care` sentences, `pictures`; any of them."""
    empty = {"lines": [], "pairs": [], "head": [], "rows": [], "care": [], "pictures": [], "screen": False}
    return {"title": title} | empty | parts


def paper(kind: str, title: str, sections: Sequence[Section], fmt: Format, **more: Any) -> str:
    """Print a paper; whatever anybody wrote comes out as visible, harmless text."""
    told: dict[str, Any] = {"figures": [], "foot": "", "slips": False} | more
    ticks: bool = told.pop("ticks", False)
    parts = [
        {"table": _table(one, ticks=ticks)} | one | {"pairs": [Setting(label, text) for label, text in one["pairs"]]}
        for one in sections
    ]
    return render("paper", fmt, None, kind=kind, title=title, sections=parts, **told)


def priced_page(rows: Table, says: Sequence[str], fmt: Format) -> str:
    """Print several prices in one table, with what its figures mean."""
    sections = [section(rows.label, table=rows, lines=says)]
    return paper("For the maker's own eyes", "Prices side by side", sections, fmt)


def _table(one: Section, *, ticks: bool) -> Table:
    """A section's rows under their heads; with `ticks` the last column is a box to tick."""

    def says(place: int) -> Callable[[Sequence[str]], Cell]:
        boxed = ticks and place == len(one["head"]) - 1
        return lambda row: Cell(row[place], mark="tick" if boxed else "")

    columns = [Column(head, says(place)) for place, head in enumerate(one["head"])]
    return table(columns, [one["rows"]], label=one["title"])


def quotation_page(said: Mapping[str, Any], fmt: Format) -> str:
    """Print a quotation from what was kept of it; nothing is worked out again."""
    pictures = [(safe(said[side]), side.capitalize()) for side in ("front", "back") if said.get(side)]
    sections = [
        section("How it looks", pictures=pictures if fmt == "html" else [], lines=said["looks"]),
        section("What is offered", pairs=said["offered"]),
        section("Terms", lines=said["terms"]),
        section("Care and safety", care=said["care"]),
    ]
    figures = [{"text": text, "label": label} for label, text in said["figures"]]
    kind = f"Quotation {said['number']} · {said['date']}"
    return paper(kind, said["title"], sections, fmt, figures=figures, foot=said["foot"], words=said["words"])


def delivery_note(order: Order, articles: Sequence[Article], on: str, care: Sequence[str], fmt: Format) -> str:
    """Print what is delivered, with a care slip to cut off; no price stands on it."""
    rows = [[str(one.ticket), one.title, one.size, ""] for one in articles] or [["", order.title, "", ""]]
    sections = [
        section("Delivered", pairs=[["to", order.buyer], ["on", on], ["order", str(order.number)]]),
        section("Pieces", head=["ticket", "what", "size", "there"], rows=rows),
        section("Care", care=list(care)),
    ]
    return paper(f"Delivery note · order {order.number}", order.title, sections, fmt)


def stall_sheet(book: Book, articles: Sequence[Article], place: str, on: str, fmt: Format) -> str:
    """Print a list to tick at a stall, with room for what each brought; typed in at night."""
    rows = [[str(one.ticket), one.title, one.size, _money(one), "", ""] for one in articles]
    pairs = [["place", place or "…………………………"], ["day", on], ["float in the box", "…………"], ["stall", "…………"]]
    sections = [
        section("The day", pairs=pairs),
        section("Pieces", head=["ticket", "what", "size", "asked", "got", "sold"], rows=rows),
        section(
            "At night", lines=["All at once, each ticket with what it got: guide sell 14=120,15=95 --at PLACE --on DAY"]
        ),
    ]
    return paper(
        "Stall sheet", place or "A day at a stall", sections, fmt, ticks=True, foot=f"Money in {book.currency}."
    )


def tickets_page(articles: Sequence[Article], maker: str, minds: Mapping[str, Sequence[str]], fmt: Format) -> str:
    """Print a ticket for each piece in stock, to cut apart; `minds`: what is to be minded, by project."""
    sections = [
        section(
            f"No. {one.ticket}",
            lines=[one.title, *filter(None, (one.size, _money(one), f"made by hand by {maker}" if maker else ""))],
            care=list(minds.get(one.project, ())),
        )
        for one in articles
    ]
    return paper("Tickets", "Pieces in stock", sections, fmt, slips=True)


def _money(one: Article) -> str:
    return "" if one.asked is None else f"{one.asked:.2f} {one.currency}"


def shelf_page(book: Book, fmt: Format) -> str:
    """Print what lies on the shelf, to take to the shop: sizes, no prices."""
    data = shelf_dict(book)
    sections = []
    for name in dict.fromkeys(one["cloth"] for one in data["pieces"]):
        mine = [one for one in data["pieces"] if one["cloth"] == name]
        rows = [
            [
                one["id"],
                str(one["count"]),
                one["size_text"],
                "washed" if one["washed"] else "",
                str(one["promised"] or ""),
            ]
            for one in mine
        ]
        sections.append(section(name, head=["piece", "number", "size", "", "promised"], rows=rows))
    return paper("Shelf list", "What lies on the shelf", sections, fmt)


def book_page(data: Mapping[str, Any], fmt: Format) -> str:
    """Print the book's answers with charts: what earns most an hour, what is late, what lies unsold, the months."""
    first = data["articles"][0] if data["articles"] and data["articles"][0]["an_hour"] else None
    late = [one for one in data["orders"] if one["days_late"]]
    figures = [
        {"text": str(len(late)), "label": "late" if len(late) != 1 else f"late: order {late[0]['number']}"},
        {"text": str(len(data["unsold"])), "label": "made and unsold"},
    ]
    if first:
        figures.insert(0, {"text": f"{first['an_hour']} {first['currency']}", "label": f"an hour: {first['name']}"})
    sections = [
        section(
            "Earns most an hour", pictures=_chart(data["articles"], fmt), head=_EARNED, rows=_rows(data["articles"])
        ),
        section("Orders", head=_ORDER, rows=[_order(one) for one in data["orders"]]),
        section("By size", head=_EARNED, rows=_rows(data["sizes"])),
        section("By place", pictures=_chart(data["places"], fmt), head=_EARNED, rows=_rows(data["places"])),
        section("Made and unsold", head=_STOCK, rows=[_stock(one) for one in data["unsold"]]),
        section("Quoted, asked and got", head=_ASKED, rows=[_asked(one) for one in data["articles"]]),
        section("Month by month", pictures=_months(data["months"], fmt), head=_EARNED, rows=_rows(data["months"])),
        section("Spent", pairs=_spent(data)),
    ]
    kept = [one for one in sections if one["rows"] or one["pairs"] or one["pictures"]]
    return paper(f"The book on {data['today']}", "The book", kept, fmt, figures=figures, foot=_SAYS)


_SAYS = (
    "Left: what buyers paid, less tax, fees, packing and the materials of what was sold. An hour: that over the hours "
    "of making it. Stalls and other costs stand apart."
)
_EARNED = ("", "an hour", "sold", "got", "left", "hours")
_ORDER = ("order", "buyer", "what", "due", "owing")
_STOCK = ("ticket", "article", "size", "asked", "where")
_ASKED = ("", "quoted", "got of it", "asked", "got of it")


def _rows(many: Sequence[Mapping[str, Any]]) -> list[list[str]]:
    return [
        [one["name"], one["an_hour"] or "", str(one["sold"]), _paid(one), one["earned"], f"{one['hours']:.1f}"]
        for one in many
    ]


def _paid(one: Mapping[str, Any]) -> str:
    return f"{one['got']} {one['currency']}"


def _order(one: Mapping[str, Any]) -> list[str]:
    due = f"{one['due']}: {counted(one['days_late'], 'day')} late" if one["days_late"] else one["due"]
    return [
        str(one["number"]),
        one["buyer"],
        f"{one['count']} × {one['article']}",
        due,
        f"{one['owing']} {one['currency']}",
    ]


def _stock(one: Mapping[str, Any]) -> list[str]:
    asked = f"{one['asked']} {one['currency']}" if one["asked"] else ""
    return [str(one["ticket"]), one["article"], one["size"], asked, one["place"]]


def _asked(one: Mapping[str, Any]) -> list[str]:
    return [one["name"], one["quoted"], one["quoted_got"], one["asked"], one["asked_got"]]


def _chart(many: Sequence[Mapping[str, Any]], fmt: Format) -> list[tuple[Any, str]]:
    known = [one for one in many if one["an_hour"]]
    if fmt != "html" or len(known) < 2:
        return []
    rows = [(one["name"], float(one["an_hour"]), f"{one['an_hour']} {one['currency']}") for one in known[:12]]
    return [(safe(bars("What an hour earned", rows)), "what an hour earned")]


def _months(many: Sequence[Mapping[str, Any]], fmt: Format) -> list[tuple[Any, str]]:
    if fmt != "html" or len(many) < 2:
        return []
    rows = [(one["name"], float(one["got"]), f"{one['got']} {one['currency']}") for one in many]
    return [(safe(bars("What buyers paid, month by month", rows)), "what buyers paid")]


def _spent(data: Mapping[str, Any]) -> list[list[str]]:
    sums = [
        ("on cloth and things", data["cloth"]),
        ("on stalls and other costs", data["costs"]),
        ("cloth on the shelf, at what was paid", data["shelf_worth"]),
        ("stock, at cost", data["stock_worth"]),
    ]
    return [[name, f"{amount} {currency}".strip()] for name, these in sums for currency, amount in these.items()]
