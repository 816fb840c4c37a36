"""Lay prints one after the other where they meet least: a good beginning round blocks that stay fixed."""

from collections.abc import Sequence
from random import Random

from guide.plan.field import Field
from guide.plan.spread import Table

EVEN = 15.0  # how much a print that lags behind its share is preferred, in pairs alike
CHANCE = 0.1  # settles ties


def sow(field: Field, colours: list[int], counts: Sequence[int], rng: Random) -> None:
    """Fill the empty places (-1) in place with these counts, which must fill them exactly.

    Row by row, both faces together; each place takes the print that meets itself least and lags most.
    """
    table = Table(field, colours, len(counts))
    left = list(counts)
    faces = [field.walk(face) for face in range(field.faces)]
    empty = [place for places in zip(*faces, strict=True) for place in places if colours[place] < 0]
    random, rows, todo = rng.random, table.rows, len(empty)
    shares = [EVEN * todo / count if count else 0.0 for count in counts]
    for place in empty:
        best, least = -1, 0.0
        for colour, count in enumerate(left):
            if not count:
                continue
            cost = rows[colour][place] - shares[colour] * count / todo + CHANCE * random()
            if best < 0 or cost < least:
                best, least = colour, cost
        colours[place] = best
        table.lay(best, place)
        left[best] -= 1
        todo -= 1
