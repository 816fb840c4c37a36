"""Cutting from pieces on hand: which piece to touch next, so that the least cloth is touched."""

from collections.abc import Sequence
from typing import NamedTuple

from guide.plan.cutting.pieces import Kind, Used, space_units, strip_area
from guide.plan.cutting.shelves import shelves
from guide.read.model import Remnant


class _Try(NamedTuple):
    used: Used
    area: int
    all_of_it: bool


def from_on_hand(
    kinds: Sequence[Kind], counts: Sequence[int], remnants: Sequence[Remnant]
) -> tuple[list[Used], list[int]]:
    """Cut what the pieces on hand give, and say how many of each kind are still wanted.

    Best-first: the piece of which the largest share becomes parts is cut next; when one piece can give
    all that is left, the smallest such piece is. Pieces on hand are taken as straight, without selvedges.
    """
    left = list(counts)
    stock = [
        [space_units(remnant.width), space_units(remnant.length), remnant.count]
        for remnant in remnants
        if remnant.count > 0
    ]
    used: list[Used] = []
    while any(left):
        tries = [
            (_fill(kinds, left, width, length), piece)
            for piece in stock
            if piece[2]
            for width, length in [piece[:2]]
        ]
        tries = [(one, piece) for one, piece in tries if one.area]
        if not tries:
            break
        best, piece = max(tries, key=lambda pair: _worth(pair[0]))
        piece[2] -= 1
        used.append(best.used)
        for strip in best.used.strips:
            for column in strip.columns:
                for cut in column.pieces:
                    left[cut.kind] -= 1
    return used, left


def _worth(one: _Try) -> tuple[bool, float, int]:
    whole = one.used.width * one.used.length
    if one.all_of_it:
        return (True, -float(whole), 0)
    return (False, one.area / whole, one.area)


def _fill(kinds: Sequence[Kind], left: Sequence[int], width: int, length: int) -> _Try:
    strips = shelves(kinds, left, width, length)
    area = sum(strip_area(strip) for strip in strips)
    wanted = sum(kind.width * kind.height * count for kind, count in zip(kinds, left, strict=True))
    return _Try(Used(width, length, 0, 0, bought=False, along=False, strips=strips), area, area == wanted)
