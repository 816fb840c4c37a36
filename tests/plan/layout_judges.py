"""Judges of layouts, written apart from the solver."""

from collections import Counter
from collections.abc import Mapping

from guide.plan.layout.counts import Supply
from guide.plan.layout.faces import with_matches
from guide.plan.model import Layout


def exactly(name: str, count: int) -> Supply:
    """So many squares of a print, to the last one."""
    return Supply(name, at_least=count, at_most=count)


def cells(across: int, down: int) -> list[tuple[int, int]]:
    """1-based (row, column), row by row."""
    return [(row, column) for row in range(1, down + 1) for column in range(1, across + 1)]


def side_matches(face: Mapping[tuple[int, int], object]) -> int:
    """Pairs of side neighbours that are alike on one face."""
    return sum(
        face[row, column] == face[other]
        for row, column in face
        for other in ((row, column + 1), (row + 1, column))
        if other in face
    )


def proper(face: Mapping[tuple[int, int], object]) -> bool:
    return side_matches(face) == 0


def faces(layout: Layout) -> list[dict[tuple[int, int], str]]:
    """Front, and the back of blocks that have one."""
    ends = (0,) if len(layout.blocks[0].stack) == 1 else (0, -1)
    return [{(b.row, b.column): b.stack[end] for b in layout.blocks} for end in ends]


def squares(layout: Layout) -> Counter[str]:
    """Squares by print in all."""
    return Counter(name for block in layout.blocks for name in block.stack)


def likeness(layout: Layout) -> int:
    """Equal prints on diagonals and two apart, both faces."""
    return sum(
        face[row, column] == face[other]
        for face in faces(layout)
        for row, column in face
        for other in ((row + 1, column + 1), (row + 1, column - 1), (row, column + 2), (row + 2, column))
        if other in face
    )


def longest_line(layout: Layout) -> int:
    """Squares of the longest line of one print on a diagonal, on either face."""
    longest = 1
    for face in faces(layout):
        for row, column in face:
            for lean in (1, -1):
                length = 1
                while face.get((row + length, column + lean * length)) == face[row, column]:
                    length += 1
                longest = max(longest, length)
    return longest


def counted_anew(layout: Layout) -> tuple[int, int, int]:
    """How often the program finds a print beside itself: on the front, on the back, on diagonals."""
    found = with_matches(layout)
    return found.front_matches, found.back_matches, found.diagonal_matches
