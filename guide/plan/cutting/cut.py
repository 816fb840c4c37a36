"""How one material is cut: pieces on hand first, so that the least cloth is touched, then the shortest from the bolt.

From a bolt: first-fit shelves, whose length is never to be exceeded, then beams widened in turn, then some strips cut
again. Source of the shelves: Coffman, Garey, Johnson and Tarjan, SIAM J. Comput. 9 (1980), first-fit decreasing height.

The search works in whole units; then its strips become placements in mm, with names given out and strips numbered
in cutting order; or it is said in figures why cloth cannot be cut, and what would make it possible.
"""

import random
from collections.abc import Callable, Iterator, Sequence
from math import ceil
from operator import attrgetter
from typing import NamedTuple

import msgspec

from guide.plan.cutting.count import count_cuts, count_settings, divide
from guide.plan.cutting.strips import (
    Bolt,
    CannotCut,
    Kind,
    Kinds,
    Piece,
    Strip,
    StripMaker,
    Used,
    fullest,
    kinds_of,
    length_of,
    part_units,
    parted,
    settings,
    shortest,
    space_units,
    straightened,
    strip_of,
    to_mm,
    ways,
)
from guide.plan.model import Area, CutCloth, CutStrip, Cutting, LeftOver, Lying, Part, Placement
from guide.read.model import Remnant
from guide.read.units import INCH, INCHES, Ruler


def shelves(kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int | None) -> tuple[Strip, ...]:
    """Strips holding what fits: every part when `length` is None, else what fits in that length.

    Each part lies the same way throughout; the best of lying flat, upright and as given is kept. Parts
    of one size that may not be turned come in the fewest strips there can be.
    """
    tries = [shelve(kinds, counts, width, length, lie) for lie in (flat, upright, attrgetter("turned"))]
    if length is None:
        return min(tries, key=length_of)
    return max(tries, key=lambda strips: sum(strip.area for strip in strips))


def flat(piece: Piece) -> int:
    """Ask for the lowest way: the longer side along the strip."""
    return piece.height


def upright(piece: Piece) -> int:
    """Ask for the highest way: the longer side through the strip."""
    return -piece.height


def shelve(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int | None, lie: Callable[[Piece], int]
) -> tuple[Strip, ...]:
    """First-fit strips, each part lying throughout the way that `lie` is least for."""
    room = length if length is not None else sum(max(kind.width, kind.height) for kind in kinds) * sum(counts)
    chosen: list[Piece] = []
    for index, kind in enumerate(kinds):
        fitting = [way for way in ways(kind, index) if way.width <= width and way.height <= room]
        if fitting:
            chosen += [min(fitting, key=lie)] * counts[index]
    chosen.sort(key=lambda piece: (-piece.height, -piece.width))
    filled: list[list[Piece]] = []
    free: list[int] = []
    first: dict[int, int] = {}  # by width: strips before it have no room for one, and will have less
    for piece in chosen:
        at = first.get(piece.width, 0)
        while at < len(free) and free[at] < piece.width:
            at += 1
        first[piece.width] = at
        if at == len(free):
            if piece.height > room:
                continue
            room -= piece.height
            free.append(width)
            filled.append([])
        filled[at].append(piece._replace(x=width - free[at]))
        free[at] -= piece.width
    return tuple(strip_of(pieces, len(kinds)) for pieces in filled)


_LOOK_AT = 3  # pieces looked at closely in each turn, of those that look best
_BEAM = 4


class _Try(msgspec.Struct, frozen=True):
    used: Used
    area: int
    counts: tuple[int, ...]


class _Stock(NamedTuple):
    """A piece on hand by what can be cut from it, and what comes off one side and one end first; units."""

    width: int
    length: int
    trim: int


Makers = dict[tuple[int, bool], StripMaker]  # with what has been made for each width so far, both ways of the cloth


def from_on_hand(
    kinds: Sequence[Kind], counts: Sequence[int], remnants: Sequence[Remnant], trim_mm: float = 0.0
) -> tuple[list[Used], list[int]]:
    """Cut what the pieces on hand give, and say how many of each kind are still wanted.

    Best-first: the piece of which the largest share becomes parts is cut next; when one piece can give
    all that is left, the smallest such piece is. Pieces on hand are taken as without selvedges; what is not
    straight loses `trim_mm` at one side and one end.
    """
    left = list(counts)
    makers: Makers = {}
    stock = [piece for one in remnants for piece in [_stock(one, trim_mm)] * one.count]
    used: list[Used] = []
    while any(left):
        tries = [(_fill(kinds, makers, left, piece), piece) for piece in _promising(kinds, left, stock)]
        found = [pair for pair in tries if pair[0].area]
        if not found:
            break
        best, piece = max(found, key=lambda pair: _worth(kinds, left, pair[0]))
        stock.remove(piece)
        whole = (piece.width + piece.trim, piece.length + piece.trim)
        used.append(best.used._replace(width=whole[0], length=whole[1], edge=piece.trim, start=piece.trim))
        left = [have - taken for have, taken in zip(left, best.counts, strict=True)]
    return used, left


def _stock(one: Remnant, trim_mm: float) -> _Stock:
    left = straightened(one, trim_mm)
    return _Stock(space_units(left.width), space_units(left.length), 0 if one.straight else part_units(trim_mm))


def _promising(kinds: Sequence[Kind], left: Sequence[int], stock: Sequence[_Stock]) -> list[_Stock]:
    """The pieces that shelves fill best, and the smallest that shelves or the bare area say may give all."""

    def size(piece: _Stock) -> int:
        return piece.width * piece.length

    def share(piece: _Stock) -> float:
        strips = shelves(kinds, left, piece.width, piece.length)
        return sum(strip.area for strip in strips) / size(piece)

    wanted = _area(kinds, left)
    pieces = sorted((piece for piece in set(stock) if size(piece)), key=share, reverse=True)
    enough = sorted((piece for piece in pieces if size(piece) >= wanted), key=size)
    return list(dict.fromkeys([*pieces[:_LOOK_AT], *enough[:_LOOK_AT]]))


def _worth(kinds: Sequence[Kind], left: Sequence[int], one: _Try) -> tuple[bool, float, int]:
    whole = one.used.width * one.used.length
    if one.area == _area(kinds, left):
        return (True, -float(whole), 0)
    return (False, one.area / whole, one.area)


def _area(kinds: Sequence[Kind], counts: Sequence[int]) -> int:
    return sum(kind.width * kind.height * count for kind, count in zip(kinds, counts, strict=True))


def _fill(kinds: Sequence[Kind], makers: Makers, left: Sequence[int], piece: _Stock) -> _Try:
    """The best of plain shelves, strips across the piece and strips along it; of equals the fewest ruler settings."""
    width, length, _ = piece
    tries = [_tried(width, length, shelves(kinds, left, width, length), along=False)]
    for along in (False, True):
        across, down = (length, width) if along else (width, length)
        if (across, along) not in makers:
            lying = [Kind(k.height, k.width, k.fixed) for k in kinds] if along else kinds
            makers[across, along] = StripMaker(lying, across)
        strips = fullest(makers[across, along], left, down, _BEAM)
        tries.append(_tried(width, length, strips, along=along))
    return max(tries, key=lambda one: (one.area, -settings(one.used.strips), -len(one.used.strips)))


def _tried(width: int, length: int, strips: tuple[Strip, ...], *, along: bool) -> _Try:
    strips = parted(strips, len(strips[0].used)) if strips else ()
    piece = Used(width, length, 0, 0, bought=False, along=along, strips=strips)
    counts = tuple(sum(column) for column in zip(*(strip.used for strip in strips), strict=True))
    return _Try(piece, sum(strip.area for strip in strips), counts)


EFFORT = 800  # strips tried for one material
_BEAMS = (2, 4, 8, 16, 32, 64)
_RECUTS = 30
_RECUT_BEAM = 4


def shortest_from_bolt(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, effort: int, lie: Callable[[Piece], int] | None = None
) -> tuple[Strip, ...]:
    """Strips that give every part, never longer than first-fit shelves; lengths in units.

    Parts of one size that may not be turned, squares among them, are exact at once. Otherwise about
    `effort` strips are tried; the same question gets the same plan. With `lie` (`flat`, `upright`) they are plain
    shelves of parts that all lie so: more cloth, it may be, and no setting but the parts' own sides.
    """
    if lie:
        return shelve(kinds, counts, width, None, lie)
    plan = shelves(kinds, counts, width, None)
    wanted = [kind for kind, count in zip(kinds, counts, strict=True) if count]
    if len(wanted) == 1 and wanted[0].fixed:
        return plan
    maker = StripMaker(kinds, width)
    for beam in _BEAMS:
        plan = shortest(maker, counts, (length_of(plan), settings(plan)), beam) or plan
        if len(maker.made) > effort:
            break
    return _cut_again(maker, plan, effort)


def _cut_again(maker: StripMaker, plan: tuple[Strip, ...], effort: int) -> tuple[Strip, ...]:
    """Take out a few strips, the wasteful ones more often, and cut their parts anew while that saves cloth."""
    enough, rng = len(maker.made) + effort // 2, random.Random(0)  # noqa: S311, a search, no secret
    for _ in range(_RECUTS):
        if len(plan) < 2 or len(maker.made) > enough:
            break
        taken = _some(maker, plan, rng)
        out = [plan[at] for at in taken]
        counts = [sum(column) for column in zip(*(strip.used for strip in out), strict=True)]
        better = shortest(maker, counts, (length_of(out), 0), _RECUT_BEAM)
        if better:
            plan = (*(strip for at, strip in enumerate(plan) if at not in taken), *better)
    return plan


def _some(maker: StripMaker, plan: Sequence[Strip], rng: random.Random) -> set[int]:
    wanted = rng.randint(2, max(2, min(4, len(plan) - 1)))
    rest = list(range(len(plan)))
    for _ in range(min(wanted, len(plan))):  # without putting back: the draws are as many as the strips taken
        waste = [plan[at].size * maker.width - plan[at].area for at in rest]
        weights = [share / (maker.width * maker.width) + 1e-6 for share in waste]
        rest.remove(rng.choices(rest, weights)[0])
    return set(range(len(plan))) - set(rest)


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
