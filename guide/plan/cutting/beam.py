"""Beam search over strip plans: the shortest length that gives every part, the most that a piece gives.

Strips are put in order of falling size, which loses nothing, for strips may be cut in any order; so the
next strip of a bolt must be at least as large as the lowest way of the tallest part that is left.
"""

import heapq
from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from guide.plan.cutting.pieces import Strip
from guide.plan.cutting.strips import StripMaker

_FULL = 0.9  # how full what is left will be cut: good for ranking, measured on random bolts
_MOST_SIZES = 60  # tried at one place; of more, evenly picked
_MOST_PAIRS = 400  # of heights, to which a third is added
_LARGEST = 1.5  # strips of several parts' heights, up to so many widths of the cloth


class _State(NamedTuple):
    rank: float
    length: int
    area: int
    left: tuple[int, ...]
    last: int
    strips: tuple[Strip, ...]


def shortest(
    maker: StripMaker, counts: Sequence[int], never_over: tuple[int, int], beam: int
) -> tuple[Strip, ...] | None:
    """The best plan found that gives all `counts` and is better than `never_over`: (length, settings)."""
    width, total = maker.width, _total(maker, counts)
    sums_to = int(_LARGEST * width)
    best, plan = never_over, None
    states = [_State(0.0, 0, 0, tuple(counts), never_over[0], ())]
    while states:
        reached: dict[tuple[int, ...], _State] = {}
        for state in states:
            for size in _sizes(maker, state.left, _lowest_next(maker, state.left), state.last, sums_to):
                for strip in maker.strips(size, state.left):
                    length, area = state.length + strip.size, state.area + strip.area
                    # Even if the rest were cut without any waste this plan would be longer than the best: not followed.
                    if length * width + total - area > best[0] * width:
                        continue
                    if area == total:
                        strips = (*state.strips, strip)
                        if (length, settings(strips)) < best:
                            best, plan = (length, settings(strips)), strips
                        continue
                    left = tuple(map(int.__sub__, state.left, strip.used))
                    # Plans that leave the same parts differ only in their length so far: the shorter stands for both.
                    if left not in reached or length < reached[left].length:
                        rank = length * width + (total - area) / _FULL
                        reached[left] = _State(rank, length, area, left, size, (*state.strips, strip))
        states = heapq.nsmallest(beam, reached.values(), key=lambda state: state.rank)
    return plan


def fullest(maker: StripMaker, counts: Sequence[int], length: int, beam: int) -> tuple[Strip, ...]:
    """The plan found that cuts the largest area of parts from a piece of so long a length."""
    width, total = maker.width, _total(maker, counts)
    states = [_State(0.0, 0, 0, tuple(counts), length, ())]
    best = states[0]
    while states and best.area < total:
        reached: dict[tuple[int, ...], _State] = {}
        for state in states:
            room = min(state.last, length - state.length)
            for size in _sizes(maker, state.left, 0, room, room):
                for strip in maker.strips(size, state.left):
                    used, area = state.length + strip.size, state.area + strip.area
                    left = tuple(map(int.__sub__, state.left, strip.used))
                    if left not in reached or used < reached[left].length:
                        rank = -area - width * (length - used) * _FULL
                        reached[left] = _State(rank, used, area, left, size, (*state.strips, strip))
        best = min([best, *reached.values()], key=lambda state: (-state.area, state.length))
        states = heapq.nsmallest(beam, reached.values(), key=lambda state: state.rank)
    return best.strips


def settings(strips: Sequence[Strip]) -> int:
    """How many different lengths these strips are about: their sizes and their pieces' sides."""
    lengths = {strip.size for strip in strips}
    for strip in strips:
        for piece in strip.pieces:
            lengths |= {piece.width, piece.height}
    return len(lengths)


def _total(maker: StripMaker, counts: Sequence[int]) -> int:
    return sum(area * count for area, count in zip(maker.areas, counts, strict=True))


def _lowest_next(maker: StripMaker, left: Sequence[int]) -> int:
    return max(low for low, count in zip(maker.lowest, left, strict=True) if count)


def _sizes(maker: StripMaker, left: Sequence[int], least: int, room: int, sums_to: int) -> list[int]:
    """The sizes worth trying for the next strip: heights of parts, and sums of two and three of them.

    Where there are more than are tried, their sums are not made: most would be thinned out again.
    """
    singles = {way.height for way in maker.ways if left[way.kind]}
    few = singles if len(singles) <= _MOST_SIZES else set()
    pairs = {one + other for one in few for other in few if one + other <= sums_to}
    few = few if len(pairs) <= _MOST_PAIRS else set()
    triples = {pair + one for pair in pairs for one in few if pair + one <= sums_to}
    sizes = sorted(size for size in singles | pairs | triples if least <= size <= room)
    return sizes[:: ceil(len(sizes) / _MOST_SIZES)] if sizes else []
