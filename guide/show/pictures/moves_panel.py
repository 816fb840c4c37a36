"""The moves that make a panel and close it: seams joined, edges snipped, the outer seam sewn."""

import math

from guide.show.pictures.cloth import Look
from guide.show.pictures.frames import (
    HIGH,
    PLAIN,
    SHADE,
    Told,
    box,
    comb,
    comb_up,
    cutter,
    dot,
    dotted,
    frame,
    go,
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
    turn,
    wheel,
    wrong,
)
from guide.show.pictures.moves_block import both
from guide.show.pictures.svg import (
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    across,
    el,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
    threads,
)

# Snips: their true spacing along a seam, and what happens at an outer corner.


def snip_places(length_mm: float, every_mm: float) -> list[float]:
    """Where the snips fall along a seam: one fewer than the gaps, none at the ends."""
    gaps = max(math.ceil(length_mm / every_mm * (1 - 1e-9)), 1)
    return [(place + 1) * length_mm / gaps for place in range(gaps - 1)]


def _corner(a: Told) -> str:
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


def seam(a: Told) -> list[str]:
    """Wrong sides together, edges up; sewn short of both ends; opened, its edges standing on the front."""
    first, k = a.front(), 34.0 / max(a.mm("square"), 1.0)
    deep, free = a.mm("seam") * k, a.mm("free_end") * k
    told = note(21, 4, a.says("Wrong sides together", "wrong sides together"))
    return [
        frame(leaf(5, 21, None) + leaf(5, 7, first), go(38, 9, 38, 22), told),
        frame(
            comb(2, 36, 5, -2.5),
            right(first, 2, 5, 34, 21),
            sewn(2 + free, 5 + deep, 36 - free, 5 + deep, "seam"),
            rise(38, 5, 5 + deep, a.size("seam"), "seam"),
            span(2, 2 + free, 29, a.shown("free_end"), "free-end"),
        ),
        _opened([first], [a.front(1)], a),
    ]


def _opened(left: list[Look], after: list[Look], a: Told) -> str:
    """Blocks side by side from the front, the fringe of their seams standing between them."""
    high, square = (HIGH - 2) / len(left), max(a.mm("square"), 1.0)
    reach = max(1.6, 19 * a.mm("seam") / square)
    body = []
    for row, (one, other) in enumerate(zip(left, after, strict=True)):
        body += [right(one, 1, 1 + row * high, 20, high), right(other, 21, 1 + row * high, 20, high)]
    body.append(comb_up(21 - reach, 1, 29, 2 * reach))
    return frame(*body, comb(1, 41, 1 + high - reach, 2 * reach) if len(left) > 1 else "")


def crossing(a: Told) -> list[str]:
    """Rows together, flaps opened flat where seams meet; the seam over them, by hand wheel; the panel opened."""
    rows = [[a.looks[name] for name in row] for row in a.rows]
    seam = a.size("seam")
    if not a.mm("crossings"):
        first, second = rows[0][0], rows[-1][0]
        edge = comb(2, 40, 6, -2.5) + right(first, 2, 6, 38, 20) + sewn(4, 10, 38, 10, "seam")
        return [frame(edge, rise(41, 6, 10, seam, "seam")), _opened([first], [second], a)]
    bed = right(rows[0][0], 1, 5, 20, 24) + right(rows[0][1], 21, 5, 20, 24) + comb(1, 41, 5, -2.0)
    bed += wrong(15, 5, 6, 24, SHADE) + wrong(21, 5, 6, 24, SHADE)
    apart = go(19, 20, 15.5, 20) + go(23, 20, 26.5, 20)
    over = sewn(3, 9.5, 39, 9.5, "seam") + el("circle", cx=21, cy=9.5, r=4, stroke=THREAD, stroke_width=0.6)
    return [
        frame(bed, apart, needle(6, 9.5), rise(42, 5, 9.5, seam, "seam")),
        frame(bed, over, wheel(34, 21), note(21, 33, a.shown("layers_crossing"))),
        _opened([rows[0][0], rows[1][0]], [rows[0][1], rows[1][1]], a),
    ]


def whole_panel(a: Told, wide: float = 36.0) -> tuple[str, float, float]:
    """The panel, each block its print where there is room for it: drawn, its width, its height."""
    across, down = a.mm("panel_width", 1.0), a.mm("panel_height", 1.0)
    k = min(wide / across, (HIGH - 2) / down)
    w, h = across * k, down * k
    rows = a.rows if max(len(a.rows), len(a.rows[0])) <= MOST else [row[:2] for row in a.rows[:2]]
    return patches(a, rows, (2.0, 2.0, w, h)), w, h


MOST = 4  # blocks a side, up to which all of them are drawn


def square_up(a: Told) -> list[str]:
    """The ruler's corner in the panel's; what sticks out comes off; the diagonals agree."""
    panel, w, h = whole_panel(a)
    ruler = box(w - 11, 2, 13, 13, fill=PAPER, fill_opacity="0.75", stroke=SOFT)
    out = shape(f"M{number(2 + w)} 3l2.2 2v6l-2.2 3z", fill=SHADE)
    both = dotted(2, 2, 2 + w, 2 + h, INK, 0.6) + dotted(2 + w, 2, 2, 2 + h, INK, 0.6)
    return [frame(panel, out, ruler, cutter(w + 2, 12)), frame(panel, both)]


def measure(a: Told) -> list[str]:
    """The tape across the middle, or down it: from raw edge to raw edge, or washed from stitches to stitches."""
    panel, w, h = whole_panel(a, 32.0)
    name, inset, tape = a.step.measure or "", 0.0, "#f6ebc6"
    if name.startswith("washed"):
        inset, stitches = 1.6, box(3.6, 3.6, w - 3.2, h - 3.2, stroke=THREAD, stroke_dasharray="2 1.3")
        fringe = comb(2, 2 + w, 2, -2.2) + comb(2, 2 + w, 2 + h, 2.2)
        panel = fringe + right(a.looks[a.rows[0][0]], 2, 2, w, h) + stitches
    if name.endswith("height"):
        band, x = box(w / 2, 2 + inset, 4, h - 2 * inset, fill=tape), 2 + w / 2
        ends = dot(x, 2 + inset) + dot(x, 2 + h - inset)
        size = rise(w + 5, 2 + inset, 2 + h - inset, a.size(name), "measured")
    else:
        band, y = box(2 + inset, h / 2, w - 2 * inset, 4, fill=tape), 2 + h / 2
        ends = dot(2 + inset, y) + dot(2 + w - inset, y)
        size = span(2 + inset, 2 + w - inset, h + 5, a.size(name), "measured")
    return [frame(panel, band, ends, size, high=35)]


def faces(a: Told) -> list[str]:
    """The panel measured where this step measures it, else what is seen of it from both sides."""
    return measure(a) if a.step.measure else both(a)


def pins_out(a: Told) -> list[str]:
    """Every pin out and into the tin."""
    top = el("ellipse", cx=35, cy=18, rx=6, ry=1.8, fill=PAPER, stroke=INK, stroke_width=0.4)
    tin = shape("M29 18h12v9h-12z", fill=SHADE) + top
    pins = pin(7, 9, 7, 3) + pin(19, 21, -7, -3)
    return [frame(right(a.front(), 1, 3, 24, 24), pins, go(14, 11, 31, 16), tin, high=33)]


def snips(a: Told) -> list[str]:
    """The raw edge from the side: how far apart, how deep, and what stays whole at the panel's edge."""
    k = 34.0 / max(a.mm("pitch_made", 1.0) * 0.8, 1.0)
    y, every, foot = 6 + a.mm("seam") * k, a.mm("snip_every", 1.0) * k, 6 + a.mm("cut_depth") * k
    clear, free = a.mm("edge_clear", a.mm("seam")) * k, a.mm("free_end") * k
    cloth = comb(1, 39, 6, -2.2) + right(a.front(), 1, 6, 38, 20.0)
    places = [1 + every * (n + 1) for n in range(int(38 / every))]
    cuts = "".join(_snip(x, 5, foot) for x in places if x < 39)
    if len(places) > 2:
        cuts += shears(places[-1] if places[-1] < 34 else places[-2], foot, -90.0)
    depth = rise(41, 6, foot, a.size("cut_depth"), "depth")
    apart = span(places[0], places[1], 29, a.size("snip_every"), "every") if len(places) > 1 else ""
    stop = 39 - clear
    whole = "".join(_snip(stop - every * n, 5, foot) for n in range(int((stop - 1) / every) + 1))
    edge = rule(39, 3, 39, 28, INK, 0.9) + span(stop, 39, 29, a.size("edge_clear"), "whole")
    return [
        frame(cloth, sewn(1, y, 39, y, "seam"), cuts, depth, apart),
        frame(cloth, sewn(1, y, 39 - free, y, "seam"), whole, edge),
    ]


def snips_long(a: Told) -> list[str]:
    """The long seam: both its ends whole, the crossings' flaps lifted out of the way."""
    cloth = comb(1, 41, 8, -2.2) + right(a.front(), 1, 8, 20, 18) + right(a.front(1), 21, 8, 20, 18)
    cuts = "".join(_snip(x, 7, 11.5) for x in range(8, 36, 3) if abs(x - 21) > 4)
    seam = cloth + sewn(2.5, 13, 39.5, 13, "seam") + cuts
    posts = rule(35, 28, 41, 28, SOFT) + rule(1, 4, 1, 26, INK, 0.9) + rule(41, 4, 41, 26, INK, 0.9)
    ends = span(1, 7, 29, a.size("edge_clear"), "whole") + posts
    long = frame(seam, ends, rise(42, 8, 11.5, a.size("cut_depth"), "depth"))
    if not a.mm("crossings"):
        return [long]
    flaps = shape("M15 8L13 1h5l3 7z", fill=SHADE) + shape("M27 8L29 1h-5l-3 7z", fill=SHADE)
    return [long, frame(seam, flaps, go(16, 7, 15, 2), go(26, 7, 27, 2), shears(11, 11.5, 180.0))]


def _snip(x: float, top: float, foot: float) -> str:
    return el("line", x1=x, y1=top, x2=x, y2=foot, stroke=INK, stroke_width=0.7, data_snip_mm=x)


def flaps(a: Told) -> list[str]:
    """At a crossing: its flaps opened, so many snips in them; then the panel shaken."""
    each = max(1, int(a.mm("snips_at_crossing", 1.0)))
    rows = [[a.looks[name] for name in row] for row in a.rows]
    four = "".join(right(rows[r][c], 1 + 20 * c, 1 + 14 * r, 20, 14) for r in (0, 1) for c in (0, 1))
    square = wrong(15, 9, 12, 12, SHADE) + rule(21, 9, 21, 21) + rule(15, 15, 27, 15)
    places = [(17 + 8 * (n % 2), 11 + 8 * (n // 2 % 2)) for n in range(min(each, 4))]
    cuts = "".join(rule(x, y - 2, x, y + 1.6, INK, 0.8) for x, y in places)
    return [frame(four, square, cuts, shears(places[0][0], places[0][1] + 1, 150.0)), shaken(a)]


def outer(a: Told) -> list[str]:
    """All round, one seam from the edge; round a corner with the needle down; over the lumps by the wheel."""
    panel, w, h = whole_panel(a, 32.0)
    s = max(2.0, w * a.mm("seam") / a.mm("panel_width", 1.0))
    x, y, right_, foot, mid = 2 + s, 2 + s, 2 + w - s, 2 + h - s, 2 + w / 2
    turns = ((x, y), (right_, y), (right_, foot), (x, foot))
    line = "".join(sewn(*one, *other, "outer") for one, other in zip(turns, turns[1:] + turns[:1], strict=True))
    line += "".join(dot(*one) for one in turns) + dot(mid, y, 1.3) + go(mid, s - 1.2, mid + 8, s - 1.2)
    corner = right(a.looks[a.rows[0][-1]], 2, 5, 30, 24)
    corner += sewn(2, 11, 26, 11, "outer") + sewn(26, 11, 26, 29, "outer") + needle(26, 11) + turn(36, 22, 4)
    lump = "".join(rule(2, 18 + n * 1.5, 40, 18 + n * 1.5, INK, 0.5) for n in range(4))
    lump += shape("M15 18c1 -6 11 -6 12 0z", fill=SHADE) + needle(21, 12.5) + wheel(36, 8)
    return [
        frame(panel, line, rise(w + 4.5, 2, 2 + s, a.size("seam"), "seam")),
        frame(corner, note(17, 33, a.says("Pivot at the corners", "pivoting inside its corners"))),
        frame(lump, note(21, 29, a.shown("layers_outer_worst"))),
    ]


def again(a: Told) -> list[str]:
    """A second line inside the first."""
    look = a.looks[a.rows[0][-1]]
    first = sewn(0, 8, 33, 8, "outer", SOFT) + sewn(33, 8, 33, 30, "outer", SOFT)
    second = sewn(0, 13, 28, 13, "again") + sewn(28, 13, 28, 30, "again") + dot(28, 13)
    return [frame(right(look, 0, 3, 38, 27), first, second, rise(40, 8, 13, a.size("outer_again"), "again"), wide=44)]


def snips_outer(a: Told) -> list[str]:
    """The edge snipped; one slanting slit in each corner; the inner seams' ends freed beyond the line."""
    k = 8.0 / max(a.mm("seam"), 1.0)
    foot, places = 5 + a.mm("cut_depth") * k, snip_places(34 / k, a.mm("snip_every", 1.0))
    edge = comb(1, 36, 5, -2.2) + right(a.looks[a.rows[0][-1]], 1, 5, 35, 24) + sewn(1, 13, 36, 13, "outer")
    at = [x * k + 1 for x in places] or [18.5]  # one where they are further apart than is drawn
    cuts = "".join(_snip(x, 4, foot) for x in at) + shears(at[len(at) // 2], foot, -90)
    apart = span(at[0], at[1], 31, a.size("snip_every"), "every") if len(at) > 1 else ""
    frames = [frame(edge, cuts, apart, rise(38, 5, foot, a.size("cut_depth"), "depth")), _corner(a)]
    if a.mm("inner_ends"):
        stands = wrong(16, 5, 5, 24, SHADE) + wrong(21, 5, 5, 24, SHADE) + rule(21, 5, 21, 29)
        freed = "".join(_snip(x, 4, foot) for x in (18.4, 23.6)) + shears(23.6, foot, -90)
        frames.append(frame(edge, stands, sewn(1, 13, 36, 13, "outer"), freed))
    return frames


SPREAD = "M2 12c3 -4 6 2 9 -1s6 2 9 -1s7 2 9 0s6 1 9 -1V26c-4 2 -6 -1 -9 1s-6 -1 -9 0s-6 1 -9 0s-6 2 -9 0z"  # shaken


def shaken(a: Told) -> str:
    """The piece shaken out, and what falls from it."""
    bits = "".join(
        rule(x, y, x + 1, y + 1.6, SOFT, 0.3) for x, y in ((6, 28), (12, 29), (19, 28), (25, 29), (31, 28), (36, 28))
    )
    return frame(shape(SPREAD, fill=a.front().ground, thick=0.5), bits, go(5, 8, 5, 2), go(35, 2, 35, 8))
