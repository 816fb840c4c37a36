"""How each print looks on paper: marks of our own on a ground, told apart in grey too, a letter, a colour.

Marks are plain lines and shapes drawn inside the piece they lie on: nothing is cut off at its edges, and a printer gets
no bitmap. They follow the print's name where the name says it (moss check, clay dot, oat stripe), else the next that
are free; after twelve prints they begin again, and letters tell prints apart.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import msgspec

from guide.plan.model import Placement
from guide.show.model_plan import ClothReport, PartReport
from guide.show.pictures.svg import (
    IDENT,
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    across,
    down,
    el,
    label,
    number,
    pen,
    picture,
)
from guide.show.pictures.svg import wide as width

COLOURS = {  # words of colour: ground and figure
    "moss": ("#dfe5cf", "#6f7f45"), "green": ("#dbe6d6", "#56764f"), "leaf": ("#dbe6d6", "#56764f"),
    "oat": ("#f3ead8", "#a98e5f"), "cream": ("#f7f0df", "#b29a6b"), "straw": ("#f6ebc6", "#a98a32"),
    "clay": ("#f0d6c8", "#a9583a"), "rust": ("#efd3c4", "#9c4a2b"), "red": ("#f2d3cf", "#a23b34"),
    "berry": ("#ecd3dc", "#8c3d5b"), "plum": ("#e3d6e6", "#6d4b78"), "rose": ("#f5dadd", "#b0606e"),
    "slate": ("#d9dee3", "#566673"), "blue": ("#d6e1ee", "#426a96"), "ink": ("#d7dae6", "#3d4670"),
    "sky": ("#dcebf4", "#5c8fb0"), "sand": ("#f1e6d2", "#a3835a"), "grey": ("#e2e0dc", "#6d6a65"),
    "brown": ("#e6d9cb", "#7b5a3c"), "white": ("#fbfaf6", "#a39d92"), "black": ("#c9c6c2", "#2f2c29"),
}  # fmt: skip
SPARE = ("moss", "oat", "clay", "slate", "plum", "straw", "sky", "brown", "rose", "ink", "sand", "grey")
WADDING = "#f6f3ec"
CLOSEST, WIDEST = 1.3, 4.0  # paper mm from mark to mark


class Look(msgspec.Struct, frozen=True):
    """How one print is drawn: its letter, the kind of marks, ground and figure colour."""

    name: str
    letter: str
    kind: str
    ground: str
    figure: str
    lettered: bool = True  # its letter stands on each patch


def looks(prints: Sequence[tuple[str, str, str | None]]) -> dict[str, Look]:
    """Choose a look for each (name, letter, its own colour or None); marks differ as long as there are marks."""
    said: dict[str, str] = {}
    for name, *_ in prints:
        kind = next((kind for kind in MARKS if kind in name.lower().split()), None)
        if kind and kind not in said.values():
            said[name] = kind
    free = [kind for kind in MARKS if kind not in said.values()]
    out: dict[str, Look] = {}
    for place, (name, letter, own) in enumerate(prints):
        kind = said.get(name) or (free.pop(0) if free else list(MARKS)[place % len(MARKS)])
        named = next((word for word in name.lower().split() if word in COLOURS), SPARE[place % len(SPARE)])
        out[name] = Look(name, letter, kind, *(_dyed(own) if own else COLOURS[named]))
    return out


def _dyed(colour: str) -> tuple[str, str]:
    """A ground of the maker's own colour, #rrggbb, and a figure that shows on it: darker on light, lighter on dark."""
    parts = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
    light = (0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]) / 255
    to, share = (0, 0.5) if light > 0.4 else (255, 0.62)
    return colour, "#" + "".join(f"{round(part + (to - part) * share):02x}" for part in parts)


def definitions(p: Pen, looks_: dict[str, Look], wide: float, high: float, size: str = "") -> str:
    """The cloth of each print as a piece `wide` by `high`, to be laid with `laid`; `size` tells sizes apart."""
    pieces = (
        el("g", el("rect", width=wide, height=high, fill=look.ground), *_marks(p, look, wide, high), id=_id(look, size))
        for look in looks_.values()
    )
    return el("defs", *pieces)


def cut_to(p: Pen, look: Look, wide: float, high: float, **attributes: str | float | None) -> str:
    """One piece of a size of its own, laid by a transform."""
    return el("g", el("rect", width=wide, height=high, fill=look.ground), *_marks(p, look, wide, high), **attributes)


def laid(look: Look, size: str = "", **attributes: str | float | None) -> str:
    """One piece of a print's cloth, at an x and y or by a transform."""
    return el("use", href=f"#{_id(look, size)}", **attributes)


def _id(look: Look, size: str) -> str:
    return f"{IDENT}{look.letter}{size}"


def _marks(p: Pen, look: Look, wide: float, high: float) -> Iterator[str]:
    """The marks as at most two paths: strokes, and shapes that are filled."""
    unit = p.k * min(max(min(wide, high) / p.k / 3.2, CLOSEST), WIDEST)
    strokes, fills = MARKS[look.kind](Piece(wide, high, unit))
    if strokes:
        yield el("path", d=strokes, stroke=look.figure, stroke_width=unit * 0.16, data_marks=look.kind)
    if fills:
        yield el("path", d=fills, fill=look.figure, data_marks=look.kind)


class Piece(msgspec.Struct, frozen=True):
    """A piece of cloth to put marks on, about a `unit` apart."""

    wide: float
    high: float
    unit: float

    def across(self, share: float = 1.0) -> list[float]:
        """Places from left to right, evenly, none at an edge."""
        return _even(self.wide, self.unit * share)

    def down(self, share: float = 1.0) -> list[float]:
        """Places from top to foot."""
        return _even(self.high, self.unit * share)

    def lattice(self) -> Iterator[tuple[float, float]]:
        """Places for single marks, every second row between those above where there is room."""
        across = self.across()
        between = [(one + other) / 2 for one, other in pairwise(across)] or across
        for row, y in enumerate(self.down()):
            yield from ((x, y) for x in (between if row % 2 else across))


def _even(length: float, unit: float) -> list[float]:
    count = max(1, round(length / unit))
    return [(place + 0.5) * length / count for place in range(count)]


Marks = tuple[str, str]


def path(*points: tuple[float, float]) -> str:
    """A line through points, as path commands."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _box(left: float, top: float, wide: float, high: float) -> str:
    return f"M{number(left)} {number(top)}h{number(wide)}v{number(high)}h{number(-wide)}z"


def _check(c: Piece) -> Marks:
    """Squares by turns, as on a board."""
    across, down = c.across(0.5), c.down(0.5)
    wide, high = c.wide / len(across), c.high / len(down)
    squares = (
        _box(x - wide / 2, y - high / 2, wide, high)
        for row, y in enumerate(down)
        for column, x in enumerate(across)
        if (row + column) % 2 == 0
    )
    return "", "".join(squares)


def _stripe(c: Piece) -> Marks:
    """Broad upright lines, a thin one between."""
    broad, thin, apart, out = c.unit * 0.36, c.unit * 0.08, c.unit * 0.38, ""
    for x in c.across():
        out += _box(x - broad / 2, 0, broad, c.high)
        out += _box(x + apart, 0, thin, c.high) if x + apart + thin < c.wide else ""
    return "", out


def _bar(c: Piece) -> Marks:
    """Level lines, broad."""
    broad = c.unit * 0.42
    return "", "".join(_box(0, y - broad / 2, c.wide, broad) for y in c.down())


def _dot(c: Piece) -> Marks:
    r = c.unit * 0.27
    turn = f"a{number(r)} {number(r)} 0 1 0"
    return "", "".join(
        f"M{number(x - r)} {number(y)}{turn} {number(2 * r)} 0{turn} {number(-2 * r)} 0z" for x, y in c.lattice()
    )


def _ring(c: Piece) -> Marks:
    return _dot(c)[1].replace("z", ""), ""


def _twill(c: Piece) -> Marks:
    """Lines that lean, from edge to edge."""
    step, out = c.unit * 0.9, []
    at = step / 2
    while at < c.wide + c.high:
        start = (at, 0.0) if at <= c.wide else (c.wide, at - c.wide)
        end = (0.0, at) if at <= c.high else (at - c.high, c.high)
        out.append(path(start, end))
        at += step
    return "".join(out), ""


def _zigzag(c: Piece, y: float, rise: float) -> list[tuple[float, float]]:
    count = 2 * max(1, round(c.wide / c.unit))
    return [(place * c.wide / count, y + (rise if place % 2 else -rise)) for place in range(count + 1)]


def _herringbone(c: Piece) -> Marks:
    """Zigzags close together."""
    down = c.down(0.5)
    rise = min(c.unit * 0.26, c.high / len(down) * 0.46)
    return "".join(path(*_zigzag(c, y, rise)) for y in down), ""


def _wave(c: Piece) -> Marks:
    """Round waves, apart from each other."""
    out, bend = "", c.unit * 0.8
    for y in c.down(1.4):
        points = _zigzag(c, y, 0)
        step = points[1][0] - points[0][0]
        ways = (number(bend if at % 2 else -bend) for at in range(len(points) - 1))
        out += f"M0 {number(y)}" + "".join(f"q{number(step / 2)} {way} {number(step)} 0" for way in ways)
    return out, ""


def _leaf(c: Piece) -> Marks:
    """Pointed leaves that lean."""
    s = c.unit * 0.42
    there, back = ((-0.2, -1.1), (0.5, -1.7), (1.6, -1.6)), ((0.1, 1.1), (-0.5, 1.8), (-1.6, 1.6))
    one = "".join("c" + " ".join(number(s * part) for point in half for part in point) for half in (there, back)) + "z"
    return "", "".join(f"M{number(x - s * 0.8)} {number(y + s * 0.8)}{one}" for x, y in c.lattice())


def _cross(c: Piece) -> Marks:
    """Small upright crosses."""
    s = c.unit * 0.3
    return "".join(path((x - s, y), (x + s, y)) + path((x, y - s), (x, y + s)) for x, y in c.lattice()), ""


def _brick(c: Piece) -> Marks:
    """Bricks in courses, their joints by turns."""
    down = c.down(0.7)
    high = c.high / len(down)
    out = [path((0, y + high / 2), (c.wide, y + high / 2)) for y in down[:-1]]
    count = max(1, round(c.wide / c.unit))
    for row, y in enumerate(down):
        joints = [(place + 0.5 * (row % 2)) * c.wide / count for place in range(1 - row % 2, count)]
        out += [path((x, y - high / 2), (x, y + high / 2)) for x in joints]
    return "".join(out), ""


def _plain(_: Piece) -> Marks:
    return "", ""


MARKS: dict[str, Callable[[Piece], Marks]] = {
    "check": _check,
    "stripe": _stripe,
    "dot": _dot,
    "leaf": _leaf,
    "herringbone": _herringbone,
    "cross": _cross,
    "plain": _plain,
    "brick": _brick,
    "ring": _ring,
    "bar": _bar,
    "twill": _twill,
    "wave": _wave,
}


# How one piece of cloth is cut: strips numbered in cutting order, parts in them, selvedges left off.

SIDES = 31.0  # paper mm beside the cloth
STRIP = 4.6  # and of the numbers of its strips


def cutting_plan(
    parts: Sequence[PartReport], cloth: ClothReport, *, look: Look | None, title: str, tall_mm: float,
    own: frozenset[str] | None = None,
) -> str:  # fmt: skip
    """Draw a cloth with its width across the page.

    `own`: the parts that are looked at; the others are drawn bare. None: all are.

    Its length takes `tall_mm` of paper at most, so that a sheet holds it with its words. Strips are numbered beside the
    cloth, those along the grain above it; where they are narrower than their numbers, not every one is.
    """
    wide, long, selvedge = cloth.width_mm, cloth.length_mm, cloth.selvedge_mm
    p = pen(
        wide,
        min(120.0, SIDES + max(tall_mm / 5, tall_mm * wide / long)),
        left=9.0,
        right=22.0,
        bottom=10.0,
        top=7.0 if cloth.along else 3.0,
    )
    texts = {part.name: part.short_text for part in parts}
    sizes = dict.fromkeys((placed.width_mm, placed.height_mm) for placed in cloth.placements)
    sorts = {size: f"-{place}" for place, size in enumerate(sizes)}
    body = [definitions(p, {look.name: look}, *size, name) for size, name in sorts.items() if look]
    body.append(el("rect", width=wide, height=long, fill=PAPER, stroke=INK, stroke_width=p.line(0.4), data_cloth="1"))
    edges = (0.0, wide - selvedge) if selvedge else ()
    body += [el("rect", x=x, width=selvedge, height=long, fill=SOFT, opacity=0.35, data_selvedge="1") for x in edges]
    strips: dict[int, float] = {}
    for placed in cloth.placements:
        mine = own is None or placed.part in own
        if look and mine:
            body.append(laid(look, sorts[placed.width_mm, placed.height_mm], x=placed.x_mm, y=placed.y_mm))
        body.append(_part(p, placed, texts if mine else {}, bare=look is None and mine))
        middle = (placed.x_mm + placed.width_mm / 2, placed.y_mm + placed.height_mm / 2)
        strips.setdefault(placed.strip, middle[0 if cloth.along else 1])
    told = -math.inf
    for strip, at in strips.items():
        if at - told >= p.k * STRIP * 0.8:
            x, y = (at, -p.k * 3.5) if cloth.along else (-p.k * 4.5, at)
            body.append(label(p, x, y, str(strip), size=STRIP, weight="600", colour=THREAD))
            told = at
    body.append(across(p, 0, wide, long + p.k * 3, cloth.width_text, name="width"))
    body.append(down(p, wide + p.k * 3, 0, long, cloth.length_text, name="length"))
    return picture(title, wide, long, p, body)


def _part(p: Pen, placed: Placement, texts: dict[str, str], *, bare: bool) -> str:
    x, y, wide, high = placed.x_mm, placed.y_mm, placed.width_mm, placed.height_mm
    shape = el(
        "rect", x=x, y=y, width=wide, height=high, fill=WADDING if bare else None, stroke=INK,
        stroke_width=p.line(0.3), data_part=placed.part, data_x_mm=number(x), data_y_mm=number(y),
        data_strip=str(placed.strip), data_order=str(placed.order),
    )  # fmt: skip
    words = texts.get(placed.part, "")
    room = min(wide, high) / p.k
    words += " ↻" if placed.turned else ""
    if not words or room < 5.5 or wide / p.k < width(words, LEAST) + 1:
        return shape
    return shape + label(p, x + wide / 2, y + high / 2, words, size=LEAST, halo=True)
