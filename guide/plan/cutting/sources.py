"""Where strips come from: pieces on hand, so that the least cloth is touched, then the shortest length from a bolt.

From a bolt: first-fit shelves, whose length is never to be exceeded, then beams widened in turn, then some strips cut
again. Source of the shelves: Coffman, Garey, Johnson and Tarjan, SIAM J. Comput. 9 (1980), first-fit decreasing height.
"""

import random
from collections.abc import Callable, Sequence
from operator import attrgetter
from typing import NamedTuple

import msgspec

from guide.plan.cutting.strips import (
    Kind,
    Piece,
    Strip,
    StripMaker,
    Used,
    fullest,
    length_of,
    part_units,
    parted,
    settings,
    shortest,
    space_units,
    straightened,
    strip_of,
    ways,
)
from guide.read.model import Remnant


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
