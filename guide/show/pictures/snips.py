"""Snips: a comb at its true spacing along a seam, and what happens at an outer corner."""

import math

from guide.read.spoken import counted
from guide.show.pictures.lettering import LEAST
from guide.show.pictures.svg import (
    INK,
    SOFT,
    THREAD,
    across,
    down,
    el,
    label,
    line,
    number,
    pen,
    picture,
    stitch,
    threads,
)


def snip_places(length_mm: float, every_mm: float) -> list[float]:
    """Where the snips fall along a seam: one fewer than the gaps, none at the ends."""
    gaps = max(math.ceil(length_mm / every_mm * (1 - 1e-9)), 1)
    return [(place + 1) * length_mm / gaps for place in range(gaps - 1)]


def comb(
    *, length_mm: float, every_mm: float, seam_mm: float, depth_mm: float, clear_mm: float,
    every_text: str, depth_text: str, clear_text: str, outer: str = "outer seam",
) -> str:  # fmt: skip
    """One seam's fringe from the side: the stitching below, snips down to just above it.

    It begins where another seam is crossed and ends at the panel's edge, one seam past the line where the `outer` seam,
    or a throw's edge line, will run: the last `clear_mm` stay whole until then.
    """
    p = pen(length_mm + seam_mm, 96.0, left=3.0, right=20.0, top=9.0, bottom=10.0)
    tall, edge = max(seam_mm * 2.1, p.k * 16.5), length_mm + seam_mm
    body = [
        el("rect", width=edge, height=tall, fill="#f4efe4", stroke=INK, stroke_width=p.line(0.35)),
        stitch(p, 0, seam_mm, length_mm, seam_mm, "seam", paper_mm=0.7),
        threads(p, 0, edge, 0, -p.k * 1.6),
        el(
            "line", x1=length_mm, y1=0, x2=length_mm, y2=tall, stroke=SOFT, stroke_width=p.line(0.4),
            stroke_dasharray=f"{number(p.k * 1.2)} {number(p.k * 1.2)}", data_outer_mm=length_mm,
        ),
        el(
            "line", x1=edge - seam_mm / 2, y1=-p.k, x2=edge - seam_mm / 2, y2=depth_mm, stroke=THREAD,
            stroke_width=p.line(0.5), stroke_dasharray=f"{number(p.k)} {number(p.k)}", data_freed_mm=edge - seam_mm / 2,
        ),
        across(p, edge - clear_mm, edge, tall + p.k * 2, "", name="whole"),
        label(
            p, edge, tall + p.k * 6, f"{clear_text} whole, freed after the {outer}", size=LEAST, anchor="end",
        ),
    ]  # fmt: skip
    places = [x for x in snip_places(length_mm, every_mm) if x <= edge - clear_mm + 1e-6]
    every = every_text.removeprefix("≈ ")
    body += [
        el("line", x1=x, y1=-p.k, x2=x, y2=depth_mm, stroke=INK, stroke_width=p.line(0.5), data_snip_mm=x)
        for x in places
    ]
    if len(places) > 1:
        body += [
            line(p, places[0], -p.k * 3.2, places[1], -p.k * 3.2, colour=THREAD, paper_mm=0.4),
            label(p, places[1] + p.k * 2, -p.k * 4.6, f"about {every} apart, by eye", size=3.8, anchor="start"),
        ]
    body.append(down(p, edge + p.k * 2.5, 0, depth_mm, depth_text, name="depth"))
    many = counted(len(places), "snip")
    words = (
        f"{many} along one seam, about {every} apart, {depth_text} deep, never through the stitching. At the panel's "
        f"edge the last {clear_text} stay whole until the {outer} is sewn, and are freed after it."
    )
    return picture(words, edge, tall, p, body)


def corner(
    *, seam_mm: float, depth_mm: float, slit_mm: float, last_mm: float, every_mm: float,
    seam_text: str, slit_text: str, last_text: str,
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
        label(p, seam_mm + p.k * 3, seam_mm + p.k * 4, "pivot, needle down", size=LEAST, anchor="start"),
    ]
    at = first
    while at < side:
        body += [line(p, at, 0, at, depth_mm, paper_mm=0.5), line(p, 0, at, depth_mm, at, paper_mm=0.5)]
        at += every_mm
    body += [
        down(p, side + p.k * 2.5, 0, seam_mm, seam_text, name="seam"),
        across(p, seam_mm, first, side + p.k * 2.5, "", name="clear"),
        label(p, 0, side + p.k * 6.2, f"no snip within {last_text} of the turn", size=LEAST, anchor="start"),
    ]
    return picture(
        f"An outer corner: stitching {seam_text} from the edge pivots; one diagonal slit to {slit_text} from it.",
        side,
        side,
        p,
        body,
    )
