"""How one material is cut: pieces on hand first, then the shortest length from the bolt.

The search works in whole units; here its strips become placements in mm, with names given out and strips numbered
in cutting order; or it is said in figures why cloth cannot be cut, and what would make it possible.
"""

from collections.abc import Callable, Iterator, Sequence
from math import ceil

from guide.plan.cutting.count import count_cuts, count_settings, divide
from guide.plan.cutting.sources import EFFORT, from_on_hand, shortest_from_bolt
from guide.plan.cutting.strips import (
    Bolt,
    CannotCut,
    Kind,
    Kinds,
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
    ways,
)
from guide.plan.model import Area, CutCloth, CutStrip, Cutting, LeftOver, Lying, Part, Placement
from guide.read.model import Remnant
from guide.read.units import INCH, INCHES, Ruler


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
    effort: int = EFFORT,
    lie: Callable[[Piece], int] | None = None,
) -> Cutting:
    """Plan the cutting of every part of one material, edge to edge, along the grain.

    Lengths mm. `bolt` is None when there is only what is on hand. Squares of one size from a bolt come in the fewest
    strips there can be. Sizes are of the cloth as it lies on the table: `use_mm` is the bought length used,
    straightening included, `bound_mm` the area of what is cut from the bolt over its usable width. Only `buy_mm` is as
    sold: what gives `use_mm` on the table, in whole `buy_step_mm`. A refusal is told as by the
    `ruler`. About `effort` strips are tried. `lie`: see `shortest_from_bolt`. Raises CannotCut.
    """
    kinds = kinds_of(parts)
    counts = [sum(part.count for part in same) for same in kinds.values()]
    check_sizes(material, kinds, bolt, [straightened(one, trim_mm) for one in remnants], ruler)
    listed = list(kinds)
    used, wanted = from_on_hand(listed, counts, remnants, trim_mm)
    if any(wanted):
        if bolt is None:
            raise not_enough(material, kinds, wanted, remnants, ruler)
        for (kind, named), count in zip(kinds.items(), wanted, strict=True):
            if count and _across(kind) > space_units(bolt.usable_mm):  # pieces on hand could not give it in full
                raise _too_narrow(material, named[0], kind, bolt, ruler)
        strips = shortest_from_bolt(listed, wanted, space_units(bolt.usable_mm), effort, lie)
        used.append(_unroll(bolt, parted(strips, len(listed)), straighten_mm))
    cloths = tuple(place(used, kinds))
    area = sum(to_mm(kind.width) * to_mm(kind.height) * count for kind, count in zip(listed, wanted, strict=True))
    sold_by = bolt or Bolt(0.0)
    use_mm = sum(cloth.length_mm for cloth in cloths if cloth.bought)
    sold_mm = sold_by.sold(use_mm)
    buy_mm = max(ceil(sold_mm / buy_step_mm * (1 - 1e-9)) * buy_step_mm, sold_mm)
    return Cutting(
        material=material,
        use_mm=use_mm,
        buy_mm=buy_mm,
        bound_mm=area / bolt.usable_mm if bolt else 0.0,
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


def place(used: Sequence[Used], kinds: Kinds) -> Iterator[CutCloth]:
    """Lay every piece at its place; parts of one size get their names in the order asked for."""
    # Numbered from here on, so in an order that does not hang on the search: larger strips first, pieces from the left.
    names = [iter([part.name for part in parts for _ in range(part.count)]) for parts in kinds.values()]
    sizes = [(parts[0].width_mm, parts[0].height_mm) for parts in kinds.values()]
    for cloth in used:
        placements: list[Placement] = []
        strips = []
        low = 0
        for number, strip in enumerate(sorted(cloth.strips, key=_looks, reverse=True), start=1):
            lying = []
            for piece in sorted(strip.pieces, key=lambda piece: (piece.x, piece.y)):
                width, height = sizes[piece.kind][::-1] if piece.turned else sizes[piece.kind]
                x, y = (low + piece.y, piece.x) if cloth.along else (piece.x, low + piece.y)
                left, near, name = to_mm(cloth.edge + x), to_mm(cloth.start + y), next(names[piece.kind])
                nth = len(placements) + 1
                placements.append(Placement(name, left, near, width, height, piece.turned, number, nth))
                area = Area(left, near, left + width, near + height)
                lying.append(Lying(area.turned if cloth.along else area, name))
            strips.append(CutStrip.of(number, lying, to_mm(cloth.length if cloth.along else cloth.width)))
            low += strip.size
        size = (to_mm(cloth.width), to_mm(cloth.length))
        edge = {"selvedge_mm" if cloth.bought else "trim_mm": to_mm(cloth.edge)}
        yield CutCloth(*size, cloth.bought, tuple(placements), tuple(strips), along=cloth.along, **edge)


def _looks(strip: Strip) -> tuple[int, list[tuple[int, ...]]]:
    return strip.size, sorted((piece.x, piece.y, piece.width, piece.height, piece.kind) for piece in strip.pieces)


def left_over(cloths: Sequence[CutCloth], usable: Sequence[Part], spare_mm: float) -> tuple[LeftOver, ...]:
    """Rectangles that still hold one of these parts, largest first, without selvedges.

    `spare_mm` is what the shop's steps add to the length of what is bought.
    """
    found = [size for cloth in cloths for size in sizes_left(cloth, spare_mm if cloth.bought else 0.0)]
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


def sizes_left(cloth: CutCloth, spare_mm: float) -> Iterator[tuple[float, float]]:
    """Give the same rectangles by their sides across and along the cloth, mm."""
    for rest in rests(cloth, spare_mm):
        yield rest.size[::-1] if cloth.along else rest.size


def _holds(rest: tuple[float, float], part: Part) -> bool:
    width, height = rest[0] * (1 + 1e-9), rest[1] * (1 + 1e-9)
    if part.width_mm <= width and part.height_mm <= height:
        return True
    return not part.one_way and part.height_mm <= width and part.width_mm <= height


def check_sizes(material: str, kinds: Kinds, bolt: Bolt | None, remnants: Sequence[Remnant], ruler: Ruler) -> None:
    """Refuse a part that is larger than any cloth there is. Raises CannotCut."""
    pieces = [(space_units(r.width), space_units(r.length)) for r in remnants if r.count > 0]
    for kind, parts in kinds.items():
        if bolt is not None and _across(kind) <= space_units(bolt.usable_mm):
            continue
        if any(way.width <= width and way.height <= length for way in ways(kind, 0) for width, length in pieces):
            continue
        if bolt:
            raise _too_narrow(material, parts[0], kind, bolt, ruler)
        raise _too_large(material, parts[0], remnants, ruler)


def _across(kind: Kind) -> int:
    return min(way.width for way in ways(kind, 0))


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
    material: str, kinds: Kinds, wanted: Sequence[int], remnants: Sequence[Remnant], ruler: Ruler
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
