"""What does the hand do here? A step's own picture in characters, with its lengths, where a map says less."""

from collections.abc import Callable

from guide.plan.model import Step
from guide.show.scene import Scene, say
from guide.show.screen.marks import Marks
from guide.show.screen.text import Line, clip, wrap
from guide.show.words import text_of

Drawn = list[tuple[str, str]]  # rows: what is drawn, and what is said of it; lines say the words alone
LONG = 17  # columns of an edge
CUT = ("snips", "snips_outer")  # pictures of how deep to snip


def sketch(scene: Scene, step: Step) -> Drawn:
    """The step's picture, row by row; nothing where none helps, or where its lengths do not apply."""
    picture = "zip" if step.piece == "zip" else step.picture or ""  # pressed open for it, no seams are
    cuts = picture not in CUT or any(name == "cut_depth" for name, _ in step.shows)  # rolling off lint cuts nothing
    draw = _SKETCHES.get(picture) if cuts else None
    rows = draw(scene) if draw else []
    return [(drawn, say(scene, said)) for drawn, said in rows]


def sketched(scene: Scene, step: Step, width: int, height: int) -> list[Line]:
    """The picture with its words behind it, in this room; nothing where it does not fit."""
    rows, lines = sketch(scene, step), []
    wide = max((len(drawn) for drawn, _ in rows), default=0)
    for drawn, said in rows:
        told = wrap(said, max(width - wide - 2, 1)) or [""]
        first: Line = [("class:patch.made", drawn.ljust(wide)), ("class:label", f"  {told[0]}")]
        lines += [first, *([("", " " * (wide + 2)), ("class:label", more)] for more in told[1:])]
    fits = rows and len(lines) <= height and width >= wide + 12
    return [clip(line, width) for line in lines] if fits else []


def _size(scene: Scene, name: str) -> str:
    """A number of the plan in the maker's units; "" where it does not apply."""
    quantity = scene.plan.quantities.get(name)
    return text_of(quantity, scene.plan.project.units) if quantity is not None and quantity.value is not None else ""


def _all(scene: Scene, *names: str) -> tuple[str, ...] | None:
    sizes = tuple(_size(scene, name) for name in names)
    return sizes if all(sizes) else None


def _edge(marks: Marks, ends: int) -> str:
    """A line of stitches, so many columns at both ends sewn, tacked or left between."""
    return marks.sewn * ends + marks.ahead * (LONG - 2 * ends) + marks.sewn * ends


def _zip(scene: Scene) -> Drawn:
    sizes = _all(scene, "zip_ends", "zip_tack", "zip_cut", "zip_stop_gap")
    if sizes is None:
        return []
    ends, tack, cut, stop = sizes
    marks = scene.marks
    return [
        (_edge(marks, 4), f"sewn {ends} at each end"),
        ("", f"tacked {tack} between"),
        (
            f"{marks.thin[1]}{marks.apart[1] * 5}[=]{marks.apart[1] * (LONG - 10)}{marks.thin[1]}",
            f"zip {cut}, slider in",
        ),
        ("", f"opening {_size(scene, 'zip_opening')}"),
        ("", f"marked {stop} from its ends"),
    ]


def _envelope(scene: Scene) -> Drawn:
    if (sizes := _all(scene, "envelope_length", "envelope_width")) is None:
        return []
    flat, up, corners = scene.marks.thin[0], scene.marks.thin[1], scene.marks.thin[2:]
    first, second = corners[0] + flat * 11 + corners[2], corners[6] + flat * 11 + corners[8]
    return [
        (first, "1 the under panel first"),
        (f"{up}     1     {up}{flat * 4}{corners[2]}", f"{sizes[0]} long, {sizes[1]} wide"),
        (f"{second}  2 {up}", "2 laid last: it shows"),
        (f"     {corners[6]}{flat * 11}{corners[8]}", "the opening across"),
    ]


def _seam(scene: Scene) -> Drawn:
    if (sizes := _all(scene, "seam", "free_end")) is None:
        return []
    marks = scene.marks
    edge = marks.thin[0] * LONG
    return [
        (edge, "both edges up"),
        ("  " + marks.sewn * (LONG - 4), f"{sizes[0]} from the edge"),
        ("", f"{sizes[1]} unsewn at each end"),
    ]


def _snips(scene: Scene) -> Drawn:
    if (sizes := _all(scene, "cut_depth", "snip_every")) is None:
        return []
    marks = scene.marks
    cuts = (f"{marks.thin[1]} " * LONG)[:LONG]
    return [
        (cuts, f"{sizes[0]} deep"),
        (cuts, f"{sizes[1]} apart, by eye"),
        (marks.sewn * LONG, "to the stitching, no further"),
    ]


def _corner(scene: Scene) -> Drawn:
    if (sizes := _all(scene, "cut_depth", "corner_slit")) is None:
        return []
    marks = scene.marks
    up, turned = marks.thin[1], marks.double
    return [
        (f"{up} {up} {up} {up}   /", f"a slit, to {sizes[1]} of the turn"),
        (f"{turned[0] * 9}{turned[3]}", f"snips {sizes[0]} deep"),
        (f"         {turned[1]} {marks.thin[0]}", "along every edge"),
    ]


def _outer(scene: Scene) -> Drawn:
    if (sizes := _all(scene, "seam", "outer_seam")) is None:
        return []
    flat, up, corners = scene.marks.thin[0], scene.marks.thin[1], scene.marks.thin[2:]
    line, side, turns = scene.marks.double[0], scene.marks.double[1], scene.marks.double[2:]
    return [
        (corners[0] + flat * (LONG - 2) + corners[2], "the edges stay outside"),
        (f"{up} {turns[0]}{line * (LONG - 6)}{turns[1]} {up}", f"{sizes[0]} from the edge"),
        (f"{up} {side}{' ' * (LONG - 6)}{side} {up}", f"{sizes[1]} in all"),
        (f"{up} {turns[2]}{line * (LONG - 6)}{turns[3]} {up}", "needle down at each turn"),
        (corners[6] + flat * (LONG - 2) + corners[8], ""),
    ]


def _pressed(scene: Scene) -> Drawn:
    left, right = scene.marks.left, scene.marks.right
    return [
        (f"{right} {right} {right} {right}", "first row: to the right"),
        (f"{left} {left} {left} {left}", "next row: to the left"),
        ("", "so that they nest"),
    ]


_SKETCHES: dict[str, Callable[[Scene], Drawn]] = {
    "zip": _zip, "envelope": _envelope, "seam": _seam, "snips": _snips, "snips_outer": _corner, "outer": _outer,
    "press": _pressed,
}  # fmt: skip
