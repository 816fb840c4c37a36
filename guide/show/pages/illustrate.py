"""Which pictures a page shows, drawn from the report's own numbers."""

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup
from msgspec.structs import replace

from guide.read.plurals import labelled
from guide.read.spoken import said
from guide.show.faces import back_rows, back_words, face_rows
from guide.show.pictures.cloth import Look, looks
from guide.show.pictures.faces import face, plain_back

Report = dict[str, Any]


def mm(report: Report, name: str) -> float | None:
    """A number of the graph as a float, or None when it does not apply."""
    value = report["quantities"].get(name, {}).get("value")
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def words(report: Report, name: str) -> str:
    """The same number as the maker reads it; empty when it does not apply."""
    row = report["quantities"].get(name, {})
    return row["text"] if row.get("value") is not None else ""


def figure_list(report: Report, pairs: Iterable[tuple[str, str]]) -> list[dict[str, str]]:
    """The large figures of a page with their labels; those there is nothing of are left out."""
    spoken = report["project"]["words"]
    return [{"text": text, "label": said(labelled(label, text), spoken)} for text, label in pairs if text.strip(" ×")]


def looks_of(report: Report) -> dict[str, Look]:
    """How the project's prints are drawn."""
    return looks([(p["name"], p["letter"]) for p in report["prints"]])


def safe(svg: str) -> Markup:
    """A finished picture: it escapes its own texts."""
    return Markup(svg)  # noqa: S704 - made of elements whose every attribute and text is escaped


def faces(
    report: Report, sides: tuple[str, str] = ("face_width", "face_height"), *, lettered: bool = True
) -> dict[str, Markup]:
    """Front and back as they are seen, whichever the project has; `sides`: the quantities written beside them.

    A buyer's have no letters on the prints.
    """
    layout, project = report["layout"], report["project"]
    pitch, seam = mm(report, "pitch"), mm(report, "seam")
    if layout is None or pitch is None or seam is None:
        return {}
    common: dict[str, Any] = {
        "looks": {name: replace(look, lettered=lettered) for name, look in looks_of(report).items()},
        "pitch_mm": pitch,
        "fringe_mm": seam,
        "width_text": words(report, sides[0]),
        "height_text": words(report, sides[1]),
    }
    front = face_rows(layout, 0)
    out = {
        "front": safe(face(front, title=face_words("Front", front), quilted=project["quilting"] == "cross", **common))
    }
    back = _back(report, common)
    return out | ({"back": safe(back)} if back else {})


def _back(report: Report, common: dict[str, Any]) -> str:
    """The back as it is seen: patchwork, one cloth, or a throw's other face."""
    after, upright = zip_place(report)
    rows = back_rows(report)
    if rows is not None:
        if report["project"]["closure"] == "envelope":
            common = common | {"height_text": f"2 × {len(rows) // 2} rows"}
        title = face_words(back_words(report), rows)
        through = report["project"]["back"] == "none" and report["project"]["quilting"] == "cross"
        return face(rows, title=title, frayed=False, quilted=through, zip_after=after, zip_upright=upright, **common)
    wide, high = mm(report, "face_width"), mm(report, "face_height")
    look = common["looks"].get(report["project"]["back_cloth"])
    if look is None or wide is None or high is None:
        return ""
    return plain_back(
        look,
        width_mm=wide,
        height_mm=high,
        fringe_mm=common["fringe_mm"],
        title=f"{back_words(report)}, all of {look.name}.",
        width_text=common["width_text"],
        height_text=common["height_text"],
        zip_at_mm=None if after is None else after * common["pitch_mm"],
        zip_upright=upright,
    )


def face_words(name: str, rows: list[list[str]]) -> str:
    """The text alternative of a face: every row read out."""
    lines = "; ".join(f"row {number}: {', '.join(row)}" for number, row in enumerate(rows, 1))
    return f"{name}. {lines}."


def zip_place(report: Report) -> tuple[int | None, bool]:
    """After how many rows (or columns from the left, upright) of the back as it is seen the zip lies."""
    rows, columns = mm(report, "after_row"), mm(report, "after_column")
    if report["project"]["closure"] != "zip":
        return None, False
    if report["quantities"].get("zip_along", {}).get("value") == "column" and columns is not None:
        return int(columns), True
    return (None if rows is None else int(rows)), False
