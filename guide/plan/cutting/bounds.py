"""Upper bounds on what a rectangle can give when copies are unlimited.

Source: Gilmore and Gomory, Oper. Res. 14 (1966).
"""

from bisect import bisect_right
from collections.abc import Sequence

_MOST_POINTS = 20_000  # beyond so many places for cuts, value per area bounds instead


class Rest:
    """What the piece round a built corner could still give, at most.

    `parts` are (width, height, value) in whole units. Cuts need only be made at sums of the parts' sides
    (normal patterns: Herz, IBM J. Res. Dev. 16, 1972).
    """

    def __init__(self, width: int, height: int, parts: Sequence[tuple[int, int, float]]) -> None:
        self.width, self.height = width, height
        self.density = max(value / (w * h) for w, h, value in parts)
        self.xs = _sums([w for w, _, _ in parts], width)
        self.ys = _sums([h for _, h, _ in parts], height)
        self.coarse = len(self.xs) * len(self.ys) > _MOST_POINTS
        self.table: list[list[float]] = []
        if not self.coarse:
            self.table = self._round_table(self._unlimited(parts))

    def round(self, width: int, height: int) -> float:
        """The most that the piece gives beside and above a corner of this size, not over."""
        if self.coarse:
            return self.density * (self.width * self.height - width * height)
        return self.table[bisect_right(self.xs, width) - 1][bisect_right(self.ys, height) - 1]

    def _unlimited(self, parts: Sequence[tuple[int, int, float]]) -> list[list[float]]:
        """The most a rectangle of sides xs[i] by ys[j] gives with copies unlimited."""
        xs, ys = self.xs, self.ys
        most = [[max((value for w, h, value in parts if w <= x and h <= y), default=0.0) for y in ys] for x in xs]
        right, above = _other_halves(xs), _other_halves(ys)
        for i in range(len(xs)):
            for j in range(len(ys)):
                here = most[i][j]
                for cut, other in enumerate(right[i], start=1):
                    here = max(here, most[cut][j] + most[other][j])
                for cut, other in enumerate(above[j], start=1):
                    here = max(here, most[i][cut] + most[i][other])
                most[i][j] = here
        return most

    def _round_table(self, most: list[list[float]]) -> list[list[float]]:
        """For each built corner the best way to grow to the whole piece, one rectangle at a time.

        A corner grows from xs[i] to any width: the part added is rounded up to a sum of sides, so that
        the bound never falls short.
        """
        xs, ys = self.xs, self.ys
        table = [[0.0] * len(ys) for _ in xs]
        for i in reversed(range(len(xs))):
            for j in reversed(range(len(ys))):
                here = 0.0
                for wider in range(i + 1, len(xs)):
                    added = bisect_right(xs, xs[wider] - xs[i]) - 1
                    here = max(here, table[wider][j] + most[added][j])
                for higher in range(j + 1, len(ys)):
                    added = bisect_right(ys, ys[higher] - ys[j]) - 1
                    here = max(here, table[i][higher] + most[i][added])
                # growing to the piece's own edge, whether or not that is a sum of sides
                side = most[bisect_right(xs, self.width - xs[i]) - 1]
                top = bisect_right(ys, self.height - ys[j]) - 1
                here = max(here, side[j], most[i][top])
                table[i][j] = here
        return table


def _other_halves(sums: Sequence[int]) -> list[list[int]]:
    """For each length and each cut up to its middle, which sum the other side holds."""
    return [
        [bisect_right(sums, whole - cut) - 1 for cut in sums[1:at] if 2 * cut <= whole] for at, whole in enumerate(sums)
    ]


def _sums(sides: Sequence[int], limit: int) -> list[int]:
    """Every sum of sides up to the limit, 0 among them; cut short when there are far too many."""
    sums, fresh = {0}, {0}
    while fresh and len(sums) <= _MOST_POINTS:
        fresh = {one + side for one in fresh for side in set(sides) if one + side <= limit} - sums
        sums |= fresh
    return sorted(sums)
