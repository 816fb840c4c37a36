"""A step's picture: small frames in a row, one for each move of the hand, with that step's own sizes and words.

In a frame a millimetre is one of paper. Cloth shows its print where its right side is up, and is plain where the wrong
side is.
"""

import math
import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from html import escape, unescape
from zlib import crc32

import msgspec

from guide.read.spoken import said
from guide.show.model import Report
from guide.show.model_plan import StepReport
from guide.show.pictures.cloth import Look, cut_to
from guide.show.pictures.svg import (
    INK,
    LEAST,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    across,
    around,
    arrow,
    down,
    el,
    label,
    line,
    number,
    picture,
    stitch,
)
from guide.show.pictures.svg import wide as wide_of
from guide.show.report_numbers import number as number_of
from guide.show.report_numbers import words

# What one step says of itself, for the drawings that stand beside it.


class Told(msgspec.Struct, frozen=True):
    """What one step says: a picture takes its sizes and words from here, so that it shows none of another step."""

    report: Report
    step: StepReport
    said: str
    looks: dict[str, Look]
    rows: Sequence[Sequence[str]]  # the front's prints, row by row
    behind: Sequence[Sequence[str]]  # the prints of each block's last square, as they lie under the front
    stack: tuple[Look, ...]  # of the first block, front face first
    backs: Sequence[Sequence[str]]  # the back's prints as it is seen; one print where it is plain

    def mm(self, name: str, usual: float = 0.0) -> float:
        """A number of the plan; `usual` where it does not apply."""
        value = number_of(self.report, name)
        return usual if value is None else value

    def option(self, name: str) -> str:
        """A text of the plan, such as what a stack is held with; "" where there is none."""
        return words(self.report, name)

    def size(self, name: str) -> str:
        """A number as it is written, if this step shows it or says it; else ""."""
        text = words(self.report, name)
        alone = rf"(?<![\d/.½¼¾])(?<!\d ){re.escape(plain(text))}(?![\d/])"
        return text if text and re.search(alone, self.said) else ""

    def shown(self, name: str) -> str:
        """A number with the label that it stands under beside this step; bare where the step only says it."""
        found = next((one for one in self.step.shows if one.name == name), None)
        return self.size(name) if found is None else f"{found.text} {found.label}"

    def called(self, name: str) -> str:
        """The label of a number that stands beside this step."""
        return next((one.label for one in self.step.shows if one.name == name), "")

    def says(self, *phrases: str) -> str:
        """The first of our phrases that this step says, in the project's words; else ""."""
        told = (said(one, self.report.project.words) for one in phrases)
        return next((one for one in told if one in self.said), "")

    def front(self, place: int = 0) -> Look:
        """The print of a block's front."""
        row = self.rows[0] if len(self.rows[0]) > 1 else [one[0] for one in self.rows]
        return self.looks[row[place % len(row)]]

    def back(self, place: int = 0) -> Look:
        """The print of a square of the back."""
        return self.looks[self.backs[0][place % len(self.backs[0])]]


def plain(text: str) -> str:
    """A text without its spaces that do not break."""
    return text.replace("\u00a0", " ")


def said_of(step: StepReport) -> str:
    """All that a step says: its title, its texts, its sizes with their labels."""
    shown = (f"{one.label} {one.text} {one.label}" for one in step.shows)
    return plain(" | ".join((step.title, *step.texts.values(), *shown)))


P = Pen(1.0, 1.0, 1.0, 1.0, 1.0)
COARSE = Pen(1.7)  # marks of a print, so that a small piece is still told by them
TILES = {"s": (12.0, 12.0), "w": (24.0, 12.0), "l": (60.0, 12.0), "t": (12.0, 24.0)}  # mm: square, wide, long, tall
TILE = "\ue001"  # stands for a picture's own prefix of its tiles
LEAF, FLAT = 30.0, 7.0  # mm of a layer that lies, across and high
WIDE, HIGH = 42.0, 30.0  # mm of a frame's drawing, at most
PLAIN, SHADE = "#f4efe4", "#e3d8c3"  # wrong sides: as they lie, and folded over
HEAD = 6.2  # mm above a frame for its number
GAP = 2.0  # mm from frame to frame
DENSE = 1.4  # mm of a frame on one of paper, beside large print
_TEXT = re.compile(r"<text [^>]*>([^<]+)</text>")
_WIDE = re.compile(r"--wide:([\d.]+)mm")
_VIEW = re.compile(r'viewBox="([^"]+)"')
_TITLE, _LABEL = re.compile(r"<title>[^<]*</title>"), re.compile(r'aria-label="[^"]*"')
_FALL_BACK = re.compile(r"var\((--\w+),#\w+\)")
_SHEARS = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\) rotate\(([-\d.]+)\)")
_SIZE = re.compile(r'font-size="([\d.]+)"')
_USED = re.compile(rf'href="#{TILE}(.+?)-(\w+)"')


def moves(told: Told, frames: Sequence[str], *, numbered: bool = True, large: bool = False) -> str:
    """The frames in a row on a page, numbered where there are several.

    What they are made of is defined once, in the first; their colours are the page's. `large`: beside large print,
    where letters keep their size and the drawing takes less of the sheet.
    """
    named = list(_named(told, [_lettered(one) if large else one for one in frames], numbered=numbered))
    total = (
        0.5 + sum(float(_WIDE.findall(svg)[0]) + GAP for svg in named) - GAP
    )  # half a mm for the browser to round in
    whole = _FALL_BACK.sub(r"var(\1)", _with_tiles(told, "".join(_TITLE.sub("", svg, count=1) for svg in named)))
    return whole if len(named) == 1 else f'<div class="moves" style="--wide:{number(total)}mm">{whole}</div>'


def alone(told: Told, frames: Sequence[str]) -> list[str]:
    """The frames one by one, each whole in itself."""
    return [_with_tiles(told, svg) for svg in _named(told, frames, numbered=True)]


def _named(told: Told, frames: Sequence[str], *, numbered: bool) -> Iterator[str]:
    """Each frame says whose step it is and what stands in it, and has its number where there are several."""
    many = len(frames) > 1
    for place, svg in enumerate(frames, 1):
        texts = dict.fromkeys(unescape(one) for one in _TEXT.findall(svg))
        spoken = f"{told.step.title}{f', {place} of {len(frames)}' if many else ''}{': ' if texts else ''}"
        name = escape(spoken + "; ".join(texts)).replace("\\", r"\\")
        own = _LABEL.sub(f'aria-label="{name}"', _TITLE.sub(f"<title>{name}</title>", svg, count=1), count=1)
        yield _numbered(own, place) if many and numbered else own


def _with_tiles(told: Told, svg: str) -> str:
    """A drawing with the tiles of the prints it uses, in its first element."""
    used = sorted(set(_USED.findall(svg)))
    letters = {look.letter: look for look in told.looks.values()}
    tiles = (_tile(letters[one], size) for one, size in used)
    whole = svg.replace(">", f">{el('defs', *tiles)}", 1) if used else svg
    return whole.replace(TILE, f"p{crc32(whole.encode()):08x}-")


@lru_cache(maxsize=64)  # most steps show the same few prints
def _tile(look: Look, size: str) -> str:
    return cut_to(COARSE, look, *TILES[size], id=f"{TILE}{look.letter}-{size}")


def _lettered(svg: str) -> str:
    """A frame drawn smaller under letters of the same size; a drawing that has a scale of its own stays."""
    left, top, wide, high = map(float, _VIEW.findall(svg)[0].split())
    if not math.isclose(wide, float(_WIDE.findall(svg)[0]), abs_tol=0.01):
        return svg
    larger = _SIZE.sub(lambda found: f'font-size="{number(float(found[1]) * DENSE)}"', svg)
    left, top, right_, foot = around([larger], (left, top, left + wide, top + high))
    wide, high = right_ - left, foot - top
    larger = _VIEW.sub(f'viewBox="{number(left)} {number(top)} {number(wide)} {number(high)}"', larger, count=1)
    return _WIDE.sub(f"--wide:{number(wide / DENSE)}mm", larger, count=1)


def _numbered(svg: str, place: int) -> str:
    """A frame with its number above it."""
    left, top, wide, high = map(float, _VIEW.findall(svg)[0].split())
    k = wide / float(_WIDE.findall(svg)[0])
    head = HEAD * k
    pen, at = Pen(k), (left + head / 2, top - head / 2)
    mark = el("circle", cx=at[0], cy=at[1], r=k * 2.7, stroke=THREAD, stroke_width=pen.line(0.4))
    mark = el("g", mark, label(pen, *at, str(place), size=LEAST, weight="600", colour=THREAD), data_move=str(place))
    view = f'viewBox="{number(left)} {number(top - head)} {number(wide)} {number(high + head)}"'
    return _VIEW.sub(view, svg, count=1).removesuffix("</svg>") + mark + "</svg>"


def frame(*body: str, wide: float = WIDE, high: float = HIGH) -> str:
    """One frame of a drawing in mm of paper; it grows until its labels and its shears are in."""
    left = top = 0.0
    for found in (one for part in body for one in _SHEARS.findall(part)):
        x, y, turned = map(float, found)
        u, v = x + 13 * math.cos(math.radians(turned)), y + 13 * math.sin(math.radians(turned))
        left, top, wide, high = min(left, u - 4), min(top, v - 4), max(wide, u + 4), max(high, v + 4)
    grown = Pen(1.0, 1.0 - left, 1.0, 1.0 - top, 1.0)
    return picture("", wide, high, grown, body)


def note(x: float, y: float, text: str, *, anchor: str = "middle") -> str:
    """Words of the step in a frame; nothing where it has none."""
    return label(P, x, y, text, size=LEAST, anchor=anchor, halo=True) if text else ""


def span(x1: float, x2: float, y: float, text: str, name: str = "") -> str:
    """A dimension line along, its size under it, within the frame's left; nothing where the step says no size."""
    if not text:
        return ""
    middle = max((x1 + x2) / 2, wide_of(text, 4.0, bold=True) / 2 - 1)
    return across(P, x1, x2, y, text, name=name).replace(
        f'<text x="{number((x1 + x2) / 2)}"', f'<text x="{number(middle)}"'
    )


def rise(x: float, y1: float, y2: float, text: str, name: str = "") -> str:
    """A dimension line up, its size beside it; nothing where the step says no size."""
    return down(P, x, y1, y2, text, name=name) if text else ""


def right(look: Look, x: float, y: float, wide: float, high: float) -> str:
    """A piece of cloth, right side up."""
    return patch(look, x, y, wide, high) + box(x, y, wide, high)


def patch(look: Look, x: float, y: float, wide: float, high: float) -> str:
    """The same without its outline."""
    return _lay(look, wide, high, f"translate({number(x)} {number(y)})")


def _lay(look: Look, wide: float, high: float, place: str) -> str:
    """A tile of a print stretched over a piece: the tile nearest in shape, which its picture defines once."""
    name = min(TILES, key=lambda one: abs(math.log(TILES[one][0] / TILES[one][1] * high / wide)))
    tile = TILES[name]
    stretched = f"{place} scale({number(wide / tile[0])} {number(high / tile[1])})"
    return el("use", href=f"#{TILE}{look.letter}-{name}", transform=stretched)


def wrong(x: float, y: float, wide: float, high: float, fill: str = PLAIN) -> str:
    """A piece of cloth, wrong side up."""
    return box(x, y, wide, high, fill=fill)


def grid(  # noqa: PLR0917 - two points read best in place
    x: float, y: float, wide: float, high: float, across: int, down: int
) -> str:
    """An outline of so many columns and rows."""
    ups = "".join(f"M{number(x + wide * n / across)} {number(y)}v{number(high)}" for n in range(1, across))
    levels = "".join(f"M{number(x)} {number(y + high * n / down)}h{number(wide)}" for n in range(1, down))
    return shape(f"M{number(x)} {number(y)}h{number(wide)}v{number(high)}h{number(-wide)}z{ups}{levels}")


def box(
    x: float, y: float, wide: float, high: float, *, fill: str = "none", stroke: str = INK, thick: float = 0.35,
    **more: str | float | None,
) -> str:  # fmt: skip
    """An outline, filled or not."""
    ground, at = None if fill == "none" else fill, {"x": x, "y": y, "width": wide, "height": high}
    return el("rect", **at, fill=ground, stroke=stroke, stroke_width=thick, **more)


def shape(
    d: str, *, fill: str | None = None, stroke: str = INK, thick: float = 0.35, **more: str | float | None
) -> str:
    """A path."""
    return el("path", d=d, fill=fill, stroke=stroke, stroke_width=thick, **more)


def rule(  # noqa: PLR0917 - two points read best in place
    x1: float, y1: float, x2: float, y2: float, colour: str = INK, thick: float = 0.35
) -> str:
    """A plain line."""
    return line(P, x1, y1, x2, y2, colour=colour, paper_mm=thick)


def dotted(  # noqa: PLR0917 - two points read best in place
    x1: float, y1: float, x2: float, y2: float, colour: str = SOFT, thick: float = 0.45
) -> str:
    """A line that is marked, or lies behind."""
    return el("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=colour, stroke_width=thick, stroke_dasharray="0.4 1.5")


def sewn(  # noqa: PLR0917 - two points read best in place
    x1: float, y1: float, x2: float, y2: float, name: str = "", colour: str = THREAD
) -> str:
    """A line of stitches."""
    return stitch(P, x1, y1, x2, y2, name, colour=colour, paper_mm=0.7)


def tacked(x1: float, y1: float, x2: float, y2: float, name: str = "") -> str:
    """A line of long temporary stitches."""
    return line(P, x1, y1, x2, y2, paper_mm=0.6, stroke_dasharray="4 2.4", data_line=name or None)


def go(x1: float, y1: float, x2: float, y2: float) -> str:
    """Where the hand or the work goes."""
    return arrow(P, x1, y1, x2, y2, colour=THREAD)


def turn(x: float, y: float, r: float = 4.0) -> str:
    """A turn towards the right: three quarters of a circle with its head."""
    a = r * 0.7
    arc = f"M{number(x - a)} {number(y + a)}A{r} {r} 0 1 1 {number(x + a)} {number(y + a)}m-.2 -2.4l.2 2.4l-2.4 -.2"
    return shape(arc, stroke=THREAD, thick=0.5)


def dot(x: float, y: float, r: float = 0.9, colour: str = THREAD) -> str:
    """A point to begin or to turn at."""
    return el("circle", cx=x, cy=y, r=r, fill=colour)


def comb(x1: float, x2: float, y: float, reach: float, every: float = 1.0) -> str:
    """Loose threads standing from a level edge, `reach` up (negative) or down: two sorts by turns."""
    return "".join(
        _threads(x1 + shift * every, y, x2, y, reach * part, 2 * every) for part, shift in ((1.0, 0.5), (0.7, 1.5))
    )


def comb_up(x: float, y1: float, y2: float, reach: float) -> str:
    """The same from an upright edge, to the right, or left (negative)."""
    return _threads(x, y1, x, y2, reach, 1.0)


def _threads(  # noqa: PLR0917 - two points read best in place
    x1: float, y1: float, x2: float, y2: float, reach: float, every: float
) -> str:
    """A broad line broken into threads, its foot on the edge."""
    dx, dy = (reach / 2, 0.0) if x1 == x2 else (0.0, reach / 2)
    way = f"M{number(x1 + dx)} {number(y1 + dy)}L{number(x2 + dx)} {number(y2 + dy)}"
    dashes = f"0.22 {number(every - 0.22)}"
    return shape(way, thick=abs(reach), stroke_dasharray=dashes, stroke_linecap="butt")


def dots(x1: float, x2: float, y: float, every: float) -> str:
    """A row of points."""
    way = f"M{number(x1)} {number(y)}H{number(x2)}"
    return shape(way, stroke=SOFT, thick=0.9, stroke_dasharray=f"0 {number(every)}")


def pin(x: float, y: float, dx: float, dy: float) -> str:
    """A pin from its head."""
    return rule(x, y, x + dx, y + dy) + dot(x, y, 0.8)


def needle(x: float, y: float) -> str:
    """The presser foot from the side, its needle down into the work at a point."""
    foot = f"M{number(x - 4.5)} {number(y)}h8l2.4 -2.2h-7v-6"
    return shape(foot, thick=0.6) + rule(x, y - 11, x, y + 3, thick=0.5)


def iron(x: float, y: float, wide: float = 15.0) -> str:
    """An iron from the side, its sole on a height."""
    shell = el("path", d="M0 0h15c0 -4 -3 -6 -7 -6h-4z", fill=SOFT)
    grip = el("path", d="M3.4 -6v-2.4h6", stroke=SOFT, stroke_width=1.2)
    return el("g", shell, grip, transform=f"translate({number(x)} {number(y)}) scale({number(wide / 15)})")


def shears(x: float, y: float, turned: float = 0.0) -> str:
    """Shears, open, their point at a place; turned clockwise, degrees, from pointing left."""
    blades = shape("M0 -1.6L9 1.2M0 1.6L9 -1.2", thick=0.7)
    grips = "".join(el("circle", cx=11.2, cy=side, r=2.0, stroke=INK, stroke_width=0.7) for side in (-2.1, 2.1))
    return el("g", blades, grips, transform=f"translate({number(x)} {number(y)}) rotate({number(turned)})")


def cutter(x: float, y: float) -> str:
    """A rotary cutter whose blade touches a place."""
    return el("circle", cx=x, cy=y - 2.4, r=2.4, fill=PAPER, stroke=INK, stroke_width=0.5) + shape(
        f"M{number(x + 1)} {number(y - 3.4)}l6 -5", thick=1.3
    )


def wheel(x: float, y: float) -> str:
    """The hand wheel, turned towards the sewer."""
    rim = el("circle", cx=x, cy=y, r=2.2, stroke=INK, stroke_width=0.6)
    return rim + turn(x, y, 4.2)


def leaf(x: float, y: float, look: Look | None, *, fill: str = PLAIN, inset: float = 0.0) -> str:
    """One layer lying, seen from the side above: its print where right side up, else plain; smaller by an inset."""
    lean = FLAT * 0.9
    size = LEAF - lean
    a, b, share = inset, size - inset, FLAT / size

    def at(u: float, v: float) -> str:
        return f"{number(x + u + lean * (1 - v / size))} {number(y + v * share)}"

    edge = shape(f"M{at(a, a)}L{at(b, a)}L{at(b, b)}L{at(a, b)}Z", fill=None if look else fill)
    if look is None:
        return edge
    leaning = f"matrix(1 0 {number(-lean / size)} {number(share)} {number(x + lean)} {number(y)})"
    return _lay(look, size, size, leaning) + edge


def patches(a: Told, rows: Sequence[Sequence[str]], box_: tuple[float, float, float, float]) -> str:
    """A panel in a box (x, y, width, height), each patch its print."""
    x, y, w, h = box_
    wide, high = w / len(rows[0]), h / len(rows)
    laid = (
        patch(a.looks[name], x + c * wide, y + r * high, wide, high)
        for r, row in enumerate(rows)
        for c, name in enumerate(row)
    )
    return "".join(laid) + grid(x, y, w, h, len(rows[0]), len(rows))
