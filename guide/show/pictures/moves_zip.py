"""The zip in seven: cut and marked, its seam, pressed and glued, boxed, its slider passed, the tacking unpicked."""

from collections.abc import Sequence

from guide.read.units import INCH
from guide.show.pictures import frames as f
from guide.show.pictures.moves_block import drum
from guide.show.pictures.moves_panel import met, shaken, whole_panel
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, el, number

LONG = 58.0  # mm of a frame in which a whole seam lies
MUCH = 45.0  # mm of a frame, from which its squares are drawn one by one
SLIDER_MM = 2.5 * INCH  # from one end, where stage files of long ago do not say


def _zip(x1: float, x2: float, y: float, slider: float | None, *, half: float = 3.0, hidden: bool = False) -> str:
    """A zip lying from end to end, its slider somewhere on it; `hidden`: under the cloth."""
    colour, ground, dashes = (SOFT, "none", "0.4 1.4") if hidden else (INK, PAPER, None)
    tape = f.box(x1, y - half, x2 - x1, 2 * half, fill=ground, stroke=colour, stroke_dasharray=dashes, data_zip="1")
    return tape + _teeth(x1, x2, y, 1.2, colour) + ("" if slider is None else _slider(slider, y))


def _slider(x: float, y: float) -> str:
    body = el("rect", x=x - 1.7, y=y - 1.7, width=3.4, height=3.4, rx=1, fill=INK)
    pull = {"x": x - 6.2, "y": y - 0.8, "width": 5, "height": 1.6, "rx": 0.8}
    return body + el("rect", **pull, fill=SOFT, stroke=PAPER, stroke_width=0.3)


def _seam_at(a: f.Told) -> tuple[float, float, float]:
    """How long a mm of the zip's seam is drawn, where its opening begins, and where the zip does."""
    k = (LONG - 4) / max(a.mm("zip_seam"), 1.0)
    return k, 2 + a.mm("zip_ends") * k, 2 + a.mm("zip_end_gap") * k


def _long(*body: str) -> str:
    """A frame in which a whole seam lies."""
    return f.frame(*body, wide=LONG)


def _ticks(y1: float, y2: float, *places: float) -> str:
    return "".join(f.rule(x, y1, x, y2, THREAD, 0.8) for x in places)


def zip_cut(a: f.Told) -> list[str]:
    """The slider to the middle; both ends cut off; the zip marked a stop's gap from each end, and the seam."""
    k, opening, start = _seam_at(a)
    stop, middle, gap = LONG - start, LONG / 2, a.mm("zip_stop_gap") * k
    metal = "".join(f.box(x, 8.6, 1.6, 2.8, fill=INK) for x in (3.4, LONG - 5))
    off = f.box(2, 7, start - 2, 6, fill=f.SHADE) + f.box(stop, 7, start - 2, 6, fill=f.SHADE)
    cuts = _ticks(4, 16, start, stop) + f.shears(start, 16.5, 75) + f.shears(stop, 16.5, 75)
    marked = _zip(start, stop, 10, middle) + _ticks(6, 14, start + gap, stop - gap)
    edge = f.patches(a, [_beside(a)[0]], (2, 20, LONG - 4, 9)) + _ticks(17, 24, opening, LONG - opening)
    stop_gap = _from(start, start + gap, 3.4, a.shown("zip_stop_gap"))
    first = f.go(LONG - 17, 4, middle, 4) + f.note(middle, 17, a.says("Slider to the middle first"))
    return [
        _long(_zip(2, LONG - 2, 10, LONG - 12), metal, first),
        _long(_zip(2, LONG - 2, 10, middle), off, metal, cuts, f.span(start, stop, 23, a.shown("zip_cut"), "zip")),
        _long(marked, edge, stop_gap, f.span(2, opening, 32, a.shown("zip_ends"), "seam-end")),
    ]


def _from(x1: float, x2: float, y: float, text: str) -> str:
    """A short dimension whose size stands to its right; nothing where the step says no size."""
    bare = f.span(x1, x2, y, " ").replace("<text", '<text display="none"')
    return bare + f.note(x2 + 1.5, y, text, anchor="start") if text else ""


def zip_seam(a: f.Told) -> list[str]:
    """Right sides together; sewn at one end, tacked where the zip opens, sewn at the other."""
    k, opening, _ = _seam_at(a)
    y, last = 6 + max(3.0, a.mm("seam") * k), LONG - opening
    seam = (
        f.sewn(2, y, opening, y, "sewn")
        + f.sewn(last, y, LONG - 2, y, "sewn")
        + f.tacked(opening, y, last, y, "tacked")
    )
    back = f.sewn(opening - 3.5, y + 1.2, opening, y + 1.2) + f.sewn(last, y + 1.2, last + 3.5, y + 1.2)
    ends = f.dot(opening, y) + f.dot(last, y) + f.note(3, y + 6, a.shown("zip_ends"), anchor="start")
    size = f.span(opening, last, 29, a.shown("zip_tack"), "tacked-mm")
    return [met(a, "Right sides together"), _long(f.wrong(2, 6, LONG - 4, 20), seam, back, ends, size)]


def _open_seam(a: f.Told) -> str:
    """The seam from its wrong side, pressed open, sewn at its ends and tacked between."""
    _, opening, _ = _seam_at(a)
    flat = (
        f.wrong(2, 2, LONG - 4, 27)
        + f.wrong(2, 10.5, LONG - 4, 10, f.SHADE)
        + f.rule(2, 15.5, LONG - 2, 15.5, INK, 0.5)
    )
    return (
        flat
        + f.tacked(opening, 15.5, LONG - opening, 15.5)
        + f.dot(opening, 15.5, 1.1)
        + f.dot(LONG - opening, 15.5, 1.1)
    )


def zip_press(a: f.Told) -> list[str]:
    """Pressed open; the slider near one end, glue along the tapes; teeth down along the seam."""
    _, opening, start = _seam_at(a)
    stop, wait, middle, flat = LONG - start, _waits(a), LONG / 2, _open_seam(a)
    glue = "".join(f.dot(x, y, 0.7, SOFT) for x in range(int(start) + 3, int(stop) - 1, 5) for y in (11.6, 18.4))
    glue += f.shape(f"M{LONG - 1} 9q6 6 0 12m.3 -2.4l-.3 2.4l2.4 -.4", stroke=THREAD, thick=0.6)
    glue += f.note(middle, 6, a.says("glue stick", "glue"))
    under = f.shape(f"M{number(start)} 11.5h{number(stop - start)}v8h{number(start - stop)}z", fill=PAPER)
    laid = under + f.dotted(start, 15.5, stop, 15.5, INK, 1.0) + _slider(wait, 15.5) + f.go(middle, 5, middle, 11)
    gap = f.span(2, start, 31, a.shown("zip_end_gap"), "end-gap")
    near = f.span(wait, LONG - opening, 23, a.size("slider_gap"), "slider")
    return [
        _long(flat, f.iron(8, 15.5), f.go(26, 8, 36, 8), f.note(middle, 33, a.says("Press the seam open"))),
        _long(_zip(start, stop, 15, wait, half=4.6), glue, near),
        _long(flat, laid, gap, f.note(middle, 25, a.says("Teeth down along the seam"))),
    ]


def _beside(a: f.Told) -> tuple[Sequence[str], Sequence[str]]:
    """The prints along both sides of the zip's seam."""
    if a.report.backing is None:
        return a.backs[0][:1], a.backs[0][:1]
    if a.option("zip_along") == "column":
        after, columns = int(a.mm("after_column", 1.0)), list(zip(*a.backs, strict=True))
        return columns[after - 1], columns[after]
    after = int(a.mm("after_row", 1.0))
    return a.backs[after - 1], a.backs[after]


def _right_side(a: f.Told, x: float, y: float, wide: float, high: float) -> str:
    """Both sides of the zip's seam, right side up: in a box, the seam across its middle."""
    above, below = _beside(a)
    many = len(above) if wide > MUCH else 1  # a part of the seam shows a square of each side
    half = high / 2
    return f.patches(a, [above[:many]], (x, y, wide, half)) + f.patches(a, [below[:many]], (x, y + half, wide, half))


def zip_box(a: f.Told) -> list[str]:
    """Right side up: across the end away from the slider; there tacking unpicked, the slider passed; all round."""
    k, opening, start = _seam_at(a)
    wait, gap, middle = _waits(a), max(3.0, a.mm("zip_box_gap") * k), LONG / 2
    under = el("rect", x=start, y=10, width=LONG - 2 * start, height=9, fill=PAPER, fill_opacity=0.82)
    bed = _right_side(a, 2, 2, LONG - 4, 25) + under + _zip(start, LONG - start, 14.5, None, half=4.2, hidden=True)
    left, last, up, foot = opening - gap / 2, LONG - opening + gap / 2, 14.5 - gap, 14.5 + gap
    begin = el("circle", cx=left, cy=foot, r=1.3, fill=THREAD, data_begin="1")
    first = f.tacked(opening, 14.5, LONG - opening, 14.5) + _slider(wait, 14.5) + begin
    first += f.go(left, foot, left, up) + f.go(left, up, left + 12, up)
    first += f.note(middle, 31, a.shown("zip_box_gap")) + f.note(middle, 36, a.says("right side up"))
    begun = begin + f.sewn(left, foot, left, up, "box") + f.sewn(left, up, wait - 8, up, "box")
    begun += f.tacked(opening, 14.5, wait - 12, 14.5) + f.tacked(wait + 7, 14.5, LONG - opening, 14.5)
    begun += _slider(wait, 14.5) + f.needle(wait - 8, up)
    for y in (up, foot):
        begun += el("circle", cx=wait, cy=y, r=2.2, stroke=INK, stroke_width=0.5, data_passed="1")
    begun += f.note(middle, 31, a.says("unpick two fingers of tacking")) + f.note(
        middle, 36, a.says("on both long sides")
    )
    whole = f.box(left, up, last - left, foot - up, stroke=THREAD, thick=0.8, stroke_dasharray="2 1.3", data_line="box")
    size = f.span(opening, LONG - opening, 31, a.shown("zip_opening"), "opening")
    return [
        _long(bed, first),
        _long(bed, begun),
        _passed(a),
        _long(bed, whole, begin, _slider(opening + 6, 14.5), size),
    ]


def _passed(a: f.Told) -> str:
    """Beside the needle, which is down: the foot up, the slider goes by on what is stitched already."""
    bed = _right_side(a, 0, 0, 42, 30) + f.box(0, 9.5, 42, 11, fill=PAPER, stroke=SOFT) + _teeth(0, 42, 15, 1.6)
    past = f.shape("M30 11.5c-2 -5 -20 -5 -24 0m.2 -2.4l-.2 2.4l2.4 -.4", stroke=THREAD, thick=0.6)
    foot_up = f.shape("M7.5 2.5h8l2.4 -2.2h-7", thick=0.6) + f.rule(12, -6, 12, 10, INK, 0.5)
    return f.frame(
        bed, f.sewn(0, 8, 12, 8, "box"), _slider(30, 15), foot_up, past, f.note(21, 33, a.says("slide it past"))
    )


def zip_unpick(a: f.Told) -> list[str]:
    """Every fourth stitch of the tacking cut; the thread pulled out; the zip run both ways."""
    cloth = _right_side(a, 1, 2, 40, 25)
    gap = f.shape("M4 14.5q17 -9 34 0q-17 9 -34 0z", fill=PAPER) + _teeth(6, 36, 14.5)
    ripper = f.shape("M27 14.5l-4 -1m4 1l-3 2m3 -2l10 10", thick=1.0)
    cut, pulled = f.note(21, 32, a.says("cut every fourth stitch")), f.note(21, 32, a.says("pull the thread"))
    loose = f.shape("M16 14.5c6 -2 9 -8 16 -11", thick=0.6) + f.go(30, 4.5, 35, 1.5)
    ways = f.go(28, 22, 10, 22) + f.go(10, 24.5, 28, 24.5)
    return [
        f.frame(cloth, f.tacked(2, 14.5, 40, 14.5), ripper, cut),
        f.frame(cloth, f.tacked(2, 14.5, 16, 14.5), loose, pulled),
        f.frame(cloth, gap, _slider(33, 14.5), ways, f.note(21, 33, a.shown("zip_opening"))),
    ]


def zip_any(a: f.Told) -> list[str]:
    """What a step of a zip shows that only says `zip`: its own picture by its name, else the box."""
    own = {"zip_cut": zip_cut, "zip_seam": zip_seam, "zip_press": zip_press, "zip_unpick": zip_unpick}
    return own.get(a.step.key.partition("/")[2], zip_box)(a)


def _teeth(x1: float, x2: float, y: float, thick: float = 1.2, colour: str = INK) -> str:
    """A closed zip's teeth."""
    return el(
        "line", x1=x1, y1=y, x2=x2, y2=y, stroke=colour, stroke_width=thick, stroke_dasharray="0.5 0.5",
        stroke_linecap="butt",
    )  # fmt: skip


def _waits(a: f.Told) -> float:
    """Where the slider waits while the zip is boxed: near the end away from where the box begins."""
    k, opening, _ = _seam_at(a)
    return max(LONG - opening - a.mm("slider_gap", SLIDER_MM) * k, LONG / 2)


# The moves that finish a piece: lint off, felt over, washed, dried, brushed, measured, photographed.


def lint(a: f.Told) -> list[str]:
    """The roller over the faces; last threads cut; the bobbin case brushed out."""
    panel, w, _ = whole_panel(a, 26.0)
    roller = f.box(22, 9, 11, 6, fill=PAPER, thick=0.6) + f.shape("M33 12h4v10", thick=0.9)
    bobbin = el("circle", cx=16, cy=20, r=6, fill=PAPER, stroke=INK, stroke_width=0.6) + f.dot(16, 20, 1.6, SOFT)
    brush = f.shape("M36 3l-12 10", thick=1.4) + f.shape("M24 13l-4 1m4 -1l-3 3m3 -3l-1 4", thick=0.5)
    case = f.box(6, 12, 30, 16, fill=f.SHADE) + bobbin + brush
    loose = f.shape("M8 24c4 2 -5 4 0 6", stroke=THREAD, thick=0.5) + f.shears(9.5, 27, 0)
    return [
        f.frame(panel, roller, f.go(20, 19, 12, 19), loose, wide=max(w, f.WIDE)),
        f.frame(case, f.go(20, 19, 13, 15)),
    ]


def feel(a: f.Told) -> list[str]:
    """A flat hand over every seam; the fringe rolled between the fingers."""
    panel, _, _ = whole_panel(a)
    palm = f.shape(
        "M14 30v-9l-4 -5c-1 -2 2 -3 3 -1l3 3v-9c0 -2 3 -2 3 0v-2c0 -2 3 -2 3 0v2c0 -2 3 -2 3 0v3c0 -2 3 -2 3 0v11l-2 7",
        fill="#efe1d3",
    )
    return [f.frame(panel, palm, f.go(31, 15, 38, 15)), f.frame(_edge(a, 3.5), f.go(12, 9, 12, 2), f.go(24, 2, 24, 9))]


def _edge(a: f.Told, reach: float, every: float = 1.0) -> str:
    """An edge of the panel with its fringe above the stitches."""
    return f.comb(1, 41, 14, -reach, every) + f.right(a.front(), 1, 14, 40, 16) + f.sewn(1, 14.8, 41, 14.8, "outer")


def pull(a: f.Told) -> list[str]:
    """The fringe pulled hard; what lengthens is cut off."""
    long = f.shape("M20 14c1 -6 -2 -7 0 -12", stroke=THREAD, thick=0.7)
    return [
        f.frame(_edge(a, 4.0), f.go(11, 9, 11, 1), f.go(31, 9, 31, 1)),
        f.frame(_edge(a, 4.0), long, f.shears(20.5, 9, 0)),
    ]


def pins_in(_: f.Told) -> list[str]:
    """As many pins in the tin as were counted out."""
    top = el("ellipse", cx=21, cy=16, rx=11, ry=3, fill=PAPER, stroke=INK, stroke_width=0.4)
    pins = "".join(f.pin(12 + n * 4.5, 4 + n % 2, 1, 10) for n in range(5))
    return [f.frame(f.shape("M10 16h22v12h-22z", fill=f.SHADE), top, pins, f.go(37, 8, 31, 14), high=33)]


def wash(a: f.Told) -> list[str]:
    """Shaken out; into its bag, where the step says so; a load of its own, half a drum."""
    frames = [shaken(a)]
    if a.says("laundry bag"):
        net = "".join(f"M{x} 4v22" for x in range(8, 36, 3)) + "".join(f"M7 {y}h28" for y in range(6, 27, 3))
        bag = (
            f.shape(net, stroke=SOFT, thick=0.2)
            + f.box(7, 4, 28, 22, thick=0.7)
            + f.shape("M7 4q14 -5 28 0", thick=0.7)
        )
        frames.append(f.frame(f.right(a.front(), 13, 10, 16, 12), bag))
    return [*frames, f.frame(drum(), f.right(a.front(), 14, 16, 14, 7), f.dotted(10, 15, 32, 15))]


def dry(a: f.Told) -> list[str]:
    """Shaken hard; on the line, or in a dryer whose filter is clean."""
    panel = f.right(a.front(), 8, 5, 26, 20) + f.comb(8, 34, 25, 2.4) + f.comb(8, 34, 5, -1.6)
    line = f.rule(0, 4, 42, 4, SOFT, 0.6) + f.rule(12, 2, 12, 7, INK, 0.9) + f.rule(30, 2, 30, 7, INK, 0.9)
    return [shaken(a), f.frame(line, panel, high=33)]


def finish(a: f.Told) -> list[str]:
    """The pad in, where there is one; front and back to be photographed, something for scale beside them."""
    panel, w, h = whole_panel(a, 32.0)
    scale = f.box(w + 4, h - 10, 3, 12, fill=f.SHADE) + f.rule(w + 4, h - 4, w + 7, h - 4)
    seen = f.frame(panel, f.comb(2, 2 + w, 2, -2.0), f.comb(2, 2 + w, 2 + h, 2.0), scale, high=34)
    if a.report.project.back == "none":
        return [seen]
    cover = f.shape("M2 6h26v22h-26z", fill=a.back().ground) + f.shape("M28 8q6 9 0 18", thick=0.6)
    pad = f.shape("M24 9h14q3 0 3 4v9q0 4 -3 4h-14z", fill=PAPER, thick=0.5)
    wide, high = a.size("pad_width"), a.size("pad_height")
    return [f.frame(cover, pad, f.go(40, 5, 30, 5), f.note(21, 32, wide), f.note(21, 37, high)), seen]


def fluff(a: f.Told) -> list[str]:
    """Snips as they come from the shears; the washed fringe brushed outwards; a thread longer than the rest cut off."""
    snips = "".join(f.box(x, 6, 3.2, 8, fill=f.PLAIN, thick=0.3) for x in range(2, 40, 4))
    fluffy = _edge(a, 8.0, 0.6)
    brush = f.box(15, 1, 12, 3, fill=f.SHADE) + "".join(f.rule(x, 4, x, 6, INK, 0.4) for x in range(16, 27, 2))
    long = f.shape("M24 14c3 -6 -3 -9 2 -14", stroke=THREAD, thick=0.7)
    return [
        f.frame(f.right(a.front(), 1, 14, 40, 16), snips),
        f.frame(fluffy, brush, f.go(33, 10, 33, 3)),
        f.frame(fluffy, long, f.shears(26, 5, 0)),
    ]
