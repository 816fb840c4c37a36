"""The moves that make a block: cloth pressed and cut, squares stacked and held, the block quilted."""

from collections.abc import Sequence

from guide.show.pictures.cloth import WADDING, Look, path
from guide.show.pictures.frames import (
    HIGH,
    SHADE,
    WIDE,
    Told,
    box,
    cutter,
    dot,
    dots,
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
    tacked,
    turn,
    wheel,
    wrong,
)
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, Pen, el, label

SIDE = 28.0  # mm of a block seen from above
MOST_PATCHES = 9  # a side, of a small panel
MOST = 6  # layers or piles drawn one by one
P = Pen(1.0)


def press_cloth(a: Told) -> list[str]:
    """Pressed flat; a thread drawn at the end; the end cut along that thread."""
    look = a.front()
    ragged = "M4 6l5 1.5l4 -2l6 2.5l5 -1.5l5 1l5 -2l4 1.5"
    end = shape(f"{ragged}V28H4z", fill=look.ground)
    drawn = f"{end}{rule(4, 11, 38, 11, THREAD, 0.7)}"
    return [
        frame(right(look, 2, 14, 38, 14), iron(12, 14), go(30, 9, 38, 9)),
        frame(drawn, go(38, 11, 42, 9), shears(4, 11, 180.0), note(21, 22, a.says("one thread"))),
        frame(
            end,
            dotted(4, 11, 38, 11, INK),
            cutter(14, 11),
            go(22, 8.4, 32, 8.4),
            note(21, 22, a.says("along that line")),
        ),
    ]


def piles(a: Told) -> list[str]:
    """A pile of each print, right side up, all tops the same way."""
    prints = tuple(a.looks.values())[:MOST]
    side = min(16.0, (90.0 - 4 * len(prints)) / len(prints))
    body = []
    for place, look in enumerate(prints):
        x = place * (side + 4)
        body += [box(x + 1.8 - n * 0.9, 9.8 - n * 0.9, side, side, fill=PAPER) for n in range(2)]
        body += [right(look, x, 8, side, side), go(x + side / 2, 5.5, x + side / 2, 0.5)]
        body.append(label(P, x + side / 2, side + 14, look.letter, size=4.4, weight="600"))
    return [frame(*body, wide=len(prints) * (side + 4), high=max(side + 17, 33.0))]


def cloth_wash(a: Told) -> list[str]:
    """Corners cut off, so that nothing ravels; then into the drum."""
    look = a.front()
    corners = shape("M8 3H34L39 8V23L34 28H8L3 23V8z", fill=look.ground)
    return [
        frame(
            corners,
            shears(5, 5.5, 135.0),
            *(dotted(*ends) for ends in ((34, 3, 39, 3), (39, 3, 39, 8), (3, 23, 3, 28))),
        ),
        frame(_drum(0.5), right(look, 14, 16, 7, 5), right(a.front(1), 21, 17, 7, 5)),
    ]


def cloth_dry(a: Told) -> list[str]:
    """Tangled threads cut off; dried hanging straight, taken off damp."""
    look = a.front()
    tangle = "M30 27c4 2 -5 4 0 6s6 -4 2 -5s-7 3 -3 6"
    return [
        frame(right(look, 5, 4, 30, 22), shape(tangle, thick=0.3), shears(29, 27.5, -30.0)),
        frame(
            rule(0, 4, 42, 4, SOFT, 0.6),
            right(look, 5, 4, 14, 22),
            right(a.front(1), 23, 4, 14, 22),
            *(rule(x, 2, x, 6, INK, 0.9) for x in (7, 17, 25, 35)),
        ),
    ]


def _drum(full: float) -> str:
    ring = el("circle", cx=21, cy=15, r=14, stroke=INK, stroke_width=0.7)
    level = 15 + 11 * (1 - 2 * full)
    return ring + el("circle", cx=21, cy=15, r=11.5, stroke=SOFT, stroke_width=0.4) + dotted(10, level, 32, level)


def _leaves(layers: Sequence[Look | None], y: float = 2.0, apart: float = 5.0) -> str:
    """Layers drawn apart, the topmost first."""
    apart = min(apart, 20.0 / max(1, len(layers) - 1))
    return "".join(leaf(5, y + place * apart, look) for place, look in reversed(list(enumerate(layers))))


def _held(a: Told, x: float, y: float, side: float) -> str:
    """What holds a square of cloth: its middle misted, dabbed, pinned or tacked, its edges left free."""
    free = side * a.mm("seam") / max(a.mm("square"), 1.0)
    low, high, middle = x + free, x + side - free, x + side / 2
    inside = box(low, y + free, side - 2 * free, side - 2 * free, stroke=SOFT, stroke_dasharray="1 1.2")
    match a.option("hold_with"):
        case "spray":
            return inside + "".join(dots(low + 2, high - 1, y + v - x, 3.0) for v in range(int(low) + 2, int(high), 3))
        case "glue":
            return inside + "".join(
                dot(u, y + v - x, 1.6, SHADE) + _ring(u, y + v - x, 1.6)
                for u in (middle - 5, middle + 5)
                for v in (middle - 5, middle + 5)
            )
        case "pins":
            return inside + pin(middle - 8, y + 9, 8, 0) + pin(middle + 8, y + side - 9, -8, 0)
        case "tacking":
            up, level = tacked(middle, y + free, middle, y + side - free), tacked(low, y + side / 2, high, y + side / 2)
            return inside + up + level
        case _:
            return "".join(
                go(middle + u * 3, y + side / 2 + v * 3, middle + u * 9, y + side / 2 + v * 9)
                for u, v in ((1, 1), (-1, 1), (1, -1), (-1, -1))
            )


def _ring(x: float, y: float, r: float) -> str:
    return el("circle", cx=x, cy=y, r=r, stroke=INK, stroke_width=0.3)


def under(a: Told) -> list[str]:
    """The squares that lie under the wadding, outer face down; what holds them goes on their middles."""
    below = [None] * min(MOST, max(1, len(a.stack) - int(a.mm("above", 1.0))))
    frames = [frame(_leaves([None, *below[1:]]), go(40, 5, 40, 20), note(21, 31, a.says("outer face down")))]
    if a.option("hold_with") in {"spray", "glue"}:
        frames.append(frame(wrong(7, 1, SIDE, SIDE), _held(a, 7, 1, SIDE)))
    return frames


def wadding(a: Told) -> list[str]:
    """The wadding in the middle, as much cloth bare all round; then what holds it."""
    square, size = max(a.mm("square"), 1.0), a.mm("wadding_size")
    gap = SIDE * (square - size) / 2 / square
    inner = box(4 + gap, 1 + gap, SIDE - 2 * gap, SIDE - 2 * gap, fill=WADDING, stroke=SOFT)
    laid = frame(
        wrong(4, 1, SIDE, SIDE),
        inner,
        rise(4 + SIDE + 2.5, 1, 1 + gap, a.size("wadding_gap"), "gap"),
        span(4 + gap, 4 + SIDE - gap, 1 + SIDE + 2.5, a.size("wadding_size"), "wadding"),
    )
    if a.option("hold_with") not in {"spray", "glue"}:
        return [laid]
    ground = inner if a.option("hold_with") == "spray" else ""
    return [laid, frame(wrong(4, 1, SIDE, SIDE), ground, _held(a, 4, 1, SIDE))]


def top(a: Told) -> list[str]:
    """The squares on top of the wadding, right side up; smoothed from the middle, and held."""
    above = a.stack[: min(MOST, max(1, int(a.mm("above", 1.0))))]
    low = 4.0 + 5 * len(above)
    bed = leaf(5, low + 5, None) + leaf(5, low, None, fill=WADDING, inset=2.0)
    frames = [frame(bed, _leaves(above), go(40, 4, 40, low + 6), note(21, low + 16, a.says("right side up")))]
    out = "".join(go(21 + u * 4, 15 + v * 4, 21 + u * 10, 15 + v * 10) for u, v in ((1, 1), (-1, 1), (1, -1), (-1, -1)))
    frames.append(frame(right(above[0], 7, 1, SIDE, SIDE), out))
    if a.option("hold_with") in {"pins", "tacking"}:
        frames.append(frame(right(above[0], 7, 1, SIDE, SIDE), _held(a, 7, 1, SIDE)))
    return frames


def hold(a: Told) -> list[str]:
    """A stack without wadding: edges together, outer faces out, and what holds it."""
    layers: list[Look | None] = [a.stack[0], *[None] * (min(MOST, len(a.stack)) - 1)]
    on_top = a.option("hold_with") in {"pins", "tacking", "nothing"}
    bed = right(a.stack[0], 7, 1, SIDE, SIDE) if on_top else wrong(7, 1, SIDE, SIDE)
    return [
        frame(_leaves(layers), note(21, 32, a.says("outer faces out"))),
        frame(
            bed, _held(a, 7, 1, SIDE), rise(37.5, 1, 1 + SIDE * a.mm("seam") / max(a.mm("square"), 1.0), a.size("seam"))
        ),
    ]


def trial(a: Told) -> list[str]:
    """The layers under the foot, the wheel turned by hand; and the stitch, the same above and below."""
    layers = min(MOST + 2, max(2, int(a.mm("layers_quilting", 2.0))))
    bed = "".join(rule(2, 20 + n * 1.6, 34, 20 + n * 1.6, INK, 0.5) for n in range(layers))
    told = a.shown("layers_quilting")
    thread = "".join(shape(f"M{x} 14q4 -3 8 0M{x} 17q4 3 8 0", stroke=THREAD, thick=0.7) for x in (5, 13, 21, 29))
    return [
        frame(bed, needle(16, 19), wheel(35, 8), note(18, 20 + layers * 1.6 + 3, told)),
        frame(rule(2, 14, 40, 14), rule(2, 17, 40, 17), thread, span(13, 21, 21, a.shown("stitch_length"), "stitch")),
    ]


def _lines(a: Told) -> tuple[tuple[float, float, float, float], ...]:
    """The two quilting lines on a block of SIDE at (7, 1), as long as they are sewn."""
    reach = SIDE * a.mm("quilt_box") / max(a.mm("square"), 1.0)
    low, high, middle = 7 + (SIDE - reach) / 2, 7 + (SIDE + reach) / 2, 7 + SIDE / 2
    if a.option("quilting") == "plus":
        lines = ((middle, low - 6, middle, high - 6), (low, middle - 6, high, middle - 6))
    else:
        lines = ((low, low - 6, high, high - 6), (high, low - 6, low, high - 6))
    return lines


def mark(a: Told) -> list[str]:
    """Both lines ruled, stopping short of the seam."""
    free = SIDE * a.mm("seam") / max(a.mm("square"), 1.0)
    ruled = [dotted(*ends, colour=INK, thick=0.8) for ends in _lines(a)]
    slant = "-45" if a.option("quilting") != "plus" else "0"
    ruler = el(
        "rect",
        x=-1,
        y=1,
        width=44,
        height=5,
        fill=PAPER,
        fill_opacity=0.8,
        stroke=SOFT,
        stroke_width=0.4,
        transform=f"rotate({slant} 21 15) translate(0 14)",
    )
    inside = box(7 + free, 1 + free, SIDE - 2 * free, SIDE - 2 * free, stroke=SOFT, stroke_dasharray="1 1.2")
    return [
        frame(right(a.front(), 7, 1, SIDE, SIDE), inside, ruled[0], ruler.replace("rotate(-45", "rotate(45")),
        frame(right(a.front(), 7, 1, SIDE, SIDE), inside, *ruled, note(21, 33, a.size("quilt_line"))),
    ]


def cross(a: Told) -> list[str]:
    """The first line from end to end inside the wadding; the block turned; the second line over it."""
    square = max(a.mm("square"), 1.0)
    size = SIDE * (a.mm("wadding_size") or square - 2 * a.mm("seam")) / square
    edge = box(7 + (SIDE - size) / 2, 1 + (SIDE - size) / 2, size, size, stroke=INK, stroke_dasharray="0.4 1.4")
    first, second = _lines(a)
    mid = ((first[0] + first[2]) / 2, (first[1] + first[3]) / 2)
    block = right(a.front(), 7, 1, SIDE, SIDE) + edge
    return [
        frame(
            block,
            dot(*first[:2]),
            sewn(*first, "quilt"),
            go(mid[0] + 4, mid[1] - 1, mid[0] + 4, mid[1] + 7),
            note(21, 33, a.size("quilt_line")),
        ),
        frame(block, sewn(*first, "quilt"), turn(21, 15, 6.5)),
        frame(
            block, sewn(*first, "quilt"), dot(*second[:2]), sewn(*second, "quilt"), note(21, 33, a.size("quilt_line"))
        ),
    ]


plus = cross


def trim_threads(a: Told) -> list[str]:
    """Thread ends cut close; pins and tacking come out with them."""
    first, second = _lines(a)
    block = right(a.front(), 7, 1, SIDE, SIDE) + sewn(*first) + sewn(*second)
    ends = "".join(
        shape(f"M{x} {y}q{3 * u} -2 {5 * u} {2 * v}", stroke=THREAD, thick=0.5)
        for x, y, u, v in ((*first[:2], -1, 1), (*first[2:], 1, 1), (*second[:2], 1, 1))
    )
    frames = [frame(block, ends, shears(first[2] + 1.5, first[3] + 1, 20.0))]
    held = a.option("hold_with")
    if held in {"pins", "tacking"}:
        frames.append(frame(block, _held(a, 7, 1, SIDE), go(32, 9, 41, 1)))
    return frames


def tacking_out(a: Told) -> list[str]:
    """Tacking cut here and there, then pulled out."""
    block, y = right(a.front(), 7, 1, SIDE, SIDE), 15.0
    return [
        frame(
            block,
            tacked(9, y, 33, y),
            *(rule(x, y - 3, x + 2, y + 3, THREAD, 0.8) for x in (14.2, 27.0)),
            shears(14, 15, 60),
        ),
        frame(block, tacked(24, y, 33, y), shape("M9 15q-5 3 -8 -6", thick=0.6), go(4, 12, 0, 4)),
    ]


def both(a: Told) -> list[str]:
    """The front, and what is seen when every block is turned like a page; none where patches tell no prints."""
    across, down = len(a.rows[0]), len(a.rows)
    if max(across, down) > MOST_PATCHES:
        return []
    side = min(WIDE / across, HIGH / down)
    where = ((WIDE - side * across) / 2, 0.0, side * across, side * down)
    over = shape("M4 33c8 3 24 3 33 0m-2.4 -.9l2.4 .9l-1.3 2", stroke=THREAD, thick=0.5)
    lines = _all_quilted(a, where) if a.step.stage == "quilt" else ""
    return [
        frame(patches(a, a.rows, where), lines, high=33),
        frame(patches(a, [row[::-1] for row in a.behind], where), lines, over, high=33),
    ]


def _all_quilted(a: Told, where: tuple[float, float, float, float]) -> str:
    """The quilting of every block of a panel."""
    x, y, w, h = where
    across, down = len(a.rows[0]), len(a.rows)
    wide, high = w / across, h / down
    out = []
    for r in range(down):
        for c in range(across):
            u, v, p, q = x + c * wide, y + r * high, wide * 0.8, high * 0.8
            if a.option("quilting") == "plus":
                lines = path((u + wide / 2, v + q / 8), (u + wide / 2, v + high - q / 8))
                lines += path((u + p / 8, v + high / 2), (u + wide - p / 8, v + high / 2))
            else:
                lines = path((u + p / 8, v + q / 8), (u + wide - p / 8, v + high - q / 8))
                lines += path((u + wide - p / 8, v + q / 8), (u + p / 8, v + high - q / 8))
            out.append(lines)
    return shape("".join(out), thick=0.3)
