"""The most that one piece can give: parts with values, limited copies, any stages of edge-to-edge cuts.

Best-first over rectangles built by laying two built ones side by side or one above the other, with an
upper bound on what the rest of the piece could still add. Source: Wang, Oper. Res. 31 (1983), for the
building; Viswanathan and Bagchi, Oper. Res. 41 (1993), for best-first with a bound; the bound itself is
the unlimited-copies value of Gilmore and Gomory, Oper. Res. 14 (1966).
"""

import heapq
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from guide.plan.cutting.bounds import Rest
from guide.plan.cutting.pieces import part_units, space_units, to_mm


class Valued(NamedTuple):
    """A part as (length, width, copies, value); the length runs along the piece's width, mm."""

    length: float
    width: float
    copies: int
    value: float


class Spot(NamedTuple):
    """Where a part lies: its place in the list of parts, and its near left corner, mm."""

    part: int
    x: float
    y: float


class Valuable(NamedTuple):
    """The most found, a bound no plan can exceed, whether the two are one, and the plan itself."""

    value: float
    bound: float
    exact: bool
    spots: tuple[Spot, ...]


class _Built(NamedTuple):
    """A rectangle built of parts: two joined, `beside` one another or one above the other, or one part alone."""

    width: int
    height: int
    value: float
    used: tuple[int, ...]
    part: int
    made_of: tuple["_Built", "_Built"] | None
    beside: bool


def most_valuable(
    width: float, height: float, parts: Sequence[tuple[float, float, int, float]], effort: int = 20_000
) -> Valuable:
    """The greatest value of parts cut from a width by height piece, mm, none of them turned.

    `parts` are (length, width, copies, value) with the length along the piece's `width`. Exact when
    `effort` rectangles are enough; otherwise the best found, with the bound.
    """
    asked = [Valued(*part) for part in parts]
    sizes = [(part_units(part.length), part_units(part.width)) for part in asked]
    piece = (space_units(width), space_units(height))
    singles = _singles(piece, asked, sizes)
    if not singles:
        return Valuable(0.0, 0.0, exact=True, spots=())
    rest = Rest(*piece, [(one.width, one.height, one.value) for one in singles])
    best, bound = _search(singles, [part.copies for part in asked], rest, effort)
    return Valuable(best.value, bound, bound <= best.value, tuple(_spots(best, 0, 0)))


def _singles(piece: tuple[int, int], asked: Sequence[Valued], sizes: Sequence[tuple[int, int]]) -> list[_Built]:
    one = [[int(at == other) for other in range(len(asked))] for at in range(len(asked))]
    return [
        _Built(*size, part.value, tuple(one[at]), at, None, beside=True)
        for at, (part, size) in enumerate(zip(asked, sizes, strict=True))
        if part.copies > 0 and size[0] <= piece[0] and size[1] <= piece[1]
    ]


def _search(singles: Sequence[_Built], copies: Sequence[int], rest: Rest, effort: int) -> tuple[_Built, float]:
    """The best built rectangle and a bound on all others, once no better can exist or effort is spent."""
    best = max(singles, key=lambda built: built.value)
    waiting: list[tuple[float, int, _Built]] = []
    seen: set[tuple[int, int, tuple[int, ...]]] = set()
    closed: list[_Built] = []

    def offer(built: _Built) -> None:
        nonlocal best
        key = (built.width, built.height, built.used)
        hope = built.value + rest.round(built.width, built.height)
        if key in seen or (hope <= best.value and built.value < best.value):
            return
        seen.add(key)
        if built.value > best.value:
            best = built
        heapq.heappush(waiting, (-hope, len(seen), built))

    for built in singles:
        offer(built)
    while waiting and -waiting[0][0] > best.value and len(seen) < effort:
        built = heapq.heappop(waiting)[2]
        closed.append(built)
        for other in closed:
            used = tuple(map(int.__add__, built.used, other.used))
            if any(map(int.__gt__, used, copies)):
                continue
            for beside in (True, False):
                joined = _join(built, other, used, beside=beside)
                if joined.width <= rest.width and joined.height <= rest.height:
                    offer(joined)
    bound = max((-waiting[0][0] if waiting else 0.0), best.value)
    return best, bound


def _join(one: _Built, other: _Built, used: tuple[int, ...], *, beside: bool) -> _Built:
    if beside:
        size = (one.width + other.width, max(one.height, other.height))
    else:
        size = (max(one.width, other.width), one.height + other.height)
    return _Built(*size, one.value + other.value, used, -1, (one, other), beside)


def _spots(built: _Built, x: int, y: int) -> Iterator[Spot]:
    if built.made_of is None:
        yield Spot(built.part, to_mm(x), to_mm(y))
        return
    one, other = built.made_of
    yield from _spots(one, x, y)
    yield from _spots(other, x + (one.width if built.beside else 0), y + (0 if built.beside else one.height))
