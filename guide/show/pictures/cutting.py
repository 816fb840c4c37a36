"""How one piece of cloth is cut: strips numbered in cutting order, parts in them, selvedges left off."""

import math
from collections.abc import Sequence

from guide.plan.model import Placement
from guide.show.pictures.cloth import Look, definitions, laid
from guide.show.pictures.lettering import LEAST
from guide.show.pictures.lettering import wide as width
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, Pen, across, down, el, label, number, pen, picture

SIDES = 31.0  # paper mm beside the cloth
STRIP = 4.6  # and of the numbers of its strips


def cutting_plan(
    placements: Sequence[Placement], *, width_mm: float, length_mm: float, selvedge_mm: float,
    look: Look | None, title: str, width_text: str, length_text: str, part_texts: dict[str, str],
    tall_mm: float, own: frozenset[str] | None = None,
) -> str:  # fmt: skip
    """Draw the cloth with its width across the page; `placements` are the plan's own, in mm.

    `own`: the parts that are looked at; the others are drawn bare. None: all are.

    Its length takes `tall_mm` of paper at most, so that a sheet holds it with its words; where strips are narrower than
    their numbers, not every one is numbered.
    """
    shown = min(120.0, SIDES + max(tall_mm / 5, tall_mm * width_mm / length_mm))
    p = pen(width_mm, shown, left=9.0, right=22.0, top=3.0, bottom=10.0)
    sizes = dict.fromkeys((placed.width_mm, placed.height_mm) for placed in placements)
    sorts = {size: f"-{place}" for place, size in enumerate(sizes)}
    body = [definitions(p, {look.name: look}, *size, name) for size, name in sorts.items() if look]
    body.append(
        el("rect", width=width_mm, height=length_mm, fill=PAPER, stroke=INK, stroke_width=p.line(0.4), data_cloth="1")
    )
    body += [
        el("rect", x=x, width=selvedge_mm, height=length_mm, fill=SOFT, opacity=0.35, data_selvedge="1")
        for x in ((0.0, width_mm - selvedge_mm) if selvedge_mm else ())
    ]
    for placed in placements:
        mine = own is None or placed.part in own
        if look and mine:
            body.append(laid(look, sorts[placed.width_mm, placed.height_mm], x=placed.x_mm, y=placed.y_mm))
        body.append(_part(p, placed, part_texts if mine else {}, bare=look is None and mine))
    strips: dict[int, float] = {}
    for placed in placements:
        strips.setdefault(placed.strip, placed.y_mm + placed.height_mm / 2)
    told = -math.inf
    for strip, y in strips.items():
        if y - told >= p.k * STRIP * 0.8:
            body.append(label(p, -p.k * 4.5, y, str(strip), size=STRIP, weight="600", colour=THREAD))
            told = y
    body.append(across(p, 0, width_mm, length_mm + p.k * 3, width_text, name="width"))
    body.append(down(p, width_mm + p.k * 3, 0, length_mm, length_text, name="length"))
    return picture(title, width_mm, length_mm, p, body)


def _part(p: Pen, placed: Placement, texts: dict[str, str], *, bare: bool) -> str:
    x, y, wide, high = placed.x_mm, placed.y_mm, placed.width_mm, placed.height_mm
    shape = el(
        "rect", x=x, y=y, width=wide, height=high, fill="#f6f3ec" if bare else None, stroke=INK,
        stroke_width=p.line(0.3), data_part=placed.part, data_x_mm=number(x), data_y_mm=number(y),
        data_strip=str(placed.strip), data_order=str(placed.order),
    )  # fmt: skip
    words = texts.get(placed.part, "")
    room = min(wide, high) / p.k
    words += " ↻" if placed.turned else ""
    if not words or room < 5.5 or wide / p.k < width(words, LEAST) + 1:
        return shape
    return shape + label(p, x + wide / 2, y + high / 2, words, size=LEAST, halo=True)
