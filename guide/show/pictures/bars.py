"""Amounts side by side, each as a line of running stitch."""

from collections.abc import Sequence

from guide.show.pictures.svg import SOFT, el, label, line, pen, picture, stitch

_STEP = 8.0  # mm from line to line
_LONG = 70.0  # mm of the longest


def bars(title: str, rows: Sequence[tuple[str, float, str]]) -> str:
    """Draw one line of stitches a row: its name, its amount, and the amount in words. What is lost runs dotted."""
    p = pen(_LONG, _LONG + 84, left=54, right=30, top=2, bottom=2)
    most = max((abs(amount) for _, amount, _ in rows), default=0.0) or 1.0
    body = [line(p, 0, 0, 0, _STEP * len(rows), colour=SOFT, paper_mm=0.25)]
    for at, (name, amount, text) in enumerate(rows):
        y, end = _STEP * (at + 0.5), max(abs(amount) / most * _LONG, 0.4)
        drawn = stitch(p, 0, y, end, y, name, paper_mm=1.0) if amount >= 0 else _lost(p.line(1.2), end, y)
        body += [
            label(p, -p.k * 2, y, name, size=4.6, anchor="end"),
            drawn,
            label(p, end + p.k * 2, y, text, size=4.6, anchor="start"),
        ]
    read = "; ".join(f"{name}: {text}" for name, _, text in rows)
    return picture(f"{title}. {read}.", _LONG, _STEP * len(rows), p, body)


def _lost(width: str, end: float, y: float) -> str:
    return el("line", x1=0.0, y1=y, x2=end, y2=y, stroke=SOFT, stroke_width=width, stroke_dasharray="0.4 2.4")
