"""The two faces of a panel as they are seen: prints, letters, fringes, and the finished size."""

import math
from collections.abc import Sequence

import msgspec

from guide.show.pictures.cloth import WADDING, Look, definitions, laid
from guide.show.pictures.frames import PLAIN, Told
from guide.show.pictures.svg import (
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    across,
    arrow,
    down,
    el,
    fit,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
    threads,
)
from guide.show.report_numbers import zip_place

# One block's stack: its layers drawn apart, front face on top; or as it is laid, square beside square.

PATCH, GAP, BAR = 9.0, 1.2, 2.6  # paper mm of a row of squares


def stack_apart(
    stack: Sequence[str], looks: dict[str, Look], *, above: int, wadding: bool, square_mm: float, wadding_mm: float,
) -> str:  # fmt: skip
    """Draw the squares front face first, the first `above` of them over the wadding."""
    wide = square_mm * 1.4
    p = pen(wide, 84.0, left=2.0, right=36.0, top=2.0, bottom=2.5)
    layers: list[tuple[str, str, float]] = [(name, "up", square_mm) for name in stack[:above]]
    if wadding:
        layers.append(("wadding", "", wadding_mm))
    layers += [(name, "down", square_mm) for name in stack[above:]]
    apart, flat = square_mm * 0.2, square_mm * 0.34
    body = [definitions(p, {name: looks[name] for name in stack}, square_mm, square_mm)]
    for place in reversed(range(len(layers))):
        name, side, size = layers[place]
        body.append(_layer(p, place * apart, square_mm, (name, size), looks[name] if side else None))
    left = len(stack)  # squares are counted as they are laid, from the foot; wadding is none
    for place, (name, side, _) in enumerate(layers):
        y = place * apart + flat / 2
        words = f"{left}  {looks[name].letter} {name}" if side else "wadding"
        left -= bool(side)
        told = fit(words, LEAST, 48.0)
        body.append(label(p, wide + p.k * 7, y, told, anchor="start", colour=INK if side else SOFT))
        if side:
            tip = -1.6 * p.k if side == "up" else 1.6 * p.k
            body.append(arrow(p, wide + p.k * 4, y - tip, wide + p.k * 4, y + tip, colour=THREAD))
    said = ", ".join(f"{name} right side {side}" if side else name for name, side, _ in layers)
    return picture(f"The stack of one block from the top: {said}.", wide, (len(layers) - 1) * apart + flat, p, body)


def _layer(p: Pen, y: float, square: float, layer: tuple[str, float], look: Look | None) -> str:
    """One layer (name, size) as a leaning square, centred on the others; wadding has no look."""
    name, size = layer
    inset = (square - size) / 2
    lean, flat = square * 0.4, square * 0.34

    def at(across: float, along: float) -> str:
        return f"{number(across + lean * (1 - along / square))} {number(y + flat * along / square)}"

    a, b = inset, inset + size
    outline = f"M{at(a, a)}L{at(b, a)}L{at(b, b)}L{at(a, b)}Z"
    leaning = f"matrix(1 0 {number(-lean / square)} {number(flat / square)} {number(lean)} {number(y)})"
    edge = el(
        "path", d=outline, fill=None if look else WADDING, stroke=INK, stroke_width=p.line(0.35), data_layer=name,
        data_size_mm=size,
    )  # fmt: skip
    return (laid(look, transform=leaning) if look else "") + edge


def stack_row(laid_: Sequence[str], looks: dict[str, Look], *, below: int, wadding: bool, title: str) -> str:
    """A stack as it is laid, from left to right, each square over its letter; wadding is a bar between."""
    p = Pen(1.0, 0.6, 0.6, 0.6, 0.6)
    body = [definitions(p, {name: looks[name] for name in laid_}, PATCH, PATCH)]
    x = 0.0
    for place, name in enumerate(laid_):
        if wadding and place == below:
            body.append(el("rect", x=x, y=-0.3, width=BAR, height=PATCH + 0.6, rx=1, fill=WADDING, stroke=SOFT,
                           stroke_width=p.line(0.3), data_wadding=str(below)))  # fmt: skip
            x += BAR + GAP
        body += [
            laid(looks[name], x=x, y=0.0, data_laid=name),
            el("rect", x=x, width=PATCH, height=PATCH, stroke=INK, stroke_width=p.line(0.3)),
            label(p, x + PATCH / 2, PATCH + 2.6, looks[name].letter, size=4.2, weight="600"),
        ]
        x += PATCH + GAP
    return picture(title, x - GAP, PATCH + 4.6, p, body)


def swatch(look: Look) -> str:
    """A small piece of a print."""
    p = Pen(1.0, 0.4, 0.4, 0.4, 0.4)
    edge = el("rect", width=PATCH, height=PATCH, stroke=INK, stroke_width=p.line(0.3))
    title = f"{look.letter}: {look.name}, as it is drawn here."
    return picture(title, PATCH, PATCH, p, [definitions(p, {look.name: look}, PATCH, PATCH), laid(look), edge])


Rows = Sequence[Sequence[str]]  # print names, row by row, as seen
Place = tuple[int, int]
LETTER = 4.2  # paper mm at most, and at least what is still read at the machine
READ = 3.3  # 9 pt
HIDES = 0.35  # of a patch at most, the disc under a letter
ROOMY = 9.0  # paper mm of a patch from which fringes and quilting are drawn on it
ROUND = 1.35  # of a letter's height, its disc
TALL = 80.0  # paper mm of an outline's height at most
TEN = 10  # rows and columns from one guide line to the next


class Seen(msgspec.Struct, frozen=True):
    """How a face is shown: `shown_mm` of paper wide, margins included; quilted as cross or plus; frayed seams.

    A closed zip lies after `zip_after` rows, or columns when it is upright. `heads`: rows and columns are numbered, and
    every ten stand between guide lines, whether letters fit or not. `turned`: the panel from behind, so that its column
    1 is at the right. `least`: paper mm of a letter on a patch.
    `lit`: the patch in hand, row and column from 0; `seam`: the patches that the seam in hand joins, two by two.
    `moved` and `again`: patches (row, column as seen, from 1) with a dashed frame, and with a double one.
    """

    shown_mm: float = 86.0
    frayed: bool = True
    quilted: str = ""
    zip_after: int | None = None
    zip_upright: bool = False
    heads: bool = False
    turned: bool = False
    least: float = READ
    lit: Place | None = None
    seam: Sequence[tuple[Place, Place]] = ()
    moved: frozenset[tuple[int, int]] = frozenset()
    again: frozenset[tuple[int, int]] = frozenset()


AS_IT_IS = Seen()


def face(
    rows: Rows, looks: dict[str, Look], *, pitch_mm: float, fringe_mm: float, title: str, width_text: str,
    height_text: str, seen: Seen = AS_IT_IS,
) -> str:  # fmt: skip
    """One face, row 1 on top; where prints have letters, rows and columns are numbered, letters set that fit."""
    wide, high = len(rows[0]) * pitch_mm, len(rows) * pitch_mm
    used = {name: looks[name] for row in rows for name in row}
    p = pen(wide, seen.shown_mm, left=2.5, right=17.0, top=2.5, bottom=10.0)
    if seen.heads or any(look.lettered for look in used.values()):
        p = pen(wide, seen.shown_mm, left=5.0 if len(rows) < TEN else 7.0, right=17.0, top=6.8, bottom=9.0)
        heads = _heads(p, len(rows[0]), len(rows), pitch_mm, seen)
    else:
        heads = ""
    body = [definitions(p, used, pitch_mm, pitch_mm)]
    body += [_patch(p, looks[name], r, c, pitch_mm, seen) for r, row in enumerate(rows) for c, name in enumerate(row)]
    body.append(_seams(p, rows, pitch_mm, fringe_mm, frayed=seen.frayed and not seen.heads))
    body += [_fringe(p, wide, high, fringe_mm), heads]
    if seen.zip_after is not None:
        length = high if seen.zip_upright else wide
        body.append(_zip(p, seen.zip_after * pitch_mm, length, upright=seen.zip_upright))
    body += _in_hand(p, pitch_mm, seen)
    return _sized(title, (wide, high), (width_text, height_text), p, body)


def plain_back(
    look: Look, size: tuple[float, float], texts: tuple[str, str], *, fringe_mm: float, title: str, seen: Seen
) -> str:
    """A back of one cloth, with its closed zip when it has one, as many mm from the top or the left as `seen` says."""
    p = pen(size[0], seen.shown_mm, left=2.5, right=17.0, top=2.5, bottom=10.0)
    body = [definitions(p, {look.name: look}, *size), laid(look, data_print=look.name), _fringe(p, *size, fringe_mm)]
    if seen.zip_after is not None:
        body.append(_zip(p, seen.zip_after, size[seen.zip_upright], upright=seen.zip_upright))
    return _sized(title, size, texts, p, body)


def _sized(title: str, size: tuple[float, float], texts: tuple[str, str], p: Pen, body: list[str]) -> str:
    """A face with its size beneath and beside it."""
    wide, high = size
    body.append(across(p, 0, wide, high + p.k * 3.6, texts[0], name="width"))
    body.append(down(p, wide + p.k * 3.6, 0, high, texts[1], name="height"))
    return picture(title, wide, high, p, body)


def outlines(
    title: str, planned: tuple[float, float], made: tuple[float, float], texts: tuple[str, str], off: tuple[str, str]
) -> str:
    """A piece as it was planned, in stitches, and as it was made, in a plain line, from one corner, mm.

    `texts`: its width and height as made; `off`: what each is over or under, nothing where it is as planned.
    """
    wide, high = max(planned[0], made[0]), max(planned[1], made[1])
    p = pen(wide, min(74.0, 24.0 + TALL * wide / high), left=8.0, right=16.0, top=8.0, bottom=9.0)
    x, y = planned
    sides = {"top": (0, 0, x, 0), "right": (x, 0, x, y), "foot": (0, y, x, y), "left": (0, 0, 0, y)}
    body = [
        el("rect", width=made[0], height=made[1], stroke=INK, stroke_width=p.line(0.45), data_made="1"),
        *(stitch(p, *ends, f"planned {side}", paper_mm=0.7) for side, ends in sides.items()),
        across(p, 0, made[0], high + p.k * 3.2, texts[0], name="width"),
        down(p, wide + p.k * 3.2, 0, made[1], texts[1], name="height"),
    ]
    if off[0]:
        least, most = sorted((planned[0], made[0]))
        body.append(across(p, least, most, -p.k * 2.6, "", name="width off"))
        body.append(label(p, least - p.k * 1.2, -p.k * 4.6, off[0], size=4.0, anchor="end", weight="600"))
    if off[1]:
        least, most = sorted((planned[1], made[1]))
        body.append(down(p, -p.k * 2.6, least, most, "", name="height off"))
        body.append(label(p, -p.k * 4.4, (least + most) / 2, off[1], size=4.0, anchor="end", weight="600"))
    return picture(title, wide, high, p, body)


def letter_mm(patch_mm: float, least: float = READ) -> float | None:
    """How high a letter may stand on a patch of so much paper; None where it would hide too much, or not be read."""
    fits = min(LETTER, patch_mm * HIDES / ROUND)
    return fits if fits >= least else None


def _patch(p: Pen, look: Look, r: int, c: int, pitch: float, seen: Seen) -> str:  # noqa: PLR0917 - a place
    x, y = c * pitch, r * pitch
    marks = [
        laid(
            look, x=x, y=y, width=pitch, height=pitch, data_row=str(r + 1), data_column=str(c + 1),
            data_print=look.name, data_x_mm=x, data_y_mm=y,
        )
    ]  # fmt: skip
    if seen.quilted and pitch / p.k >= ROOMY:
        lines = _lines(x, y, pitch, seen.quilted)
        marks += [stitch(p, *ends, seen.quilted, colour=INK, paper_mm=0.22) for ends in lines]
    marks += _frames(p, x, y, pitch, (r + 1, c + 1), seen)
    size = letter_mm(pitch / p.k, seen.least)
    if look.lettered and size is not None:
        at = (x + pitch / 2, y + pitch / 2)
        disc = el("circle", cx=at[0], cy=at[1], r=p.k * size * ROUND / 2, fill=PAPER, data_letter=look.letter)
        marks += [disc, label(p, *at, look.letter, size=size, weight="600")]
    return "".join(marks)


def _in_hand(p: Pen, pitch: float, seen: Seen) -> list[str]:
    """A frame round the patch in hand, a bold line along the seam in hand; light beneath, to stand out of any print."""
    ways = []
    if seen.lit is not None:
        x, y = seen.lit[1] * pitch, seen.lit[0] * pitch
        ways.append(f"M{number(x)} {number(y)}h{number(pitch)}v{number(pitch)}h{number(-pitch)}z")
    for (row, column), (other, _) in seen.seam:
        x, y = (column + (row == other)) * pitch, (row + (row != other)) * pitch
        ways.append(f"M{number(x)} {number(y)}{'v' if row == other else 'h'}{number(pitch)}")
    if not ways:
        return []
    said, wide = "".join(ways), max(p.k * 1.1, pitch * 0.07)
    return [
        el("path", d=said, stroke=PAPER, stroke_width=number(2 * wide)),
        el("path", d=said, stroke=THREAD, stroke_width=number(wide), data_lit="seam" if seen.seam else "patch"),
    ]


def _frames(p: Pen, x: float, y: float, pitch: float, place: tuple[int, int], seen: Seen) -> list[str]:  # noqa: PLR0917
    """What tells a patch that was moved from one that was made again, in a photocopy too."""
    insets = (
        [(1.5, "again"), (2.5, "again")] if place in seen.again else [(2.0, "moved")] if place in seen.moved else []
    )
    out = []
    for paper_mm, name in insets:
        inset = min(p.k * paper_mm, pitch * 0.12)
        at = {"x": x + inset, "y": y + inset, "width": pitch - 2 * inset, "height": pitch - 2 * inset}
        dash = f"{number(p.k * 2)} {number(p.k * 1.3)}" if name == "moved" else None
        out.append(el("rect", **at, stroke=PAPER, stroke_width=p.line(1.3)))
        out.append(el("rect", **at, stroke=THREAD, stroke_width=p.line(0.55), stroke_dasharray=dash, data_frame=name))
    return out


def _lines(x: float, y: float, pitch: float, quilted: str) -> tuple[tuple[float, float, float, float], ...]:
    """The two quilting lines of a patch: corner to corner, or middle to middle."""
    inset, middle = pitch * 0.06, pitch / 2
    near, far = (x + inset, y + inset), (x + pitch - inset, y + pitch - inset)
    if quilted == "cross":
        return (*near, *far), (far[0], near[1], near[0], far[1])
    return (x + middle, near[1], x + middle, far[1]), (near[0], y + middle, far[0], y + middle)


def _heads(p: Pen, columns: int, rows: int, pitch: float, seen: Seen) -> str:
    """Rows and columns by number, as many as are read; on a map to pin up a line along every ten."""
    every = next(step for step in (1, 2, 5, TEN) if step == TEN or step * pitch / p.k >= READ * 1.7)
    marks = []
    for count, upright in ((columns, True), (rows, False)):
        for place in range(1, count + 1):
            # From behind a column of that number lies as far from the right.
            middle, end = (place - 0.5) * pitch, place * pitch
            if upright and seen.turned:
                middle, end = count * pitch - middle, count * pitch - end
            last = place == count
            if place == 1 or place % every == 0 or (last and every == 1):
                at = (middle, -p.k * 4.5) if upright else (-p.k * 2.8, middle)
                marks.append(label(p, *at, str(place), size=LEAST, anchor="middle" if upright else "end"))
            if seen.heads and place % TEN == 0 and not last:
                side = (rows if upright else columns) * pitch
                ends = (end, -p.k * 2.4, end, side) if upright else (-p.k * 2.4, end, side, end)
                marks.append(line(p, *ends, colour=THREAD, paper_mm=1.0).replace("<line ", '<line data-ten="1" ', 1))
    return "".join(marks)


def _seams(p: Pen, rows: Rows, pitch: float, fringe: float, *, frayed: bool) -> str:
    """The seams inside the face: a comb of threads each side when frayed, a plain line when not."""
    wide, high = len(rows[0]) * pitch, len(rows) * pitch
    uprights = [(c * pitch, 0.0, c * pitch, high) for c in range(1, len(rows[0]))]
    levels = [(0.0, r * pitch, wide, r * pitch) for r in range(1, len(rows))]
    if not frayed or pitch / p.k < ROOMY:
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
    reach = min(fringe * 0.75, p.k * 2.0)
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


# Beside a step, to scale: a back pressed, an envelope's panels, the front on the back, snips and a corner.


def pressing(a: Told, *, upright: bool) -> str:
    """Rows (columns when upright) of squares pressed alternate ways, so that seams nest when they meet."""
    rows, squares = (min(int(a.mm(name, 1.0)), 12) for name in ("back_rows", "back_row_squares"))
    pitch = a.mm("pitch", 1.0)
    wide, high = squares * pitch, rows * pitch
    shown, other = (high, wide) if upright else (wide, high)
    p = pen(shown, 6.0 + min(60.0, 40.0 * shown / other), left=3.0, right=3.0, top=3.0, bottom=3.0)
    body = [el("rect", width=wide, height=high, fill=PLAIN, stroke=INK, stroke_width=p.line(0.35))]
    for row in range(rows):
        y = (row + 0.5) * pitch
        way = -1 if row % 2 else 1
        if row:
            body.append(line(p, 0, row * pitch, wide, row * pitch, colour=SOFT, paper_mm=0.25))
        for x in (column * pitch for column in range(1, squares)):
            body += [
                line(p, x, row * pitch, x, (row + 1) * pitch, paper_mm=0.4),
                arrow(p, x, y, x + way * pitch * 0.32, y, colour=THREAD),
            ]
    turned = [el("g", *body, transform="matrix(0 1 1 0 0 0)")] if upright else body
    return picture("Pressing seams.", shown, other, p, turned)


def envelope(a: Told) -> list[str]:
    """Two hemmed panels over the front, with what the step says of their sizes: the one laid last shows."""
    if a.report.project.closure != "envelope":
        return []
    wide, high, length = a.mm("envelope_width"), a.mm("panel_height"), a.mm("envelope_length") - a.mm("turn_in")
    wide_text, length_text = a.size("envelope_width"), a.size("envelope_length")
    p = pen(wide, 84.0, left=3.0, right=27.0, top=3.0, bottom=10.0)
    first = high - length
    edge: dict[str, str | float | None] = {"stroke": INK, "stroke_width": p.line(0.35)}
    body = [
        el("rect", width=wide, height=high, stroke=SOFT, stroke_width=p.line(0.3)),
        el("rect", y=first, width=wide, height=length, fill="#e6dcc9", **edge, data_panel="1", data_y_mm=first),
        el("rect", width=wide, height=length, fill=PLAIN, **edge, fill_opacity=0.86, data_panel="2", data_y_mm=0.0),
        stitch(p, 0, length - p.k * 2, wide, length - p.k * 2, "hem"),
        label(p, wide / 2, first + length - p.k * 8, "1  laid first, under", size=4.2, weight="600"),
        label(p, wide / 2, p.k * 9, "2  laid last: this one shows", size=4.2, weight="600"),
        across(p, 0, wide, high + p.k * 3, wide_text, name="width") if wide_text else "",
        down(p, wide + p.k * 3, 0, length, f"cut {length_text}", name="length") if length_text else "",
    ]
    return [picture("Envelope back.", wide, high, p, body)]


def pinned(a: Told) -> str:
    """The front on the back: pins across the edge at corners, middles and between; tops where they must meet.

    The zip of the back shows through as a dotted line, mirrored across: the front is seen and the back lies under it.
    """
    wide, high, seam = a.mm("panel_width", 1.0), a.mm("panel_height", 1.0), a.mm("seam")
    p = pen(wide, 6.0 + min(60.0, 40.0 * wide / high), left=3.0, right=3.0, top=9.0, bottom=8.0)
    body = [el("rect", width=wide, height=high, fill=PLAIN, stroke=INK, stroke_width=p.line(0.35))]
    after, upright = zip_place(a.report)
    if after is not None:
        at = seam + after * a.mm("pitch_made")
        at = wide - at if upright else at
        ends = dict(zip(("x1", "y1", "x2", "y2"), (at, 0.0, at, high) if upright else (0, at, wide, at), strict=True))
        dashes = f"{number(p.k)} {number(p.k * 1.2)}"
        body.append(el("line", **ends, stroke=SOFT, stroke_width=p.line(0.5), data_zip_mm=at, stroke_dasharray=dashes))
    middle, held = wide / 2, ""
    if a.option("pins_in_edge") == "yes":
        held = a.says("counted out")
        reach = max(seam * 1.6, p.k * 5)
        for x, y in ((wide * part / 8, high * part / 8) for part in range(1, 8)):
            body += [_pin(p, x, 0, 0, reach), _pin(p, x, high, 0, -reach)]
            body += [_pin(p, 0, y, reach, 0), _pin(p, wide, y, -reach, 0)]
    if a.option("tops_meet") == "yes":
        told = a.says("the back's top to the front's top")
        body.append(arrow(p, middle, high * 0.62, middle, high * 0.42, colour=THREAD))
        body.append(label(p, middle, -p.k * 4.5, told, size=4.0, weight="600"))
    body += [label(p, middle, high + p.k * 4.5, held, size=LEAST)] if held else []
    return picture("The front on the back.", wide, high, p, body)


def _pin(p: Pen, x: float, y: float, dx: float, dy: float) -> str:
    """One pin, its head outside the edge, its point towards the middle."""
    head = el("circle", cx=x - dx * 0.35, cy=y - dy * 0.35, r=p.k * 0.9, fill=THREAD)
    return line(p, x - dx * 0.35, y - dy * 0.35, x + dx, y + dy, colour=INK, paper_mm=0.35) + el(
        "g", head, data_pin="1"
    )


def snip_places(length_mm: float, every_mm: float) -> list[float]:
    """Where the snips fall along a seam: one fewer than the gaps, none at the ends."""
    gaps = max(math.ceil(length_mm / every_mm * (1 - 1e-9)), 1)
    return [(place + 1) * length_mm / gaps for place in range(gaps - 1)]


def corner(a: Told) -> str:
    """An outer corner: the seam turns at a pivot, one diagonal slit, snips kept clear of it."""
    seam_mm, slit_mm, last = a.mm("seam"), a.mm("corner_slit"), a.size("last_snip")
    side, depth, first = seam_mm * 6, a.mm("cut_depth"), seam_mm + a.mm("last_snip")
    p, slit = pen(side, 36.0, bottom=10.0), seam_mm - slit_mm / math.sqrt(2)
    outline = el("path", d=f"M0 {side}V0H{side}", stroke=INK, stroke_width=p.line(0.4))
    body = [
        outline + el("rect", width=side, height=side, fill=PLAIN) + outline,
        threads(p, 0, side, 0, -p.k * 1.6),
        stitch(p, seam_mm, side, seam_mm, seam_mm, "outer", paper_mm=0.7),
        stitch(p, seam_mm, seam_mm, side, seam_mm, "outer", paper_mm=0.7),
        el("circle", cx=seam_mm, cy=seam_mm, r=p.k * 1.2, fill=THREAD),
        el("line", x1=0, y1=0, x2=slit, y2=slit, stroke=INK, stroke_width=p.line(0.6), data_slit_mm=slit_mm),
    ]
    at = first
    while at < side:
        body += [line(p, at, 0, at, depth, paper_mm=0.5), line(p, 0, at, depth, at, paper_mm=0.5)]
        at += a.mm("snip_every", 1.0)
    slit_at = seam_mm + p.k * 2.5, seam_mm + p.k * 4.5
    body.append(label(p, *slit_at, a.size("corner_slit"), size=LEAST, anchor="start"))
    if last:
        told = a.says(f"{last} from the turn")
        body.append(across(p, seam_mm, first, side + p.k * 2.5, "", name="clear"))
        body.append(label(p, 0, side + p.k * 6, told, size=LEAST, anchor="start"))
    return picture("An outer corner.", side, side, p, body)
