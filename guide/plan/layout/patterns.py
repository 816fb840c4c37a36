"""Even patterns to begin with: a lattice for four prints or more, rows that lean and lean back for three.

Lattice: print (turn·row + column) mod prints, which for five prints or more meets itself nowhere near. It suits prints
that are nearly equally many; a few places are emptied where a print has too many, to be filled with what is missing.
Zigzag: of three prints, equally many and with none beside its like, hardly anything but diagonal stripes can be laid,
so rows lean one way, turn before that looks like a band, and lean back.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from random import Random

from guide.plan.layout.grid import LINE, Grid

FEWEST = 4  # prints, below which stripes are all that comes of it


def lattice(grid: Grid, counts: Sequence[int], rng: Random, gaps: float) -> list[int] | None:
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
    colours = [-1] * (grid.size * grid.faces)
    for face in range(grid.faces):
        lean = many - turn if face else turn
        for row in range(grid.down):
            for column in range(grid.across):
                colours[grid.at(face, row, column)] = used[(lean * row + column) % many]
    emptied = _empty(grid, colours, counts, rng)
    return colours if emptied <= gaps * grid.places else None


def _near(turn: int, many: int) -> int:
    """How many of the four directions (two diagonals, two apart both ways) meet their like."""
    return sum(step % many == 0 for step in (turn + 1, turn - 1, 2, 2 * turn))


def _empty(grid: Grid, colours: list[int], counts: Sequence[int], rng: Random) -> int:
    """Empty places of prints that lie too often, spread over the panel; how many."""
    places: list[list[int]] = [[] for _ in counts]
    for face in range(grid.faces):
        for place in grid.walk(face):
            places[colours[place]].append(place)
    emptied = 0
    for mine, count in zip(places, counts, strict=True):
        over = len(mine) - count
        start = rng.random()
        for i in range(over):
            colours[mine[int((i + start) * len(mine) / over)]] = -1
        emptied += max(0, over)
    return emptied


def zigzag(grid: Grid, room: Sequence[int], rng: Random) -> list[int] | None:
    """Lay three prints in zigzag, no print on more places than its `room`; None: it does not fit.

    Where there is a choice the prints come out as equally many as they can.
    """
    used = [colour for colour, count in enumerate(room) if count]
    if len(used) != 3:
        return None
    rng.shuffle(used)
    best: list[int] | None = None
    evenest = grid.places
    for colours in _ways(grid, used, rng.randrange(2 * LINE)):
        counts = [colours.count(colour) for colour in used]
        fits = all(count <= room[colour] for colour, count in zip(used, counts, strict=True))
        if fits and max(counts) - min(counts) < evenest:
            best, evenest = colours, max(counts) - min(counts)
    return best


def _ways(grid: Grid, used: Sequence[int], phase: int) -> Iterator[list[int]]:
    """The zigzag along rows and along columns, each face begun with each print."""
    leans = _leans(max(grid.across, grid.down), phase)
    for by_column, starts in product((False, True), product(range(3), repeat=grid.faces)):
        colours = [-1] * (grid.size * grid.faces)
        for face, start in enumerate(starts):
            for row, column in product(range(grid.down), range(grid.across)):
                shift = leans[column] + row if by_column else leans[row] + column
                way = -shift if face else shift
                colours[grid.at(face, row, column)] = used[(start + way) % 3]
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
