"""Cloth that is washed before it is cut: what it weighs as it is bought, and what goes into the washer together."""

from collections.abc import Mapping, Sequence
from typing import Any

from guide.plan.bolts import bolt_of, washed_first
from guide.plan.model import Cutting
from guide.read.cloth_kinds import cloth_of
from guide.read.formula import Value
from guide.read.model import Project


def nth_load(nth: int, of: int) -> str:
    """Name a load where there are several."""
    return f"load {nth} of {of}" if of > 1 else ""


def bought_weights(project: Project, cutting: Sequence[Cutting]) -> dict[str, float]:
    """Give what each cloth to be washed first weighs dry, g, whole width by the length bought; 0 where none is."""
    bought = {one.material: one.buy_mm for one in cutting if one.use_mm > 0}
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
            "names": " and ".join(name for name in weights if name in load),
            "weighs": sum(weights[name] for name in load),
        }
        for nth, load in enumerate(loads, 1)
    ]
