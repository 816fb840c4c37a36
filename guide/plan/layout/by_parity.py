"""Deal prints out so that none meets itself: every other square first, then the ones between.

Coloured like a draughtboard, a face has two kinds of squares and only unlike kinds touch. Dealing the
prints one after the other over all of one kind, then over the other, leaves at most one print on both,
at opposite ends. Two faces are one such board: even fronts with odd backs, then the rest.
"""

from collections.abc import Iterator, Sequence
from itertools import islice, permutations, product

from guide.plan.layout.grid import Grid, alike

TRIES = 48


def by_parity(grid: Grid, counts: Sequence[int]) -> list[int] | None:
    """Deal counts of prints over the faces; a flat list by place (-1: no square), None: not found.

    The counts must fill the faces. Time linear in the squares.
    """
    for walk, order in islice(_ways(grid, counts), TRIES):
        laid = _laid(grid, walk, order, counts)
        if side_matches(grid, laid) == 0:
            return laid
    return None


def side_matches(grid: Grid, colours: Sequence[int]) -> int:
    """How many side neighbours are alike."""
    return alike(grid, colours, (1, grid.stride))


def _laid(grid: Grid, walk: Sequence[int], order: Sequence[int], counts: Sequence[int]) -> list[int]:
    colours = [-1] * (grid.size * grid.faces)
    begin = 0
    for colour in order:
        end = begin + counts[colour]
        for place in walk[begin:end]:
            colours[place] = colour
        begin = end
    return colours


def _ways(grid: Grid, counts: Sequence[int]) -> Iterator[tuple[list[int], tuple[int, ...]]]:
    """Walks and orders, the likeliest first."""
    ranked = sorted((i for i, count in enumerate(counts) if count), key=lambda i: -counts[i])
    first, last = ranked[:1], ranked[1:2]
    both_even = grid.faces == 2 and max(counts) > grid.across * grid.down
    for middle in permutations(ranked[2:]):
        for by_column, turned in product((False, True), repeat=2):
            yield _walk(grid, by_column, turned, both_even), (*first, *middle, *last)
        if not last:
            return


def _walk(grid: Grid, by_column: bool, turned: bool, both_even: bool) -> list[int]:
    """All places: one kind of the draughtboard, then the other (that one backwards when turned)."""
    kinds: tuple[list[int], list[int]] = ([], [])
    lines, length = (grid.across, grid.down) if by_column else (grid.down, grid.across)
    apart, step = (1, grid.stride) if by_column else (grid.stride, 1)
    for face in range(grid.faces):
        for line in range(lines):
            first = grid.at(face, 0, 0) + line * apart
            for odd in (0, 1):
                kind = (line + odd + (0 if both_even else face)) % 2
                kinds[kind].extend(range(first + odd * step, first + length * step, 2 * step))
    return kinds[0] + (kinds[1][::-1] if turned else kinds[1])
