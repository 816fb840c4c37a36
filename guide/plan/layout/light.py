"""Light against dark: how light a colour is, and where two prints side by side are hardly told apart."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

import msgspec

from guide.plan.layout.faces import Cell
from guide.plan.model import Layout
from guide.read.model import Project

EVEN = 0.179  # relative luminance at which black and white stand out alike


def parts(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of `#rrggbb`, each from 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def luminance(red: float, green: float, blue: float) -> float:
    """Relative luminance, 0 to 1, of an sRGB colour whose parts go from 0 to 1 (IEC 61966-2-1; WCAG 2)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def lightness(colour: str) -> float:
    """L* of `#rrggbb`, 0 black to 100 white (CIE 1976, ISO/CIE 11664-4; the white is that of sRGB, D65).

    The same step looks about as large anywhere between black and white, whatever the hue.
    """
    light = luminance(*parts(colour))
    return 116 * light ** (1 / 3) - 16 if light > (6 / 29) ** 3 else light * (29 / 3) ** 3


def ink(colour: str) -> str:
    """Black or white, whichever stands out further on a colour: 4.5 : 1 or more on any (WCAG 2)."""
    return "#ffffff" if luminance(*parts(colour)) < EVEN else "#000000"


def grey(light: float) -> str:
    """The grey of a lightness, as `#rrggbb`: `lightness` turned round."""
    linear = ((light + 16) / 116) ** 3 if light > 8 else light / (29 / 3) ** 3
    part = linear * 12.92 if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return "#" + f"{round(255 * min(1.0, max(0.0, part))):02x}" * 3


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
