"""What meets what: the faces of a panel as one flat field, and the check of any layout.

A face is stored row by row with two empty places after each row and two empty rows above and below, so
that a square's neighbours lie at the same distances everywhere and the edge needs no special care.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import msgspec

from guide.plan.model import Block, Layout

EDGE = 2  # the furthest that two squares are compared: two apart


class Field(NamedTuple):
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

    def at(self, face: int, row: int, column: int) -> int:
        """Index of a square; row and column 0-based."""
        return face * self.size + (row + EDGE) * self.stride + column

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


class Matches(NamedTuple):
    """How often the same print meets itself: sides on the front, on the back, diagonals on both."""

    front: int
    back: int
    diagonal: int


class Meeting(NamedTuple):
    """Two side neighbours with the same print on one face."""

    face: str  # front | back
    first: tuple[int, int]
    second: tuple[int, int]
    print: str


def meetings(layout: Layout) -> list[Meeting]:
    """Every place where a print meets itself, in the panel's order; rows and columns 1-based, front seen.

    The back is seen mirrored, but the same blocks meet there. Single squares have only a front.
    """
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    found = []
    for (row, column), stack in stacks.items():
        for other in ((row, column + 1), (row + 1, column)):
            beside = stacks.get(other)
            if beside is None:
                continue
            if stack[0] == beside[0]:
                found.append(Meeting("front", (row, column), other, stack[0]))
            if len(stack) > 1 and stack[-1] == beside[-1]:
                found.append(Meeting("back", (row, column), other, stack[-1]))
    return found


def matches(layout: Layout) -> Matches:
    """Count the matches of a layout from its blocks alone, whoever made it."""
    sides = [meeting.face for meeting in meetings(layout)]
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    diagonal = 0
    for (row, column), stack in stacks.items():
        for other in ((row + 1, column + 1), (row + 1, column - 1)):
            beside = stacks.get(other)
            if beside is not None:
                diagonal += stack[0] == beside[0]
                diagonal += len(stack) > 1 and stack[-1] == beside[-1]
    return Matches(sides.count("front"), sides.count("back"), diagonal)


def counted(layout: Layout) -> Layout:
    """Return the same layout with its matches counted afresh."""
    found = matches(layout)
    return msgspec.structs.replace(
        layout, front_matches=found.front, back_matches=found.back, diagonal_matches=found.diagonal
    )


def swap(layout: Layout, first: tuple[int, int], second: tuple[int, int]) -> Layout:
    """Two blocks change places whole, and the matches are counted again; (row, column) 1-based.

    Raises KeyError when there is no such block.
    """
    places = {(block.row, block.column): block.stack for block in layout.blocks}
    places[first], places[second] = places[second], places[first]
    return counted(msgspec.structs.replace(layout, blocks=as_blocks(places)))


def as_blocks(stacks: Mapping[tuple[int, int], tuple[str, ...]]) -> tuple[Block, ...]:
    """Blocks in the panel's order from stacks by (row, column)."""
    return tuple(Block(row, column, stack) for (row, column), stack in sorted(stacks.items()))
