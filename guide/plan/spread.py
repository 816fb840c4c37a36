"""Spread prints pleasingly: fewest alike on the diagonals and two apart, none side by side.

Two squares change places when that lowers the likeness around them, and now and then when it does not
(simulated annealing: Kirkpatrick, Gelatt, Vecchi, Science 220 (1983) 671). Counts never change.
"""

from collections.abc import Sequence
from math import exp
from random import Random

from guide.plan.field import Field, alike

SIDE = 1000  # a match at the side outweighs all other likeness a swap can gain
HOT, COLD = 0.4, 0.15  # in pairs alike: what a swap may cost at the beginning and at the end
TRIES = 6  # partners tried for each square that meets its like in a sweep
HARD, ROUNDS = 300, 4  # the same for squares that still touch their like at the end, and how often


def likeness(field: Field, colours: Sequence[int]) -> int:
    """Pairs alike on the diagonals and two apart, on all faces."""
    return alike(field, colours, (field.stride + 1, field.stride - 1, 2, 2 * field.stride))


class Table:
    """For each print and place: how much likeness a square of that print would meet there."""

    def __init__(self, field: Field, colours: Sequence[int], prints: int) -> None:
        self.side, self.near = field.side, field.near
        self.rows = [[0] * (field.size * field.faces) for _ in range(prints)]
        self.link = dict.fromkeys(self.near, 2) | dict.fromkeys(self.side, 2 * SIDE)
        for face in range(field.faces):
            for place in field.walk(face):
                if colours[place] >= 0:
                    self.lay(colours[place], place)

    def lay(self, colour: int, place: int) -> None:
        """A square of this print now lies here."""
        row = self.rows[colour]
        for step in self.side:
            row[place + step] += SIDE
        for step in self.near:
            row[place + step] += 1

    def lift(self, colour: int, place: int) -> None:
        """No square of this print lies here any more."""
        row = self.rows[colour]
        for step in self.side:
            row[place + step] -= SIDE
        for step in self.near:
            row[place + step] -= 1


def spread(field: Field, colours: list[int], movable: Sequence[int], rng: Random, sweeps: int) -> None:
    """Swap movable squares in place, so many sweeps long or until nothing alike is near."""
    table = Table(field, colours, max(colours) + 1)
    heat, cooling = HOT, (COLD / HOT) ** (1 / max(1, sweeps - 1))
    for _ in range(sweeps):
        if not _sweep(table, colours, (movable, movable), rng, (heat, TRIES)):
            return
        heat *= cooling
    for _ in range(ROUNDS):
        touching = [place for place in movable if table.rows[colours[place]][place] >= SIDE]
        if not touching:
            return
        _sweep(table, colours, (touching, movable), rng, (COLD, min(HARD, len(movable))))


def _sweep(
    table: Table,
    colours: list[int],
    places: tuple[Sequence[int], Sequence[int]],
    rng: Random,
    how: tuple[float, int],
) -> int:
    """Offer each of the first places that meets its like some of the second; how many met theirs.

    `how`: the heat, and the partners tried for each.
    """
    (offered, movable), (heat, tries) = places, how
    odds = [exp(-loss / heat) for loss in range(6)]
    random, many, rows, link = rng.random, len(movable), table.rows, table.link
    alike = 0
    for place in offered:
        mine = colours[place]
        row = rows[mine]
        here = row[place]
        if not here:
            continue
        alike += 1
        for _ in range(tries):
            other = movable[int(random() * many)]
            theirs = colours[other]
            if theirs == mine:
                continue
            their_row = rows[theirs]
            gain = here - their_row[place] + their_row[other] - row[other] + link.get(other - place, 0)
            if gain > 0 or (gain > -6 and random() < odds[-gain]):
                colours[place], colours[other] = theirs, mine
                table.lift(mine, place)
                table.lay(theirs, place)
                table.lift(theirs, other)
                table.lay(mine, other)
                break
    return alike
