"""Papers of the book (quotation, delivery note, tickets, stall sheet, shelf list, answers), and of times, with charts.

Each is made as plain data (figures, and sections of lines, pairs, a table or pictures) and printed by one template.
"""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import msgspec
from msgspec.structs import replace

from guide.book.model import Article, Book, Order
from guide.money.model import Pace, Paces
from guide.read.spoken import counted, plural
from guide.record.clock import exact_text, time_text, weeks_between
from guide.record.history import History, Total
from guide.show.book_lines import BookReport, EarnedReport, StockReport
from guide.show.model import Setting
from guide.show.pages.render import Format, render, safe
from guide.show.pictures.times import Paced, bars, pace_chart, weeks
from guide.show.shelf_lines import OrderReport, shelf_report
from guide.show.table import Cell, Table, of_texts
from guide.show.words import NO_BREAK, minutes_each

TICK = Cell("", mark="tick")


class Section(msgspec.Struct, frozen=True):
    """What stands under one heading of a paper: pictures, pairs, a table (or its heads and rows), lines, care; any."""

    title: str
    lines: Sequence[str] = ()
    pairs: Sequence[Setting] = ()
    head: Sequence[str] = ()
    rows: Sequence[Sequence[str | Cell]] = ()
    table: Table | None = None
    care: Sequence[str] = ()
    pictures: Sequence[tuple[Any, str]] = ()
    screen: bool = False  # not on paper


def paper(
    kind: str,
    title: str,
    sections: Sequence[Section],
    fmt: Format,
    *,
    figures: Sequence[Setting] = (),
    foot: str = "",
    slips: bool = False,
    words: str = "british",
) -> str:
    """Print a paper, of `slips` to cut apart; whatever anybody wrote comes out as visible, harmless text."""
    parts = [replace(one, table=one.table or of_texts(one.head, one.rows, label=one.title)) for one in sections]
    more = {"kind": kind, "title": title, "sections": parts, "figures": figures, "foot": foot, "slips": slips}
    return render("paper", fmt, None, words=words, **more)


def priced_page(rows: Table, says: Sequence[str], fmt: Format) -> str:
    """Print several prices in one table, with what its figures mean."""
    sections = [Section(rows.label, table=rows, lines=says)]
    return paper("For the maker's own eyes", "Prices side by side", sections, fmt)


def quotation_page(said: Mapping[str, Any], fmt: Format) -> str:
    """Print a quotation from what was kept of it; nothing is worked out again."""
    pictures = [(safe(said[side]), side.capitalize()) for side in ("front", "back") if said.get(side)]
    sections = [
        Section("How it looks", pictures=pictures if fmt == "html" else [], lines=said["looks"]),
        Section("What is offered", pairs=[Setting(*one) for one in said["offered"]]),
        Section("Terms", lines=said["terms"]),
        Section("Care and safety", care=said["care"]),
    ]
    figures = [Setting(label, text) for label, text in said["figures"]]
    kind = f"Quotation {said['number']} · {said['date']}"
    return paper(kind, said["title"], sections, fmt, figures=figures, foot=said["foot"], words=said["words"])


def delivery_note(order: Order, articles: Sequence[Article], on: str, care: Sequence[str], fmt: Format) -> str:
    """Print what is delivered, with a care slip to cut off; no price stands on it."""
    rows = [[str(one.ticket), one.title, one.size, ""] for one in articles] or [["", order.title, "", ""]]
    sections = [
        Section(
            "Delivered", pairs=[Setting("to", order.buyer), Setting("on", on), Setting("order", str(order.number))]
        ),
        Section("Pieces", head=["ticket", "what", "size", "there"], rows=rows),
        Section("Care", care=list(care)),
    ]
    return paper(f"Delivery note · order {order.number}", order.title, sections, fmt)


def stall_sheet(book: Book, articles: Sequence[Article], place: str, on: str, fmt: Format) -> str:
    """Print a list to tick at a stall, with room for what each brought; typed in at night."""
    rows = [(str(one.ticket), one.title, one.size, _money(one), "", TICK) for one in articles]
    blanks = (("place", place or "…………………………"), ("day", on), ("float in the box", "…………"), ("stall", "…………"))
    sections = [
        Section("The day", pairs=[Setting(*one) for one in blanks]),
        Section("Pieces", head=["ticket", "what", "size", "asked", "got", "sold"], rows=rows),
        Section(
            "At night", lines=["All at once, each ticket with what it got: guide sell 14=120,15=95 --at PLACE --on DAY"]
        ),
    ]
    return paper("Stall sheet", place or "A day at a stall", sections, fmt, foot=f"Money in {book.currency}.")


def tickets_page(articles: Sequence[Article], maker: str, minds: Mapping[str, Sequence[str]], fmt: Format) -> str:
    """Print a ticket for each piece in stock, to cut apart; `minds`: what is to be minded, by project."""
    sections = [
        Section(
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
    data = shelf_report(book)
    sections = []
    for name in dict.fromkeys(one.cloth for one in data.pieces):
        mine = [one for one in data.pieces if one.cloth == name]
        rows = [
            [
                one.id,
                str(one.count),
                one.size_text,
                "washed" if one.washed else "",
                str(one.promised or ""),
            ]
            for one in mine
        ]
        sections.append(Section(name, head=["piece", "number", "size", "", "promised"], rows=rows))
    return paper("Shelf list", "What lies on the shelf", sections, fmt)


def book_page(data: BookReport, fmt: Format) -> str:
    """Print the book's answers with charts: what earns most an hour, what is late, what lies unsold, the months."""
    first = data.articles[0] if data.articles and data.articles[0].an_hour else None
    late = [one for one in data.orders if one.days_late]
    figures = [
        Setting("late" if len(late) != 1 else f"late: order {late[0].number}", str(len(late))),
        Setting("made and unsold", str(len(data.unsold))),
    ]
    if first:
        figures.insert(0, Setting(f"an hour: {first.name}", f"{first.an_hour} {first.currency}"))
    sections = [
        Section("Earns most an hour", pictures=_chart(data.articles, fmt), head=_EARNED, rows=_rows(data.articles)),
        Section("Orders", head=_ORDER, rows=[_order(one) for one in data.orders]),
        Section("By size", head=_EARNED, rows=_rows(data.sizes)),
        Section("By place", pictures=_chart(data.places, fmt), head=_EARNED, rows=_rows(data.places)),
        Section("Made and unsold", head=_STOCK, rows=[_stock(one) for one in data.unsold]),
        Section("Quoted, asked and got", head=_ASKED, rows=[_asked(one) for one in data.articles]),
        Section("Month by month", pictures=_months(data.months, fmt), head=_EARNED, rows=_rows(data.months)),
        Section("Spent", pairs=_spent(data)),
    ]
    kept = [one for one in sections if one.rows or one.pairs or one.pictures]
    return paper(f"The book on {data.today}", "The book", kept, fmt, figures=figures, foot=_SAYS)


_SAYS = (
    "Left: what buyers paid, less tax, fees, packing and the materials of what was sold. An hour: that over the hours "
    "of making it. Stalls and other costs stand apart."
)
_EARNED = ("", "an hour", "sold", "got", "left", "hours")
_ORDER = ("order", "buyer", "what", "due", "owing")
_STOCK = ("ticket", "article", "size", "asked", "where")
_ASKED = ("", "quoted", "got of it", "asked", "got of it")


def _rows(many: Sequence[EarnedReport]) -> list[list[str]]:
    return [
        [one.name, one.an_hour or "", str(one.sold), f"{one.got} {one.currency}", one.earned, f"{one.hours:.1f}"]
        for one in many
    ]


def _order(one: OrderReport) -> list[str]:
    due = f"{one.due}: {counted(one.days_late, 'day')} late" if one.days_late else one.due
    return [
        str(one.number),
        one.buyer,
        f"{one.count} × {one.article}",
        due,
        f"{one.owing} {one.currency}",
    ]


def _stock(one: StockReport) -> list[str]:
    asked = f"{one.asked} {one.currency}" if one.asked else ""
    return [str(one.ticket), one.article, one.size, asked, one.place]


def _asked(one: EarnedReport) -> list[str]:
    return [one.name, one.quoted, one.quoted_got, one.asked, one.asked_got]


def _chart(many: Sequence[EarnedReport], fmt: Format) -> list[tuple[Any, str]]:
    known = [(one, one.an_hour) for one in many if one.an_hour]
    if fmt != "html" or len(known) < 2:
        return []
    rows = [(one.name, float(hour), f"{hour} {one.currency}") for one, hour in known[:12]]
    return [(safe(bars("What an hour earned", rows)), "what an hour earned")]


def _months(many: Sequence[EarnedReport], fmt: Format) -> list[tuple[Any, str]]:
    if fmt != "html" or len(many) < 2:
        return []
    rows = [(one.name, float(one.got), f"{one.got} {one.currency}") for one in many]
    return [(safe(bars("What buyers paid, month by month", rows)), "what buyers paid")]


def _spent(data: BookReport) -> list[Setting]:
    sums = [
        ("on cloth and things", data.cloth),
        ("on stalls and other costs", data.costs),
        ("cloth on the shelf, at what was paid", data.shelf_worth),
        ("stock, at cost", data.stock_worth),
    ]
    return [Setting(name, f"{amount} {currency}".strip()) for name, these in sums for currency, amount in these.items()]


HOURS = ((1.0, "an hour"), (2.0, "2 hours"), (5.0, "5 hours"), (10.0, "10 hours"), (50.0, "50 hours"))  # of a stitch
MOST_STITCHES = 16  # one above another
MOST_WEEKS = 53
FIRST = 6  # paces that are drawn where none is asked for


def history_page(told: History, named: Mapping[str, Mapping[str, Total]], fmt: Format) -> str:
    """Print what all sessions come to: hours by week as a chart, and the totals by what they are `named` by."""
    hours = sum(total.counted_ms for total in told.by_day.values()) / 1000
    figures = [
        Setting("hands on", time_text(hours)),
        Setting(plural("session", len(told.sessions)), str(len(told.sessions))),
        Setting(plural("day", len(told.by_day)), str(len(told.by_day))),
    ]
    sections = [_weeks(told, fmt)] if told.by_week else []
    sections += [
        Section(f"By {what}", table=_totals(what, totals))
        for what, totals in named.items()
        if totals and what != "week"
    ]
    sections += (
        [Section("Not finished", lines=[f"{one.title}, since {one.day}" for one in told.open])] if told.open else []
    )
    none = [Section("Nothing yet", lines=["No session yet. Begin one with: guide follow PROJECT"])]
    return paper("For the maker", "What all sessions come to", sections or none, fmt, figures=figures, foot=_COUNTED)


_COUNTED = (
    "Hands on: pauses, interruptions and waits are not in these times; trouble is. A week begins on Monday (ISO 8601)."
)


def _weeks(told: History, fmt: Format) -> Section:
    """The hours of each week, those without work too; the newest year of them is drawn."""
    all_ = weeks_between(min(told.by_week), max(told.by_week))
    rows = [(week, (told.by_week[week].counted_ms if week in told.by_week else 0) / 3_600_000) for week in all_]
    drawn = rows[-MOST_WEEKS:]
    most = max(hours for _, hours in drawn)
    unit = next((one for one in HOURS if most / one[0] <= MOST_STITCHES), HOURS[-1])
    picture = weeks("Hours by week", drawn, unit) if fmt == "html" else ""
    all_drawn = "" if len(drawn) == len(rows) else f" Drawn are the newest {MOST_WEEKS} weeks; the table has all."
    return Section(
        "Hours by week",
        pictures=[(safe(picture), f"A stitch is {unit[1]}.{all_drawn}")] if picture else [],
        table=_totals("week", told.by_week),
    )


def _totals(what: str, totals: Mapping[str, Total]) -> Table:
    """Totals by name: their time, what was counted, and in how many sessions."""
    times = minutes_each([total.counted_ms / 1000 for total in totals.values()])
    counts = "time" if what == "trouble" else "piece"
    rows = [
        (name or "nobody named", time.text, counted(total.pieces, counts), f"{total.sessions}")
        for (name, total), time in zip(totals.items(), times, strict=True)
    ]
    return of_texts((what, "time", "counted", "sessions"), rows, label=f"By {what}", numbers=True)


def paces_page(paces: Paces, chosen: Sequence[Pace], all_: Table, fmt: Format, lines: Sequence[str] = ()) -> str:
    """Print a maker's paces: those chosen session by session as small charts with their table, then all of them."""
    figures = [
        Setting(plural("session", paces.sessions), str(paces.sessions)),
        Setting(plural("day", paces.days), str(paces.days)),
    ]
    pictures = [(safe(pace_chart(_paced(one))), one.title or one.step) for one in chosen] if fmt == "html" else []
    sections = [
        *([Section("Session by session", pictures=pictures, lines=[_CHARTED])] if pictures else []),
        *([Section("The same in figures", table=_by_session(chosen))] if chosen else []),
        Section("All paces", table=all_, lines=lines),
    ]
    whose = f"The times of {paces.maker}" if paces.maker else "For the maker"
    return paper(whose, "What each step takes", sections, fmt, figures=figures, foot=_RANGE)


_CHARTED = (
    "A dot is a session, the line of stitches the starter pace, the band where four in five of the days to come lie, "
    "made as last and at its sizes."
)
_RANGE = "Time a piece, at the sizes last worked at. First pieces, trouble and waits are left out."


def most_time(paces: Paces) -> list[Pace]:
    """The steps that took most time in the sessions told, the most first."""
    took = {name: sum(one.pace_s * one.pieces for one in pace.by_session) for name, pace in paces.steps.items()}
    return [paces.steps[name] for name in sorted(took, key=lambda name: -took[name])[:FIRST]]


def _paced(pace: Pace) -> Paced:
    points = [(one.day, one.pace_s) for one in pace.by_session]
    return Paced(pace.title or pace.step, points, pace.starter_s, pace.low_s, pace.high_s)


def _by_session(chosen: Sequence[Pace]) -> Table:
    """A row a session, a column a step; the starter pace and the range below."""
    says = partial(exact_text, tenths=True)
    days: dict[str, str] = {}
    for one in (one for pace in chosen for one in pace.by_session):
        days[one.session] = min(days.get(one.session, one.day), one.day)
    known = [{one.session: one.pace_s for one in pace.by_session} for pace in chosen]
    rows = [
        (days[session], *(says(mine[session]) if session in mine else "" for mine in known)) for session in sorted(days)
    ]
    rows.append(("starter", *(says(pace.starter_s) if pace.starter_s else "" for pace in chosen)))
    rows.append(("range", *(f"{says(pace.low_s)}{NO_BREAK}to{NO_BREAK}{says(pace.high_s)}" for pace in chosen)))
    heads = ("session", *(pace.title or pace.step for pace in chosen))
    return of_texts(heads, rows, label="Pace by session", numbers=True, css="dense")
