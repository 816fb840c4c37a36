"""The even pattern: print (turn·row + column) mod prints, which for five prints or more meets itself nowhere near.

A good beginning when the prints are nearly equally many; a few places are emptied where a print has too
many, to be sown with what is missing.
"""

from collections.abc import Sequence
from random import Random

from guide.plan.field import Field

FEWEST = 4  # prints, below which stripes are all that comes of it


def lattice(field: Field, counts: Sequence[int], rng: Random, gaps: float) -> list[int] | None:
    """Lay the pattern with no print beyond its count, -1 where that leaves a gap; None: it does not suit.

    It suits while at most `gaps` of the places are left open. The back leans the other
    way from the front, so that the panel does not look ruled.
    """
    used = [colour for colour, count in enumerate(counts) if count]
    many = len(used)
    if many < FEWEST:
        return None
    rng.shuffle(used)
    turn = min(range(1, many), key=lambda turn: (_near(turn, many), abs(2 * turn - many)))
    colours = [-1] * (field.size * field.faces)
    for face in range(field.faces):
        lean = many - turn if face else turn
        for row in range(field.down):
            for column in range(field.across):
                colours[field.at(face, row, column)] = used[(lean * row + column) % many]
    emptied = _empty(field, colours, counts, rng)
    return colours if emptied <= gaps * field.places else None


def _near(turn: int, many: int) -> int:
    """How many of the four directions (two diagonals, two apart both ways) meet their like."""
    return sum(step % many == 0 for step in (turn + 1, turn - 1, 2, 2 * turn))


def _empty(field: Field, colours: list[int], counts: Sequence[int], rng: Random) -> int:
    """Empty places of prints that lie too often, spread over the panel; how many."""
    places: list[list[int]] = [[] for _ in counts]
    for face in range(field.faces):
        for place in field.walk(face):
            places[colours[place]].append(place)
    emptied = 0
    for mine, count in zip(places, counts, strict=True):
        over = len(mine) - count
        start = rng.random()
        for i in range(over):
            colours[mine[int((i + start) * len(mine) / over)]] = -1
        emptied += max(0, over)
    return emptied
