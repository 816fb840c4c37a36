"""First-fit shelves, decreasing height: the plain way to cut strips, and the length never to exceed.

Source: Coffman, Garey, Johnson and Tarjan, SIAM J. Comput. 9 (1980), first-fit decreasing height.
"""

from collections.abc import Callable, Sequence

from guide.plan.cutting.pieces import Kind, Piece, Strip, length_of, strip_of, ways


def shelves(kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int | None) -> tuple[Strip, ...]:
    """Strips holding what fits: every part when `length` is None, else what fits in that length.

    Each part lies the same way throughout; the best of lying flat, upright and as given is kept. Parts
    of one size that may not be turned come in the fewest strips there can be.
    """
    tries = [_shelve(kinds, counts, width, length, lie) for lie in (_flat, _upright, _as_given)]
    if length is None:
        return min(tries, key=length_of)
    return max(tries, key=lambda strips: sum(strip.area for strip in strips))


def _flat(piece: Piece) -> int:
    return piece.height


def _upright(piece: Piece) -> int:
    return -piece.height


def _as_given(piece: Piece) -> int:
    return int(piece.turned)


def _shelve(
    kinds: Sequence[Kind],
    counts: Sequence[int],
    width: int,
    length: int | None,
    lie: Callable[[Piece], int],
) -> tuple[Strip, ...]:
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
