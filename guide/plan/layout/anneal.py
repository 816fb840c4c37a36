"""Likes far from each other: fewest on the diagonals and two apart, none side by side.

`fill` lays prints one after the other where they meet least, round blocks that stay fixed: a beginning, which
`anneal` betters.

Two squares change places when that lowers the likeness around them, and now and then when it does not
(simulated annealing: Kirkpatrick, Gelatt, Vecchi, Science 220 (1983) 671). Counts never change.
"""

from collections.abc import Sequence
from math import exp
from random import Random

from guide.plan.layout.grid import Grid, alike

SIDE = 1000  # a match at the side outweighs all other likeness a swap can gain
HOT, COLD = 0.4, 0.15  # in pairs alike: what a swap may cost at the beginning and at the end
TRIES = 6  # partners tried for each square that meets its like in a sweep
HARD, ROUNDS = 300, 4  # the same for squares that still touch their like at the end, and how often
EVEN = 15.0  # how much a print that lags behind its share is preferred, in pairs alike
CHANCE = 0.1  # settles ties


def likeness(grid: Grid, colours: Sequence[int]) -> int:
    """Pairs alike on the diagonals and two apart, on all faces."""
    return alike(grid, colours, (grid.stride + 1, grid.stride - 1, 2, 2 * grid.stride))


class Table:
    """For each print and place: how much likeness a square of that print would meet there."""

    def __init__(self, grid: Grid, colours: Sequence[int], prints: int) -> None:
        self.side, self.near = grid.side, grid.near
        self.rows = [[0] * (grid.size * grid.faces) for _ in range(prints)]
        # Where two neighbours change places, each one's row still counts the other's square that is about to leave.
        self.link = dict.fromkeys(self.near, 2) | dict.fromkeys(self.side, 2 * SIDE)
        for face in range(grid.faces):
            for place in grid.walk(face):
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


def anneal(grid: Grid, colours: list[int], movable: Sequence[int], rng: Random, sweeps: int) -> None:
    """Swap movable squares in place, so many sweeps long or until nothing alike is near."""
    table = Table(grid, colours, max(colours) + 1)
    heat, cooling = HOT, (COLD / HOT) ** (1 / max(1, sweeps - 1))
    for _ in range(sweeps):
        if not _sweep(table, colours, (movable, movable), rng, (heat, TRIES)):
            return
        heat *= cooling
    for _ in range(ROUNDS):
        # A few likes may be left side by side where hardly any swap frees them: those alone are offered far more.
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
    # A loss of six pairs or more is taken so seldom that it is not reckoned with at all.
    odds = [exp(-loss / heat) for loss in range(6)]
    random, many, rows, link = rng.random, len(movable), table.rows, table.link
    alike = 0
    for place in offered:
        mine = colours[place]
        row = rows[mine]
        here = row[place]
        # A square that meets nothing alike has nothing to gain: only its partners move it.
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


def fill(grid: Grid, colours: list[int], counts: Sequence[int], rng: Random) -> None:
    """Fill the empty places (-1) in place with these counts, which must fill them exactly.

    Row by row, both faces together; each place takes the print that meets itself least and lags most.
    """
    table = Table(grid, colours, len(counts))
    left = list(counts)
    faces = [grid.walk(face) for face in range(grid.faces)]
    empty = [place for places in zip(*faces, strict=True) for place in places if colours[place] < 0]
    random, rows, todo = rng.random, table.rows, len(empty)
    shares = [EVEN * todo / count if count else 0.0 for count in counts]
    for place in empty:
        best, least = -1, 0.0
        for colour, count in enumerate(left):
            if not count:
                continue
            # How far a print lags behind its share of the places left, so that no print is kept for the end.
            cost = rows[colour][place] - shares[colour] * count / todo + CHANCE * random()
            if best < 0 or cost < least:
                best, least = colour, cost
        colours[place] = best
        table.lay(best, place)
        left[best] -= 1
        todo -= 1
