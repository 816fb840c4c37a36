"""The two faces of a panel as they are seen: prints, letters, fringes, and the finished size."""

from collections.abc import Sequence

from guide.show.pictures.cloth import Look, definitions
from guide.show.pictures.svg import (
    INK,
    PAPER,
    THREAD,
    Pen,
    across,
    down,
    el,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
)

Rows = Sequence[Sequence[str]]  # print names, row by row, as seen


def face(
    rows: Rows,
    looks: dict[str, Look],
    *,
    pitch_mm: float,
    fringe_mm: float,
    title: str,
    width_text: str,
    height_text: str,
    frayed: bool = True,
    quilted: bool = False,
    zip_after: int | None = None,
    zip_upright: bool = False,
) -> str:
    """One face, row 1 on top. Frayed seams show their fringes.

    A closed zip lies after `zip_after` rows, or columns when it is upright.
    """
    wide, high = len(rows[0]) * pitch_mm, len(rows) * pitch_mm
    p = pen(wide, 86.0, left=2.5, right=17.0, top=2.5, bottom=10.0)
    body = [definitions(p, {name: looks[name] for row in rows for name in row})]
    for r, row in enumerate(rows):
        for c, name in enumerate(row):
            body.append(_patch(p, looks[name], r, c, pitch_mm, quilted=quilted))
    body.append(_seams(p, rows, pitch_mm, fringe_mm, frayed=frayed))
    body.append(_fringe(p, wide, high, fringe_mm))
    if zip_after is not None:
        body.append(_zip(p, zip_after * pitch_mm, high if zip_upright else wide, upright=zip_upright))
    body.append(across(p, 0, wide, high + p.k * 3.6, width_text, name="width"))
    body.append(down(p, wide + p.k * 3.6, 0, high, height_text, name="height"))
    return picture(title, wide, high, p, body)


def plain_back(
    look: Look,
    *,
    width_mm: float,
    height_mm: float,
    fringe_mm: float,
    title: str,
    width_text: str,
    height_text: str,
    zip_at_mm: float | None = None,
    zip_upright: bool = False,
) -> str:
    """A back of one cloth, with its closed zip when it has one, `zip_at_mm` from the top or the left as seen."""
    p = pen(width_mm, 86.0, left=2.5, right=17.0, top=2.5, bottom=10.0)
    body = [
        definitions(p, {look.name: look}),
        el("rect", width=width_mm, height=height_mm, fill=look.fill, data_print=look.name),
        _fringe(p, width_mm, height_mm, fringe_mm),
    ]
    if zip_at_mm is not None:
        body.append(_zip(p, zip_at_mm, height_mm if zip_upright else width_mm, upright=zip_upright))
    body.append(across(p, 0, width_mm, height_mm + p.k * 3.6, width_text, name="width"))
    body.append(down(p, width_mm + p.k * 3.6, 0, height_mm, height_text, name="height"))
    return picture(title, width_mm, height_mm, p, body)


def _patch(p: Pen, look: Look, r: int, c: int, pitch: float, *, quilted: bool) -> str:
    x, y = c * pitch, r * pitch
    marks = [
        el(
            "rect", x=x, y=y, width=pitch, height=pitch, fill=look.fill, data_row=str(r + 1),
            data_column=str(c + 1), data_print=look.name, data_x_mm=x, data_y_mm=y,
        )
    ]  # fmt: skip
    if quilted:
        inset = pitch * 0.06
        for x1, x2 in ((x + inset, x + pitch - inset), (x + pitch - inset, x + inset)):
            marks.append(stitch(p, x1, y + inset, x2, y + pitch - inset, colour=INK, paper_mm=0.22))
    if look.lettered:
        marks.extend(
            (
                el("circle", cx=x + pitch / 2, cy=y + pitch / 2, r=p.k * 3.1, fill=PAPER),
                label(p, x + pitch / 2, y + pitch / 2, look.letter, size=4.2, weight="600"),
            )
        )
    return "".join(marks)


def _seams(p: Pen, rows: Rows, pitch: float, fringe: float, *, frayed: bool) -> str:
    """The seams inside the face: a comb of threads each side when frayed, a plain line when not."""
    wide, high = len(rows[0]) * pitch, len(rows) * pitch
    uprights = [(c * pitch, 0.0, c * pitch, high) for c in range(1, len(rows[0]))]
    levels = [(0.0, r * pitch, wide, r * pitch) for r in range(1, len(rows))]
    if not frayed:
        return "".join(line(p, *seam, paper_mm=0.35) for seam in uprights + levels)
    marks = []
    for x1, y1, x2, y2 in uprights + levels:
        marks.append(_comb(p, (x1, y1, x2, y2), fringe))
        marks.append(line(p, x1, y1, x2, y2, paper_mm=0.3))
    return "".join(marks)


def _comb(p: Pen, seam: tuple[float, float, float, float], fringe: float) -> str:
    """Frayed threads across a seam: a hundred small strokes as one path, leaning by turns."""
    x1, y1, x2, y2 = seam
    step = p.k * 1.25
    reach = min(fringe * 0.75, p.k * 2.6)
    upright = x1 == x2
    count = int(((y2 - y1) if upright else (x2 - x1)) / step)
    strokes = []
    for i in range(count):
        at = (i + 0.5) * step
        lean = p.k * (0.35, -0.45, 0.1, -0.2, 0.5)[i % 5]
        far = reach * (1.0, 0.72, 0.9, 0.8)[i % 4]
        if upright:
            strokes.append(f"M{number(x1 - far)} {number(y1 + at + lean)}L{number(x1 + far)} {number(y1 + at - lean)}")
        else:
            strokes.append(f"M{number(x1 + at + lean)} {number(y1 - far)}L{number(x1 + at - lean)} {number(y1 + far)}")
    halo = el("path", d="".join(strokes), stroke=PAPER, stroke_width=p.line(0.5))
    return halo + el("path", d="".join(strokes), stroke=INK, stroke_width=p.line(0.16), class_="fringe")


def _fringe(p: Pen, wide: float, high: float, fringe: float) -> str:
    """The outer edge's fringe, outside the face's outline."""
    reach = min(fringe, p.k * 2.2)
    strokes = []
    for length, upright in ((wide, False), (high, True)):
        count = int(length / (p.k * 1.1))
        for i in range(count + 1):
            at, far = i * length / count, reach * (1.0, 0.7, 0.9, 0.8)[i % 4]
            for edge, way in ((0.0, -1), (high if not upright else wide, 1)):
                if upright:
                    strokes.append(f"M{number(edge)} {number(at)}h{number(way * far)}")
                else:
                    strokes.append(f"M{number(at)} {number(edge)}v{number(way * far)}")
    outline = el("rect", width=wide, height=high, stroke=INK, stroke_width=p.line(0.4))
    return el("path", d="".join(strokes), stroke=INK, stroke_width=p.line(0.16), class_="fringe") + outline


def _zip(p: Pen, at: float, length: float, *, upright: bool) -> str:
    """A closed zip between two rows of a back, or two columns."""
    tape = el(
        "rect", x=0, y=at - p.k * 1.2, width=length, height=p.k * 2.4, fill=PAPER, stroke=INK, stroke_width=p.line(0.3)
    )
    teeth = el(
        "line", x1=p.k, y1=at, x2=length - p.k, y2=at, stroke=THREAD, stroke_width=p.line(1.2),
        stroke_dasharray=f"{number(p.k * 0.5)} {number(p.k * 0.5)}", stroke_linecap="butt", data_line="zip",
    )  # fmt: skip
    return el("g", tape, teeth, transform="matrix(0 1 1 0 0 0)" if upright else None)
