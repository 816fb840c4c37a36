"""Snips: their true spacing along a seam, and what happens at an outer corner."""

import math
from collections.abc import Callable

from guide.show.pictures.lettering import LEAST
from guide.show.pictures.svg import (
    INK,
    THREAD,
    across,
    down,
    el,
    label,
    line,
    pen,
    picture,
    stitch,
    threads,
)


def snip_places(length_mm: float, every_mm: float) -> list[float]:
    """Where the snips fall along a seam: one fewer than the gaps, none at the ends."""
    gaps = max(math.ceil(length_mm / every_mm * (1 - 1e-9)), 1)
    return [(place + 1) * length_mm / gaps for place in range(gaps - 1)]


def corner(
    *, seam_mm: float, depth_mm: float, slit_mm: float, last_mm: float, every_mm: float,
    seam_text: str, slit_text: str, last_text: str, told: Callable[..., str] = lambda *phrases: phrases[0],
) -> str:  # fmt: skip
    """An outer corner: the seam turns at a pivot, one diagonal slit, snips kept clear of it."""
    side = seam_mm * 6
    p = pen(side, 66.0, left=3.0, right=17.0, top=3.0, bottom=10.0)
    slit = seam_mm - slit_mm / math.sqrt(2)
    first = seam_mm + last_mm
    body = [
        el("path", d=f"M0 {side}V0H{side}", stroke=INK, stroke_width=p.line(0.4)),
        el("rect", width=side, height=side, fill="#f4efe4"),
        el("path", d=f"M0 {side}V0H{side}", stroke=INK, stroke_width=p.line(0.4)),
        threads(p, 0, side, 0, -p.k * 1.6),
        stitch(p, seam_mm, side, seam_mm, seam_mm, "outer", paper_mm=0.7),
        stitch(p, seam_mm, seam_mm, side, seam_mm, "outer", paper_mm=0.7),
        el("circle", cx=seam_mm, cy=seam_mm, r=p.k * 1.2, fill=THREAD),
        el("line", x1=0, y1=0, x2=slit, y2=slit, stroke=INK, stroke_width=p.line(0.6), data_slit_mm=slit_mm),
    ]
    at = first
    while at < side:
        body += [line(p, at, 0, at, depth_mm, paper_mm=0.5), line(p, 0, at, depth_mm, at, paper_mm=0.5)]
        at += every_mm
    body += [
        label(p, seam_mm + p.k * 2.5, seam_mm + p.k * 4.5, slit_text, size=LEAST, anchor="start"),
        down(p, side + p.k * 2.5, 0, seam_mm, seam_text, name="seam") if seam_text else "",
        across(p, seam_mm, first, side + p.k * 2.5, told(f"{last_text} from the turn"), name="clear")
        if last_text
        else "",
    ]
    return picture(
        f"An outer corner: stitching {seam_text} from the edge pivots; one diagonal slit to {slit_text} from it.",
        side,
        side,
        p,
        body,
    )
