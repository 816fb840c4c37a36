"""What goes with a sold piece: swing ticket, care slip, photo list, packing list."""

from guide.read.spoken import said
from guide.show.model import Report, Setting
from guide.show.model_plan import CostReport, ProjectReport
from guide.show.pages.price import size_of
from guide.show.pages.render import Format, render

BLANK = "………………………"  # to be written in


def _photos(project: ProjectReport) -> list[str]:
    """What to photograph of a piece of this kind."""
    shut = project.closure not in ("none", None)
    front, back = ("the front, whole", "the back, whole") if shut else ("one face, whole", "the other face, whole")
    closure = ["the closure, open and shut"] if shut else []
    return [front, back, *closure, "the fringe, close", "beside a hand or a chair, for scale"]


def _price(cost: CostReport | None) -> str:
    """The price, or a blank to write it in where the project gives none."""
    if not cost:
        return ""
    return f"{'…………' if cost.unpriced else cost.price} {cost.currency}"


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
    packing = [report.project.title, "care slip", "swing ticket", "tissue, and a card that says who made it"]
    if report.project.kind == "cushion":
        packing.insert(1, "the pad inside, its fire label on it")
    wadding = said("wadding", report.project.words)
    fibres = [Setting("cloth", fibre or BLANK), Setting(wadding, wadding_fibre or BLANK)]
    return render(
        "tickets",
        fmt,
        report,
        maker=maker or made,
        size=size_of(report),
        fibres=fibres if report.project.wadding else fibres[:1],
        price=_price(report.cost) if priced else "",
        photos=_photos(report.project),
        unsafe=report.session.unsafe if report.session else (),
        mind=["fire", *report.minding],
        packing=[packing[0], *(said(one, report.project.words) for one in packing[1:])],
    )
