"""Three prints without ruled stripes: rows lean one way, turn before it looks like a band, and lean back.

Of three prints, equally many and with none beside its like, hardly anything but diagonal stripes can be laid.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from random import Random

from guide.plan.field import LINE, Field


def zigzag(field: Field, room: Sequence[int], rng: Random) -> list[int] | None:
    """Lay three prints in zigzag, no print on more places than its `room`; None: it does not fit.

    Where there is a choice the prints come out as equally many as they can.
    """
    used = [colour for colour, count in enumerate(room) if count]
    if len(used) != 3:
        return None
    rng.shuffle(used)
    best: list[int] | None = None
    evenest = field.places
    for colours in _ways(field, used, rng.randrange(2 * LINE)):
        counts = [colours.count(colour) for colour in used]
        fits = all(count <= room[colour] for colour, count in zip(used, counts, strict=True))
        if fits and max(counts) - min(counts) < evenest:
            best, evenest = colours, max(counts) - min(counts)
    return best


def _ways(field: Field, used: Sequence[int], phase: int) -> Iterator[list[int]]:
    """The zigzag along rows and along columns, each face begun with each print."""
    leans = _leans(max(field.across, field.down), phase)
    for by_column, starts in product((False, True), product(range(3), repeat=field.faces)):
        colours = [-1] * (field.size * field.faces)
        for face, start in enumerate(starts):
            for row, column in product(range(field.down), range(field.across)):
                shift = leans[column] + row if by_column else leans[row] + column
                way = -shift if face else shift
                colours[field.at(face, row, column)] = used[(start + way) % 3]
        yield colours


def _leans(lines: int, phase: int) -> list[int]:
    """How far each line is shifted: a few steps up, as many down; short panels never turn."""
    leg = LINE - 1
    if lines <= LINE:
        return list(range(lines))
    leans = [0]
    for line in range(1, lines):
        leans.append(leans[-1] + (1 if (line + phase) // leg % 2 else -1))
    return leans
