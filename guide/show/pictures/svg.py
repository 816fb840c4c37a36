"""The few marks every picture is made of: elements, lines of running stitch, labels, dimension lines.

All positions are mm in the drawing's own plane; a `Pen` says how many of those mm one mm of paper holds,
so that text and lines come out at one size in every picture.
"""

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache
from html import escape, unescape
from zlib import crc32

import msgspec

# How wide do words come out? Reckoned by the pages' own typeface; letters of other scripts are taken as very wide.

# em of a bold letter, at least that of the typeface: `tests/show/test_pages_labels.py` holds a browser against it.
_NARROW, _WIDE, _OTHER, _SIGN = 0.4, 1.05, 0.7, 1.45
_CAPITAL = 0.82
NARROW = " .,:;'!|/()ijlt"
WIDE, USUAL = "mwMW@%æœÆŒŵŴ©½¼¾…—¤ďĲŉ", "≈≠≤≥−–‘’‚“”„"
_PLAIN = 0.97  # of a bold letter
LEAST = 3.7  # paper mm of the smallest letters in a drawing: 10.5 pt, and 16 pt in large print
_LABEL = re.compile(r'<text x="([^"]+)" y="([^"]+)" font-size="([^"]+)" text-anchor="(\w+)"([^>]*)>([^<]*)</text>')


def wide(text: str, size: float, *, bold: bool = False) -> float:
    """A text's width at most, in the measure of `size`, its height."""
    return size * sum(map(_em, text)) * (1 if bold else _PLAIN)


def _em(one: str) -> float:
    """A bold letter's width at most."""
    if one in NARROW:
        return _NARROW
    if one in WIDE:
        return _WIDE
    if ord(one) > 0x2FF and one not in USUAL:
        return _SIGN
    return _CAPITAL if one.isupper() else _OTHER


def fit(text: str, size: float, room: float) -> str:
    """A text cut to a width, with a sign."""
    if wide(text, size) <= room:
        return text
    while text and wide(f"{text}…", size) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"


def around(body: Iterable[str], box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """A box (left, top, right, foot) made large enough for every label of a drawing."""
    left, top, right, foot = box
    for x, y, size, anchor, more, text in (found for part in body for found in _LABEL.findall(part)):
        across, high = wide(unescape(text), float(size), bold="font-weight" in more), float(size)
        start = float(x) - {"start": 0.0, "middle": across / 2, "end": across}[anchor]
        left, right = min(left, start), max(right, start + across)
        top, foot = min(top, float(y) - high * 0.7), max(foot, float(y) + high * 0.7)
    return left, top, right, foot


_MARKUP = re.compile("[&<>\"']")
IDENT = "\ue000"  # stands for the picture's own prefix until the picture is whole

# The colours of pages and drawings, said once: by what they are for, in daylight, at night and in print.
PARTS = ("paper", "ink", "soft", "faint", "thread", "on-thread")
LIGHT, DARK, PRINT = (
    dict(zip(PARTS, row.split(), strict=True))
    for row in (
        "#fffdf8 #2b2622 #635a51 #e9e2d6 #a23b2a #fffdf8",
        "#1d1a17 #efe8dd #bbb0a2 #3a342e #ee9480 #1d1a17",
        "#fff #000 #3d3833 #cfc8bd #a23b2a #fff",
    )
)
INK, THREAD, PAPER = (f"var(--{name},{LIGHT[name]})" for name in ("ink", "thread", "paper"))
SOFT = "var(--soft,#6b625a)"  # where a drawing stands alone, on white


def css(colours: Mapping[str, str], parts: Iterable[str] = PARTS) -> str:
    """Colours as CSS sets them: `--paper: #fffdf8; --ink: #2b2622;`."""
    return " ".join(f"--{part}: {colours[part]};" for part in parts)


class Pen(msgspec.Struct, frozen=True):
    """How much of the drawing one mm of paper holds, and the margins round the work in paper mm."""

    k: float
    left: float = 3.0
    right: float = 3.0
    top: float = 3.0
    bottom: float = 3.0

    def line(self, paper_mm: float = 0.3) -> str:
        """A stroke width."""
        return number(self.k * paper_mm)


def pen(width_mm: float, shown_mm: float, **margins: float) -> Pen:
    """A pen for a drawing `width_mm` wide that takes `shown_mm` of paper, its margins included."""
    p = Pen(1.0, **margins)
    return Pen(width_mm / (shown_mm - p.left - p.right), **margins)


def number(value: float) -> str:
    """A coordinate to a thousandth, without noughts."""
    if isinstance(value, int) or value.is_integer():
        return str(int(value))
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


@cache
def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def el(name: str, *children: str, **attributes: str | float | None) -> str:
    """One element. `stroke_width` becomes stroke-width, `class_` becomes class; None is left out."""
    parts = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        text = (escape(value) if _MARKUP.search(value) else value) if isinstance(value, str) else number(value)
        parts.append(f'{_name(key)}="{text}"')
    inner = "".join(children)
    return f"<{' '.join(parts)}>{inner}</{name}>" if inner else f"<{' '.join(parts)}/>"


def say(text: str) -> str:
    """Text safe inside an element."""
    return escape(text)


def picture(title: str, width: float, height: float, p: Pen, body: Iterable[str]) -> str:
    """The whole picture: the work from (0, 0) to (width, height) mm, margins round it, a text alternative.

    The margins grow until every label is in.
    """
    parts = list(body)
    box = (-p.left * p.k, -p.top * p.k, width + p.right * p.k, height + p.bottom * p.k)
    left, top, right, foot = around(parts, box)
    wide, high = right - left, foot - top
    inner = el("title", say(title)) + "".join(parts)
    ident = f"p{crc32(inner.encode()):08x}-"
    return el(
        "svg",
        inner.replace(IDENT, ident),
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        aria_label=title,
        viewBox=f"{number(left)} {number(top)} {number(wide)} {number(high)}",
        class_="picture",
        style=f"--wide:{number(wide / p.k)}mm;max-width:var(--wide)",
        fill="none",
        stroke_linecap="round",
        stroke_linejoin="round",
    )


def line(
    p: Pen, x1: float, y1: float, x2: float, y2: float, *, colour: str = INK, paper_mm: float = 0.3,
    **more: str | float | None,
) -> str:  # fmt: skip
    """A plain line, with what else is said of it."""
    return el("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=colour, stroke_width=p.line(paper_mm), **more)


def stitch(  # noqa: PLR0917 - two points and a pen read best in place
    p: Pen, x1: float, y1: float, x2: float, y2: float, name: str = "", *, colour: str = THREAD, paper_mm: float = 0.55
) -> str:
    """A seam as a line of running stitch; `name` goes in data-line, and its ends in data-x1-mm and so on."""
    dashes, ends = f"{number(p.k * 2)} {number(p.k * 1.3)}", (x1, y1, x2, y2)
    return line(p, *ends, colour=colour, paper_mm=paper_mm, stroke_dasharray=dashes, data_line=name or None)


def label(
    p: Pen,
    x: float,
    y: float,
    text: str,
    *,
    size: float = LEAST,
    anchor: str = "middle",
    colour: str = INK,
    weight: str | None = None,
    halo: bool = False,
) -> str:
    """Words centred on a height; `size` in paper mm. A halo keeps them legible over a pattern."""
    return el(
        "text",
        say(text),
        x=x,
        y=y,
        font_size=p.k * size,
        text_anchor=anchor,
        dominant_baseline="central",
        fill=colour,
        font_weight=weight,
        stroke=PAPER if halo else None,
        stroke_width=p.line(1.1) if halo else None,
        paint_order="stroke" if halo else None,
    )


def across(p: Pen, x1: float, x2: float, y: float, text: str, *, name: str = "") -> str:
    """A dimension line as a pattern cutter draws it, level; the text, if any, stands under it."""
    words = label(p, (x1 + x2) / 2, y + p.k * 3.1, text, size=4.0, weight="600") if text else ""
    return _dimension(p, (x1, y), (x2, y), (0.0, 1.2), name) + words


def down(p: Pen, x: float, y1: float, y2: float, text: str, *, name: str = "") -> str:
    """A dimension line, upright; the text, if any, stands to its right."""
    at = (x + p.k * 1.8, (y1 + y2) / 2)
    words = label(p, *at, text, size=4.0, anchor="start", weight="600") if text else ""
    return _dimension(p, (x, y1), (x, y2), (1.2, 0.0), name) + words


def _dimension(
    p: Pen, start: tuple[float, float], end: tuple[float, float], tick: tuple[float, float], name: str
) -> str:
    dx, dy = tick[0] * p.k, tick[1] * p.k
    ends = "".join(line(p, x - dx, y - dy, x + dx, y + dy, colour=SOFT, paper_mm=0.25) for x, y in (start, end))
    return line(p, *start, *end, colour=SOFT, paper_mm=0.25, data_dimension=name or None) + ends


def arrow(p: Pen, x1: float, y1: float, x2: float, y2: float, *, colour: str = INK) -> str:
    """A plain arrow from one point to another, its head 2 mm of paper."""
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    ux, uy = (x2 - x1) / length * p.k * 2, (y2 - y1) / length * p.k * 2
    head = f"M{number(x2 - ux + uy * 0.6)} {number(y2 - uy - ux * 0.6)}L{number(x2)} {number(y2)}"
    head += f"L{number(x2 - ux - uy * 0.6)} {number(y2 - uy + ux * 0.6)}"
    tip = el("path", d=head, stroke=colour, stroke_width=p.line(0.4))
    return line(p, x1, y1, x2, y2, colour=colour, paper_mm=0.4) + tip


def threads(p: Pen, x: float, length: float, y: float, reach: float) -> str:
    """A frayed edge: threads standing from a level edge, `reach` up (negative: towards the top)."""
    step, count = p.k * 0.9, max(int(length / (p.k * 0.9)), 1)
    strokes = (
        f"M{number(x + (i + 0.5) * step)} {number(y)}v{number(reach * (1.0, 0.7, 0.9, 0.6, 0.85)[i % 5])}"
        for i in range(count)
    )
    return el("path", d="".join(strokes), stroke=INK, stroke_width=p.line(0.16), class_="fringe")
