"""What is seen on either face: prints row by row, and what the back is called wherever it is shown.

A cushion's back is a panel of its own: its rows and columns are counted with its right sides up, which is how it is
laid out, sewn from and seen on the cushion. A throw's other face is the panel itself, turned like the page of a book.
"""

from guide.plan.model import Layout
from guide.show.model import Report

Rows = list[list[str]]


def face_rows(layout: Layout, layer: int) -> Rows:
    """The prints of one layer, row by row: the panel's front, or the back's own right side."""
    rows = [[""] * layout.across for _ in range(layout.down)]
    for block in layout.blocks:
        rows[block.row - 1][block.column - 1] = block.stack[layer]
    return rows


def back_rows(report: Report) -> Rows | None:
    """The back row by row as it is seen; None when it is one cloth, or nothing is laid."""
    if report.backing is not None:
        return face_rows(report.backing, 0)
    if report.layout is None or report.project.back != "none":
        return None
    return mirrored(face_rows(report.layout, -1))


def back_words(report: Report) -> str:
    """What the back is called; an envelope's two panels hide a part of each other once they lie."""
    apart = report.backing is not None and report.project.closure == "envelope"
    return "Back, as you see it" + (", its two panels apart" if apart else "")


def mirrored(rows: Rows) -> Rows:
    """A face once the work is turned like a page: column c stands at across + 1 − c."""
    return [row[::-1] for row in rows]
