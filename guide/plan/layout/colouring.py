"""Which print lies where on the faces: the best of a few beginnings, each annealed as far as time allows.

One beginning deals every other square first, then the ones between: coloured like a draughtboard, a face has two
kinds of squares and only unlike kinds touch. Dealing the prints one after the other over all of one kind, then over
the other, leaves at most one print on both, at opposite ends. Two faces are one such board: even fronts with odd
backs, then the rest.

Or an even pattern. Lattice, of four prints or more: print (turn·row + column) mod prints, which for five or more meets
itself nowhere near. It suits prints that are nearly equally many; a few places are emptied where a print has too many,
to be filled with what is missing. Zigzag: of three prints, equally many and with none beside its like, hardly anything
but diagonal stripes can be laid, so rows lean one way, turn before that looks like a band, and lean back.

`fill` lays prints one after the other where they meet least, round blocks that stay fixed: a beginning, which
`anneal` betters. Likes then lie far from each other: fewest on the diagonals and two apart, none side by side. Two
squares change places when that lowers the likeness around them, and now and then when it does not (simulated
annealing: Kirkpatrick, Gelatt, Vecchi, Science 220 (1983) 671). Counts never change.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, permutations, product
from math import exp
from random import Random

import msgspec

from guide.plan.layout.counts import LINE, Grid, alike, bands

FEWEST_PRINTS = 4  # prints, below which stripes are all that comes of it


def lattice(grid: Grid, counts: Sequence[int], rng: Random, gaps: float, turn: int | None = None) -> list[int] | None:
    """Lay the pattern with no print beyond its count, -1 where that leaves a gap; None: it does not suit.

    It suits while at most `gaps` of the places are left open. The back leans the other
    way from the front, so that the panel does not look ruled. `turn`: by how much each row is shifted; else so that
    likes meet least.
    """
    used = [colour for colour, count in enumerate(counts) if count]
    many = len(used)
    if many < FEWEST_PRINTS:
        return None
    rng.shuffle(used)
    turn = turn or min(range(1, many), key=lambda turn: (_near(turn, many), abs(2 * turn - many)))
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
    for place in grid.every:
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
    for colours in _periods(grid, used, rng.randrange(2 * LINE)):
        counts = [colours.count(colour) for colour in used]
        fits = all(count <= room[colour] for colour, count in zip(used, counts, strict=True))
        if fits and max(counts) - min(counts) < evenest:
            best, evenest = colours, max(counts) - min(counts)
    return best


def _periods(grid: Grid, used: Sequence[int], phase: int) -> Iterator[list[int]]:
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


WORK = 60_000  # places times sweeps spent on one beginning
SMALL, FEWEST = 24, 3  # sweeps of a small panel, and of a very large one
BANDED = 2  # what a square that lengthens a band weighs against two alike nearby
LARGE = 5_000  # places; beyond, the first beginning that comes out clear is taken


def best_colouring(
    grid: Grid, counts: Sequence[int], laid: Mapping[int, int], seed: int, room: Sequence[int] | None = None
) -> list[int]:
    """Prints by place (-1 off the panel) with these counts in the places that are not `laid` already.

    Prints are numbers into `counts`, which must fill the panel exactly; a pattern that looks better may
    take other counts, up to `room`. Nothing meets its like at the side if that could be reached; then as
    few as can be on the diagonals and two apart. Laying by parity, which comes out clear where any layout can,
    is begun from when the prettier beginnings do not.
    """
    free = [place for place in grid.every if place not in laid]
    best: list[int] = []
    least = (grid.places * 2, 0)  # side matches, then likeness: no face has so many
    for number, colours in enumerate(_beginnings(grid, counts, laid, (len(free), seed), room or counts)):
        anneal(grid, colours, (free, _sweeps(len(free))), Random(seed + number))  # noqa: S311 (a pattern)
        cost = (side_matches(grid, colours), likeness(grid, colours) + BANDED * bands(grid, colours))
        if cost < least:
            best, least = colours, cost
        if least == (0, 0) or (len(free) > LARGE and not least[0]):
            return best
    # Plain to look at, so it is last: but where counts allow any clear layout at all this one comes out clear.
    by_turns = by_parity(grid, counts) if least[0] and not laid else None
    if by_turns is None:
        return best
    anneal(grid, by_turns, (free, _sweeps(len(free))), Random(seed))  # noqa: S311 (a pattern)
    return by_turns


def _sweeps(places: int) -> int:
    return max(FEWEST, min(max(SMALL, places), WORK // max(1, places)))


def _beginnings(
    grid: Grid, counts: Sequence[int], laid: Mapping[int, int], size: tuple[int, int], room: Sequence[int]
) -> Iterator[list[int]]:
    """The even patterns where they suit, then filled row by row, small panels more than once."""
    free, seed = size
    rng = Random(seed)  # noqa: S311 (a pattern)
    if not laid:
        zigzags = zigzag(grid, room, rng)
        if zigzags is not None:
            yield zigzags
        even = lattice(grid, counts, rng, 0.1 if free <= LARGE else 0.02)
        if even is not None:
            fill(grid, even, [count - even.count(colour) for colour, count in enumerate(counts)], rng)
            yield even
    for _ in range(max(1, min(3, 200 // max(1, free)))):
        filled = [-1] * (grid.size * grid.faces)
        for place, colour in laid.items():
            filled[place] = colour
        fill(grid, filled, counts, rng)
        yield filled


TRIES = 48


def by_parity(grid: Grid, counts: Sequence[int]) -> list[int] | None:
    """Deal counts of prints over the faces; a flat list by place (-1: no square), None: not found.

    The counts must fill the faces. Time linear in the squares.
    """
    for walk, order in islice(_ways(grid, counts), TRIES):
        laid = [-1] * (grid.size * grid.faces)
        dealt = (colour for colour in order for _ in range(counts[colour]))
        for place, colour in zip(walk, dealt, strict=False):
            laid[place] = colour
        if side_matches(grid, laid) == 0:
            return laid
    return None


def side_matches(grid: Grid, colours: Sequence[int]) -> int:
    """How many side neighbours are alike."""
    return alike(grid, colours, (1, grid.stride))


def _ways(grid: Grid, counts: Sequence[int]) -> Iterator[tuple[list[int], tuple[int, ...]]]:
    """Walks and orders, the likeliest first."""
    ranked = sorted((i for i, count in enumerate(counts) if count), key=lambda i: -counts[i])
    first, last = ranked[:1], ranked[1:2]
    # A print on more places than a face has needs the larger kind of squares on both faces: both begin with it.
    both_even = grid.faces == 2 and max(counts) > grid.across * grid.down
    for middle in permutations(ranked[2:]):
        for by_column, turned in product((False, True), repeat=2):
            yield _walk(grid, by_column, turned, both_even), (*first, *middle, *last)
        if not last:
            return


def _walk(grid: Grid, by_column: bool, turned: bool, both_even: bool) -> list[int]:
    """All places: one kind of the draughtboard, then the other (that one backwards when turned)."""
    kinds: tuple[list[int], list[int]] = ([], [])
    lines, length = (grid.across, grid.down) if by_column else (grid.down, grid.across)
    apart, step = (1, grid.stride) if by_column else (grid.stride, 1)
    for face in range(grid.faces):
        for line in range(lines):
            first = grid.at(face, 0, 0) + line * apart
            for odd in (0, 1):
                kind = (line + odd + (0 if both_even else face)) % 2
                kinds[kind].extend(range(first + odd * step, first + length * step, 2 * step))
    return kinds[0] + (kinds[1][::-1] if turned else kinds[1])


SIDE = 1000  # a match at the side outweighs all other likeness a swap can gain
HOT, COLD = 0.4, 0.15  # in pairs alike: what a swap may cost at the beginning and at the end
SWAPS = 6  # partners tried for each square that meets its like in a sweep
HARD, ROUNDS = 300, 4  # the same for squares that still touch their like at the end, and how often
EVEN = 15.0  # how much a print that lags behind its share is preferred, in pairs alike
CHANCE = 0.1  # settles ties


def likeness(grid: Grid, colours: Sequence[int]) -> int:
    """Pairs alike on the diagonals and two apart, on all faces."""
    return alike(grid, colours, (grid.stride + 1, grid.stride - 1, 2, 2 * grid.stride))


class Wish(msgspec.Struct, frozen=True):
    """What is wished of a layout beyond that likes do not touch: what likes so far apart weigh, and prints there."""

    near: Mapping[int, int]  # by distance in the grid: more is worse, below nothing is wanted
    field: Sequence[Sequence[int]] = ()  # by print and place: what a square of it weighs there


class Table:
    """For each print and place: how much likeness a square of that print would meet there."""

    def __init__(self, grid: Grid, colours: Sequence[int], prints: int, wish: Wish | None = None) -> None:
        near = wish.near if wish else dict.fromkeys(grid.near, 1)
        self.steps = [*dict.fromkeys(grid.side, SIDE).items(), *near.items()]
        self.rows = [[0] * (grid.size * grid.faces) for _ in range(prints)]
        if wish and wish.field:
            self.rows = [list(row) for row in wish.field]
        # Where two neighbours change places, each one's row still counts the other's square that is about to leave.
        self.link = {step: 2 * weight for step, weight in self.steps}
        self.content = -(10**9) if wish else 0  # a square that meets no more than this has nothing to gain
        for place in grid.every:
            if colours[place] >= 0:
                self.lay(colours[place], place)

    def lay(self, colour: int, place: int) -> None:
        """A square of this print now lies here."""
        row = self.rows[colour]
        for step, weight in self.steps:
            row[place + step] += weight

    def lift(self, colour: int, place: int) -> None:
        """No square of this print lies here any more."""
        row = self.rows[colour]
        for step, weight in self.steps:
            row[place + step] -= weight


def anneal(
    grid: Grid, colours: list[int], how: tuple[Sequence[int], int], rng: Random, wish: Wish | None = None
) -> None:
    """Swap the movable squares in place, so many sweeps long or until nothing alike is near.

    `how`: the places that may change, and the sweeps. With a wish all sweeps are made.
    """
    movable, sweeps = how
    table = Table(grid, colours, max(colours) + 1, wish)
    heat, cooling = HOT, (COLD / HOT) ** (1 / max(1, sweeps - 1))
    for _ in range(sweeps):
        if not _sweep(table, colours, (movable, movable), rng, (heat, SWAPS)):
            return
        heat *= cooling
    for _ in range(ROUNDS):
        # A few likes may be left side by side where hardly any swap frees them: those alone are offered far more.
        touching = [place for place in movable if table.rows[colours[place]][place] >= SIDE // 2]
        if not touching:
            return
        _sweep(table, colours, (touching, movable), rng, (COLD, min(HARD, len(movable))))


Offers = tuple[Sequence[int], Sequence[int]]  # places, and those that they may change with


def _sweep(table: Table, colours: list[int], places: Offers, rng: Random, how: tuple[float, int]) -> int:
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
        if here <= table.content:
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
