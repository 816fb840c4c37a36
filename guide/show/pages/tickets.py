"""What goes with a sold piece: swing ticket, care slip, photo list, packing list."""

from guide.show.pages.illustrate import Report
from guide.show.pages.price import size_of
from guide.show.pages.render import Format, render

PHOTOS = (
    "the front, whole",
    "the back, whole",
    "the closure, open and shut",
    "the fringe, close",
    "beside a hand or a chair, for scale",
)


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
        size=size_of(report),
        fibre=fibre,
        wadding_fibre=wadding_fibre,
        price=f"{cost['price']} {cost['currency']}" if priced and cost else "",
        photos=list(PHOTOS),
        packing=packing,
    )
