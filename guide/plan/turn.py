"""Stacks in one order, turned: A B C A, B C A B, … so that the front print decides the whole stack."""

from collections.abc import Sequence

from guide.plan.share import Share, Supply, level
from guide.read.plurals import are, counted


def stack_of(names: Sequence[str], first: int, depth: int) -> tuple[str, ...]:
    """The stack that begins with this print of the order and goes on round it."""
    return tuple(names[(first + layer) % len(names)] for layer in range(depth))


def fronts(supplies: Sequence[Supply], blocks: int, depth: int, laid: Sequence[int]) -> Share:
    """How many stacks begin with each print, so that the squares in all keep within the supplies.

    No print begins more than every other block; `laid` are the fronts of fixed stacks. Levelled first,
    then moved towards what is wanted.
    """
    many = len(supplies)
    if many == 1:
        return Share([blocks], f"one print only: {supplies[0].name} would meet itself everywhere")
    half = (blocks + 1) // 2
    most = [max(half, there) for there in laid]
    counts = level(laid, most, blocks)
    step = half
    while step:
        moved = _better(supplies, counts, depth, step, (laid, most))
        if moved is None:
            step //= 2
        else:
            counts = moved
    return Share(counts, _amiss(supplies, counts, depth))


def in_stacks(counts: Sequence[int], depth: int) -> list[int]:
    """Squares of each print in all, from how many stacks begin with each."""
    many = len(counts)
    return [sum(counts[(i - layer) % many] for layer in range(depth)) for i in range(many)]


def _bounds(supply: Supply) -> tuple[int, int | None]:
    return (supply.at_least, supply.at_most) if supply.exact is None else (supply.exact, supply.exact)


def _excess(supplies: Sequence[Supply], counts: Sequence[int], depth: int) -> int:
    excess = 0
    for supply, squares in zip(supplies, in_stacks(counts, depth), strict=True):
        low, high = _bounds(supply)
        excess += max(0, low - squares) + (0 if high is None else max(0, squares - high))
    return excess


def _better(
    supplies: Sequence[Supply],
    counts: list[int],
    depth: int,
    step: int,
    bounds: tuple[Sequence[int], Sequence[int]],
) -> list[int] | None:
    """Move `step` stacks from one print to another where that comes nearest to what is wanted."""
    least_of, most_of = bounds
    best, least = None, _excess(supplies, counts, depth)
    for source in range(len(counts)):
        for target in range(len(counts)):
            if counts[source] - step < least_of[source] or counts[target] + step > most_of[target]:
                continue
            if source == target:
                continue
            moved = counts.copy()
            moved[source] -= step
            moved[target] += step
            excess = _excess(supplies, moved, depth)
            if excess < least:
                best, least = moved, excess
    return best


def _amiss(supplies: Sequence[Supply], counts: Sequence[int], depth: int) -> str | None:
    for supply, squares in zip(supplies, in_stacks(counts, depth), strict=True):
        low, high = _bounds(supply)
        takes = f"stacks turned in one order take {counted(squares, 'square')} of {supply.name}"
        if squares < low:
            return f"{takes}; {low} {are(low)} to be used"
        if high is not None and squares > high:
            return f"{takes}; {high} {are(high)} allowed"
    return None
