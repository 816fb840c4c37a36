"""Stacks in one order, turned: A B C A, B C A B, … so that the front print decides the whole stack."""

from collections.abc import Sequence
from itertools import pairwise

from guide.plan.layout.counts import Share, Supply, level
from guide.read.spoken import are, counted


def stack_of(names: Sequence[str], first: int, depth: int) -> tuple[str, ...]:
    """The stack that begins with this print of the order and goes on round it."""
    return tuple(names[(first + layer) % len(names)] for layer in range(depth))


def fronts(supplies: Sequence[Supply], blocks: int, depth: int, laid: Sequence[int]) -> Share:
    """How many stacks begin with each print, so that the squares in all keep within the supplies.

    No print begins more than every other block, unless only that keeps within the stock; `laid` are the fronts
    of fixed stacks. Levelled first, then moved towards what is wanted.
    """
    many = len(supplies)
    if many == 1:
        return Share([blocks], f"one print only: {supplies[0].name} would meet itself everywhere")
    half = (blocks + 1) // 2
    most = [max(half, there) for there in laid]
    counts = _moved(supplies, level(laid, most, blocks), depth, (laid, most))
    if _excess(supplies, counts, depth)[0]:
        kept = [_in_stock(supplies, depth, blocks, (laid, high)) for high in (most, [blocks] * many)]
        counts = kept[0] or kept[1] or counts
    return Share(counts, _amiss(supplies, counts, depth) or _meets(supplies, counts, half))


def in_stacks(counts: Sequence[int], depth: int) -> list[int]:
    """Squares of each print in all, from how many stacks begin with each."""
    many = len(counts)
    return [sum(counts[(i - layer) % many] for layer in range(depth)) for i in range(many)]


def _bounds(supply: Supply) -> tuple[int, int | None]:
    return (supply.at_least, supply.at_most) if supply.exact is None else (supply.exact, supply.exact)


def _excess(supplies: Sequence[Supply], counts: Sequence[int], depth: int) -> tuple[int, int]:
    """Squares over what there is, and under what is to be used: the first are not there, the second only lie over."""
    over = under = 0
    for supply, squares in zip(supplies, in_stacks(counts, depth), strict=True):
        low, high = _bounds(supply)
        over += 0 if high is None else max(0, squares - high)
        under += max(0, low - squares)
    return over, under


def _moved(
    supplies: Sequence[Supply], counts: list[int], depth: int, bounds: tuple[Sequence[int], Sequence[int]]
) -> list[int]:
    """Move stacks from print to print, many at a time and then few, while that comes nearer to what is wanted."""
    step = sum(counts)
    while step:
        moved = _better(supplies, counts, depth, step, bounds)
        if moved is None:
            step //= 2
        else:
            counts = moved
    return counts


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


def _in_stock(
    supplies: Sequence[Supply], depth: int, blocks: int, bounds: tuple[Sequence[int], Sequence[int]]
) -> list[int] | None:
    """Fronts that take no more of any print than there is; None when no fronts do.

    Let x[k] be how many stacks begin with one of the first k prints. The stacks that hold a print begin with it or
    with one of the few before it in the round, so every limit bounds a difference of two x, and the system is
    solved by shortest paths (Bellman, Quarterly of Applied Mathematics 16 (1958) 87). Half way between its largest
    and its smallest solution, rounded down, is a solution too, and a more even one.
    """
    many = len(supplies)
    rounds, rest = divmod(depth, many)
    edges = [(0, many, blocks), (many, 0, -blocks)]  # (from, to, by how much `to` may at most be more)
    for i, (least, most) in enumerate(zip(*bounds, strict=True)):
        edges += [(i, i + 1, most), (i + 1, i, -least)]
        high, first = _bounds(supplies[i])[1], i + 1 - rest
        if high is not None:
            wraps = first < 0
            edges.append((first + many * wraps, i + 1, high - blocks * (rounds + wraps)))
    largest, smallest = [0, *[blocks] * many], [*[0] * many, blocks]
    for _ in range(many + 1):
        for start, end, more in edges:
            largest[end] = min(largest[end], largest[start] + more)
            smallest[start] = max(smallest[start], smallest[end] - more)
    if any(largest[end] > largest[start] + more for start, end, more in edges) or largest[0]:
        return None
    half = [(low + high) // 2 for low, high in zip(smallest, largest, strict=True)]
    return [after - before for before, after in pairwise(half)]


def _meets(supplies: Sequence[Supply], counts: Sequence[int], half: int) -> str | None:
    """Say which print has to begin more stacks than can lie apart, so that the stock is kept to."""
    most = max(range(len(counts)), key=lambda i: counts[i])
    if counts[most] <= half:
        return None
    name = supplies[most].name
    return f"to keep within the stock {name} begins {counted(counts[most], 'stack')}; at most {half} can lie apart"


def _amiss(supplies: Sequence[Supply], counts: Sequence[int], depth: int) -> str | None:
    for supply, squares in zip(supplies, in_stacks(counts, depth), strict=True):
        low, high = _bounds(supply)
        takes = f"stacks turned in one order take {counted(squares, 'square')} of {supply.name}"
        if squares < low:
            return f"{takes}; {low} {are(low)} to be used"
        if high is not None and squares > high:
            return f"{takes}; {high} {are(high)} allowed"
    return None
