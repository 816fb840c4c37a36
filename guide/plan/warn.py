"""What will work but may disappoint: said beside the plan, never refused."""

from collections.abc import Mapping, Sequence

from guide.plan.backwards import SMALLEST_MM
from guide.plan.layout.faces import said_of
from guide.plan.model import Cutting, Layout, Quantity, Warned, number
from guide.read.lengths import show_length, told_apart
from guide.read.model import Project
from guide.read.spoken import said

# A domestic machine's feed and needle bar begin to labour at about this many layers of cotton [practice].
LAYERS_A_HOME_MACHINE_LABOURS_AT = 16
# Cloths that shrink this much unlike each other pucker when washed together [practice].
SHRINK_APART = 0.03


def warnings_of(
    project: Project,
    quantities: Mapping[str, Quantity],
    panels: tuple[Layout | None, Layout | None],
    cutting: Sequence[Cutting],
) -> tuple[Warned, ...]:
    """List what a maker should know before starting. `panels` are the front and a patchwork back."""
    out: list[Warned] = []
    faces = 2 if project.back == "none" else 1  # a cushion's panel shows one face
    for panel, name in zip(panels, ("layout", "backing"), strict=True):
        if panel is not None and (said := said_of(panel, faces, patchwork_back=name == "backing")):
            out.append(Warned(name, said))
    out += [*_opening(project, quantities), *_layers(quantities)]
    out += _unmeasured(project, cutting) if project.washed_first else [*_not_given(project), *_apart(project)]
    return (*out, *_fits(project))


def _opening(project: Project, quantities: Mapping[str, Quantity]) -> list[Warned]:
    """An opening should be at least 3/4 of the pad's side [practice]."""
    opening = number(quantities, "zip_opening")
    side = number(quantities, "pad_width" if quantities["zip_along"].value == "row" else "pad_height")
    if opening is None or side is None or opening >= 0.75 * side * (1 - 1e-9):
        return []
    shown, wanted = told_apart(project.units, opening, 0.75 * side)
    told = f"an opening of {shown} is tight for the pad; {wanted} or more goes in easily"
    return [Warned("zip_opening", said(told, project.words))]


def _layers(quantities: Mapping[str, Quantity]) -> list[Warned]:
    out = []
    for name, where in (("layers_crossing", "where seams cross"), ("layers_outer_worst", "on the outer seam")):
        layers = number(quantities, name)
        if layers is not None and layers >= LAYERS_A_HOME_MACHINE_LABOURS_AT:
            out.append(
                Warned(
                    name,
                    f"{layers:.0f} layers {where}: turn the wheel by hand there, needle 100/16, longer stitch, "
                    "less foot pressure",
                )
            )
    return out


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


def _not_given(project: Project) -> list[Warned]:
    """Cloth that is washed only once it is sewn, and nobody wrote by how much it shrinks."""
    lacking = [cloth.name for cloth in project.prints if not cloth.shrinks_known]
    if not lacking:
        return []
    of = "" if len(lacking) == len(project.prints) else f" for {', '.join(lacking)}"
    return [Warned("shrinks", f"no shrinkage given{of}: expect it smaller after washing")]


def _apart(project: Project) -> list[Warned]:
    """Cloth that is washed only once it is sewn, and shrinks unlike its neighbours."""
    out = []
    for along in ("length", "width"):
        each = [(getattr(p, f"shrinks_{along}"), p.name) for p in project.prints]
        if each and max(each)[0] - min(each)[0] >= SHRINK_APART:
            out.append(
                Warned(
                    f"shrink_{along}",
                    f"{max(each)[1]} shrinks {max(each)[0]:.1%} in {along} and {min(each)[1]} {min(each)[0]:.1%}; "
                    "3 % apart or more puckers, so wash them all before cutting and write washed_first: true",
                )
            )
    return out


def _fits(project: Project) -> list[Warned]:
    out = []
    square = project.given["square"].value
    if project.for_whom == "infant":
        told = (
            "no quilt, pillow or cushion in the sleep space of a child under one; pull-test and trim fringe, no "
            "buttons, beads or loose pulls; check the rules where you are"
        )
        out.append(Warned("for", said(told, project.words)))
    if isinstance(square, float) and square < SMALLEST_MM[project.units]:
        least = show_length(SMALLEST_MM[project.units], project.units)
        out.append(Warned("square", f"squares under {least} are slow to stack and hard to snip"))
    return out
