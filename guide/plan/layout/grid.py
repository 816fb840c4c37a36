"""One or two faces of a panel as one flat list, for quick work on neighbours.

A face is stored row by row with two empty places after each row and two empty rows above and below, so
that a square's neighbours lie at the same distances everywhere and the edge needs no special care.
"""

from collections.abc import Iterator, Sequence
from operator import eq

import msgspec

EDGE = 2  # the furthest that two squares are compared: two apart
LINE = 4  # alike squares on a diagonal; more look like a band


class Grid(msgspec.Struct, frozen=True):
    """Where each square of one or two faces lies in a flat list."""

    across: int
    down: int
    faces: int  # 1 or 2

    @property
    def stride(self) -> int:
        """From a square to the one below it."""
        return self.across + EDGE

    @property
    def size(self) -> int:
        """Places of one face, the empty ones too."""
        return (self.down + 2 * EDGE) * self.stride

    @property
    def places(self) -> int:
        """Squares on all faces."""
        return self.across * self.down * self.faces

    def at(self, face: int, row: int, column: int) -> int:
        """Index of a square; row and column 0-based."""
        return face * self.size + (row + EDGE) * self.stride + column

    def where(self, place: int) -> tuple[int, int, int]:
        """Face, row and column (0-based) of a square."""
        face, inside = divmod(place, self.size)
        row, column = divmod(inside, self.stride)
        return face, row - EDGE, column

    def walk(self, face: int) -> Iterator[int]:
        """Every square of a face, row by row."""
        for row in range(self.down):
            first = self.at(face, row, 0)
            yield from range(first, first + self.across)

    @property
    def side(self) -> tuple[int, int, int, int]:
        """Distances to the four squares sewn to this one."""
        return (1, -1, self.stride, -self.stride)

    @property
    def near(self) -> tuple[int, ...]:
        """Distances to the squares on the diagonals and two apart."""
        s = self.stride
        return (s + 1, s - 1, 1 - s, -1 - s, 2, -2, 2 * s, -2 * s)


def alike(grid: Grid, colours: Sequence[int], steps: Sequence[int]) -> int:
    """How many pairs of squares at these distances (ahead only) are the same; empty places are -1."""
    width = grid.across
    count = 0
    for face in range(grid.faces):
        for row in range(grid.down):
            first = grid.at(face, row, 0)
            mine = colours[first : first + width]
            for step in steps:
                count += sum(map(eq, mine, colours[first + step : first + step + width]))
    return count


def bands(grid: Grid, colours: Sequence[int]) -> int:
    """How many squares lengthen a line of like ones on a diagonal beyond what may be."""
    count = 0
    for face in range(grid.faces):
        for slope in (grid.stride + 1, grid.stride - 1):
            runs = [1] * (grid.size * grid.faces)
            for place in grid.walk(face):
                if colours[place] == colours[place - slope]:
                    runs[place] = runs[place - slope] + 1
                    count += runs[place] > LINE
    return count
