"""First-fit shelves, decreasing height: the plain way to cut strips, and the length never to exceed.

Source: Coffman, Garey, Johnson and Tarjan, SIAM J. Comput. 9 (1980), first-fit decreasing height.
"""

from collections.abc import Callable, Sequence

from guide.plan.cutting.pieces import Column, Kind, Piece, Strip, ways


def shelves(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int | None
) -> tuple[Strip, ...]:
    """Strips holding what fits: every part when `length` is None, else what fits in that length.

    Each part lies the same way throughout; the best of lying flat, upright and as given is kept.
    """
    tries = [_shelve(kinds, counts, width, length, lie) for lie in (_flat, _upright, _as_given)]
    if length is None:
        return min(tries, key=lambda strips: sum(strip.size for strip in strips))
    return max(
        tries, key=lambda strips: sum(p.width * p.height for s in strips for c in s.columns for p in c.pieces)
    )


def _flat(piece: Piece) -> int:
    return piece.height


def _upright(piece: Piece) -> int:
    return -piece.height


def _as_given(piece: Piece) -> int:
    return int(piece.turned)


def _shelve(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int | None, lie: Callable[[Piece], int]
) -> tuple[Strip, ...]:
    room = length if length is not None else max(max(kind.width, kind.height) for kind in kinds) * sum(counts)
    chosen: list[Piece] = []
    for index, kind in enumerate(kinds):
        fitting = [way for way in ways(kind, index) if way.width <= width and way.height <= room]
        if fitting:
            chosen += [min(fitting, key=lie)] * counts[index]
    chosen.sort(key=lambda piece: (-piece.height, -piece.width))
    open_shelves: list[tuple[int, list[Column]]] = []
    free: list[int] = []
    for piece in chosen:
        column = Column(piece.width, (piece,))
        for at, left in enumerate(free):
            if piece.width <= left:
                open_shelves[at][1].append(column)
                free[at] -= piece.width
                break
        else:
            if piece.height <= room:
                open_shelves.append((piece.height, [column]))
                free.append(width - piece.width)
                room -= piece.height
    return tuple(Strip(size, tuple(columns)) for size, columns in open_shelves)
