"""The moves that make a cushion's back: its ordinary seams, its envelope in order with its hem, laid on the front."""

from collections.abc import Sequence

from guide.show.pictures.frames import (
    PLAIN,
    SHADE,
    Told,
    box,
    cutter,
    dotted,
    frame,
    go,
    iron,
    leaf,
    needle,
    note,
    patches,
    pin,
    right,
    rise,
    rule,
    sewn,
    shape,
    shears,
    span,
    wrong,
)
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
    label,
    line,
    number,
    pen,
    picture,
    stitch,
)
from guide.show.report_numbers import zip_place

# A back on its way: which way seams are pressed, which envelope panel lies first, the pins.


def _pressing(a: Told, *, upright: bool) -> str:
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


def _pinned(a: Told) -> str:
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


def met(a: Told, phrase: str) -> str:
    """Two pieces right sides together, the upper one laid down."""
    return frame(leaf(5, 20, a.back()), leaf(5, 7, None), go(38, 9, 38, 20), note(21, 4, a.says(phrase)))


def back(a: Told) -> list[str]:
    """Right sides together; an ordinary seam from edge to edge; the next fed after it, the thread uncut."""
    k = 26.0 / max(a.mm("square"), 1.0)
    deep = a.mm("seam") * k
    pair = wrong(8, 2, 26, 26) + sewn(8, 2 + deep, 34, 2 + deep, "seam")
    chain = "".join(wrong(1 + n * 14.5, 9, 11, 16) + sewn(1 + n * 14.5, 11.5, 12 + n * 14.5, 11.5) for n in range(3))
    links = "".join(shape(f"M{12 + n * 14.5} 11.5q1.7 2 3.5 0", stroke=THREAD, thick=0.5) for n in range(2))
    return [
        met(a, "right sides together"),
        frame(pair, rise(36.5, 2, 2 + deep, a.size("seam"), "seam")),
        frame(chain, links, note(21, 30, a.says("the thread uncut"))),
    ]


def neaten(a: Told) -> list[str]:
    """Both edges of a seam together, kept from fraying."""
    return [frame(*_neat(a, wrong(1, 6, 40, 22), 6.0), sewn(1, 17, 41, 17, "seam"))]


def neaten_long(a: Told) -> list[str]:
    """The long seams' edges together; those of the zip's seam each by itself, for it is pressed open."""
    frames = []
    if a.mm("back_long_seams"):
        frames.append(frame(*_neat(a, wrong(1, 6, 56, 22), 6.0, 56.0), sewn(1, 17, 57, 17, "seam"), wide=58))
    if a.option("closure") == "zip" or a.report.project.closure == "zip":
        upper, lower = _neat(a, wrong(1, 14, 56, 14), 14.0, 56.0), wrong(1, -4, 56, 12)
        edge = _neat(a, "", 0.0, 56.0)[1]
        frames.append(frame(lower, *upper, el("g", edge, transform="translate(0 8) scale(1 -1)"), wide=58))
    return frames


def _neat(a: Told, cloth: str, y: float, wide: float = 40.0) -> tuple[str, str]:
    """A cloth whose upper edge is zigzagged, overlocked or pinked."""
    count = int(wide / 2)
    match a.option("inside_seams"):
        case "pinked":
            teeth = "".join(f"l1 {-1.6 if n % 2 == 0 else 1.6}" for n in range(2 * count))
            return cloth, shape(f"M1 {number(y)}{teeth}z", fill=PAPER, thick=0.4) + shears(1 + wide * 0.6, y, 0)
        case "overlocked":
            loops = "".join(f"M{number(1 + n * 2)} {number(y + 3)}l1 -3.4l1 3.4" for n in range(count))
            return cloth, shape(loops, stroke=THREAD, thick=0.5) + rule(1, y + 3, 1 + wide, y + 3, THREAD, 0.5)
        case _:
            points = "".join(f"l1 {-4 if n % 2 == 0 else 4}" for n in range(2 * count))
            wide_text, long_text = a.size("zigzag_width"), a.size("zigzag_length")
            told = rise(wide + 3, y - 0.5, y + 3.5, wide_text, "zigzag-width") + span(
                1, 3, y + 14, long_text, "zigzag-length"
            )
            return cloth, shape(f"M1 {number(y + 3.5)}{points}", stroke=THREAD, thick=0.6) + told


def press(a: Told) -> list[str]:
    """Seams of one row all one way, of the next all the other; nothing where something else is pressed."""
    if a.step.piece != "seam":
        return []
    section = shape("M2 20h17v-3h-7", thick=0.7) + shape("M40 20h-21v-3.8h-6", thick=0.7)
    return [
        frame(section, iron(5, 14), go(24, 10, 13, 10), note(21, 29, a.says("all one way"))),
        _pressing(a, upright=zip_place(a.report)[1]),
    ]


def nest(a: Told) -> list[str]:
    """The rows' seams, pressed opposite ways, pushed against each other; sewn; pressed away from the opening."""
    low = shape("M2 23h19v-3h7", thick=0.8) + shape("M40 23h-19", thick=0.8)
    high = shape("M2 9h19v3h-7", thick=0.8) + shape("M40 9h-19", thick=0.8)
    first, second = a.back(), a.back(1)
    deep = max(2.2, 20 * a.mm("seam") / max(a.mm("square"), 1.0))
    rows = wrong(1, 5, 20, 23) + wrong(21, 5, 20, 23) + rule(21, 5, 21, 28) + sewn(1, 5 + deep, 41, 5 + deep, "seam")
    joined = (
        right(first, 1, 2, 20, 13)
        + right(second, 21, 2, 20, 13)
        + right(second, 1, 15, 20, 13)
        + right(first, 21, 15, 20, 13)
    )
    sewn_at = rise(42, 5, 5 + deep, a.size("seam"), "seam")
    down_ = a.says("press away from the opening", "press down")
    return [
        frame(high, low, go(17, 12.2, 20, 12.2), go(25, 20, 22, 20), note(21, 30, a.says("Nest the seams"))),
        frame(rows, sewn_at, needle(12, 5 + deep), note(21, 32, a.says("right sides together"))),
        frame(joined, iron(4, 14, 13), go(21, 15, 21, 25), note(21, 33, down_)),
    ]


def back_trim(a: Told) -> list[str]:
    """The front laid on the back's two parts; what stands out is cut off, away from the zip's seam."""
    upright, look = a.option("zip_along") == "column", a.back()
    one, other = a.mm("back_part_1", 1.0), a.mm("back_part_2", 1.0)
    share, wide, high, split = one / (one + other), 34.0, 26.0, 3.0
    long = wide if upright else high
    ends = ((3.0, share * (long - split)), (3 + share * (long - split) + split, (1 - share) * (long - split)))
    parts = cut = sizes = ""
    for n, (at, size) in enumerate(ends, 1):
        edge, text, name = 3 + long - 1.6 if n == 2 else 4.6, a.size(f"back_part_{n}"), f"part-{n}"
        parts += right(look, at, 3, size, high) if upright else right(look, 3, at, wide, size)
        cut += rule(edge, 1, edge, 31, THREAD) if upright else rule(1, edge, 39, edge, THREAD)
        sizes += span(at, at + size, 32, text, name) if upright else rise(39.5, at, at + size, text, name)
    under = right(look, 3, 1, 36, 29)
    return [
        frame(under, right(a.front(), 6, 4, 30, 23), note(21, 34, a.shown("back_width"))),
        frame(parts, cut, cutter(*((4.6, 10) if upright else (10, 4.6))), sizes),
    ]


def envelope_trim(a: Told) -> list[str]:
    """Each panel to its size; what is too long comes off the edge that will be hemmed."""
    wide, long = max(a.mm("envelope_width"), 1.0), a.mm("envelope_length")
    k = min(56.0 / wide, 27.0 / max(long, 1.0))
    w, h = wide * k, long * k
    panel = right(a.back(), 2, 2, w, h) + wrong(2, 2 + h, w, 2.5, SHADE) + cutter(10, 2 + h) + go(16, 4 + h, 24, 4 + h)
    length = rise(w + 4.5, 2, 2 + h, a.size("envelope_length"), "length")
    return [frame(panel, length, span(2, 2 + w, h + 7.5, a.size("envelope_width"), "width"), wide=w + 4, high=h + 5)]


END = shape("M2 12h36a2 2 0 0 1 0 4h-12a1.4 1.4 0 0 1 0 -2.6h10", thick=0.9)  # of a hem folded twice


def hem_press(a: Told) -> list[str]:
    """On the wrong side: folded once, pressed; folded again, pressed; seen from its end."""
    fold, hem = a.mm("hem_fold"), max(a.mm("hem"), 1.0)
    k = 8.0 / hem
    first, second = max(2.0, fold * k), hem * k
    marked, over = 29 - first, shape("M28 29c5 -1 5 -7 1 -9m2.4 -.4l-2.4 .4l.4 2.4", stroke=THREAD, thick=0.6)
    flat = wrong(1, 2, 34, 27) + dotted(1, marked, 35, marked, INK) + over
    once = wrong(1, 2, 34, 27 - first) + right(a.back(), 1, 29 - 2 * first, 34, first)
    y = marked - second
    twice = wrong(1, 2, 34, 27 - first - second) + right(a.back(), 1, y - second, 34, second) + iron(6, y)
    return [
        frame(flat, rise(36, marked, 29, a.size("hem_fold"), "fold"), note(18, 33, a.called("hem_fold"))),
        frame(once, iron(6, marked), wide=36),
        frame(twice, rise(36, y - second, y, a.size("hem"), "hem"), note(18, 33, a.called("hem"))),
        frame(END, go(20, 5, 20, 11)),
    ]


def hem(a: Told) -> list[str]:
    """Along the inner fold from edge to edge; twice at the ends."""
    deep = max(5.0, a.mm("hem") * (22.0 / max(a.mm("envelope_length", 1.0), 1.0)))
    panel, y = wrong(2, 2, 56, 26 - deep) + right(a.back(), 2, 28 - deep, 56, deep), 28 - deep + 0.9
    ends = sewn(2, y + 1.3, 8, y + 1.3) + sewn(52, y + 1.3, 58, y + 1.3)
    width = span(2, 58, 31, a.size("envelope_width"), "width")
    return [
        frame(panel, sewn(2, y, 58, y, "hem"), ends, needle(30, y), width, wide=60),
        frame(END, rule(28, 6, 28, 20, THREAD, 0.8), needle(28, 11)),
    ]


def pinning(a: Told) -> list[str]:
    """Front and back wrong sides together; of an envelope the under panel first, the one that shows last; then held."""
    if a.report.project.closure != "envelope":
        told = note(21, 3, a.says("Wrong sides together"))
        return [frame(leaf(5, 20, None), leaf(5, 6, a.front()), go(38, 8, 38, 20), told), _pinned(a)]
    deep = (a.mm("envelope_length") - a.mm("turn_in")) * (27.0 / a.mm("panel_height", 1.0))
    front = wrong(3, 2, 34, 27)
    half = len(a.backs) // 2
    first = _rows(a, a.backs[half:], 29 - deep, deep) + sewn(3, 30.6 - deep, 37, 30.6 - deep, "hem")
    second = _rows(a, a.backs[:half], 2, deep) + sewn(3, deep + 0.4, 37, deep + 0.4, "hem")
    lap = rise(39.5, 29 - deep, 2 + deep, a.size("envelope_overlap"), "overlap")
    return [
        frame(front, note(20, 33, a.says("Front face down"))),
        frame(front, first, go(20, 6, 20, 29 - deep + 6), note(20, 33, a.says("under panel first"))),
        frame(front, first, second, lap, note(20, 33, a.says("this one you will see"))),
        frame(*_held_edge(a)),
    ]


def _rows(a: Told, rows: Sequence[Sequence[str]], y: float, high: float) -> str:
    """One panel of an envelope: its rows of squares, or its one cloth."""
    return patches(a, rows, (3.0, y, 34.0, high)) if a.report.backing and rows else right(a.back(), 3, y, 34, high)


def _held_edge(a: Told) -> list[str]:
    """An edge of the two, pinned across or clipped, and by itself where neither is used."""
    edge = right(a.back(), 1, 8, 40, 20)
    match a.option("edge_with"):
        case "pins":
            return [edge, *(pin(x, 4, 0, 13) for x in (7, 16, 25, 34)), note(21, 32, a.says("counted out"))]
        case "clips":
            return [edge, *(box(x, 4, 5, 8, fill=SHADE, thick=0.6) for x in (5, 18, 31))]
        case _:
            return [edge, go(18, 18, 8, 18), go(24, 18, 34, 18)]
