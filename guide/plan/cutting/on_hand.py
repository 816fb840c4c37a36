"""Cutting from pieces on hand: which piece to touch next, so that the least cloth is touched."""

from collections.abc import Sequence
from typing import NamedTuple

from guide.plan.cutting.beam import fullest, settings
from guide.plan.cutting.pieces import Kind, Strip, Used, parted, space_units
from guide.plan.cutting.shelves import shelves
from guide.plan.cutting.strips import StripMaker
from guide.read.model import Remnant

_LOOK_AT = 3  # pieces looked at closely in each turn, of those that look best
_BEAM = 4


class _Try(NamedTuple):
    used: Used
    area: int
    counts: tuple[int, ...]


class _Cutter(NamedTuple):
    """What is asked for, with what has been made for each width so far, both ways of the cloth."""

    kinds: tuple[Kind, ...]
    makers: dict[tuple[int, bool], StripMaker]


def from_on_hand(
    kinds: Sequence[Kind], counts: Sequence[int], remnants: Sequence[Remnant]
) -> tuple[list[Used], list[int]]:
    """Cut what the pieces on hand give, and say how many of each kind are still wanted.

    Best-first: the piece of which the largest share becomes parts is cut next; when one piece can give
    all that is left, the smallest such piece is. Pieces on hand are taken as straight, without selvedges.
    """
    left = list(counts)
    cutter = _Cutter(tuple(kinds), {})
    stock = [(space_units(one.width), space_units(one.length)) for one in remnants for _ in range(one.count)]
    used: list[Used] = []
    while any(left):
        tries = [_fill(cutter, left, *piece) for piece in _promising(kinds, left, stock)]
        best = max((one for one in tries if one.area), key=lambda one: _worth(cutter, left, one), default=None)
        if best is None:
            break
        stock.remove((best.used.width, best.used.length))
        used.append(best.used)
        left = [have - taken for have, taken in zip(left, best.counts, strict=True)]
    return used, left


def _promising(kinds: Sequence[Kind], left: Sequence[int], stock: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The pieces that shelves fill best, and the smallest that shelves or the bare area say may give all."""

    def share(piece: tuple[int, int]) -> float:
        strips = shelves(kinds, left, *piece)
        return sum(strip.area for strip in strips) / (piece[0] * piece[1])

    wanted = _area(kinds, left)
    pieces = sorted(set(stock), key=share, reverse=True)
    enough = sorted((piece for piece in pieces if piece[0] * piece[1] >= wanted), key=lambda piece: piece[0] * piece[1])
    return list(dict.fromkeys([*pieces[:_LOOK_AT], *enough[:_LOOK_AT]]))


def _worth(cutter: _Cutter, left: Sequence[int], one: _Try) -> tuple[bool, float, int]:
    whole = one.used.width * one.used.length
    if one.area == _area(cutter.kinds, left):
        return (True, -float(whole), 0)
    return (False, one.area / whole, one.area)


def _area(kinds: Sequence[Kind], counts: Sequence[int]) -> int:
    return sum(kind.width * kind.height * count for kind, count in zip(kinds, counts, strict=True))


def _fill(cutter: _Cutter, left: Sequence[int], width: int, length: int) -> _Try:
    """The best of plain shelves, strips across the piece and strips along it; of equals the fewest ruler settings."""
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
