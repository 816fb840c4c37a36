"""What cutting must cut: squares by print, wadding, and the stages' own parts; and by which letter a print goes."""

from collections import Counter
from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any

import msgspec

from guide.errors import NeedsMending
from guide.plan.cutting.strips import Bolt
from guide.plan.model import Cutting, Layout, Part
from guide.read.check import Language
from guide.read.formula import FormulaError, Value, compile_formula
from guide.read.kinds import cloth_of
from guide.read.model import PartSpec, Project, Stage, did_you_mean, grouped, one_of
from guide.read.spoken import listed
from guide.read.units import INCH, Ruler

WADDING = "wadding"
LEAST_MM, MOST_PIECES = 1.0, 10_000  # beyond cloth, and beyond any table


def ruler_of(project: Project) -> Ruler:
    """How lengths of a project are told where a ruler is set to them."""
    square = project.given.get("square")
    if square is None or not isinstance(square.value, float):
        return Ruler(project.units)
    return Ruler(project.units, square.value, square.written)


def parts_of(project: Project, language: Language, at: Mapping[str, Value], squares: Mapping[str, int]) -> list[Part]:
    """List the parts of every material, all makes; ready-cut squares are taken off. Sizes in mm."""
    size = at["square"]
    assert isinstance(size, float)
    out: list[Part] = []
    for cloth in project.prints:
        count = squares.get(cloth.name, 0) - cloth.ready_squares
        if count > 0:
            out.append(Part("square", cloth.name, size, size, count, cloth.one_way))
    wadding, pieces = at.get("wadding_size"), at.get("wadding_squares")
    if project.wadding and isinstance(wadding, float) and isinstance(pieces, float) and pieces > 0:
        out.append(Part("wadding square", WADDING, wadding, wadding, round(pieces)))
    # Parts are those of stages that the project names, though the sums of all are worked out.
    for stage in language.stages:
        if stage.name in project.stages and holds(stage.when, at):
            own = [part for spec in stage.parts if (part := _own(spec, project, at)) is not None]
            _reasonable(stage, own)
            out += own
    return out


def _reasonable(stage: Stage, parts: list[Part]) -> None:
    """Refuse more pieces than anyone cuts, before any time is spent on laying them out.

    Raises NeedsMending for more.
    """
    count = sum(part.count for part in parts)
    if count > MOST_PIECES:
        place = stage.parts[0].place
        raise NeedsMending(
            f"{place}: the parts of the {stage.name} stage come to {count:,} pieces; check their counts, "
            f"at most {MOST_PIECES:,} can be cut"
        )


def holds(formula: object, at: Mapping[str, Value]) -> bool:
    """Whether a `when` holds; one that does not apply does not hold."""
    text = getattr(formula, "text", None)
    return True if text is None else bool(compile_formula(text).run(at))


def number(text: str, at: Mapping[str, Value], where: object) -> float | None:
    """Work out a formula of a step or part. Raises NeedsMending with its place."""
    try:
        value = compile_formula(text).run(at)
    except FormulaError as error:
        raise NeedsMending(f"{where}: {text} cannot be worked out for this project: {error.message}") from None
    return float(value) if isinstance(value, int | float) else None


def _own(spec: PartSpec, project: Project, at: Mapping[str, Value]) -> Part | None:
    """Work out a part; None where there is none of it. Raises NeedsMending when it comes to nothing."""
    if not holds(spec.when, at):
        return None
    width, height, count = (number(f.text, at, f.place) for f in (spec.width, spec.height, spec.count))
    if width is None or height is None or count is None or count < 0.5:
        return None
    if min(width, height) < LEAST_MM:
        raise NeedsMending(f"{spec.place}: the part {spec.name} comes to nothing; check its width and height")
    material = _material(spec, project)
    one_way = any(p.name == material and p.one_way for p in project.prints)
    return Part(spec.name, material, width, height, round(count), one_way)


def _material(spec: PartSpec, project: Project) -> str:
    """Name what a part is cut from. Raises NeedsMending for a cloth the project does not have."""
    names = [p.name for p in project.prints]
    words = {"first": names[0], "back": project.back_cloth or names[0], WADDING: WADDING}
    if spec.cloth in words:
        return words[spec.cloth]
    if spec.cloth in names:
        return spec.cloth
    raise NeedsMending(
        f"{spec.place}: the part {spec.name} is cut from {spec.cloth}, which this project does not have"
        f"{did_you_mean(spec.cloth, names)}; write first, back, wadding, or {one_of(names)}"
    )


def letter(place: int) -> str:
    """Give the letter of a 0-based place: A to Z, then AA, AB, as a spreadsheet's columns do."""
    more, last = divmod(place, 26)
    return (letter(more - 1) if more else "") + chr(ord("A") + last)


def letters(project: Project) -> dict[str, str]:
    """Give each print's letter by its name, in the project's order."""
    return {one.name: letter(place) for place, one in enumerate(project.prints)}


# The bolts of a project: each cloth as it is sold, and what is left of it on the table once it is washed.
#
# Also what it weighs as it is bought, and what goes into the washer together.


def nth_load(nth: int, of: int) -> str:
    """Name a load where there are several."""
    return f"load {nth} of {of}" if of > 1 else ""


def bought_weights(project: Project, cutting: Sequence[Cutting]) -> dict[str, float]:
    """Give what each cloth to be washed first weighs dry, g, whole width by the length bought; 0 where none is."""
    bought = {one.material: one.buy_mm for one in cutting}
    out = {}
    for cloth in project.prints if project.washed_first else ():
        bolt = bolt_of(project, cloth.name) if washed_first(project, cloth.name) else None
        area = bought.get(cloth.name, 0.0) * bolt.width_mm / 1e6 if bolt else 0.0
        out[cloth.name] = area * cloth_of(cloth).weight
    return out


def cloth_loads(project: Project, cutting: Sequence[Cutting], at: Mapping[str, Value]) -> list[dict[str, Any]]:
    """Build the table of loads of cloth: heaviest first, each into the first load it fits in (first fit decreasing).

    One cloth over a load has one of its own, and is warned of. The names stand in the project's order.
    """
    weights, most = bought_weights(project, cutting), at.get("washer_load")
    holds = most if isinstance(most, float) and most > 0 else float("inf")
    loads: list[list[str]] = []
    for name in sorted(weights, key=lambda one: -weights[one]):
        fits = (one for one in loads if sum(weights[n] for n in [*one, name]) <= holds * (1 + 1e-9))
        if (load := next(fits, None)) is None:
            loads.append(load := [])
        load.append(name)
    return [
        {
            "load": nth_load(nth, len(loads)),
            "number": nth,
            "of": len(loads),
            "cloths": len(load),
            "names": listed([name for name in weights if name in load]),
            "weighs": sum(weights[name] for name in load),
        }
        for nth, load in enumerate(loads, 1)
    ]


# Cut off along a thread: a bolt's end, and one side and one end of a piece on hand [practice].
STRAIGHTEN_MM = {"inch": INCH, "metric": 25.0}
TRIM_MM = {"inch": INCH / 2, "metric": 10.0}


def washed_first(project: Project, material: str) -> bool:
    """Tell whether a material is washed before it is cut: all cloth or none, and wadding never."""
    return project.washed_first and material != WADDING


def bolt_of(project: Project, material: str) -> Bolt | None:
    """Give what a material is cut from; None when nothing of it can be bought."""
    if material == WADDING:
        given = project.given.get("wadding_width")
        return Bolt(given.value if given is not None and isinstance(given.value, float) else 0.0)
    cloth = next((one for one in project.prints if one.name == material), None)
    if cloth is None or not cloth.width:
        return None
    washed = (cloth.shrinks_width, cloth.shrinks_length) if washed_first(project, material) else ()
    return Bolt(cloth.width, cloth.selvedge, *washed)


def sold_mm(project: Project, material: str, laid_mm: float) -> float:
    """Give the length off the bolt that comes to `laid_mm` on the table; the same where no bolt is known."""
    bolt = bolt_of(project, material)
    return bolt.sold(laid_mm) if bolt else laid_mm


# Say which stacks are laid, in which order, how many of each and for which places; and how high each pile is.

At = tuple[int, int]  # row and column of the front, from 1
EACH = 4  # places that are named one by one; more are gathered row by row


class Stack(msgspec.Struct, frozen=True):
    """Blocks with one and the same stack. `laid`: its prints as they are laid down, the front last, on top.

    `count` is of all makes, `places` of one.
    """

    laid: tuple[str, ...]
    letters: str
    count: int
    places: tuple[At, ...]
    places_text: str


class Pile(msgspec.Struct, frozen=True):
    """How many squares of a print are needed in all makes: for the stacks, and for a patchwork back."""

    print: str
    letter: str
    stacks: int
    back: int
    total: int


class StackMap(msgspec.Struct, frozen=True):
    """Every stack of a panel, those that begin from one pile together; `below`: squares laid before the wadding."""

    stacks: tuple[Stack, ...]
    piles: tuple[Pile, ...]
    below: int
    wadding: bool


def stack_map(project: Project, layout: Layout | None, backing: Layout | None) -> StackMap | None:
    """Count equal stacks together, in the order of the piles they are laid from; None where nothing is laid."""
    if layout is None:
        return None
    named, make = letters(project), max(1, project.make)
    rank = {name: place for place, name in enumerate(named)}
    places: dict[tuple[str, ...], list[At]] = {}
    for block in layout.blocks:
        places.setdefault(block.stack[::-1], []).append((block.row, block.column))
    stacks = tuple(
        Stack(laid, " ".join(named[name] for name in laid), len(at) * make, tuple(at), places_text(at))
        for laid, at in sorted(places.items(), key=lambda one: [rank[name] for name in one[0]])
    )
    return StackMap(stacks, piles(project, layout, backing), project.below, project.wadding)


def piles(project: Project, layout: Layout | None, backing: Layout | None) -> tuple[Pile, ...]:
    """How many squares of each print the stacks and the back take, those that take none left out."""
    make = max(1, project.make)
    stacks, back = (
        Counter(name for block in (laid.blocks if laid else ()) for name in block.stack) for laid in (layout, backing)
    )
    return tuple(
        Pile(name, letter, stacks[name] * make, back[name] * make, (stacks[name] + back[name]) * make)
        for name, letter in letters(project).items()
        if stacks[name] + back[name]
    )


def places_text(places: list[At]) -> str:
    """Say places one by one, or row by row where they are many."""
    if len(places) <= EACH:
        return ", ".join(f"row {row} column {column}" for row, column in places)
    return "; ".join(
        f"row {row} column{'s' if len(mine) > 1 else ''} {', '.join(str(column) for _, column in mine)}"
        for row, mine in grouped(places, itemgetter(0)).items()
    )


MOST_LETTERS = 26


def own_colours(project: Project) -> dict[str, str]:
    """Give the colours a project writes for its prints, by letter; none where two prints share their last letter."""
    signs = letters(project)
    return {signs[one.name]: one.colour for one in project.prints if one.colour and len(signs) <= MOST_LETTERS}
