"""The zip in seven: cut and marked, its seam, pressed and glued, boxed, its slider passed, the tacking unpicked."""

from collections.abc import Sequence

from guide.read.units import INCH
from guide.show.pictures.frames import (
    SHADE,
    Told,
    box,
    dot,
    dotted,
    frame,
    go,
    iron,
    leaf,
    needle,
    note,
    patches,
    rise,
    rule,
    sewn,
    shape,
    shears,
    span,
    tacked,
    wrong,
)
from guide.show.pictures.svg import INK, PAPER, SOFT, THREAD, el, number

LONG = 84.0  # mm of a frame in which a whole seam lies
MUCH = 50.0  # mm of a frame, from which its squares are drawn one by one
SLIDER_MM = 2.5 * INCH  # from one end, where stage files of long ago do not say


def _zip(x1: float, x2: float, y: float, slider: float | None, *, half: float = 3.0, hidden: bool = False) -> str:
    """A zip lying from end to end, its slider somewhere on it; `hidden`: under the cloth."""
    tape = box(
        x1,
        y - half,
        x2 - x1,
        2 * half,
        fill="none" if hidden else PAPER,
        stroke=SOFT if hidden else INK,
        stroke_dasharray="0.4 1.4" if hidden else None,
        data_zip="1",
    )
    return tape + _teeth(x1, x2, y, 1.2, SOFT if hidden else INK) + ("" if slider is None else _slider(slider, y))


def _slider(x: float, y: float) -> str:
    body = el("rect", x=x - 1.7, y=y - 1.7, width=3.4, height=3.4, rx=1, fill=INK)
    return body + el(
        "rect", x=x - 6.2, y=y - 0.8, width=5, height=1.6, rx=0.8, fill=SOFT, stroke=PAPER, stroke_width=0.3
    )


def _seam_at(a: Told) -> tuple[float, float, float]:
    """How long a mm of the zip's seam is drawn, where its opening begins, and where the zip does."""
    seam = max(a.mm("zip_seam"), 1.0)
    k = (LONG - 4) / seam
    return k, 2 + a.mm("zip_ends") * k, 2 + a.mm("zip_end_gap") * k


def zip_cut(a: Told) -> list[str]:
    """The slider to the middle; both ends cut off; the zip marked a stop's gap from each end, and the seam."""
    k, opening, start = _seam_at(a)
    stop = LONG - start
    bought = _zip(2, LONG - 2, 10, LONG - 12)
    moved = _zip(2, LONG - 2, 10, LONG / 2)
    metal = "".join(box(x, 8.6, 1.6, 2.8, fill=INK) for x in (3.4, LONG - 5))
    gap = a.mm("zip_stop_gap") * k
    marks = rule(start + gap, 6, start + gap, 14, THREAD, 0.8) + rule(stop - gap, 6, stop - gap, 14, THREAD, 0.8)
    edge = patches(a, [_beside(a)[0]], (2, 20, LONG - 4, 9))
    on_seam = rule(opening, 17, opening, 24, THREAD, 0.8) + rule(LONG - opening, 17, LONG - opening, 24, THREAD, 0.8)
    return [
        frame(
            bought,
            metal,
            go(LONG - 17, 4, LONG / 2, 4),
            note(LONG / 2, 17, a.says("Slider to the middle first")),
            wide=LONG,
        ),
        frame(
            moved,
            metal,
            *(rule(x, 4, x, 16, THREAD, 0.8) for x in (start, stop)),
            shears(start, 16.5, 75),
            shears(stop, 16.5, 75),
            span(start, stop, 23, a.shown("zip_cut"), "zip"),
            wide=LONG,
        ),
        frame(
            _zip(start, stop, 10, LONG / 2),
            marks,
            edge,
            on_seam,
            _from(start, start + gap, 3.4, a.shown("zip_stop_gap")),
            span(2, opening, 32, a.shown("zip_ends"), "seam-end"),
            wide=LONG,
        ),
    ]


def _from(x1: float, x2: float, y: float, text: str) -> str:
    """A short dimension whose size stands to its right."""
    return (
        span(x1, x2, y, " ").replace("<text", '<text display="none"') + note(x2 + 1.5, y, text, anchor="start")
        if text
        else ""
    )


def zip_seam(a: Told) -> list[str]:
    """Right sides together; sewn at one end, tacked where the zip opens, sewn at the other."""
    k, opening, _ = _seam_at(a)
    y = 6 + max(3.0, a.mm("seam") * k)
    cloth = wrong(2, 6, LONG - 4, 20)
    ends = sewn(2, y, opening, y, "sewn") + sewn(LONG - opening, y, LONG - 2, y, "sewn")
    between = tacked(opening, y, LONG - opening, y, "tacked")
    back = "".join(
        sewn(x - 3.5, y + 1.2, x, y + 1.2) if x < LONG / 2 else sewn(x, y + 1.2, x + 3.5, y + 1.2)
        for x in (opening, LONG - opening)
    )
    return [
        frame(leaf(5, 20, a.back()), leaf(5, 7, None), go(38, 9, 38, 20), note(21, 4, a.says("Right sides together"))),
        frame(
            cloth,
            ends,
            between,
            back,
            dot(opening, y),
            dot(LONG - opening, y),
            rise(LONG, 6, y, a.size("seam"), "seam"),
            note(3, y + 6, a.shown("zip_ends"), anchor="start"),
            span(opening, LONG - opening, 29, a.shown("zip_tack"), "tacked-mm"),
            wide=LONG,
        ),
    ]


def _open_seam(a: Told) -> str:
    """The seam from its wrong side, pressed open, sewn at its ends and tacked between."""
    _, opening, _ = _seam_at(a)
    flat = wrong(2, 2, LONG - 4, 27) + wrong(2, 10.5, LONG - 4, 10, SHADE) + rule(2, 15.5, LONG - 2, 15.5, INK, 0.5)
    return flat + tacked(opening, 15.5, LONG - opening, 15.5) + dot(opening, 15.5, 1.1) + dot(LONG - opening, 15.5, 1.1)


def zip_press(a: Told) -> list[str]:
    """Pressed open; the slider near one end, glue along the tapes; teeth down along the seam."""
    _, opening, start = _seam_at(a)
    stop, wait = LONG - start, _waits(a)
    glue = "".join(dot(x, y, 0.7, SOFT) for x in range(int(start) + 3, int(stop) - 1, 5) for y in (11.6, 18.4))
    under = shape(f"M{number(start)} 11.5h{number(stop - start)}v8h{number(start - stop)}z", fill=PAPER)
    return [
        frame(
            _open_seam(a), iron(8, 15.5), go(26, 8, 36, 8), note(LONG / 2, 33, a.says("Press the seam open")), wide=LONG
        ),
        frame(
            _zip(start, stop, 15, wait, half=4.6),
            glue,
            span(wait, LONG - opening, 23, a.size("slider_gap"), "slider"),
            wide=LONG,
        ),
        frame(
            _open_seam(a),
            under,
            dotted(start, 15.5, stop, 15.5, INK, 1.0),
            _slider(wait, 15.5),
            go(LONG / 2, 5, LONG / 2, 11),
            span(2, start, 31, a.shown("zip_end_gap"), "end-gap"),
            note(LONG / 2, 25, a.says("Teeth down along the seam")),
            wide=LONG,
        ),
    ]


def _beside(a: Told) -> tuple[Sequence[str], Sequence[str]]:
    """The prints along both sides of the zip's seam."""
    if a.report.backing is None:
        return a.backs[0][:1], a.backs[0][:1]
    if a.option("zip_along") == "column":
        after, columns = int(a.mm("after_column", 1.0)), list(zip(*a.backs, strict=True))
        return columns[after - 1], columns[after]
    after = int(a.mm("after_row", 1.0))
    return a.backs[after - 1], a.backs[after]


def _right_side(a: Told, x: float, y: float, wide: float, high: float) -> str:
    """Both sides of the zip's seam, right side up: in a box, the seam across its middle."""
    above, below = _beside(a)
    many = len(above) if wide > MUCH else 1  # a part of the seam shows a square of each side
    half = high / 2
    return patches(a, [above[:many]], (x, y, wide, half)) + patches(a, [below[:many]], (x, y + half, wide, half))


def zip_box(a: Told) -> list[str]:
    """Right side up: across the end away from the slider; there tacking unpicked, the slider passed; all round."""
    k, opening, start = _seam_at(a)
    wait, gap = _waits(a), max(3.0, a.mm("zip_box_gap") * k)
    under = el("rect", x=start, y=10, width=LONG - 2 * start, height=9, fill=PAPER, fill_opacity=0.82)
    bed = _right_side(a, 2, 2, LONG - 4, 25) + under + _zip(start, LONG - start, 14.5, None, half=4.2, hidden=True)
    left, last = opening - gap / 2, LONG - opening + gap / 2
    up, foot = 14.5 - gap, 14.5 + gap
    begin = el("circle", cx=left, cy=foot, r=1.3, fill=THREAD, data_begin="1")
    begun = sewn(left, foot, left, up, "box") + sewn(left, up, wait - 8, up, "box")
    tacks = tacked(opening, 14.5, wait - 12, 14.5) + tacked(wait + 7, 14.5, LONG - opening, 14.5)
    whole = box(left, up, last - left, foot - up, stroke=THREAD, thick=0.8, stroke_dasharray="2 1.3", data_line="box")
    size = span(opening, LONG - opening, 31, a.shown("zip_opening"), "opening")
    first = (
        tacked(opening, 14.5, LONG - opening, 14.5),
        _slider(wait, 14.5),
        begin,
        go(left, foot, left, up) + go(left, up, left + 12, up),
        rise(LONG + 1, up, 14.5, a.shown("zip_box_gap"), "box-gap"),
    )
    unpicked = note(LONG / 2, 31, a.says("unpick two fingers of tacking"))
    return [
        frame(bed, *first, wide=LONG),
        frame(bed, begin, begun, tacks, _slider(wait, 14.5), needle(wait - 8, up), unpicked, wide=LONG),
        _passed(a),
        frame(bed, whole, begin, _slider(opening + 6, 14.5), size, wide=LONG),
    ]


def _passed(a: Told) -> str:
    """Beside the needle, which is down: the foot up, the slider goes by on what is stitched already."""
    bed = _right_side(a, 0, 0, 42, 30) + box(0, 9.5, 42, 11, fill=PAPER, stroke=SOFT) + _teeth(0, 42, 15, 1.6)
    past = shape("M30 11.5c-2 -5 -20 -5 -24 0m.2 -2.4l-.2 2.4l2.4 -.4", stroke=THREAD, thick=0.6)
    foot_up = shape("M7.5 2.5h8l2.4 -2.2h-7", thick=0.6) + rule(12, -6, 12, 10, INK, 0.5)
    return frame(bed, sewn(0, 8, 12, 8, "box"), _slider(30, 15), foot_up, past, note(21, 33, a.says("slide it past")))


def zip_unpick(a: Told) -> list[str]:
    """Every fourth stitch of the tacking cut; the thread pulled out; the zip run both ways."""
    cloth = _right_side(a, 1, 2, 40, 25)
    gap = shape("M4 14.5q17 -9 34 0q-17 9 -34 0z", fill=PAPER) + _teeth(6, 36, 14.5)
    ripper = shape("M27 14.5l-4 -1m4 1l-3 2m3 -2l10 10", thick=1.0)
    cut, pulled = note(21, 32, a.says("cut every fourth stitch")), note(21, 32, a.says("pull the thread"))
    loose = shape("M16 14.5c6 -2 9 -8 16 -11", thick=0.6) + go(30, 4.5, 35, 1.5)
    ways = go(28, 22, 10, 22) + go(10, 24.5, 28, 24.5)
    return [
        frame(cloth, tacked(2, 14.5, 40, 14.5), ripper, cut),
        frame(cloth, tacked(2, 14.5, 16, 14.5), loose, pulled),
        frame(cloth, gap, _slider(33, 14.5), ways, note(21, 33, a.shown("zip_opening"))),
    ]


def zip_any(a: Told) -> list[str]:
    """What a step of a zip shows that only says `zip`: its own picture by its name, else the box."""
    own = {"zip_cut": zip_cut, "zip_seam": zip_seam, "zip_press": zip_press, "zip_unpick": zip_unpick}
    return own.get(a.step.key.partition("/")[2], zip_box)(a)


def _teeth(x1: float, x2: float, y: float, thick: float = 1.2, colour: str = INK) -> str:
    """A closed zip's teeth."""
    return el(
        "line", x1=x1, y1=y, x2=x2, y2=y, stroke=colour, stroke_width=thick, stroke_dasharray="0.5 0.5",
        stroke_linecap="butt",
    )  # fmt: skip


def _waits(a: Told) -> float:
    """Where the slider waits while the zip is boxed: near the end away from where the box begins."""
    k, opening, _ = _seam_at(a)
    return max(LONG - opening - a.mm("slider_gap", SLIDER_MM) * k, LONG / 2)
