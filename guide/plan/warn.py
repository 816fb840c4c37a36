"""What will work but may disappoint: said beside the plan, never refused."""

from collections.abc import Mapping

from guide.plan.model import Layout, Quantity, Warned
from guide.read.lengths import INCH, show_length
from guide.read.model import Project
from guide.read.spoken import said

# A domestic machine's feed and needle bar begin to labour at about this many layers of cotton [practice].
LAYERS_A_HOME_MACHINE_LABOURS_AT = 16
# Cloths that shrink this much unlike each other pucker when washed together [practice].
SHRINK_APART = 0.03


def warnings_of(
    project: Project, quantities: Mapping[str, Quantity], layout: Layout | None, backing: Layout | None
) -> tuple[Warned, ...]:
    """List what a maker should know before starting."""
    out: list[Warned] = []
    for panel, name in ((layout, "layout"), (backing, "backing")):
        if panel is not None and (panel.front_matches or panel.back_matches or panel.reason):
            out.append(Warned(name, _met(panel)))
    out += [*_opening(project, quantities), *_layers(quantities), *_shrinkage(project), *_fits(project)]
    return tuple(out)


def _met(panel: Layout) -> str:
    met = panel.front_matches + panel.back_matches
    told = f"a print meets itself {met} time{'' if met == 1 else 's'}" if met else "the faces are clear"
    return f"{told}: {panel.reason}" if panel.reason else told


def _value(name: str, quantities: Mapping[str, Quantity]) -> float | None:
    quantity = quantities.get(name)
    return quantity.value if quantity is not None and isinstance(quantity.value, float) else None


def _opening(project: Project, quantities: Mapping[str, Quantity]) -> list[Warned]:
    """An opening should be at least 3/4 of the pad's side [practice]."""
    opening = _value("zip_opening", quantities)
    side = _value("pad_width" if quantities["zip_along"].value == "row" else "pad_height", quantities)
    if opening is None or side is None or opening >= 0.75 * side * (1 - 1e-9):
        return []
    shown, wanted = (show_length(mm, project.units) for mm in (opening, 0.75 * side))
    told = f"an opening of {shown} is tight for the pad; {wanted} or more goes in easily"
    return [Warned("zip_opening", said(told, project.words))]


def _layers(quantities: Mapping[str, Quantity]) -> list[Warned]:
    out = []
    for name, where in (("layers_crossing", "where seams cross"), ("layers_outer_worst", "on the outer seam")):
        layers = _value(name, quantities)
        if layers is not None and layers >= LAYERS_A_HOME_MACHINE_LABOURS_AT:
            out.append(
                Warned(
                    name,
                    f"{layers:.0f} layers {where}: turn the wheel by hand there, needle 100/16, longer stitch, "
                    "less foot pressure",
                )
            )
    return out


def _shrinkage(project: Project) -> list[Warned]:
    out = []
    for along in ("length", "width"):
        each = [(getattr(p, f"shrinks_{along}"), p.name) for p in project.prints]
        if each and max(each)[0] - min(each)[0] >= SHRINK_APART:
            out.append(
                Warned(
                    f"shrink_{along}",
                    f"{max(each)[1]} shrinks {max(each)[0]:.1%} in {along} and {min(each)[1]} {min(each)[0]:.1%}; "
                    "3 % apart or more puckers, so wash them all before cutting",
                )
            )
    return out


def _fits(project: Project) -> list[Warned]:
    square = project.given["square"].value
    if project.for_whom == "infant":
        told = (
            "no quilt, pillow or cushion in the sleep space of a child under one; pull-test and trim fringe, no "
            "buttons, beads or loose pulls; check the rules where you are"
        )
        return [Warned("for", said(told, project.words))]
    if isinstance(square, float) and square < 3 * INCH:
        least = show_length(3 * INCH, project.units)
        return [Warned("square", f"squares under {least} are slow to stack and hard to snip")]
    return []
