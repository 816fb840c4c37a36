"""What is said beside the plan: what may disappoint; needle, stitch and pressure, with reason and source."""

from collections.abc import Iterator, Sequence

from guide.plan.graph import SMALLEST_MM
from guide.plan.layout.faces import said_of
from guide.plan.model import Advice, Cutting, Layout, Quantities, Warned, number
from guide.plan.parts import bought_weights
from guide.read.kinds import cloth_of, unlike
from guide.read.model import Project
from guide.read.spoken import percent, said
from guide.read.units import INCH, show_length, told_apart

# A foot lifts 6 to 8 mm: more than the least of it does not go under [practice].
FOOT_LIFTS_MM = 6.0
# Cloths that shrink this much unlike each other pucker when washed together [practice].
SHRINK_APART = 0.03
# So large may squares be that nothing holds but their own cling [practice].
CLINGS_MM = {"inch": 6 * INCH, "metric": 150.0}


def warnings_of(
    project: Project, quantities: Quantities, panels: tuple[Layout | None, Layout | None], cutting: Sequence[Cutting]
) -> tuple[Warned, ...]:
    """List what a maker should know before starting. `panels` are the front and a patchwork back."""
    out: list[Warned] = []
    faces = 2 if project.back == "none" else 1  # a cushion's panel shows one face
    for panel, name in zip(panels, ("layout", "backing"), strict=True):
        if panel is not None and (said := said_of(panel, faces, patchwork_back=name == "backing")):
            out.append(Warned(name, said))
    out += [*_opening(project, quantities), *_thick(project, quantities, panels[0]), *_too_long(project, quantities)]
    out += [Warned(name, told) for name, told in unlike(project.prints)] + _too_heavy(quantities)
    out += _unmeasured(project, cutting) if project.washed_first else [*_not_given(project), *_apart(project)]
    out += [*_inside(project), *_over_a_load(project, quantities, cutting)]
    return (*out, *_held(project), *_fits(project))


def _opening(project: Project, quantities: Quantities) -> Iterator[Warned]:
    """An opening should be at least 3/4 of the pad's side [practice]."""
    opening = number(quantities, "zip_opening")
    side = number(quantities, "pad_width" if quantities["zip_along"].value == "row" else "pad_height")
    if opening is not None and side is not None and opening < 0.75 * side * (1 - 1e-9):
        shown, wanted = told_apart(project.units, opening, 0.75 * side)
        told = f"an opening of {shown} is tight for the pad; {wanted} or more goes in easily"
        yield Warned("zip_opening", said(told, project.words))


def _too_long(project: Project, quantities: Quantities) -> Iterator[Warned]:
    """A stitch that the machine in use cannot sew, whoever asks for it."""
    longest = number(quantities, "longest_stitch")
    for name, what in (("stitch_length", "a stitch"), ("tack_length", "tacking")):
        wanted = number(quantities, name)
        if longest is not None and wanted is not None and wanted > longest + 1e-9:
            shown, most = told_apart(project.units, wanted, longest)
            yield Warned(name, f"{what} of {shown} is longer than your machine's longest, {most}: it sews that")


def _thick(project: Project, quantities: Quantities, panel: Layout | None) -> Iterator[Warned]:
    """What does not go under a foot, by its thickness squeezed: a crossing by the squares that meet in it."""
    one = number(quantities, "cloth_thickness") or 0.0
    for name, where in (("layers_crossing", "where seams cross"), ("layers_outer_worst", "on the outer seam")):
        layers = number(quantities, name)
        thick = (layers or 0.0) * one
        if layers and name == "layers_crossing" and panel is not None:
            thick = max(thick, _thickest_crossing(project, panel, one))
        if layers and thick > FOOT_LIFTS_MM + 1e-9:
            told = (
                f"{thick:.1f} mm {where}, {layers:.0f} layers squeezed: a foot lifts 6 to 8 mm (common practice). Part "
                "the flaps, turn the wheel by hand, needle 100/16 or more, longer stitch, less foot pressure; or a "
                "layer less"
            )
            yield Warned(name, told)


def _thickest_crossing(project: Project, panel: Layout, usual: float) -> float:
    """Give the thickest crossing, mm: all squares of the four blocks that meet there, their flaps opened flat."""
    each = {p.name: cloth_of(p).thickness if p.kind.name or p.thickness is not None else usual for p in project.prints}
    stack = {(block.row, block.column): sum(each[name] for name in block.stack) for block in panel.blocks}
    crossings = ((r, c) for r, c in stack if r < panel.down and c < panel.across)
    return max((sum(stack[r + i, c + j] for i in (0, 1) for j in (0, 1)) for r, c in crossings), default=0.0)


def _too_heavy(quantities: Quantities) -> list[Warned]:
    """One article that is more than the washer takes: the first wash, which sheds, or any."""
    weight = number(quantities, "weight_each")
    for name, which in (("washer_load", "a load"), ("first_wash_load", "a first load, which sheds")):
        most = number(quantities, name)
        if weight is not None and most is not None and weight > most * (1 + 1e-9):
            told = f"one weighs about {weight / 1000:.1f} kg dry and the washer takes {most / 1000:g} kg of {which}"
            return [Warned(name, f"{told}: wash it elsewhere, in a larger machine (weights are estimates)")]
    return []


# What is planned without a figure for it, by the way of the cloth.
NOT_WRITTEN = {
    "length": "the length to buy leaves nothing for shrinking",
    "width": "the strips are planned over the width as sold",
}


def _unmeasured(project: Project, cutting: Sequence[Cutting]) -> list[Warned]:
    """Cloth that is bought to be washed first, and of which nobody has written what washing takes."""
    bought = {one.material for one in cutting if one.use_mm > 0}
    lacking: dict[tuple[str, ...], list[str]] = {}
    for cloth in project.prints:
        ways = tuple(way for way in NOT_WRITTEN if way not in cloth.shrinks_known)
        if ways and cloth.name in bought:
            lacking.setdefault(ways, []).append(cloth.name)
    return [
        Warned(
            "washed_first",
            f"{', '.join(names)}: nothing says what washing takes in {' and '.join(ways)}, so "
            f"{' and '.join(NOT_WRITTEN[way] for way in ways)}; measure a washed swatch and write shrinks, or buy more",
        )
        for ways, names in lacking.items()
    ]


def _not_given(project: Project) -> Iterator[Warned]:
    """Cloth that is washed only once it is sewn, and nobody wrote by how much it shrinks."""
    lacking = [cloth.name for cloth in project.prints if not cloth.shrinks_known]
    if lacking:
        of = "" if len(lacking) == len(project.prints) else f" for {', '.join(lacking)}"
        yield Warned("shrinks", f"no shrinkage given{of}: expect it smaller after washing")


def _apart(project: Project) -> Iterator[Warned]:
    """Cloth that is washed only once it is sewn, and shrinks unlike its neighbours."""
    for along in ("length", "width"):
        each = sorted((getattr(p, f"shrinks_{along}"), p.name) for p in project.prints)
        if each and each[-1][0] - each[0][0] >= SHRINK_APART:
            (least, one), (most, other) = each[0], each[-1]
            told = f"{other} shrinks {percent(most, 1)} in {along} and {one} {percent(least, 1)}"
            mend = "3 % apart or more puckers, so wash them all before cutting and write washed_first: true"
            yield Warned(f"shrink_{along}", f"{told}; {mend}")


def _inside(project: Project) -> list[Warned]:
    """What lies inside and shrinks unlike the cloth over it: blocks pucker, whichever of the two it is."""
    kind = project.wadding_kind
    known = [cloth for cloth in project.prints if cloth.shrinks_known]
    if not (project.wadding and kind.name and known):
        return []
    ways = [(along, f"shrinks_{along}", cloth) for along in ("length", "width") for cloth in known]
    apart = [
        (0.0 if project.washed_first else getattr(cloth, way), getattr(kind, way), along, cloth.name)
        for along, way, cloth in ways
    ]
    taken, mine, along, name = max(apart, key=lambda one: abs(one[0] - one[1]))
    if abs(taken - mine) < SHRINK_APART - 1e-9:
        return []
    other = "washed cloth no more" if project.washed_first else f"{name} {percent(taken, 1)}"
    told = f"{said('wadding', project.words)} of {kind.name} shrinks {percent(mine, 1)} in {along} and {other}"
    return [Warned("inside_shrinks", f"{told}: 3 % apart or more puckers the blocks (common practice)")]


def _over_a_load(project: Project, quantities: Quantities, cutting: Sequence[Cutting]) -> list[Warned]:
    """A length of cloth to be washed first that is more than the washer takes."""
    most = number(quantities, "washer_load")
    return [
        Warned(
            "cloth_load",
            f"{name} weighs about {weight / 1000:.1f} kg dry and the washer takes {most / 1000:g} kg of a load: wash "
            "it elsewhere, in a larger machine, or buy it in lengths (weights are estimates)",
        )
        for name, weight in bought_weights(project, cutting).items()
        if most is not None and weight > most * (1 + 1e-9)
    ]


def _held(project: Project) -> list[Warned]:
    """Cotton clings to cotton over so much; where squares are larger, layers that nothing holds creep [practice]."""
    held, square = project.given.get("hold_with"), project.given["square"].value
    most = CLINGS_MM[project.units]
    if held is None or held.value != "nothing" or not isinstance(square, float):
        return []
    slip = [cloth.name for cloth in project.prints if cloth.kind.slips]
    if square > most * (1 + 1e-9):
        told = f"squares over {show_length(most, project.units)} creep under the foot when nothing holds them"
    elif slip:
        told = f"{', '.join(slip)}: cloth that slips creeps under the foot when nothing holds it"
    else:
        return []
    return [Warned("hold_with", f"{told} (common practice); write hold_with: glue, pins or tacking")]


def _fits(project: Project) -> Iterator[Warned]:
    square = project.given["square"].value
    if project.for_whom != "anyone":
        told = (
            "no buttons, beads or loose pulls for a child under three; pull-test and trim fringe; check the rules "
            "where you are"
        )
        if project.back == "none":
            told = f"a quilt for a child is for floor or lap; {told}"
        if project.for_whom == "infant":
            told = f"no quilt, pillow or cushion in the sleep space of a child under one; no ties or cords; {told}"
        yield Warned("for", said(told, project.words))
    if isinstance(square, float) and square < SMALLEST_MM[project.units]:
        least = show_length(SMALLEST_MM[project.units], project.units)
        yield Warned("square", f"squares under {least} are slow to stack and hard to snip")


PRACTICE = "common practice"
# (place, what its layers' and its needle's name end with, as `guide why` tells them, and the count of such seams, where
# an article may have none).
PLACES = (
    ("quilting", "quilting", "quilt_lines"),
    ("raw-edge seams", "raw_seam", "runs_raw"),
    ("where seams cross", "crossing", "crossings"),
    ("outer seam", "outer", ""),
    ("outer seam at worst", "outer_worst", ""),
    ("seams of the back", "back", "runs_back"),
    ("zip or hems", "opening", "runs_opening"),
)
# Blocks of several layers, and seams that join them, are fed by the walking foot: their steps say so too [practice].
WALKED = {"quilting", "raw-edge seams", "where seams cross", "outer seam", "outer seam at worst"}
# Five layers or more ask for help at the foot; from 4 mm squeezed, sixteen of quilting cotton, a domestic machine
# labours [practice].
MANY, TOO_THICK_MM = 5, 4.0


def advice_of(project: Project, quantities: Quantities) -> Iterator[Advice]:
    """Advise for each kind of place this article has."""
    normal = show_length(number(quantities, "stitch_length") or 0.0, project.units)
    longest = number(quantities, "longest_stitch")
    longer = f"{normal} or longer" + ("" if longest is None else f", up to {show_length(longest, project.units)}")
    for place, name, counts in PLACES:
        layers, needle = number(quantities, f"layers_{name}"), number(quantities, f"needle_{name}")
        if layers is None or needle is None or (counts and not number(quantities, counts)):
            continue
        yield Advice(
            place=place,
            layers=round(layers),
            needle=f"{needle:.0f}/{needle_size(needle):.0f}",
            stitch=normal if layers < MANY else longer,
            pressure=_foot(place, layers, quantities),
            why=_why(layers, layers * (number(quantities, "cloth_thickness") or 0.0)),
            source=PRACTICE,
        )


def needle_size(metric: float) -> float:
    """Give a needle's size from its metric number, below size 19: Nm = 60 + 5·(size - 8).

    The metric number is the blade's diameter in 1/100 mm (a teaching text, second hand).
    """
    return 8 + (metric - 60) / 5


def _foot(place: str, layers: float, quantities: Quantities) -> str:
    """Name foot and pressure, in your machine's own numbers where they are known.

    Beside a zip's teeth the needle is moved over, and strikes any wider foot.
    """
    walking = "usual foot" if quantities["lacks_walking_foot"].value else "walking foot"
    usual, thick = number(quantities, "foot_pressure"), number(quantities, "foot_pressure_thick")
    at_usual = "" if usual is None else f", pressure {usual:g}"
    if place == "zip or hems" and quantities["closure"].value == "zip":
        foot = "usual foot" if quantities["lacks_zip_foot"].value else "zip foot"
        left, right = number(quantities, "needle_left"), number(quantities, "needle_right")
        return foot if left is None or right is None else f"{foot}, needle at {left:g} or {right:g}"
    if layers >= MANY:
        return f"{walking}, pressed lighter" if thick is None else f"{walking}, pressure {thick:g}"
    return f"{walking if place in WALKED else 'any foot'}{at_usual}"


def _why(layers: float, thick_mm: float) -> str:
    if thick_mm >= TOO_THICK_MM - 1e-9:
        return "a domestic machine labours here: flatten or part the flaps, turn the wheel by hand"
    if layers >= MANY:
        return "a thin needle bends in so many layers, and a heavy foot drags the top one"
    return "an ordinary seam"
