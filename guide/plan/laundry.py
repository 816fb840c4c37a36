"""The bolts of a project: each cloth as it is sold, and what is left of it on the table once it is washed.

Also what it weighs as it is bought, and what goes into the washer together.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from guide.plan.cutting import Bolt
from guide.plan.model import Cutting
from guide.plan.parts import WADDING
from guide.read.formula import Value
from guide.read.kinds import cloth_of
from guide.read.model import Project
from guide.read.spoken import listed
from guide.read.units import INCH


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
        if (load := next(fits, None)) is not None:
            load.append(name)
        else:
            loads.append([name])
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
