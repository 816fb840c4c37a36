"""The price taken apart for the maker, and the quotation a customer gets."""

from guide.show.pages.illustrate import Report, faces, words
from guide.show.pages.render import Format, render


def render_price(report: Report, fmt: Format = "html") -> str:
    """Render the price page of a report that has its `cost`."""
    return render("price", fmt, report)


def render_quote(report: Report, fmt: Format = "html", *, valid_until: str = "") -> str:
    """Render a quotation: what, size, prints, price, until when; never what it costs to make."""
    pictures = faces(report, sides_of(report)) if fmt == "html" else {}
    figures = [{"text": size_of(report), "label": "size"}]
    return render("quote", fmt, report, pictures=pictures, figures=figures, valid_until=valid_until)


def size_of(report: Report) -> str:
    """The finished piece's size, washed."""
    return " × ".join(words(report, side) for side in sides_of(report))


def sides_of(report: Report) -> tuple[str, str]:
    """What a customer calls its size: washed, or as sewn where no stage washes it."""
    return ("washed_width", "washed_height") if words(report, "washed_width") else ("face_width", "face_height")
