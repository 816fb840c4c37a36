"""Pages round a sale: the price for the maker, the quotation for a customer, ticket, slip and lists."""

from guide.show.pages.illustrate import Report, faces, words
from guide.show.pages.render import Format, render

PHOTOS = (
    "the front, whole",
    "the back, whole",
    "the closure, open and shut",
    "the fringe, close",
    "beside a hand or a chair, for scale",
)


def render_price(report: Report, fmt: Format = "html") -> str:
    """Render the price page of a report that has its `cost`."""
    return render("price", fmt, report)


def render_quote(report: Report, fmt: Format = "html", *, customer: str = "", valid_until: str = "") -> str:
    """Render a quotation: what, size, prints, price, until when; never what it costs to make."""
    pictures = faces(report) if fmt == "html" else {}
    figures = [{"text": _size(report), "label": "size"}]
    return render("quote", fmt, report, pictures=pictures, figures=figures, customer=customer, valid_until=valid_until)


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
    cost = report["cost"]
    made = report["session"]["maker"] if "session" in report else ""
    packing = [report["project"]["title"], "care slip", "swing ticket", "tissue, and a card that says who made it"]
    if report["project"]["kind"] == "cushion":
        packing.insert(1, "the pad inside, its fire label on it")
    return render(
        "tickets",
        fmt,
        report,
        maker=maker or made,
        size=_size(report),
        fibre=fibre,
        wadding_fibre=wadding_fibre,
        price=f"{cost['price']} {cost['currency']}" if priced and cost else "",
        photos=list(PHOTOS),
        packing=packing,
    )


def _size(report: Report) -> str:
    width = words(report, "washed_width") or words(report, "face_width")
    return f"{width} × {words(report, 'washed_height') or words(report, 'face_height')}"
