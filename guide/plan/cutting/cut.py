"""How one material is cut: pieces on hand first, then the shortest length from the bolt."""

from collections.abc import Sequence
from math import ceil

from guide.plan.cutting import refusals
from guide.plan.cutting.bolt import shortest_from_bolt
from guide.plan.cutting.count import count_cuts, count_settings
from guide.plan.cutting.on_hand import from_on_hand
from guide.plan.cutting.pieces import (
    Bolt,
    Kind,
    Strip,
    Used,
    kinds_of,
    length_of,
    part_units,
    parted,
    space_units,
    straightened,
    to_mm,
)
from guide.plan.cutting.placing import left_over, place
from guide.plan.model import Cutting, Part
from guide.read.lengths import INCHES, Ruler
from guide.read.model import Remnant

EFFORT = 800  # strips tried for one material


def cut(
    material: str,
    parts: Sequence[Part],
    bolt: Bolt | None,
    remnants: Sequence[Remnant] = (),
    *,
    straighten_mm: float = 0.0,
    trim_mm: float = 0.0,
    buy_step_mm: float = 114.3,
    ruler: Ruler = INCHES,
    seed: int = 0,
    effort: int = EFFORT,
) -> Cutting:
    """Plan the cutting of every part of one material, edge to edge, along the grain.

    Lengths mm. `bolt` is None when there is only what is on hand. Squares of one size from a bolt come in the fewest
    strips there can be. Sizes are of the cloth as it lies on the table: `use_mm` is the bought length used,
    straightening included, `bound_mm` the area of what is cut from the bolt over its usable width. Only `buy_mm` is as
    sold: what gives `use_mm` on the table, in whole `buy_step_mm`. A refusal is told as by the
    `ruler`. About `effort` strips are tried; one `seed`, one plan. Raises CannotCut.
    """
    kinds = kinds_of(parts)
    counts = [sum(part.count for part in same) for same in kinds.values()]
    refusals.check_sizes(material, kinds, bolt, [straightened(one, trim_mm) for one in remnants], ruler)
    listed = list(kinds)
    used, wanted = from_on_hand(listed, counts, remnants, trim_mm)
    if any(wanted):
        if bolt is None:
            raise refusals.not_enough(material, kinds, wanted, remnants, ruler)
        refusals.check_bolt(material, kinds, wanted, bolt, ruler)
        strips = shortest_from_bolt(listed, wanted, space_units(bolt.usable_mm), seed, effort)
        used.append(_unroll(bolt, parted(strips, len(listed)), straighten_mm))
    cloths = place(used, kinds)
    sold_by = bolt or Bolt(0.0)
    use_mm = sum(cloth.length_mm for cloth in cloths if cloth.bought)
    sold_mm = sold_by.sold(use_mm)
    buy_mm = max(ceil(sold_mm / buy_step_mm * (1 - 1e-9)) * buy_step_mm, sold_mm)
    return Cutting(
        material=material,
        use_mm=use_mm,
        buy_mm=buy_mm,
        bound_mm=_bound_mm(listed, wanted, bolt),
        cuts=count_cuts(cloths),
        ruler_settings=count_settings(cloths),
        cloths=cloths,
        left_over=left_over(cloths, parts, sold_by.laid(buy_mm) - use_mm),
    )


def _unroll(bolt: Bolt, strips: tuple[Strip, ...], straighten_mm: float) -> Used:
    start = part_units(straighten_mm)
    return Used(
        width=space_units(bolt.laid_width_mm),
        length=start + length_of(strips),
        edge=part_units(bolt.edge_mm),
        start=start,
        bought=True,
        along=False,
        strips=strips,
    )


def _bound_mm(kinds: Sequence[Kind], counts: Sequence[int], bolt: Bolt | None) -> float:
    if bolt is None:
        return 0.0
    area = sum(to_mm(kind.width) * to_mm(kind.height) * count for kind, count in zip(kinds, counts, strict=True))
    return area / bolt.usable_mm
