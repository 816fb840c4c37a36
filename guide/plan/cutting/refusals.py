"""Why cloth cannot be cut, in figures, and what would make it possible."""

from collections.abc import Sequence

from guide.plan.cutting.pieces import Bolt, CannotCut, Kind, space_units, to_mm
from guide.plan.model import Part
from guide.read.lengths import INCH, Ruler
from guide.read.model import Remnant


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
