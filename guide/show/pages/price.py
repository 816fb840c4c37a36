"""The price taken apart for the maker, and the quotation a customer gets."""

from collections.abc import Sequence
from pathlib import Path

import msgspec
from markupsafe import Markup

from guide.plan.model import Layout
from guide.read.spoken import said
from guide.show.model import Report, Setting
from guide.show.model_plan import CostLine, CostReport, PricePart
from guide.show.pages.photos import read_photos
from guide.show.pages.render import Format, faces, render, safe
from guide.show.pictures.faces import Seen
from guide.show.pictures.times import price_bar
from guide.show.report_numbers import words
from guide.show.table import Cell, Column, Table, table

# Paper a face is wide: two stand side by side, with their sizes beside them, and closer where several are chosen from.
OFFERED, CHOSEN = Seen(shown_mm=70.0), Seen(shown_mm=66.0)


def render_price(report: Report, fmt: Format = "html", *, sold: Table | None = None, says: Sequence[str] = ()) -> str:
    """Render the price page of a report that has its `cost`, and where it is `sold`, with what that says."""
    assert report.cost is not None
    cost = report.cost
    return render(
        "price",
        fmt,
        report,
        page="price",
        pictures={"bar": _bar(cost)} if fmt == "html" and not cost.unpriced else {},
        figures=_figures(cost),
        costs=_costs(cost),
        apart=_apart(cost, report.project.words),
        sold=sold,
        told=says,
    )


def _bar(cost: CostReport) -> Markup:
    """Where the price goes as one bar, with what it may come to."""
    between = None
    if cost.price_low and cost.price_high:
        words = f"four makings in five: {cost.price_low} to {cost.price_high}"
        between = (float(cost.price_low), float(cost.price_high), words)
    parts = [(one.name, float(one.amount), one.amount) for one in cost.apart]
    return safe(price_bar(parts, (float(cost.price), f"{cost.price_text} {cost.currency}"), between))


def _figures(cost: CostReport) -> list[Setting]:
    """What to ask, what it costs and what an hour earns; nothing where no price is given."""
    if cost.unpriced:
        return []
    price = f"{'each, ' if cost.make > 1 else ''}{'given' if cost.given else 'to ask'}"
    span = Setting("four makings in five", f"{cost.price_low} to {cost.price_high}")
    return [
        Setting(price, f"{cost.price_text} {cost.currency}"),
        *([span] if cost.price_low else []),
        Setting("cost of one", cost.each),
        *([Setting("an hour really earns", cost.hourly)] if cost.hourly else []),
    ]


def _costs(cost: CostReport) -> Table:
    """The cost line by line, and their sum."""
    columns = [
        Column[CostLine]("Line", lambda one: one.name),
        Column[CostLine]("how", lambda one: one.how, style="soft"),
        Column[CostLine](cost.currency, lambda one: Cell(one.amount, style="big" if one is all_ else ""), number=True),
    ]
    all_ = CostLine("Cost", cost.cost, "")
    whom = f"For all {cost.make}" if cost.make > 1 else "For one"
    rests = f", {cost.resting_text} resting them" if cost.resting_text else ""
    caption = f"{whom}, {cost.hours_text} hands on{rests}; waits cost nothing."
    rows = [[*cost.lines, all_]]
    return table(columns, rows, sums=lambda one: one is all_, label="What the making costs", caption=caption)


def _apart(cost: CostReport, spoken: str) -> Table:
    """One price and the parts that it goes to."""
    all_ = PricePart("The buyer pays", cost.price)
    columns = [
        Column[PricePart]("Part", lambda one: one.name),
        Column[PricePart](cost.currency, lambda one: Cell(one.amount, style="big" if one is all_ else ""), number=True),
    ]
    rows = [[*cost.apart, all_]]
    return table(columns, rows, words=spoken, sums=lambda one: one is all_, label="Where one price goes")


def render_quote(report: Report, fmt: Format = "html", *, valid_until: str = "") -> str:
    """Render a quotation: what, size, prints, price, until when; never what it costs to make."""
    assert report.cost is not None
    cost, make = report.cost, report.project.make
    pictures = faces(report, sides_of(report), lettered=False, seen=OFFERED) if fmt == "html" else {}
    return render(
        "price",
        fmt,
        report,
        page="quotation",
        pictures=pictures,
        figures=[
            Setting("each" if make > 1 else "price", f"{cost.price} {cost.currency}"),
            Setting("size", size_of(report)),
        ],
        valid_until=valid_until,
    )


class Shown(msgspec.Struct, frozen=True):
    """One layout of a page for a customer: its name, a sentence, its faces."""

    name: str
    says: str
    pictures: dict[str, Markup]
    report: Report


def render_layouts(
    report: Report, layouts: Sequence[tuple[str, str, Layout]], fmt: Format = "html", *, folder: Path | None = None
) -> str:
    """Render layouts of one project to choose from, (name, sentence, layout): faces without letters, no costs.

    `folder` is where the photos of its prints lie.
    """
    many = len(layouts) > 1
    seen = CHOSEN if many else OFFERED
    shown = []
    for name, says, layout in layouts:
        at = msgspec.structs.replace(report, layout=layout)
        pictures = faces(at, sides_of(at), lettered=False, seen=seen) if fmt == "html" else {}
        shown.append(Shown(name.capitalize(), says, pictures, at))
    turned = report.project.back == "none"  # both faces are of the one panel, so each layout has its own
    size = [Setting("size", size_of(report))] if size_of(report) else []
    photos = read_photos(((p.photo, p.name) for p in report.prints if p.photo and fmt == "html"), folder)
    page = "proposals" if many else "layout"
    return render("price", fmt, report, page=page, shown=shown, figures=size, photos=photos, turned=turned)


def size_of(report: Report) -> str:
    """The finished piece's size, washed."""
    return " × ".join(words(report, side) for side in sides_of(report))


def sides_of(report: Report) -> tuple[str, str]:
    """What a customer calls its size: washed, or as sewn where no stage washes it."""
    return ("washed_width", "washed_height") if words(report, "washed_width") else ("face_width", "face_height")


# What goes with a sold piece: swing ticket, care slip, photo list, packing list.

TO_WRITE = "………………………"  # to be written in


def render_tickets(
    report: Report,
    fmt: Format = "html",
    *,
    maker: str = "",
    fibre: str = "",
    wadding_fibre: str = "",
    priced: bool = False,
) -> str:
    """Render swing ticket, care slip, photo list and packing list; fibre content as the maker enters it."""
    made = report.session.maker if report.session else ""
    wadding = said("wadding", report.project.words)
    fibres = [Setting("cloth", fibre or TO_WRITE), Setting(wadding, wadding_fibre or TO_WRITE)]
    return render(
        "tickets",
        fmt,
        report,
        maker=maker or made,
        size=size_of(report),
        fibres=fibres if report.project.wadding else fibres[:1],
        priced=priced,
        unsafe=report.session.unsafe if report.session else (),
        mind=["fire", *report.minding],
    )
