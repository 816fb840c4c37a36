"""A raw-edge seam with its free ends, and a crossing opened flat."""

from guide.show.pictures.lettering import LEAST
from guide.show.pictures.svg import (
    INK,
    SOFT,
    THREAD,
    across,
    arrow,
    down,
    el,
    label,
    line,
    pen,
    picture,
    stitch,
    threads,
)


def raw_edge_seam(
    *, length_mm: float, seam_mm: float, free_end_mm: float, run_text: str, free_text: str, seam_text: str,
) -> str:  # fmt: skip
    """Two blocks wrong sides together, edges up: the stitching starts and stops short of both ends."""
    p = pen(length_mm, 90.0, left=3.0, right=20.0, top=5.0, bottom=15.0)
    deep = length_mm * 0.34
    body = [
        el("rect", width=length_mm, height=deep, fill="#f4efe4", stroke=INK, stroke_width=p.line(0.35)),
        threads(p, 0, length_mm, 0, -p.k * 2.2),
        stitch(p, free_end_mm, seam_mm, length_mm - free_end_mm, seam_mm, "seam", paper_mm=0.7),
    ]
    body += [el("circle", cx=x, cy=seam_mm, r=p.k * 0.9, fill=THREAD) for x in (free_end_mm, length_mm - free_end_mm)]
    body += [
        across(p, free_end_mm, length_mm - free_end_mm, deep + p.k * 2.5, run_text, name="run"),
        down(p, length_mm + p.k * 2.5, 0, seam_mm, seam_text, name="seam"),
        across(p, 0, free_end_mm, deep + p.k * 10.5, "", name="free-end"),
        label(
            p, free_end_mm + p.k * 2, deep + p.k * 10.5, f"{free_text} unsewn at both ends", size=LEAST, anchor="start"
        ),
        label(p, length_mm / 2, deep * 0.72, "wrong sides together, raw edges up", size=LEAST, colour=SOFT),
    ]
    words = f"Raw-edge seam {seam_text} from the edge, {run_text} long, with {free_text} unsewn at both ends."
    return picture(words, length_mm, deep, p, body)


def crossing(*, seam_mm: float, layers: str) -> str:
    """Where four blocks meet: the flaps of the first seams opened flat under the seam that crosses them."""
    side = seam_mm * 7
    middle, flap = side / 2, seam_mm
    p = pen(side, 66.0, left=2.0, right=2.0, top=2.0, bottom=7.0)
    body = [el("rect", width=side, height=side, fill="#f4efe4", stroke=SOFT, stroke_width=p.line(0.25))]
    for y, high in ((0.0, middle), (middle, middle)):
        body += [
            el(
                "rect",
                x=middle - flap,
                y=y,
                width=flap,
                height=high,
                fill="#e3d8c3",
                stroke=INK,
                stroke_width=p.line(0.25),
            ),
            el("rect", x=middle, y=y, width=flap, height=high, fill="#e3d8c3", stroke=INK, stroke_width=p.line(0.25)),
        ]
    body += [
        line(p, middle, 0, middle, side, paper_mm=0.45),
        stitch(p, 0, middle, side, middle, "crossing", paper_mm=0.8),
        arrow(p, middle - flap * 0.15, side * 0.2, middle - flap * 0.9, side * 0.2, colour=THREAD),
        arrow(p, middle + flap * 0.15, side * 0.2, middle + flap * 0.9, side * 0.2, colour=THREAD),
        arrow(p, middle - flap * 0.15, side * 0.8, middle - flap * 0.9, side * 0.8, colour=THREAD),
        arrow(p, middle + flap * 0.15, side * 0.8, middle + flap * 0.9, side * 0.8, colour=THREAD),
        label(p, middle, side + p.k * 4, f"{layers} layers: turn the wheel by hand", size=3.8),
    ]
    return picture(
        f"A crossing: the flaps of the earlier seams opened flat to both sides, {layers} layers under the needle.",
        side, side, p, body,
    )  # fmt: skip
