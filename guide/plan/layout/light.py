"""Light against dark: how light each print is, and where two that lie side by side are hardly told apart."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

import msgspec

from guide.plan.layout.faces import Cell
from guide.plan.model import Layout
from guide.read.colours import lightness
from guide.read.model import Project

NEAR = 10.0  # L* apart, below which two prints read as one from across a room [practice]

Lights = Mapping[str, float]


def lights_of(project: Project) -> dict[str, float]:
    """L* of each print that says its colour, 0 black to 100 white."""
    return {cloth.name: lightness(cloth.colour) for cloth in project.prints if cloth.colour}


class Contrast(msgspec.Struct, frozen=True):
    """Light against dark on one face: L* apart, over neighbours at the sides whose prints both say a colour."""

    neighbours: int
    mean: float  # apart, on average
    near: tuple[tuple[Cell, Cell], ...]  # less than NEAR apart, prints that are the same left out
    longest: int  # blocks one after another in a row or column of which none is told apart from the one before


def contrast(layout: Layout, lights: Lights, layer: int = 0) -> Contrast | None:
    """Light against dark on a layer of a layout, 1-based as its front is seen; None where no neighbours say colours."""
    rows = [[""] * layout.across for _ in range(layout.down)]
    for block in layout.blocks:
        rows[block.row - 1][block.column - 1] = block.stack[layer]
    return contrast_of(rows, lights)


def contrast_of(rows: Sequence[Sequence[str]], lights: Lights) -> Contrast | None:
    """The same of prints row by row, as they are seen."""
    apart: list[float] = []
    near: list[tuple[Cell, Cell]] = []
    longest = 1
    across = [[((r, c), name) for c, name in enumerate(row, 1)] for r, row in enumerate(rows, 1)]
    for line in [*across, *(list(column) for column in zip(*across, strict=True))]:
        run = 1
        for (first, one), (second, other) in pairwise(line):
            if one not in lights or other not in lights:
                run = 1
                continue
            differs = abs(lights[one] - lights[other])
            apart.append(differs)
            run = run + 1 if differs < NEAR else 1
            longest = max(longest, run)
            if differs < NEAR and one != other:
                near.append((first, second))
    if not apart:
        return None
    return Contrast(len(apart), sum(apart) / len(apart), tuple(near), longest)
