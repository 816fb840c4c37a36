"""Cutting from pieces on hand: which piece to touch next, so that the least cloth is touched."""

from collections.abc import Sequence
from typing import NamedTuple

from guide.plan.cutting.beam import fullest, settings
from guide.plan.cutting.pieces import Kind, Strip, Used, part_units, parted, space_units, straightened
from guide.plan.cutting.shelves import shelves
from guide.plan.cutting.strips import StripMaker
from guide.read.model import Remnant

_LOOK_AT = 3  # pieces looked at closely in each turn, of those that look best
_BEAM = 4


class _Try(NamedTuple):
    used: Used
    area: int
    counts: tuple[int, ...]


class _Stock(NamedTuple):
    """A piece on hand by what can be cut from it, and what comes off one side and one end first; units."""

    width: int
    length: int
    trim: int


class _Cutter(NamedTuple):
    """What is asked for, with what has been made for each width so far, both ways of the cloth."""

    kinds: tuple[Kind, ...]
    makers: dict[tuple[int, bool], StripMaker]


def from_on_hand(
    kinds: Sequence[Kind], counts: Sequence[int], remnants: Sequence[Remnant], trim_mm: float = 0.0
) -> tuple[list[Used], list[int]]:
    """Cut what the pieces on hand give, and say how many of each kind are still wanted.

    Best-first: the piece of which the largest share becomes parts is cut next; when one piece can give
    all that is left, the smallest such piece is. Pieces on hand are taken as without selvedges; what is not
    straight loses `trim_mm` at one side and one end.
    """
    left = list(counts)
    cutter = _Cutter(tuple(kinds), {})
    stock = [piece for one in remnants for piece in [_stock(one, trim_mm)] * one.count]
    used: list[Used] = []
    while any(left):
        tries = [(_fill(cutter, left, piece), piece) for piece in _promising(kinds, left, stock)]
        found = [pair for pair in tries if pair[0].area]
        if not found:
            break
        best, piece = max(found, key=lambda pair: _worth(cutter, left, pair[0]))
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


def _worth(cutter: _Cutter, left: Sequence[int], one: _Try) -> tuple[bool, float, int]:
    whole = one.used.width * one.used.length
    if one.area == _area(cutter.kinds, left):
        return (True, -float(whole), 0)
    return (False, one.area / whole, one.area)


def _area(kinds: Sequence[Kind], counts: Sequence[int]) -> int:
    return sum(kind.width * kind.height * count for kind, count in zip(kinds, counts, strict=True))


def _fill(cutter: _Cutter, left: Sequence[int], piece: _Stock) -> _Try:
    """The best of plain shelves, strips across the piece and strips along it; of equals the fewest ruler settings."""
    width, length, _ = piece
    tries = [_tried(width, length, shelves(cutter.kinds, left, width, length), along=False)]
    for along in (False, True):
        across, down = (length, width) if along else (width, length)
        if (across, along) not in cutter.makers:
            kinds = [Kind(k.height, k.width, k.fixed) for k in cutter.kinds] if along else cutter.kinds
            cutter.makers[across, along] = StripMaker(kinds, across)
        strips = fullest(cutter.makers[across, along], left, down, _BEAM)
        tries.append(_tried(width, length, strips, along=along))
    return max(tries, key=lambda one: (one.area, -settings(one.used.strips), -len(one.used.strips)))


def _tried(width: int, length: int, strips: tuple[Strip, ...], *, along: bool) -> _Try:
    strips = parted(strips, len(strips[0].used)) if strips else ()
    piece = Used(width, length, 0, 0, bought=False, along=along, strips=strips)
    counts = tuple(sum(column) for column in zip(*(strip.used for strip in strips), strict=True))
    return _Try(piece, sum(strip.area for strip in strips), counts)
