"""The zip with all its lengths: seam, tape, opening, where its box begins and where the slider waits."""

from guide.show.pictures.lettering import LEAST
from guide.show.pictures.svg import (
    INK,
    PAPER,
    SOFT,
    THREAD,
    Pen,
    across,
    arrow,
    el,
    label,
    number,
    pen,
    picture,
    stitch,
)


def zip_lengths(
    *, seam_mm: float, cut_mm: float, opening_mm: float, box_mm: float,
    slider_mm: float, seam_text: str, cut_text: str, opening_text: str, end_text: str, box_text: str, slider_text: str,
) -> str:  # fmt: skip
    """Draw them true to scale along the seam; across it the zip is drawn wider than it is.

    The slider waits `slider_mm` from the right end of the opening; the box begins across the other end.
    """
    p = pen(seam_mm, 120.0, left=4.0, right=4.0, top=19.0, bottom=29.0)
    half, tape = p.k * 4.0, p.k * 3.0
    start, stop = (seam_mm - cut_mm) / 2, (seam_mm + cut_mm) / 2
    first, last = (seam_mm - opening_mm) / 2, (seam_mm + opening_mm) / 2
    box = min(box_mm, p.k * 2.4)
    body = [
        el("rect", x=0, y=-half * 1.6, width=seam_mm, height=half * 3.2, fill="#f4efe4"),
        el(
            "rect", x=start, y=-tape, width=cut_mm, height=tape * 2, fill=PAPER, stroke=INK,
            stroke_width=p.line(0.35), data_zip_mm=cut_mm,
        ),
        el(
            "line", x1=first, y1=0, x2=last, y2=0, stroke=INK, stroke_width=p.line(1.4), data_opening_mm=opening_mm,
            stroke_dasharray=f"{number(p.k * 0.6)} {number(p.k * 0.6)}", stroke_linecap="butt",
        ),
        _box(p, first - box, last + box, box),
        stitch(p, 0, 0, first, 0, "sewn", colour=INK, paper_mm=0.5),
        stitch(p, last, 0, seam_mm, 0, "sewn", colour=INK, paper_mm=0.5),
        _slider(p, slider := max(last - slider_mm, (first + last) / 2)),
        el("circle", cx=first - box, cy=box, r=p.k * 1.2, fill=THREAD, data_begin_mm=first - box),
        arrow(p, first - box, box - p.k * 0.6, first - box, -box + p.k * 0.4, colour=THREAD),
        label(p, first - box, half * 1.6 - p.k * 1.2, "begin", size=LEAST, anchor="start"),
        *(el("circle", cx=slider, cy=side, r=p.k * 1.9, stroke=INK, stroke_width=p.line(0.35), data_pass_mm=slider)
          for side in (-box, box)),
        across(p, first, last, half * 1.6 + p.k * 3, f"opening {opening_text}", name="opening"),
        across(p, start, stop, half * 1.6 + p.k * 10.5, f"zip cut to {cut_text}", name="zip"),
        across(p, 0, seam_mm, half * 1.6 + p.k * 18, f"seam {seam_text}", name="seam"),
        label(p, 0, -half * 1.6 - p.k * 3, f"sewn {end_text} at each end, tacked between", size=LEAST, anchor="start"),
        label(
            p, 0, -half * 1.6 - p.k * 8.5, f"box {box_text} from the teeth; slider {slider_text} from the end",
            size=LEAST, anchor="start",
        ),
    ]  # fmt: skip
    words = (
        f"The zip in its seam of {seam_text}: zip cut to {cut_text}, opening {opening_text}, "
        f"stitched in a box {box_text} from the teeth. The slider waits {slider_text} from one end; the box begins "
        "across the other end, and the slider is passed on both long sides."
    )
    return picture(words, seam_mm, half * 1.6, p, body)


def _box(p: Pen, left: float, right: float, box: float) -> str:
    return el(
        "rect", x=left, y=-box, width=right - left, height=2 * box, stroke=THREAD, stroke_width=p.line(0.55),
        stroke_dasharray=f"{number(p.k * 2)} {number(p.k * 1.3)}", data_line="box",
    )  # fmt: skip


def _slider(p: Pen, x: float) -> str:
    """The slider, and the way it goes when the needle comes: back over what is stitched already."""
    body = el("rect", x=x - p.k * 1.6, y=-p.k * 1.5, width=p.k * 3.2, height=p.k * 3, rx=p.k, fill=SOFT)
    pull = el("rect", x=x - p.k * 0.6, y=p.k * 1.2, width=p.k * 1.2, height=p.k * 3.4, rx=p.k * 0.6, fill=SOFT)
    return body + pull + arrow(p, x - p.k * 3, -p.k * 4.2, x - p.k * 12, -p.k * 4.2, colour=SOFT)
