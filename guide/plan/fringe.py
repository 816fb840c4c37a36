"""What colours each raw-edge seam will show once it has frayed."""

from collections import Counter
from collections.abc import Mapping

import msgspec

from guide.plan.layout.faces import Cell
from guide.plan.model import Layout


class SeamFringe(msgspec.Struct, frozen=True):
    """One seam between two blocks: colours with the sides of cloth that show them, most first."""

    first: Cell  # (row, column), 1-based
    second: Cell
    shows: tuple[tuple[str, int], ...]


def fringe(layout: Layout, reverses: Mapping[str, str]) -> tuple[SeamFringe, ...]:
    """Colours of every seam inside the panel: seams within rows and between them, in the panel's order.

    Every layer stands up in the seam and shows both its sides: the print, and its reverse where it has
    another colour (`reverses`, by print). So each seam of two stacks shows 4 sides per layer of a block.
    """
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    seams = []
    for (row, column), stack in stacks.items():
        for other in ((row, column + 1), (row + 1, column)):
            if other in stacks:
                shows = Counter[str]()
                for name in (*stack, *stacks[other]):
                    shows[name] += 1
                    shows[reverses.get(name, name)] += 1
                seams.append(SeamFringe((row, column), other, tuple(shows.most_common())))
    return tuple(seams)
