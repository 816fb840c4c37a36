"""Which print lies where on the faces: the best of a few beginnings, each spread as far as time allows."""

from collections.abc import Iterator, Mapping, Sequence
from random import Random

from guide.plan.deal import deal, meets
from guide.plan.field import Field, bands
from guide.plan.lattice import lattice
from guide.plan.sow import sow
from guide.plan.spread import likeness, spread
from guide.plan.zigzag import zigzag

WORK = 60_000  # places times sweeps spent on one beginning
SMALL, FEWEST = 24, 3  # sweeps of a small panel, and of a very large one
BANDED = 2  # what a square that lengthens a band weighs against two alike nearby
LARGE = 5_000  # places; beyond, the first beginning that comes out clear is taken


def paint(
    field: Field, counts: Sequence[int], laid: Mapping[int, int], seed: int, room: Sequence[int] | None = None
) -> list[int]:
    """Prints by place (-1 off the panel) with these counts in the places that are not `laid` already.

    Prints are numbers into `counts`, which must fill the panel exactly; a pattern that looks better may
    take other counts, up to `room`. Nothing meets its like at the side if that could be reached; then as
    few as can be on the diagonals and two apart. The deal, which comes out clear where any layout can, is
    begun from when the prettier beginnings do not.
    """
    free = [v for face in range(field.faces) for v in field.walk(face) if v not in laid]
    best: list[int] = []
    least = (field.places * 2, 0)  # side matches, then likeness: no face has so many
    for number, colours in enumerate(_beginnings(field, counts, laid, (len(free), seed), room or counts)):
        spread(field, colours, free, Random(seed + number), _sweeps(len(free)))  # noqa: S311 (a pattern)
        cost = (meets(field, colours), likeness(field, colours) + BANDED * bands(field, colours))
        if cost < least:
            best, least = colours, cost
        if least == (0, 0) or (len(free) > LARGE and not least[0]):
            return best
    dealt = deal(field, counts) if least[0] and not laid else None
    if dealt is None:
        return best
    spread(field, dealt, free, Random(seed), _sweeps(len(free)))  # noqa: S311 (a pattern)
    return dealt


def _sweeps(places: int) -> int:
    return max(FEWEST, min(max(SMALL, places), WORK // max(1, places)))


def _beginnings(
    field: Field, counts: Sequence[int], laid: Mapping[int, int], size: tuple[int, int], room: Sequence[int]
) -> Iterator[list[int]]:
    """The even pattern if it suits, then sown row by row, small panels more than once."""
    free, seed = size
    rng = Random(seed)  # noqa: S311 (a pattern)
    if not laid:
        zigzags = zigzag(field, room, rng)
        if zigzags is not None:
            yield zigzags
        even = lattice(field, counts, rng, 0.1 if free <= LARGE else 0.02)
        if even is not None:
            sow(field, even, _missing(even, counts), rng)
            yield even
    for _ in range(max(1, min(3, 200 // max(1, free)))):
        sown = [-1] * (field.size * field.faces)
        for place, colour in laid.items():
            sown[place] = colour
        sow(field, sown, counts, rng)
        yield sown


def _missing(colours: Sequence[int], counts: Sequence[int]) -> list[int]:
    missing = list(counts)
    for colour in colours:
        if colour >= 0:
            missing[colour] -= 1
    return missing
