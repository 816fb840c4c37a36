"""The moves that make a panel, and a back for it, and close it: seams joined, edges snipped, the outer seam sewn."""

from collections.abc import Sequence

from guide.show.pictures import frames as f
from guide.show.pictures.cloth import Look
from guide.show.pictures.faces import corner, pinned, pressing, snip_places
from guide.show.pictures.moves_block import both
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, el, number
from guide.show.report_numbers import zip_place


def seam(a: f.Told) -> list[str]:
    """Wrong sides together, edges up; sewn short of both ends; opened, its edges standing on the front."""
    first, k = a.front(), 34.0 / max(a.mm("square"), 1.0)
    deep, free = a.mm("seam") * k, a.mm("free_end") * k
    told = f.note(21, 4, a.says("Wrong sides together", "wrong sides together"))
    sewn = f.comb(2, 36, 5, -2.5) + f.right(first, 2, 5, 34, 21)
    sewn += f.sewn(2 + free, 5 + deep, 36 - free, 5 + deep, "seam") + f.rise(38, 5, 5 + deep, a.size("seam"), "seam")
    return [
        f.frame(f.leaf(5, 21, None) + f.leaf(5, 7, first), f.go(38, 9, 38, 22), told),
        f.frame(sewn, f.span(2, 2 + free, 29, a.shown("free_end"), "free-end")),
        _opened([first], [a.front(1)], a),
    ]


def _opened(left: list[Look], after: list[Look], a: f.Told) -> str:
    """Blocks side by side from the front, the fringe of their seams standing between them."""
    high, square = (f.HIGH - 2) / len(left), max(a.mm("square"), 1.0)
    reach = max(1.6, 19 * a.mm("seam") / square)
    body = []
    for row, (one, other) in enumerate(zip(left, after, strict=True)):
        body += [f.right(one, 1, 1 + row * high, 20, high), f.right(other, 21, 1 + row * high, 20, high)]
    body.append(f.comb_up(21 - reach, 1, 29, 2 * reach))
    return f.frame(*body, f.comb(1, 41, 1 + high - reach, 2 * reach) if len(left) > 1 else "")


def crossing(a: f.Told) -> list[str]:
    """Rows together, flaps opened flat where seams meet; the seam over them, by hand wheel; the panel opened."""
    rows = [[a.looks[name] for name in row] for row in a.rows]
    seam = a.size("seam")
    if not a.mm("crossings"):
        first, second = rows[0][0], rows[-1][0]
        edge = f.comb(2, 40, 6, -2.5) + f.right(first, 2, 6, 38, 20) + f.sewn(4, 10, 38, 10, "seam")
        return [f.frame(edge, f.rise(41, 6, 10, seam, "seam")), _opened([first], [second], a)]
    bed = f.right(rows[0][0], 1, 5, 20, 24) + f.right(rows[0][1], 21, 5, 20, 24) + f.comb(1, 41, 5, -2.0)
    bed += f.wrong(15, 5, 6, 24, f.SHADE) + f.wrong(21, 5, 6, 24, f.SHADE)
    apart = f.go(19, 20, 15.5, 20) + f.go(23, 20, 26.5, 20)
    over = f.sewn(3, 9.5, 39, 9.5, "seam") + el("circle", cx=21, cy=9.5, r=4, stroke=THREAD, stroke_width=0.6)
    return [
        f.frame(bed, apart, f.needle(6, 9.5), f.rise(42, 5, 9.5, seam, "seam")),
        f.frame(bed, over, f.wheel(34, 21), f.note(21, 33, a.shown("layers_crossing"))),
        _opened([rows[0][0], rows[1][0]], [rows[0][1], rows[1][1]], a),
    ]


def whole_panel(a: f.Told, wide: float = 36.0) -> tuple[str, float, float]:
    """The panel, each block its print where there is room for it: drawn, its width, its height."""
    across, down = a.mm("panel_width", 1.0), a.mm("panel_height", 1.0)
    k = min(wide / across, (f.HIGH - 2) / down)
    w, h = across * k, down * k
    rows = a.rows if max(len(a.rows), len(a.rows[0])) <= MOST else [row[:2] for row in a.rows[:2]]
    return f.patches(a, rows, (2.0, 2.0, w, h)), w, h


MOST = 4  # blocks a side, up to which all of them are drawn


def square_up(a: f.Told) -> list[str]:
    """The ruler's corner in the panel's; what sticks out comes off; the diagonals agree."""
    panel, w, h = whole_panel(a)
    ruler = f.box(w - 11, 2, 13, 13, fill=PAPER, fill_opacity="0.75", stroke=SOFT)
    out = f.shape(f"M{number(2 + w)} 3l2.2 2v6l-2.2 3z", fill=f.SHADE)
    both = f.dotted(2, 2, 2 + w, 2 + h, INK, 0.6) + f.dotted(2 + w, 2, 2, 2 + h, INK, 0.6)
    return [f.frame(panel, out, ruler, f.cutter(w + 2, 12)), f.frame(panel, both)]


def measure(a: f.Told) -> list[str]:
    """The tape across the middle, or down it: from raw edge to raw edge, or washed from stitches to stitches."""
    panel, w, h = whole_panel(a, 32.0)
    name, inset, tape = a.step.measure or "", 0.0, "#f6ebc6"
    if name.startswith("washed"):
        inset, stitches = 1.6, f.box(3.6, 3.6, w - 3.2, h - 3.2, stroke=THREAD, stroke_dasharray="2 1.3")
        fringe = f.comb(2, 2 + w, 2, -2.2) + f.comb(2, 2 + w, 2 + h, 2.2)
        panel = fringe + f.right(a.looks[a.rows[0][0]], 2, 2, w, h) + stitches
    if name.endswith("height"):
        band, x = f.box(w / 2, 2 + inset, 4, h - 2 * inset, fill=tape), 2 + w / 2
        ends = f.dot(x, 2 + inset) + f.dot(x, 2 + h - inset)
        size = f.rise(w + 5, 2 + inset, 2 + h - inset, a.size(name), "measured")
    else:
        band, y = f.box(2 + inset, h / 2, w - 2 * inset, 4, fill=tape), 2 + h / 2
        ends = f.dot(2 + inset, y) + f.dot(2 + w - inset, y)
        size = f.span(2 + inset, 2 + w - inset, h + 5, a.size(name), "measured")
    return [f.frame(panel, band, ends, size, high=35)]


def faces(a: f.Told) -> list[str]:
    """The panel measured where this step measures it, else what is seen of it from both sides."""
    return measure(a) if a.step.measure else both(a)


def pins_out(a: f.Told) -> list[str]:
    """Every pin out and into the tin."""
    top = el("ellipse", cx=35, cy=18, rx=6, ry=1.8, fill=PAPER, stroke=INK, stroke_width=0.4)
    tin = f.shape("M29 18h12v9h-12z", fill=f.SHADE) + top
    pins = f.pin(7, 9, 7, 3) + f.pin(19, 21, -7, -3)
    return [f.frame(f.right(a.front(), 1, 3, 24, 24), pins, f.go(14, 11, 31, 16), tin, high=33)]


def snips(a: f.Told) -> list[str]:
    """The raw edge from the side: how far apart, how deep, and what stays whole at the panel's edge."""
    k = 34.0 / max(a.mm("pitch_made", 1.0) * 0.8, 1.0)
    y, every, foot = 6 + a.mm("seam") * k, a.mm("snip_every", 1.0) * k, 6 + a.mm("cut_depth") * k
    clear, free = a.mm("edge_clear", a.mm("seam")) * k, a.mm("free_end") * k
    cloth = f.comb(1, 39, 6, -2.2) + f.right(a.front(), 1, 6, 38, 20.0)
    places = [1 + every * (n + 1) for n in range(int(38 / every))]
    cuts = "".join(_snip(x, 5, foot) for x in places if x < 39)
    if len(places) > 2:
        cuts += f.shears(places[-1] if places[-1] < 34 else places[-2], foot, -90.0)
    depth = f.rise(41, 6, foot, a.size("cut_depth"), "depth")
    apart = f.span(places[0], places[1], 29, a.size("snip_every"), "every") if len(places) > 1 else ""
    stop = 39 - clear
    whole = "".join(_snip(stop - every * n, 5, foot) for n in range(int((stop - 1) / every) + 1))
    edge = f.rule(39, 3, 39, 28, INK, 0.9) + f.span(stop, 39, 29, a.size("edge_clear"), "whole")
    return [
        f.frame(cloth, f.sewn(1, y, 39, y, "seam"), cuts, depth, apart),
        f.frame(cloth, f.sewn(1, y, 39 - free, y, "seam"), whole, edge),
    ]


def snips_long(a: f.Told) -> list[str]:
    """The long seam: both its ends whole, the crossings' flaps lifted out of the way."""
    cloth = f.comb(1, 41, 8, -2.2) + f.right(a.front(), 1, 8, 20, 18) + f.right(a.front(1), 21, 8, 20, 18)
    cuts = "".join(_snip(x, 7, 11.5) for x in range(8, 36, 3) if abs(x - 21) > 4)
    seam = cloth + f.sewn(2.5, 13, 39.5, 13, "seam") + cuts
    posts = f.rule(35, 28, 41, 28, SOFT) + f.rule(1, 4, 1, 26, INK, 0.9) + f.rule(41, 4, 41, 26, INK, 0.9)
    ends = f.span(1, 7, 29, a.size("edge_clear"), "whole") + posts
    long = f.frame(seam, ends, f.rise(42, 8, 11.5, a.size("cut_depth"), "depth"))
    if not a.mm("crossings"):
        return [long]
    flaps = f.shape("M15 8L13 1h5l3 7z", fill=f.SHADE) + f.shape("M27 8L29 1h-5l-3 7z", fill=f.SHADE)
    return [long, f.frame(seam, flaps, f.go(16, 7, 15, 2), f.go(26, 7, 27, 2), f.shears(11, 11.5, 180.0))]


def _snip(x: float, top: float, foot: float) -> str:
    return el("line", x1=x, y1=top, x2=x, y2=foot, stroke=INK, stroke_width=0.7, data_snip_mm=x)


def flaps(a: f.Told) -> list[str]:
    """At a crossing: its flaps opened, so many snips in them; then the panel shaken."""
    each = max(1, int(a.mm("snips_at_crossing", 1.0)))
    rows = [[a.looks[name] for name in row] for row in a.rows]
    four = "".join(f.right(rows[r][c], 1 + 20 * c, 1 + 14 * r, 20, 14) for r in (0, 1) for c in (0, 1))
    square = f.wrong(15, 9, 12, 12, f.SHADE) + f.rule(21, 9, 21, 21) + f.rule(15, 15, 27, 15)
    places = [(17 + 8 * (n % 2), 11 + 8 * (n // 2 % 2)) for n in range(min(each, 4))]
    cuts = "".join(f.rule(x, y - 2, x, y + 1.6, INK, 0.8) for x, y in places)
    return [f.frame(four, square, cuts, f.shears(places[0][0], places[0][1] + 1, 150.0)), shaken(a)]


def outer(a: f.Told) -> list[str]:
    """All round, one seam from the edge; round a corner with the needle down; over the lumps by the wheel."""
    panel, w, h = whole_panel(a, 32.0)
    s = max(2.0, w * a.mm("seam") / a.mm("panel_width", 1.0))
    x, y, right_, foot, mid = 2 + s, 2 + s, 2 + w - s, 2 + h - s, 2 + w / 2
    turns = ((x, y), (right_, y), (right_, foot), (x, foot))
    line = "".join(f.sewn(*one, *other, "outer") for one, other in zip(turns, turns[1:] + turns[:1], strict=True))
    line += "".join(f.dot(*one) for one in turns) + f.dot(mid, y, 1.3) + f.go(mid, s - 1.2, mid + 8, s - 1.2)
    corner = f.right(a.looks[a.rows[0][-1]], 2, 5, 30, 24)
    corner += f.sewn(2, 11, 26, 11, "outer") + f.sewn(26, 11, 26, 29, "outer") + f.needle(26, 11) + f.turn(36, 22, 4)
    lump = "".join(f.rule(2, 18 + n * 1.5, 40, 18 + n * 1.5, INK, 0.5) for n in range(4))
    lump += f.shape("M15 18c1 -6 11 -6 12 0z", fill=f.SHADE) + f.needle(21, 12.5) + f.wheel(36, 8)
    return [
        f.frame(panel, line, f.rise(w + 4.5, 2, 2 + s, a.size("seam"), "seam")),
        f.frame(corner, f.note(17, 33, a.says("Pivot at the corners", "pivoting inside its corners"))),
        f.frame(lump, f.note(21, 29, a.shown("layers_outer_worst"))),
    ]


def again(a: f.Told) -> list[str]:
    """A second line inside the first."""
    look = a.looks[a.rows[0][-1]]
    first = f.sewn(0, 8, 33, 8, "outer", SOFT) + f.sewn(33, 8, 33, 30, "outer", SOFT)
    second = f.sewn(0, 13, 28, 13, "again") + f.sewn(28, 13, 28, 30, "again") + f.dot(28, 13)
    return [
        f.frame(f.right(look, 0, 3, 38, 27), first, second, f.rise(40, 8, 13, a.size("outer_again"), "again"), wide=44)
    ]


def snips_outer(a: f.Told) -> list[str]:
    """The edge snipped; one slanting slit in each corner; the inner seams' ends freed beyond the line."""
    k = 8.0 / max(a.mm("seam"), 1.0)
    foot, places = 5 + a.mm("cut_depth") * k, snip_places(34 / k, a.mm("snip_every", 1.0))
    edge = f.comb(1, 36, 5, -2.2) + f.right(a.looks[a.rows[0][-1]], 1, 5, 35, 24) + f.sewn(1, 13, 36, 13, "outer")
    at = [x * k + 1 for x in places] or [18.5]  # one where they are further apart than is drawn
    cuts = "".join(_snip(x, 4, foot) for x in at) + f.shears(at[len(at) // 2], foot, -90)
    apart = f.span(at[0], at[1], 31, a.size("snip_every"), "every") if len(at) > 1 else ""
    frames = [f.frame(edge, cuts, apart, f.rise(38, 5, foot, a.size("cut_depth"), "depth")), corner(a)]
    if a.mm("inner_ends"):
        stands = f.wrong(16, 5, 5, 24, f.SHADE) + f.wrong(21, 5, 5, 24, f.SHADE) + f.rule(21, 5, 21, 29)
        freed = "".join(_snip(x, 4, foot) for x in (18.4, 23.6)) + f.shears(23.6, foot, -90)
        frames.append(f.frame(edge, stands, f.sewn(1, 13, 36, 13, "outer"), freed))
    return frames


SPREAD = "M2 12c3 -4 6 2 9 -1s6 2 9 -1s7 2 9 0s6 1 9 -1V26c-4 2 -6 -1 -9 1s-6 -1 -9 0s-6 1 -9 0s-6 2 -9 0z"  # shaken


def shaken(a: f.Told) -> str:
    """The piece shaken out, and what falls from it."""
    bits = "".join(
        f.rule(x, y, x + 1, y + 1.6, SOFT, 0.3) for x, y in ((6, 28), (12, 29), (19, 28), (25, 29), (31, 28), (36, 28))
    )
    return f.frame(f.shape(SPREAD, fill=a.front().ground, thick=0.5), bits, f.go(5, 8, 5, 2), f.go(35, 2, 35, 8))


# A cushion's back: its ordinary seams, its envelope in order with its hem, laid on the front.


def met(a: f.Told, phrase: str) -> str:
    """Two pieces right sides together, the upper one laid down."""
    return f.frame(f.leaf(5, 20, a.back()), f.leaf(5, 7, None), f.go(38, 9, 38, 20), f.note(21, 4, a.says(phrase)))


def back(a: f.Told) -> list[str]:
    """Right sides together; an ordinary seam from edge to edge; the next fed after it, the thread uncut."""
    k = 26.0 / max(a.mm("square"), 1.0)
    deep = a.mm("seam") * k
    pair = f.wrong(8, 2, 26, 26) + f.sewn(8, 2 + deep, 34, 2 + deep, "seam")
    chain = "".join(
        f.wrong(1 + n * 14.5, 9, 11, 16) + f.sewn(1 + n * 14.5, 11.5, 12 + n * 14.5, 11.5) for n in range(3)
    )
    links = "".join(f.shape(f"M{12 + n * 14.5} 11.5q1.7 2 3.5 0", stroke=THREAD, thick=0.5) for n in range(2))
    return [
        met(a, "right sides together"),
        f.frame(pair, f.rise(36.5, 2, 2 + deep, a.size("seam"), "seam")),
        f.frame(chain, links, f.note(21, 30, a.says("the thread uncut"))),
    ]


def neaten(a: f.Told) -> list[str]:
    """Both edges of a seam together, kept from fraying."""
    return [f.frame(*_neat(a, f.wrong(1, 6, 40, 22), 6.0), f.sewn(1, 17, 41, 17, "seam"))]


def neaten_long(a: f.Told) -> list[str]:
    """The long seams' edges together; those of the zip's seam each by itself, for it is pressed open."""
    frames = []
    if a.mm("back_long_seams"):
        frames.append(f.frame(*_neat(a, f.wrong(1, 6, 56, 22), 6.0, 56.0), f.sewn(1, 17, 57, 17, "seam"), wide=58))
    if a.option("closure") == "zip" or a.report.project.closure == "zip":
        upper, lower = _neat(a, f.wrong(1, 14, 56, 14), 14.0, 56.0), f.wrong(1, -4, 56, 12)
        edge = _neat(a, "", 0.0, 56.0)[1]
        frames.append(f.frame(lower, *upper, el("g", edge, transform="translate(0 8) scale(1 -1)"), wide=58))
    return frames


def _neat(a: f.Told, cloth: str, y: float, wide: float = 40.0) -> tuple[str, str]:
    """A cloth whose upper edge is zigzagged, overlocked or pinked."""
    count = int(wide / 2)
    match a.option("inside_seams"):
        case "pinked":
            teeth = "".join(f"l1 {-1.6 if n % 2 == 0 else 1.6}" for n in range(2 * count))
            return cloth, f.shape(f"M1 {number(y)}{teeth}z", fill=PAPER, thick=0.4) + f.shears(1 + wide * 0.6, y, 0)
        case "overlocked":
            loops = "".join(f"M{number(1 + n * 2)} {number(y + 3)}l1 -3.4l1 3.4" for n in range(count))
            return cloth, f.shape(loops, stroke=THREAD, thick=0.5) + f.rule(1, y + 3, 1 + wide, y + 3, THREAD, 0.5)
        case _:
            points = "".join(f"l1 {-4 if n % 2 == 0 else 4}" for n in range(2 * count))
            wide_text, long_text = a.size("zigzag_width"), a.size("zigzag_length")
            told = f.rise(wide + 3, y - 0.5, y + 3.5, wide_text, "zigzag-width") + f.span(
                1, 3, y + 14, long_text, "zigzag-length"
            )
            return cloth, f.shape(f"M1 {number(y + 3.5)}{points}", stroke=THREAD, thick=0.6) + told


def press(a: f.Told) -> list[str]:
    """Seams of one row all one way, of the next all the other; nothing where something else is pressed."""
    if a.step.piece != "seam":
        return []
    section = f.shape("M2 20h17v-3h-7", thick=0.7) + f.shape("M40 20h-21v-3.8h-6", thick=0.7)
    return [
        f.frame(section, f.iron(5, 14), f.go(24, 10, 13, 10), f.note(21, 29, a.says("all one way"))),
        pressing(a, upright=zip_place(a.report)[1]),
    ]


def nest(a: f.Told) -> list[str]:
    """The rows' seams, pressed opposite ways, pushed against each other; sewn; pressed away from the opening."""
    low = f.shape("M2 23h19v-3h7", thick=0.8) + f.shape("M40 23h-19", thick=0.8)
    high = f.shape("M2 9h19v3h-7", thick=0.8) + f.shape("M40 9h-19", thick=0.8)
    first, second = a.back(), a.back(1)
    deep = max(2.2, 20 * a.mm("seam") / max(a.mm("square"), 1.0))
    rows = (
        f.wrong(1, 5, 20, 23)
        + f.wrong(21, 5, 20, 23)
        + f.rule(21, 5, 21, 28)
        + f.sewn(1, 5 + deep, 41, 5 + deep, "seam")
    )
    joined = (
        f.right(first, 1, 2, 20, 13)
        + f.right(second, 21, 2, 20, 13)
        + f.right(second, 1, 15, 20, 13)
        + f.right(first, 21, 15, 20, 13)
    )
    sewn_at = f.rise(42, 5, 5 + deep, a.size("seam"), "seam")
    down_ = a.says("press away from the opening", "press down")
    return [
        f.frame(high, low, f.go(17, 12.2, 20, 12.2), f.go(25, 20, 22, 20), f.note(21, 30, a.says("Nest the seams"))),
        f.frame(rows, sewn_at, f.needle(12, 5 + deep), f.note(21, 32, a.says("right sides together"))),
        f.frame(joined, f.iron(4, 14, 13), f.go(21, 15, 21, 25), f.note(21, 33, down_)),
    ]


def back_trim(a: f.Told) -> list[str]:
    """The front laid on the back's two parts; what stands out is cut off, away from the zip's seam."""
    upright, look = a.option("zip_along") == "column", a.back()
    one, other = a.mm("back_part_1", 1.0), a.mm("back_part_2", 1.0)
    share, wide, high, split = one / (one + other), 34.0, 26.0, 3.0
    long = wide if upright else high
    ends = ((3.0, share * (long - split)), (3 + share * (long - split) + split, (1 - share) * (long - split)))
    parts = cut = sizes = ""
    for n, (at, size) in enumerate(ends, 1):
        edge, text, name = 3 + long - 1.6 if n == 2 else 4.6, a.size(f"back_part_{n}"), f"part-{n}"
        parts += f.right(look, at, 3, size, high) if upright else f.right(look, 3, at, wide, size)
        cut += f.rule(edge, 1, edge, 31, THREAD) if upright else f.rule(1, edge, 39, edge, THREAD)
        sizes += f.span(at, at + size, 32, text, name) if upright else f.rise(39.5, at, at + size, text, name)
    under = f.right(look, 3, 1, 36, 29)
    return [
        f.frame(under, f.right(a.front(), 6, 4, 30, 23), f.note(21, 34, a.shown("back_width"))),
        f.frame(parts, cut, f.cutter(*((4.6, 10) if upright else (10, 4.6))), sizes),
    ]


def envelope_trim(a: f.Told) -> list[str]:
    """Each panel to its size; what is too long comes off the edge that will be hemmed."""
    wide, long = max(a.mm("envelope_width"), 1.0), a.mm("envelope_length")
    k = min(56.0 / wide, 27.0 / max(long, 1.0))
    w, h = wide * k, long * k
    panel = (
        f.right(a.back(), 2, 2, w, h)
        + f.wrong(2, 2 + h, w, 2.5, f.SHADE)
        + f.cutter(10, 2 + h)
        + f.go(16, 4 + h, 24, 4 + h)
    )
    length = f.rise(w + 4.5, 2, 2 + h, a.size("envelope_length"), "length")
    return [
        f.frame(panel, length, f.span(2, 2 + w, h + 7.5, a.size("envelope_width"), "width"), wide=w + 4, high=h + 5)
    ]


END = f.shape("M2 12h36a2 2 0 0 1 0 4h-12a1.4 1.4 0 0 1 0 -2.6h10", thick=0.9)  # of a hem folded twice


def hem_press(a: f.Told) -> list[str]:
    """On the wrong side: folded once, pressed; folded again, pressed; seen from its end."""
    fold, hem = a.mm("hem_fold"), max(a.mm("hem"), 1.0)
    k = 8.0 / hem
    first, second = max(2.0, fold * k), hem * k
    marked, over = 29 - first, f.shape("M28 29c5 -1 5 -7 1 -9m2.4 -.4l-2.4 .4l.4 2.4", stroke=THREAD, thick=0.6)
    flat = f.wrong(1, 2, 34, 27) + f.dotted(1, marked, 35, marked, INK) + over
    once = f.wrong(1, 2, 34, 27 - first) + f.right(a.back(), 1, 29 - 2 * first, 34, first)
    y = marked - second
    twice = f.wrong(1, 2, 34, 27 - first - second) + f.right(a.back(), 1, y - second, 34, second) + f.iron(6, y)
    return [
        f.frame(flat, f.rise(36, marked, 29, a.size("hem_fold"), "fold"), f.note(18, 33, a.called("hem_fold"))),
        f.frame(once, f.iron(6, marked), wide=36),
        f.frame(twice, f.rise(36, y - second, y, a.size("hem"), "hem"), f.note(18, 33, a.called("hem"))),
        f.frame(END, f.go(20, 5, 20, 11)),
    ]


def hem(a: f.Told) -> list[str]:
    """Along the inner fold from edge to edge; twice at the ends."""
    deep = max(5.0, a.mm("hem") * (22.0 / max(a.mm("envelope_length", 1.0), 1.0)))
    panel, y = f.wrong(2, 2, 56, 26 - deep) + f.right(a.back(), 2, 28 - deep, 56, deep), 28 - deep + 0.9
    ends = f.sewn(2, y + 1.3, 8, y + 1.3) + f.sewn(52, y + 1.3, 58, y + 1.3)
    width = f.span(2, 58, 31, a.size("envelope_width"), "width")
    return [
        f.frame(panel, f.sewn(2, y, 58, y, "hem"), ends, f.needle(30, y), width, wide=60),
        f.frame(END, f.rule(28, 6, 28, 20, THREAD, 0.8), f.needle(28, 11)),
    ]


def pinning(a: f.Told) -> list[str]:
    """Front and back wrong sides together; of an envelope the under panel first, the one that shows last; then held."""
    if a.report.project.closure != "envelope":
        told = f.note(21, 3, a.says("Wrong sides together"))
        return [f.frame(f.leaf(5, 20, None), f.leaf(5, 6, a.front()), f.go(38, 8, 38, 20), told), pinned(a)]
    deep = (a.mm("envelope_length") - a.mm("turn_in")) * (27.0 / a.mm("panel_height", 1.0))
    front = f.wrong(3, 2, 34, 27)
    half = len(a.backs) // 2
    first = _rows(a, a.backs[half:], 29 - deep, deep) + f.sewn(3, 30.6 - deep, 37, 30.6 - deep, "hem")
    second = _rows(a, a.backs[:half], 2, deep) + f.sewn(3, deep + 0.4, 37, deep + 0.4, "hem")
    lap = f.rise(39.5, 29 - deep, 2 + deep, a.size("envelope_overlap"), "overlap")
    return [
        f.frame(front, f.note(20, 33, a.says("Front face down"))),
        f.frame(front, first, f.go(20, 6, 20, 29 - deep + 6), f.note(20, 33, a.says("under panel first"))),
        f.frame(front, first, second, lap, f.note(20, 33, a.says("this one you will see"))),
        f.frame(*_held_edge(a)),
    ]


def _rows(a: f.Told, rows: Sequence[Sequence[str]], y: float, high: float) -> str:
    """One panel of an envelope: its rows of squares, or its one cloth."""
    return f.patches(a, rows, (3.0, y, 34.0, high)) if a.report.backing and rows else f.right(a.back(), 3, y, 34, high)


def _held_edge(a: f.Told) -> list[str]:
    """An edge of the two, pinned across or clipped, and by itself where neither is used."""
    edge = f.right(a.back(), 1, 8, 40, 20)
    match a.option("edge_with"):
        case "pins":
            return [edge, *(f.pin(x, 4, 0, 13) for x in (7, 16, 25, 34)), f.note(21, 32, a.says("counted out"))]
        case "clips":
            return [edge, *(f.box(x, 4, 5, 8, fill=f.SHADE, thick=0.6) for x in (5, 18, 31))]
        case _:
            return [edge, f.go(18, 18, 8, 18), f.go(24, 18, 34, 18)]
