"""How one material is cut: pieces on hand first, then the shortest length from the bolt.

The search works in whole units; here its strips become placements in mm, with names given out and strips numbered
in cutting order; or it is said in figures why cloth cannot be cut, and what would make it possible.
"""

from collections.abc import Callable, Iterator, Sequence
from math import ceil

from guide.plan.cutting.count import count_cuts, count_settings, divide
from guide.plan.cutting.sources import from_on_hand, shortest_from_bolt
from guide.plan.cutting.strips import (
    Bolt,
    CannotCut,
    Kind,
    Piece,
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
from guide.plan.model import Area, CutCloth, CutStrip, Cutting, LeftOver, Lying, Part, Placement
from guide.read.model import Remnant
from guide.read.units import INCH, INCHES, Ruler

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
    lie: Callable[[Piece], int] | None = None,
) -> Cutting:
    """Plan the cutting of every part of one material, edge to edge, along the grain.

    Lengths mm. `bolt` is None when there is only what is on hand. Squares of one size from a bolt come in the fewest
    strips there can be. Sizes are of the cloth as it lies on the table: `use_mm` is the bought length used,
    straightening included, `bound_mm` the area of what is cut from the bolt over its usable width. Only `buy_mm` is as
    sold: what gives `use_mm` on the table, in whole `buy_step_mm`. A refusal is told as by the
    `ruler`. About `effort` strips are tried; one `seed`, one plan. `lie`: see `shortest_from_bolt`. Raises CannotCut.
    """
    kinds = kinds_of(parts)
    counts = [sum(part.count for part in same) for same in kinds.values()]
    check_sizes(material, kinds, bolt, [straightened(one, trim_mm) for one in remnants], ruler)
    listed = list(kinds)
    used, wanted = from_on_hand(listed, counts, remnants, trim_mm)
    if any(wanted):
        if bolt is None:
            raise not_enough(material, kinds, wanted, remnants, ruler)
        check_bolt(material, kinds, wanted, bolt, ruler)
        strips = shortest_from_bolt(listed, wanted, space_units(bolt.usable_mm), seed, effort, lie=lie)
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


def place(used: Sequence[Used], kinds: dict[Kind, list[Part]]) -> tuple[CutCloth, ...]:
    """Lay every piece at its place; parts of one size get their names in the order asked for."""
    names = [iter([part.name for part in parts for _ in range(part.count)]) for parts in kinds.values()]
    sizes = [(parts[0].width_mm, parts[0].height_mm) for parts in kinds.values()]
    cloths = []
    for cloth in used:
        placements: list[Placement] = []
        strips = []
        low = 0
        for number, strip in enumerate(sorted(cloth.strips, key=_looks, reverse=True), start=1):
            first = len(placements)
            for piece in sorted(strip.pieces, key=lambda piece: (piece.x, piece.y)):
                width, height = sizes[piece.kind][::-1] if piece.turned else sizes[piece.kind]
                x, y = (low + piece.y, piece.x) if cloth.along else (piece.x, low + piece.y)
                placements.append(
                    Placement(
                        part=next(names[piece.kind]),
                        x_mm=to_mm(cloth.edge + x),
                        y_mm=to_mm(cloth.start + y),
                        width_mm=width,
                        height_mm=height,
                        turned=piece.turned,
                        strip=number,
                        order=len(placements) + 1,
                    )
                )
            strips.append(_seen_along(cloth, number, placements[first:]))
            low += strip.size
        size = (to_mm(cloth.width), to_mm(cloth.length))
        edge = {"selvedge_mm" if cloth.bought else "trim_mm": to_mm(cloth.edge)}
        cloths.append(CutCloth(*size, cloth.bought, tuple(placements), tuple(strips), along=cloth.along, **edge))
    return tuple(cloths)


def _seen_along(cloth: Used, number: int, placements: Sequence[Placement]) -> CutStrip:
    lying = []
    for placed in placements:
        x, y, width, height = placed.x_mm, placed.y_mm, placed.width_mm, placed.height_mm
        if cloth.along:
            x, y, width, height = y, x, height, width
        lying.append(Lying(Area(x, y, x + width, y + height), placed.part))
    low, high = min(one.area.low for one in lying), max(one.area.high for one in lying)
    return CutStrip(number, Area(0.0, low, to_mm(cloth.length if cloth.along else cloth.width), high), tuple(lying))


def _looks(strip: Strip) -> tuple[int, list[tuple[int, ...]]]:
    pieces = sorted((piece.x, piece.y, piece.width, piece.height, piece.kind) for piece in strip.pieces)
    return (strip.size, list(pieces))


def left_over(cloths: Sequence[CutCloth], usable: Sequence[Part], spare_mm: float) -> tuple[LeftOver, ...]:
    """Rectangles that still hold one of these parts, largest first, without selvedges.

    `spare_mm` is what the shop's steps add to the length of what is bought.
    """
    found = []
    for cloth in cloths:
        for rest in rests(cloth, spare_mm if cloth.bought else 0.0):
            size = (rest.right - rest.left, rest.high - rest.low)
            found.append(size[::-1] if cloth.along else size)
    holding = [rest for rest in found if any(_holds(rest, part) for part in usable)]
    holding.sort(key=lambda rest: (-rest[0] * rest[1], rest))
    return tuple(LeftOver(round(width, 6), round(height, 6)) for width, height in holding)


def rests(cloth: CutCloth, spare_mm: float) -> Iterator[Area]:
    """Give what is left of a cloth, seen along its strips, without the selvedges and what is trimmed off."""
    strips = cloth.strips
    far, end = (cloth.length_mm, cloth.width_mm) if cloth.along else (cloth.width_mm, cloth.length_mm)
    low = max((strip.area.high for strip in strips), default=0.0)
    rests = [Area(0.0, low, far, end + spare_mm)]
    rests += [done.rest for strip in strips for done in divide(strip) if done.rest]
    for rest in rests:
        left = max(rest.left, cloth.selvedge_mm, cloth.trim_mm)
        yield rest._replace(left=left, right=min(rest.right, far - cloth.selvedge_mm))


def _holds(rest: tuple[float, float], part: Part) -> bool:
    width, height = rest[0] * (1 + 1e-9), rest[1] * (1 + 1e-9)
    if part.width_mm <= width and part.height_mm <= height:
        return True
    return not part.one_way and part.height_mm <= width and part.width_mm <= height


def check_sizes(
    material: str,
    kinds: dict[Kind, list[Part]],
    bolt: Bolt | None,
    remnants: Sequence[Remnant],
    ruler: Ruler,
) -> None:
    """Refuse a part that is larger than any cloth there is. Raises CannotCut."""
    pieces = [(space_units(r.width), space_units(r.length)) for r in remnants if r.count > 0]
    for kind, parts in kinds.items():
        if bolt is not None and _across(kind) <= space_units(bolt.usable_mm):
            continue
        if not any(_lies_in(kind, width, length) for width, length in pieces):
            raise (
                _too_narrow(material, parts[0], kind, bolt, ruler)
                if bolt
                else _too_large(material, parts[0], remnants, ruler)
            )


def check_bolt(material: str, kinds: dict[Kind, list[Part]], wanted: Sequence[int], bolt: Bolt, ruler: Ruler) -> None:
    """Refuse parts too wide for the bolt that pieces on hand could not give in full. Raises CannotCut."""
    for (kind, parts), count in zip(kinds.items(), wanted, strict=True):
        if count and _across(kind) > space_units(bolt.usable_mm):
            raise _too_narrow(material, parts[0], kind, bolt, ruler)


def _across(kind: Kind) -> int:
    return kind.width if kind.fixed else min(kind.width, kind.height)


def _lies_in(kind: Kind, width: int, length: int) -> bool:
    if kind.width <= width and kind.height <= length:
        return True
    return not kind.fixed and kind.height <= width and kind.width <= length


def _too_narrow(material: str, part: Part, kind: Kind, bolt: Bolt, ruler: Ruler) -> CannotCut:
    wider = to_mm(_across(kind)) / (1 - bolt.shrinks_width) + 2 * bolt.selvedge_mm
    washed = " once it is washed" if bolt.shrinks_width else ""
    width, height, gives = ruler.told_apart(part.width_mm, part.height_mm, max(bolt.usable_mm, 0.0))
    return CannotCut(
        f"{material} is too narrow: {part.name} is {width} wide and {height} long, and the cloth gives "
        f"{gives} between its selvedges{washed}. It needs cloth at least "
        f"{ruler.told(wider)} wide, or a smaller {part.name}"
    )


def _too_large(material: str, part: Part, remnants: Sequence[Remnant], ruler: Ruler) -> CannotCut:
    if not remnants:
        return CannotCut(
            f"there is no {material} to cut {part.name} from: it is {ruler.told(part.width_mm)} wide and "
            f"{ruler.told(part.height_mm)} long. Give the cloth's width, or pieces on hand at least that large"
        )
    largest = max(remnants, key=lambda remnant: remnant.width * remnant.length)
    width, height, wide, long = ruler.told_apart(part.width_mm, part.height_mm, largest.width, largest.length)
    return CannotCut(
        f"{part.name} is larger than any piece of {material} on hand: it is {width} wide and {height} long, and the "
        f"largest, straightened, is {wide} wide and {long} long. "
        f"It needs a piece at least that large, cloth from the bolt, or a smaller {part.name}"
    )


def not_enough(
    material: str,
    kinds: dict[Kind, list[Part]],
    wanted: Sequence[int],
    remnants: Sequence[Remnant],
    ruler: Ruler,
) -> CannotCut:
    """The error for cloth on hand that does not reach."""
    lacking = []
    for (kind, parts), short in zip(kinds.items(), wanted, strict=True):
        if short:
            total = sum(part.count for part in parts)
            names = " and ".join(dict.fromkeys(part.name for part in parts))
            size = f"{ruler.told(parts[0].width_mm)} by {ruler.told(parts[0].height_mm)}"
            lacking.append((f"{total - short} of {total} {names} ({size})", kind.width * kind.height * short))
    pieces = sum(remnant.count for remnant in remnants)
    more = sum(area for _, area in lacking) / 1e18  # square units in a square mm
    shown = f"{more / INCH**2:,.0f} sq in" if ruler.units == "inch" else f"{more / 100:,.0f} sq cm"
    return CannotCut(
        f"there is not enough {material}: {pieces} {'piece' if pieces == 1 else 'pieces'} on hand "
        f"{'gives' if pieces == 1 else 'give'} {', '.join(text for text, _ in lacking)}. It needs at least "
        f"{shown} more on hand, cloth from the bolt (give its width), or fewer from {material}"
    )
