"""A cushion or throw put together on paper, seam by seam: the judge of the counts.

Everything is found by walking the article in whole steps (Fractions of an inch): blocks are laid where the
one before ends, seams where two blocks meet, snips one by one along a seam. No closed formula of the
program is used.
"""

from dataclasses import dataclass
from fractions import Fraction as F

IN = 25.4  # mm [source: international yard agreement 1959]


@dataclass(frozen=True)
class Article:
    """Blocks across and down, cut square, seam and snip distance, all in inches."""

    across: int
    down: int
    square: F
    seam: F
    every: F = F(1, 2)
    make: int = 1

    def edges(self, count: int) -> list[tuple[F, F]]:
        """Where each of a line of blocks begins and ends, the first at 0: each is sewn on one seam in."""
        out: list[tuple[F, F]] = []
        start = F(0)
        for _ in range(count):
            if out:
                sewn = out[-1][1] - self.seam  # the line of stitches in the block before
                start = sewn - self.seam  # lies one seam inside the next block too
            out.append((start, start + self.square))
        return out

    def lines(self, count: int) -> list[F]:
        """Every line of stitches across a line of blocks, the two outer ones with it."""
        blocks = self.edges(count)
        return [blocks[0][0] + self.seam, *(end - self.seam for _, end in blocks)]

    def panel(self) -> tuple[F, F]:
        return self.edges(self.across)[-1][1], self.edges(self.down)[-1][1]

    def face(self) -> tuple[F, F]:
        x, y = self.lines(self.across), self.lines(self.down)
        return x[-1] - x[0], y[-1] - y[0]

    def snips_between(self, first: F, last: F) -> int:
        """Snips along a seam from one line of stitches to the next, none in either line."""
        count, at = 0, first + self.every
        while at < last:
            count, at = count + 1, at + self.every
        return count

    def row_snips(self) -> int:
        """Snips in the seams inside rows: each runs from the line above its block to the line below."""
        y = self.lines(self.down)
        return self.make * sum(
            self.snips_between(y[row], y[row + 1]) for row in range(self.down) for _ in range(self.across - 1)
        )

    def panel_snips(self) -> int:
        x = self.lines(self.across)
        return self.make * sum(self.snips_between(x[0], x[-1]) for _ in range(self.down - 1))

    def outer_snips(self) -> int:
        """Four sides, each from corner to corner, and one slanting slit in each corner."""
        x, y = self.lines(self.across), self.lines(self.down)
        sides = [(x[0], x[-1]), (x[0], x[-1]), (y[0], y[-1]), (y[0], y[-1])]
        return self.make * (sum(self.snips_between(*side) for side in sides) + len(sides))

    def crossings(self) -> int:
        """Places inside the panel where four blocks meet."""
        cells = {(r, c) for r in range(self.down) for c in range(self.across)}
        return self.make * sum({(r, c), (r + 1, c), (r, c + 1), (r + 1, c + 1)} <= cells for r, c in cells)

    def side_by_side(self) -> int:
        cells = {(r, c) for r in range(self.down) for c in range(self.across)}
        return self.make * sum((r, c + 1) in cells for r, c in cells)
