"""How many squares of each print: in all, and on the faces that must not match."""

from collections.abc import Iterator, Sequence
from itertools import chain
from operator import eq

import msgspec

from guide.read.spoken import are, counted

Bounds = tuple[Sequence[int], Sequence[int]]  # by print: at the least, at the most


class Supply(msgspec.Struct, frozen=True):
    """What there is of one print for one panel, in squares; None: as many as wanted.

    `at_least` are wanted in (ready cut, to be used up).
    """

    name: str
    at_most: int | None = None
    at_least: int = 0


class Share(msgspec.Struct, frozen=True):
    """Squares by print in the supplies' order, and why the stock does not allow it, if so."""

    counts: list[int]
    problem: str | None = None


def level(least: Sequence[int], most: Sequence[int], total: int) -> list[int]:
    """Share a total out as evenly as the bounds allow; the earlier ones get the odd squares.

    Needs sum(least) <= total <= sum(most) and least <= most throughout.
    """

    def filled(height: int) -> list[int]:
        return [min(max(height, low), high) for low, high in zip(least, most, strict=True)]

    # As water in vessels: its height is found by halving, then the last odd squares are given out.
    under, over = 0, total + 1  # the water stands between these two heights
    while over - under > 1:
        middle = (under + over) // 2
        if sum(filled(middle)) <= total:
            under = middle
        else:
            over = middle
    counts = filled(under)
    odd = total - sum(counts)
    for i, more in enumerate(filled(under + 1)):
        if odd and more > counts[i]:
            counts[i] += 1
            odd -= 1
    return counts


def most_of(supplies: Sequence[Supply], squares: int) -> list[int]:
    """Squares of each print that may be used, of this many in all."""
    return [squares if supply.at_most is None else supply.at_most for supply in supplies]


def in_all(supplies: Sequence[Supply], blocks: int, depth: int, laid: Sequence[int]) -> Share:
    """Squares of each print in the whole panel; `laid` are those that lie fixed already.

    Where the stock does not fit, the nearest counts that fill the panel, and the reason in figures.
    """
    squares = blocks * depth
    least = [max(supply.at_least, there) for supply, there in zip(supplies, laid, strict=True)]
    most = [max(high, there) for high, there in zip(most_of(supplies, squares), laid, strict=True)]
    problem = _short(supplies, least, most, blocks, depth)
    if problem:
        least = [min(low, high) for low, high in zip(least, most, strict=True)]
        if sum(least) > squares:
            least, most = list(laid), least
        if sum(most) < squares:
            least, most = most, [squares] * len(supplies)
    return Share(level(least, most, squares), problem)


def _short(
    supplies: Sequence[Supply], least: Sequence[int], most: Sequence[int], blocks: int, depth: int
) -> str | None:
    squares, many = blocks * depth, counted(blocks, "block") + ("" if depth == 1 else f" of {depth} squares")
    taken = counted(squares, "square") if depth == 1 else f"{squares}"
    takes = f"{many} {'takes' if blocks == 1 else 'take'} {taken}"
    for supply, low, high in zip(supplies, least, most, strict=True):
        if low > high:
            return f"{supply.name}: {counted(low, 'square')} {are(low)} to be used, at most {high} {are(high)} allowed"
    if sum(most) < squares:
        return f"{takes}; the prints allow {sum(most)}"
    if sum(least) > squares:
        return f"{takes}; {sum(least)} {are(sum(least))} to be used up"
    return None


def apart(blocks: int, faces: int) -> int:
    """The most squares of one print that can lie on the faces without meeting: every other one."""
    return faces * ((blocks + 1) // 2)


def on_faces(
    names: Sequence[str], counts: Sequence[int], blocks: int, faces: int, laid: Sequence[Sequence[int]]
) -> Share:
    """How many of each print's squares show on the faces, as evenly as they can be.

    `counts` are the squares in all; `laid` those fixed by print, on the faces and between them.
    Bound: a grid is two-coloured and has a path through all its blocks, so of one print no more than
    every other one can lie apart.
    """
    places = blocks * faces
    least, hidden = laid
    cap = apart(blocks, faces)
    free = [count - under for count, under in zip(counts, hidden, strict=True)]
    most = [max(min(count, cap), low) for count, low in zip(free, least, strict=True)]
    if sum(most) < places:
        biggest = max(range(len(counts)), key=lambda i: free[i])
        wanted = places - (sum(free) - free[biggest])
        return Share(level(least, free, places), _crowded(names[biggest], wanted, cap, blocks, faces))
    used = [i for i, count in enumerate(free) if count]
    if len(used) == 2 and blocks > 1:
        return _two(names, (least, free), used, blocks, faces)
    if places < sum(counts) - sum(hidden) and faces == 1:
        # The lower face may match: the print that there is most of takes the front, the others are kept for it.
        biggest = max(range(len(counts)), key=lambda i: free[i])
        others = sum(least) - least[biggest]
        least = [max(low, min(most[i], places - others)) if i == biggest else low for i, low in enumerate(least)]
    return Share(level(least, most, places))


def _two(names: Sequence[str], bounds: Bounds, used: Sequence[int], blocks: int, faces: int) -> Share:
    """Two prints must alternate, so their counts are all but given."""
    least, most = bounds
    first, second = used
    places = blocks * faces
    rest = blocks // 2 * faces
    # On an odd panel either print may take the larger kind of squares, on each face by itself; the evenest comes first.
    for count in sorted(range(rest, places - rest + 1), key=lambda c: abs(2 * c - places)):
        if least[first] <= count <= most[first] and least[second] <= places - count <= most[second]:
            shares = [0] * len(most)
            shares[first], shares[second] = count, places - count
            return Share(shares)
    fewer = min(used, key=lambda i: most[i])
    needs = f"{names[fewer]} has to cover at least {rest} of {_places(blocks, faces)}"
    return Share(level(least, most, places), f"two prints must alternate: {needs}; there are {most[fewer]} for them")


def _crowded(name: str, wanted: int, cap: int, blocks: int, faces: int) -> str:
    more = wanted - cap
    squares = "1 more square of another print" if more == 1 else f"{more} more squares of other prints"
    where = _places(blocks, faces)
    return f"{name} is wanted on {wanted} of {where}; at most {cap} can lie apart: {squares} would do"


def _places(blocks: int, faces: int) -> str:
    return counted(blocks, "block") if faces == 1 else f"{2 * blocks} places on both faces"


# One or two faces of a panel as one flat list, for quick work on neighbours.
#
# A face is stored row by row with two empty places after each row and two empty rows above and below, so
# that a square's neighbours lie at the same distances everywhere and the edge needs no special care.

EDGE = 2  # the furthest that two squares are compared: two apart
LINE = 4  # alike squares on a diagonal; more look like a band


class Grid(msgspec.Struct, frozen=True):
    """Where each square of one or two faces lies in a flat list."""

    across: int
    down: int
    faces: int  # 1 or 2

    @property
    def stride(self) -> int:
        """From a square to the one below it."""
        return self.across + EDGE

    @property
    def size(self) -> int:
        """Places of one face, the empty ones too."""
        return (self.down + 2 * EDGE) * self.stride

    @property
    def places(self) -> int:
        """Squares on all faces."""
        return self.across * self.down * self.faces

    def at(self, face: int, row: int, column: int) -> int:
        """Index of a square; row and column 0-based."""
        return face * self.size + (row + EDGE) * self.stride + column

    def where(self, place: int) -> tuple[int, int, int]:
        """Face, row and column (0-based) of a square."""
        face, inside = divmod(place, self.size)
        row, column = divmod(inside, self.stride)
        return face, row - EDGE, column

    def walk(self, face: int) -> Iterator[int]:
        """Every square of a face, row by row."""
        for row in range(self.down):
            first = self.at(face, row, 0)
            yield from range(first, first + self.across)

    @property
    def every(self) -> Iterator[int]:
        """Every square of all faces, face by face."""
        return chain.from_iterable(map(self.walk, range(self.faces)))

    @property
    def side(self) -> tuple[int, int, int, int]:
        """Distances to the four squares sewn to this one."""
        return (1, -1, self.stride, -self.stride)

    @property
    def near(self) -> tuple[int, ...]:
        """Distances to the squares on the diagonals and two apart."""
        s = self.stride
        return (s + 1, s - 1, 1 - s, -1 - s, 2, -2, 2 * s, -2 * s)


def alike(grid: Grid, colours: Sequence[int], steps: Sequence[int]) -> int:
    """How many pairs of squares at these distances (ahead only) are the same; empty places are -1."""
    width = grid.across
    count = 0
    for face in range(grid.faces):
        for row in range(grid.down):
            first = grid.at(face, row, 0)
            mine = colours[first : first + width]
            for step in steps:
                count += sum(map(eq, mine, colours[first + step : first + step + width]))
    return count


def bands(grid: Grid, colours: Sequence[int]) -> int:
    """How many squares lengthen a line of like ones on a diagonal beyond what may be."""
    count = 0
    for slope in (grid.stride + 1, grid.stride - 1):
        runs = [1] * (grid.size * grid.faces)
        for place in grid.every:
            if colours[place] == colours[place - slope]:
                runs[place] = runs[place - slope] + 1
                count += runs[place] > LINE
    return count
