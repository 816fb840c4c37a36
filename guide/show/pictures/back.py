"""A back on its way: which way seams are pressed, which envelope panel lies first, the pins."""

from collections.abc import Callable

from guide.show.pictures.lettering import LEAST
from guide.show.pictures.svg import (
    INK,
    SOFT,
    THREAD,
    Pen,
    across,
    arrow,
    down,
    el,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
)


def pressing(*, rows: int, squares: int, pitch_mm: float, upright: bool = False) -> str:
    """Rows (columns when upright) of so many squares pressed alternate ways, so that seams nest when they meet."""
    wide, high = squares * pitch_mm, rows * pitch_mm
    p = pen(high if upright else wide, 66.0, left=3.0, right=3.0, top=3.0, bottom=3.0)
    body = [el("rect", width=wide, height=high, fill="#f4efe4", stroke=INK, stroke_width=p.line(0.35))]
    for row in range(rows):
        y = (row + 0.5) * pitch_mm
        way = -1 if row % 2 else 1
        if row:
            body.append(line(p, 0, row * pitch_mm, wide, row * pitch_mm, colour=SOFT, paper_mm=0.25))
        for column in range(1, squares):
            x = column * pitch_mm
            body += [
                line(p, x, row * pitch_mm, x, (row + 1) * pitch_mm, paper_mm=0.4),
                arrow(p, x, y, x + way * pitch_mm * 0.32, y, colour=THREAD),
            ]
    name, ways = ("column", ("down", "up")) if upright else ("row", ("to the right", "to the left"))
    said = f"Pressing seams: {', '.join(f'{name} {row + 1} {ways[row % 2]}' for row in range(rows))}."
    if not upright:
        return picture(said, wide, high, p, body)
    return picture(said, high, wide, p, [el("g", *body, transform="matrix(0 1 1 0 0 0)")])


def envelope(
    *, width_mm: float, height_mm: float, length_mm: float, width_text: str, length_text: str,
) -> str:  # fmt: skip
    """Two hemmed panels over the front: the under panel is laid first, the one laid last shows."""
    p = pen(width_mm, 84.0, left=3.0, right=27.0, top=3.0, bottom=10.0)
    first = height_mm - length_mm
    body = [
        el("rect", width=width_mm, height=height_mm, stroke=SOFT, stroke_width=p.line(0.3)),
        el(
            "rect", y=first, width=width_mm, height=length_mm, fill="#e6dcc9", stroke=INK, stroke_width=p.line(0.35),
            data_panel="1", data_y_mm=first,
        ),
        el(
            "rect", width=width_mm, height=length_mm, fill="#f4efe4", stroke=INK, stroke_width=p.line(0.35),
            fill_opacity=0.86, data_panel="2", data_y_mm=0.0,
        ),
        stitch(p, 0, length_mm - p.k * 2, width_mm, length_mm - p.k * 2, "hem"),
        label(p, width_mm / 2, first + length_mm - p.k * 8, "1  laid first, under", size=4.2, weight="600"),
        label(p, width_mm / 2, p.k * 9, "2  laid last: this one shows", size=4.2, weight="600"),
        across(p, 0, width_mm, height_mm + p.k * 3, width_text, name="width") if width_text else "",
        down(p, width_mm + p.k * 3, 0, length_mm, f"cut {length_text}", name="length") if length_text else "",
    ]  # fmt: skip
    words = "Envelope back: the under panel is laid first; the panel laid last is the one that shows."
    return picture(words, width_mm, height_mm, p, body)


def pinning(
    *, width_mm: float, height_mm: float, seam_mm: float, pins: bool, tops: bool, zip_mm: float | None, upright: bool,
    told: Callable[..., str] = lambda *phrases: phrases[0],
) -> str:  # fmt: skip
    """The front on the back: pins across the edge at corners, middles and between; `tops` where they must meet.

    The zip of the back, `zip_mm` from the top (or the left), shows through as a dotted line; mirrored across, for the
    front is seen and the back lies under it.
    """
    p = pen(width_mm, 78.0, left=3.0, right=3.0, top=9.0, bottom=8.0)
    body = [el("rect", width=width_mm, height=height_mm, fill="#f4efe4", stroke=INK, stroke_width=p.line(0.35))]
    if zip_mm is not None:
        at = width_mm - zip_mm if upright else zip_mm
        ends = (
            {"x1": at, "y1": 0.0, "x2": at, "y2": height_mm}
            if upright
            else {"x1": 0, "y1": at, "x2": width_mm, "y2": at}
        )
        body.append(
            el(
                "line", **ends, stroke=SOFT, stroke_width=p.line(0.5), data_zip_mm=at,
                stroke_dasharray=f"{number(p.k)} {number(p.k * 1.2)}",
            )
        )  # fmt: skip
    if pins:
        reach = max(seam_mm * 1.6, p.k * 5)
        for part in range(1, 8):
            x, y = width_mm * part / 8, height_mm * part / 8
            body += [_pin(p, x, 0, 0, reach), _pin(p, x, height_mm, 0, -reach)]
            body += [_pin(p, 0, y, reach, 0), _pin(p, width_mm, y, -reach, 0)]
    middle = width_mm / 2
    if tops:
        body += [
            arrow(p, middle, height_mm * 0.62, middle, height_mm * 0.42, colour=THREAD),
            label(p, middle, -p.k * 4.5, told("the back's top to the front's top"), size=4.0, weight="600"),
        ]
    held = told("counted out") if pins else ""
    body += [label(p, middle, height_mm + p.k * 4.5, held, size=LEAST)] if held else []
    words = f"The front on the back, wrong sides together{', pins across its edge' * pins}{', top to top' * tops}."
    return picture(words, width_mm, height_mm, p, body)


def _pin(p: Pen, x: float, y: float, dx: float, dy: float) -> str:
    """One pin, its head outside the edge, its point towards the middle."""
    head = el("circle", cx=x - dx * 0.35, cy=y - dy * 0.35, r=p.k * 0.9, fill=THREAD)
    return line(p, x - dx * 0.35, y - dy * 0.35, x + dx, y + dy, colour=INK, paper_mm=0.35) + el(
        "g", head, data_pin="1"
    )
