"""The moves that make a block: cloth pressed and cut, squares stacked and held, the block quilted."""

from collections.abc import Sequence
from itertools import product

from guide.show.pictures import frames as f
from guide.show.pictures.cloth import WADDING, Look, path
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, Pen, el, label

SIDE = 28.0  # mm of a block seen from above
MOST_PATCHES = 9  # a side, of a small panel
MOST = 6  # layers or piles drawn one by one
P = Pen(1.0)


def press_cloth(a: f.Told) -> list[str]:
    """Pressed flat; a thread drawn at the end; the end cut along that thread."""
    look = a.front()
    end = f.shape("M4 6l5 1.5l4 -2l6 2.5l5 -1.5l5 1l5 -2l4 1.5V28H4z", fill=look.ground)
    cut = f.dotted(4, 11, 38, 11, INK) + f.cutter(14, 11) + f.go(22, 8.4, 32, 8.4)
    drawn = f.rule(4, 11, 38, 11, THREAD, 0.7) + f.go(38, 11, 42, 9)
    return [
        f.frame(f.right(look, 2, 14, 38, 14), f.iron(12, 14), f.go(30, 9, 38, 9)),
        f.frame(end, drawn, f.shears(4, 11, 180.0), f.note(21, 22, a.says("one thread"))),
        f.frame(end, cut, f.note(21, 22, a.says("along that line"))),
    ]


def piles(a: f.Told) -> list[str]:
    """A pile of each print, right side up, all tops the same way."""
    prints = tuple(a.looks.values())[:MOST]
    side = min(16.0, (90.0 - 4 * len(prints)) / len(prints))
    body = []
    for place, look in enumerate(prints):
        x = place * (side + 4)
        body += [f.box(x + 1.8 - n * 0.9, 9.8 - n * 0.9, side, side, fill=PAPER) for n in range(2)]
        body += [f.right(look, x, 8, side, side), f.go(x + side / 2, 5.5, x + side / 2, 0.5)]
        body.append(label(P, x + side / 2, side + 14, look.letter, size=4.4, weight="600"))
    return [f.frame(*body, wide=len(prints) * (side + 4), high=max(side + 17, 33.0))]


def cloth_wash(a: f.Told) -> list[str]:
    """Corners cut off, so that nothing ravels; then into the drum."""
    corners = f.shape("M8 3H34L39 8V23L34 28H8L3 23V8z", fill=a.front().ground) + f.shears(5, 5.5, 135.0)
    corners += f.dotted(34, 3, 39, 3) + f.dotted(39, 3, 39, 8) + f.dotted(3, 23, 3, 28)
    load = f.right(a.front(), 14, 16, 7, 5) + f.right(a.front(1), 21, 17, 7, 5)
    return [f.frame(corners), f.frame(drum(), f.dotted(10, 15, 32, 15), load)]


def cloth_dry(a: f.Told) -> list[str]:
    """Tangled threads cut off; dried hanging straight, taken off damp."""
    look = a.front()
    tangle = f.shape("M30 27c4 2 -5 4 0 6s6 -4 2 -5s-7 3 -3 6", thick=0.3) + f.shears(29, 27.5, -30.0)
    pegs = "".join(f.rule(x, 2, x, 6, INK, 0.9) for x in (7, 17, 25, 35))
    hung = f.right(look, 5, 4, 14, 22) + f.right(a.front(1), 23, 4, 14, 22) + pegs
    return [f.frame(f.right(look, 5, 4, 30, 22), tangle), f.frame(f.rule(0, 4, 42, 4, SOFT, 0.6), hung)]


def drum() -> str:
    """A washer's drum from the front."""
    ring = el("circle", cx=21, cy=15, r=14, stroke=INK, stroke_width=0.7)
    return ring + el("circle", cx=21, cy=15, r=11.5, stroke=SOFT, stroke_width=0.4)


def _leaves(layers: Sequence[Look | None]) -> str:
    """Layers drawn apart, the topmost first."""
    apart = min(5.0, 20.0 / max(1, len(layers) - 1))
    return "".join(f.leaf(5, 2.0 + place * apart, look) for place, look in reversed(list(enumerate(layers))))


def _of(a: f.Told, mm: float) -> float:
    """A length on a block as it is drawn."""
    return SIDE * mm / max(a.mm("square"), 1.0)


def _outwards(x: float, y: float, near: float, far: float) -> str:
    """Four arrows from about a point to the corners."""
    ways = ((1, 1), (-1, 1), (1, -1), (-1, -1))
    return "".join(f.go(x + u * near, y + v * near, x + u * far, y + v * far) for u, v in ways)


def _within(x: float, y: float, free: float) -> str:
    """The edges of a block that are left free."""
    return f.box(x + free, y + free, SIDE - 2 * free, SIDE - 2 * free, stroke=SOFT, stroke_dasharray="1 1.2")


def _held(a: f.Told, x: float = 7.0) -> str:
    """What holds a block: its middle misted, dabbed, pinned or tacked, its edges left free."""
    y, free, mid = 1.0, _of(a, a.mm("seam")), x + SIDE / 2
    low, high, inside = x + free, x + SIDE - free, _within(x, 1.0, free)
    match a.option("hold_with"):
        case "spray":
            return inside + "".join(
                f.dots(low + 2, high - 1, y + v - x, 3.0) for v in range(int(low) + 2, int(high), 3)
            )
        case "glue":
            places = ((u, y + v - x) for u in (mid - 5, mid + 5) for v in (mid - 5, mid + 5))
            return inside + "".join(f.dot(*at, 1.6, f.SHADE) + _ring(*at, 1.6) for at in places)
        case "pins":
            return inside + f.pin(mid - 8, y + 9, 8, 0) + f.pin(mid + 8, y + SIDE - 9, -8, 0)
        case "tacking":
            across = f.tacked(low, y + SIDE / 2, high, y + SIDE / 2)
            return inside + f.tacked(mid, y + free, mid, y + SIDE - free) + across
        case _:
            return _outwards(mid, y + SIDE / 2, 3, 9)


def _ring(x: float, y: float, r: float) -> str:
    return el("circle", cx=x, cy=y, r=r, stroke=INK, stroke_width=0.3)


def under(a: f.Told) -> list[str]:
    """The squares that lie under the wadding, outer face down; what holds them goes on their middles."""
    below = [None] * min(MOST, max(1, len(a.stack) - int(a.mm("above", 1.0))))
    frames = [f.frame(_leaves([None, *below[1:]]), f.go(40, 5, 40, 20), f.note(21, 31, a.says("outer face down")))]
    if a.option("hold_with") in {"spray", "glue"}:
        frames.append(f.frame(f.wrong(7, 1, SIDE, SIDE), _held(a)))
    return frames


def wadding(a: f.Told) -> list[str]:
    """The wadding in the middle, as much cloth bare all round; then what holds it."""
    square = max(a.mm("square"), 1.0)
    gap, cloth = SIDE * (square - a.mm("wadding_size")) / 2 / square, f.wrong(4, 1, SIDE, SIDE)
    inner = f.box(4 + gap, 1 + gap, SIDE - 2 * gap, SIDE - 2 * gap, fill=WADDING, stroke=SOFT)
    sizes = f.rise(4 + SIDE + 2.5, 1, 1 + gap, a.size("wadding_gap"), "gap")
    sizes += f.span(4 + gap, 4 + SIDE - gap, 1 + SIDE + 2.5, a.size("wadding_size"), "wadding")
    frames = [f.frame(cloth, inner, sizes)]
    if a.option("hold_with") in {"spray", "glue"}:
        frames.append(f.frame(cloth, inner if a.option("hold_with") == "spray" else "", _held(a, 4.0)))
    return frames


def top(a: f.Told) -> list[str]:
    """The squares on top of the wadding, right side up; smoothed from the middle, and held."""
    above = a.stack[: min(MOST, max(1, int(a.mm("above", 1.0))))]
    low, block = 4.0 + 5 * len(above), f.right(above[0], 7, 1, SIDE, SIDE)
    bed = f.leaf(5, low + 5, None) + f.leaf(5, low, None, fill=WADDING, inset=2.0)
    frames = [f.frame(bed, _leaves(above), f.go(40, 4, 40, low + 6), f.note(21, low + 16, a.says("right side up")))]
    frames.append(f.frame(block, _outwards(21, 15, 4, 10)))
    return [*frames, f.frame(block, _held(a))] if a.option("hold_with") in {"pins", "tacking"} else frames


def hold(a: f.Told) -> list[str]:
    """A stack without wadding: edges together, outer faces out, and what holds it."""
    layers: list[Look | None] = [a.stack[0], *[None] * (min(MOST, len(a.stack)) - 1)]
    on_top = a.option("hold_with") in {"pins", "tacking", "nothing"}
    bed = f.right(a.stack[0], 7, 1, SIDE, SIDE) if on_top else f.wrong(7, 1, SIDE, SIDE)
    free = f.rise(37.5, 1, 1 + _of(a, a.mm("seam")), a.size("seam"))
    return [f.frame(_leaves(layers), f.note(21, 32, a.says("outer faces out"))), f.frame(bed, _held(a), free)]


def trial(a: f.Told) -> list[str]:
    """The layers under the foot, the wheel turned by hand; and the stitch, the same above and below."""
    layers = min(MOST + 2, max(2, int(a.mm("layers_quilting", 2.0))))
    bed = "".join(f.rule(2, 20 + n * 1.6, 34, 20 + n * 1.6, INK, 0.5) for n in range(layers))
    told = a.shown("layers_quilting")
    thread = "".join(f.shape(f"M{x} 14q4 -3 8 0M{x} 17q4 3 8 0", stroke=THREAD, thick=0.7) for x in (5, 13, 21, 29))
    return [
        f.frame(bed, f.needle(16, 19), f.wheel(35, 8), f.note(18, 20 + layers * 1.6 + 3, told)),
        f.frame(
            f.rule(2, 14, 40, 14), f.rule(2, 17, 40, 17), thread, f.span(13, 21, 21, a.shown("stitch_length"), "stitch")
        ),
    ]


def _lines(a: f.Told) -> tuple[tuple[float, float, float, float], ...]:
    """The two quilting lines on a block of SIDE at (7, 1), as long as they are sewn."""
    reach = _of(a, a.mm("quilt_box"))
    low, high, middle = 7 + (SIDE - reach) / 2, 7 + (SIDE + reach) / 2, 7 + SIDE / 2
    if a.option("quilting") == "plus":
        return (middle, low - 6, middle, high - 6), (low, middle - 6, high, middle - 6)
    return (low, low - 6, high, high - 6), (high, low - 6, low, high - 6)


def mark(a: f.Told) -> list[str]:
    """Both lines ruled, stopping short of the seam."""
    ruled = [f.dotted(*ends, colour=INK, thick=0.8) for ends in _lines(a)]
    slant = "0" if a.option("quilting") == "plus" else "45"
    turned = f"rotate({slant} 21 15) translate(0 14)"
    ruler = el(
        "rect", x=-1, y=1, width=44, height=5, fill=PAPER, fill_opacity=0.8, stroke=SOFT, stroke_width=0.4,
        transform=turned,
    )  # fmt: skip
    block = f.right(a.front(), 7, 1, SIDE, SIDE) + _within(7, 1, _of(a, a.mm("seam")))
    return [f.frame(block, ruled[0], ruler), f.frame(block, *ruled, f.note(21, 33, a.size("quilt_line")))]


def cross(a: f.Told) -> list[str]:
    """The first line from end to end inside the wadding; the block turned; the second line over it."""
    square = max(a.mm("square"), 1.0)
    size = _of(a, a.mm("wadding_size") or square - 2 * a.mm("seam"))
    edge = f.box(7 + (SIDE - size) / 2, 1 + (SIDE - size) / 2, size, size, stroke=INK, stroke_dasharray="0.4 1.4")
    first, second = _lines(a)
    x, y = (first[0] + first[2]) / 2 + 4, (first[1] + first[3]) / 2
    block, line = f.right(a.front(), 7, 1, SIDE, SIDE) + edge, f.sewn(*first, "quilt")
    told = f.note(21, 33, a.size("quilt_line"))
    return [
        f.frame(block, f.dot(*first[:2]), line, f.go(x, y - 1, x, y + 7), told),
        f.frame(block, line, f.turn(21, 15, 6.5)),
        f.frame(block, line, f.dot(*second[:2]), f.sewn(*second, "quilt"), told),
    ]


plus = cross


def trim_threads(a: f.Told) -> list[str]:
    """Thread ends cut close; pins and tacking come out with them."""
    first, second = _lines(a)
    block = f.right(a.front(), 7, 1, SIDE, SIDE) + f.sewn(*first) + f.sewn(*second)
    ends = "".join(
        f.shape(f"M{x} {y}q{3 * u} -2 {5 * u} {2 * v}", stroke=THREAD, thick=0.5)
        for x, y, u, v in ((*first[:2], -1, 1), (*first[2:], 1, 1), (*second[:2], 1, 1))
    )
    frames = [f.frame(block, ends, f.shears(first[2] + 1.5, first[3] + 1, 20.0))]
    out = a.option("hold_with") in {"pins", "tacking"}
    return [*frames, f.frame(block, _held(a), f.go(32, 9, 41, 1))] if out else frames


def tacking_out(a: f.Told) -> list[str]:
    """Tacking cut here and there, then pulled out."""
    block, y = f.right(a.front(), 7, 1, SIDE, SIDE), 15.0
    cuts = "".join(f.rule(x, y - 3, x + 2, y + 3, THREAD, 0.8) for x in (14.2, 27.0)) + f.shears(14, 15, 60)
    pulled = f.shape("M9 15q-5 3 -8 -6", thick=0.6) + f.go(4, 12, 0, 4)
    return [f.frame(block, f.tacked(9, y, 33, y), cuts), f.frame(block, f.tacked(24, y, 33, y), pulled)]


def both(a: f.Told) -> list[str]:
    """The front, and what is seen when every block is turned like a page; none where patches tell no prints."""
    across, down = len(a.rows[0]), len(a.rows)
    if max(across, down) > MOST_PATCHES:
        return []
    side = min(f.WIDE / across, f.HIGH / down)
    where = ((f.WIDE - side * across) / 2, 0.0, side * across, side * down)
    over = f.shape("M4 33c8 3 24 3 33 0m-2.4 -.9l2.4 .9l-1.3 2", stroke=THREAD, thick=0.5)
    lines = _all_quilted(a, where) if a.step.stage == "quilt" else ""
    return [
        f.frame(f.patches(a, a.rows, where), lines, high=33),
        f.frame(f.patches(a, [row[::-1] for row in a.behind], where), lines, over, high=33),
    ]


def _all_quilted(a: f.Told, where: tuple[float, float, float, float]) -> str:
    """The quilting of every block of a panel."""
    x, y, w, h = where
    wide, high = w / len(a.rows[0]), h / len(a.rows)
    out = ""
    for r, c in product(range(len(a.rows)), range(len(a.rows[0]))):
        u, v, p, q = x + c * wide, y + r * high, wide * 0.8 / 8, high * 0.8 / 8
        if a.option("quilting") == "plus":
            out += path((u + wide / 2, v + q), (u + wide / 2, v + high - q))
            out += path((u + p, v + high / 2), (u + wide - p, v + high / 2))
        else:
            out += path((u + p, v + q), (u + wide - p, v + high - q))
            out += path((u + wide - p, v + q), (u + p, v + high - q))
    return f.shape(out, thick=0.3)
