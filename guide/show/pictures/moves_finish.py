"""The moves that finish a piece: lint off, felt over, washed, dried, brushed, measured, photographed."""

from guide.show.pictures.frames import (
    PLAIN,
    SHADE,
    WIDE,
    Told,
    box,
    comb,
    dot,
    dotted,
    frame,
    go,
    note,
    pin,
    right,
    rule,
    sewn,
    shape,
    shears,
)
from guide.show.pictures.moves_panel import shaken, whole_panel
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, el


def lint(a: Told) -> list[str]:
    """The roller over the faces; last threads cut; the bobbin case brushed out."""
    panel, w, _ = whole_panel(a, 26.0)
    roller = box(22, 9, 11, 6, fill=PAPER, thick=0.6) + shape("M33 12h4v10", thick=0.9)
    case = (
        box(6, 12, 30, 16, fill=SHADE)
        + el("circle", cx=16, cy=20, r=6, fill=PAPER, stroke=INK, stroke_width=0.6)
        + dot(16, 20, 1.6, SOFT)
    )
    brush = shape("M36 3l-12 10", thick=1.4) + shape("M24 13l-4 1m4 -1l-3 3m3 -3l-1 4", thick=0.5)
    loose = shape("M8 24c4 2 -5 4 0 6", stroke=THREAD, thick=0.5) + shears(9.5, 27, 0)
    return [frame(panel, roller, go(20, 19, 12, 19), loose, wide=max(w, WIDE)), frame(case, brush, go(20, 19, 13, 15))]


def feel(a: Told) -> list[str]:
    """A flat hand over every seam; the fringe rolled between the fingers."""
    panel, _, _ = whole_panel(a)
    palm = shape(
        "M14 30v-9l-4 -5c-1 -2 2 -3 3 -1l3 3v-9c0 -2 3 -2 3 0v-2c0 -2 3 -2 3 0v2c0 -2 3 -2 3 0v3c0 -2 3 -2 3 0v11l-2 7",
        fill="#efe1d3",
    )
    return [frame(panel, palm, go(31, 15, 38, 15)), frame(_edge(a, 3.5), go(12, 9, 12, 2), go(24, 2, 24, 9))]


def _edge(a: Told, reach: float, every: float = 1.0) -> str:
    """An edge of the panel with its fringe above the stitches."""
    return comb(1, 41, 14, -reach, every) + right(a.front(), 1, 14, 40, 16) + sewn(1, 14.8, 41, 14.8, "outer")


def pull(a: Told) -> list[str]:
    """The fringe pulled hard; what lengthens is cut off."""
    long = shape("M20 14c1 -6 -2 -7 0 -12", stroke=THREAD, thick=0.7)
    return [frame(_edge(a, 4.0), go(11, 9, 11, 1), go(31, 9, 31, 1)), frame(_edge(a, 4.0), long, shears(20.5, 9, 0))]


def pins_in(_: Told) -> list[str]:
    """As many pins in the tin as were counted out."""
    tin = shape("M10 16h22v12h-22z", fill=SHADE) + el(
        "ellipse", cx=21, cy=16, rx=11, ry=3, fill=PAPER, stroke=INK, stroke_width=0.4
    )
    return [frame(tin, *(pin(12 + n * 4.5, 4 + n % 2, 1, 10) for n in range(5)), go(37, 8, 31, 14), high=33)]


def wash(a: Told) -> list[str]:
    """Shaken out; into its bag, where the step says so; a load of its own, half a drum."""
    frames = [shaken(a)]
    piece = right(a.front(), 13, 10, 16, 12)
    if a.says("laundry bag"):
        net = "".join(f"M{x} 4v22" for x in range(8, 36, 3)) + "".join(f"M7 {y}h28" for y in range(6, 27, 3))
        frames.append(
            frame(
                piece,
                shape(net, stroke=SOFT, thick=0.2),
                box(7, 4, 28, 22, thick=0.7),
                shape("M7 4q14 -5 28 0", thick=0.7),
            )
        )
    drum = el("circle", cx=21, cy=15, r=14, stroke=INK, stroke_width=0.7) + el(
        "circle", cx=21, cy=15, r=11.5, stroke=SOFT, stroke_width=0.4
    )
    frames.append(frame(drum, right(a.front(), 14, 16, 14, 7), dotted(10, 15, 32, 15)))
    return frames


def dry(a: Told) -> list[str]:
    """Shaken hard; on the line, or in a dryer whose filter is clean."""
    panel = right(a.front(), 8, 5, 26, 20) + comb(8, 34, 25, 2.4) + comb(8, 34, 5, -1.6)
    line = rule(0, 4, 42, 4, SOFT, 0.6) + rule(12, 2, 12, 7, INK, 0.9) + rule(30, 2, 30, 7, INK, 0.9)
    return [shaken(a), frame(line, panel, high=33)]


def finish(a: Told) -> list[str]:
    """The pad in, where there is one; front and back to be photographed, something for scale beside them."""
    panel, w, h = whole_panel(a, 32.0)
    scale = box(w + 4, h - 10, 3, 12, fill=SHADE) + rule(w + 4, h - 4, w + 7, h - 4)
    seen = frame(panel, comb(2, 2 + w, 2, -2.0), comb(2, 2 + w, 2 + h, 2.0), scale, high=34)
    if a.report.project.back == "none":
        return [seen]
    cover = shape("M2 6h26v22h-26z", fill=a.back().ground) + shape("M28 8q6 9 0 18", thick=0.6)
    pad = shape("M24 9h14q3 0 3 4v9q0 4 -3 4h-14z", fill=PAPER, thick=0.5)
    wide, high = a.size("pad_width"), a.size("pad_height")
    return [frame(cover, pad, go(40, 5, 30, 5), note(21, 32, wide), note(21, 37, high)), seen]


def fluff(a: Told) -> list[str]:
    """Snips as they come from the shears; the washed fringe brushed outwards; a thread longer than the rest cut off."""
    before = right(a.front(), 1, 14, 40, 16) + "".join(
        box(x, 6, 3.2, 8, fill=PLAIN, thick=0.3) for x in range(2, 40, 4)
    )
    fluffy = _edge(a, 8.0, 0.6)
    brush = box(15, 1, 12, 3, fill=SHADE) + "".join(rule(x, 4, x, 6, INK, 0.4) for x in range(16, 27, 2))
    long = shape("M24 14c3 -6 -3 -9 2 -14", stroke=THREAD, thick=0.7)
    return [frame(before), frame(fluffy, brush, go(33, 10, 33, 3)), frame(fluffy, long, shears(26, 5, 0))]
