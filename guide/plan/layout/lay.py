"""Lay a panel: which print goes where in every block, so that none meets itself on either face.

When quicker means found none, every way round fixed blocks is tried: a layout, or the proof that there is none.
"""

from collections.abc import Mapping, Sequence
from itertools import chain, pairwise, product
from types import MappingProxyType
from typing import Literal, NamedTuple

import msgspec

from guide.plan.layout.colouring import best_colouring
from guide.plan.layout.counts import Bounds, Grid, Share, Supply, apart, in_all, level, most_of, on_faces
from guide.plan.layout.faces import Cell, Stack, as_blocks, judged
from guide.plan.model import Layout
from guide.read.spoken import are, counted

# Stacks in one order, turned: A B C A, B C A B, … so that the front print decides the whole stack.


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


def _excess(supplies: Sequence[Supply], counts: Sequence[int], depth: int) -> tuple[int, int]:
    """Squares over what there is, and under what is to be used: the first are not there, the second only lie over."""
    over = under = 0
    for supply, squares in zip(supplies, in_stacks(counts, depth), strict=True):
        over += 0 if supply.at_most is None else max(0, squares - supply.at_most)
        under += max(0, supply.at_least - squares)
    return over, under


def _moved(supplies: Sequence[Supply], counts: list[int], depth: int, bounds: Bounds) -> list[int]:
    """Move stacks from print to print, many at a time and then few, while that comes nearer to what is wanted."""
    step = sum(counts)
    while step:
        moved = _better(supplies, counts, depth, step, bounds)
        if moved is None:
            step //= 2
        else:
            counts = moved
    return counts


def _better(supplies: Sequence[Supply], counts: list[int], depth: int, step: int, bounds: Bounds) -> list[int] | None:
    """Move `step` stacks from one print to another where that comes nearest to what is wanted."""
    least_of, most_of = bounds
    best, least = None, _excess(supplies, counts, depth)
    for source in range(len(counts)):
        for target in range(len(counts)):
            within = counts[source] - step >= least_of[source] and counts[target] + step <= most_of[target]
            if source == target or not within:
                continue
            moved = counts.copy()
            moved[source] -= step
            moved[target] += step
            excess = _excess(supplies, moved, depth)
            if excess < least:
                best, least = moved, excess
    return best


def _in_stock(supplies: Sequence[Supply], depth: int, blocks: int, bounds: Bounds) -> list[int] | None:
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
        high, first = supplies[i].at_most, i + 1 - rest
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
        low, high = supply.at_least, supply.at_most
        takes = f"stacks turned in one order take {counted(squares, 'square')} of {supply.name}"
        if squares < low:
            return f"{takes}; {low} {are(low)} to be used"
        if high is not None and squares > high:
            return f"{takes}; {high} {are(high)} allowed"
    return None


Order = Literal["free", "rotate"]


class Ask(NamedTuple):
    """What is asked for, checked."""

    across: int
    down: int
    depth: int
    supplies: tuple[Supply, ...]
    fixed: Mapping[Cell, Stack]
    seed: int

    @property
    def names(self) -> list[str]:
        """The prints' names in the supplies' order."""
        return [supply.name for supply in self.supplies]

    @property
    def blocks(self) -> int:
        """Blocks of the panel."""
        return self.across * self.down


def lay(
    across: int,
    down: int,
    depth: int,
    supplies: Sequence[Supply],
    *,
    faces: Literal["both", "front"] = "both",
    seed: int = 0,
    order: Order = "free",
    fixed: Mapping[Cell, Stack] | None = None,
) -> Layout:
    """Lay `across` × `down` blocks of `depth` squares from the supplies; the same seed, the same panel.

    Stacks are front first; `fixed` ones, by 1-based (row, column), stay. One square deep has one face.
    With `faces='front'` the lower face may match when both cannot be kept clear, and the reason says so.
    Stock that cannot do it gives the best layout with its matches counted and the reason in figures.
    Raises ValueError for sizes below one, no or doubled prints, or fixed stacks that do not belong.
    """
    ask = Ask(across, down, depth, tuple(supplies), dict(fixed or {}), seed)
    _check(ask)
    if order == "rotate":
        return _lay_turned(ask, 1 if faces == "front" else min(depth, 2))
    both = _lay_faces(ask, 1 if depth == 1 else 2)
    if faces == "both" or depth == 1 or both.outcome == "found":
        return both
    front = _lay_faces(ask, 1)
    if both.front_matches < front.front_matches:
        front = judged(both, faces=1, problem=front.reason if front.outcome == "impossible" else None, fixed=ask.fixed)
    if front.outcome != "found":
        return front
    reason = f"the lower face is inside, so prints may meet themselves there: {both.reason}"
    return msgspec.structs.replace(front, reason=reason)


def _check(ask: Ask) -> None:
    """Look whether what is asked for can be asked. Raises ValueError for what cannot."""
    if min(ask.across, ask.down, ask.depth) < 1:
        raise ValueError(f"nothing to lay: {ask.across} × {ask.down} blocks of {ask.depth}")
    if not ask.supplies or len(set(ask.names)) < len(ask.supplies):
        raise ValueError("each print is given once, and at least one")
    for (row, column), stack in ask.fixed.items():
        inside = 1 <= row <= ask.down and 1 <= column <= ask.across
        if not inside or len(stack) != ask.depth or not set(stack) <= set(ask.names):
            raise ValueError(f"the fixed stack at row {row}, column {column} does not belong here")


def _lay_faces(ask: Ask, faces: int) -> Layout:
    """Lay with the given number of faces kept clear of matches."""
    names = ask.names
    ends = (0,) if faces == 1 else (0, -1)
    grid = Grid(ask.across, ask.down, faces)
    # What is fixed is counted apart, on the faces and between them: only the rest is shared out and coloured. The
    # search for a proof comes last, for it may take long.
    laid = [sum(stack.count(name) for stack in ask.fixed.values()) for name in names]
    on_face = [sum(stack[end] == name for stack in ask.fixed.values() for end in ends) for name in names]
    hidden = [count - there for count, there in zip(laid, on_face, strict=True)]
    total = in_all(ask.supplies, ask.blocks, ask.depth, laid)
    shown = on_faces(names, total.counts, ask.blocks, faces, (on_face, hidden))
    placed = _placed(grid, ask, ends)
    free = [count - there for count, there in zip(shown.counts, on_face, strict=True)]
    room = None if shown.problem else [count - under for count, under in zip(total.counts, hidden, strict=True)]
    stacks = _stacks(ask, faces, best_colouring(grid, free, placed, ask.seed, room), total.counts)
    layout = _judged(ask, stacks, faces, total.problem or shown.problem)
    if ask.fixed and not total.problem and (shown.problem or layout.outcome == "not found"):
        return _round_fixed(ask, grid, placed, laid, layout)
    return layout


def _round_fixed(ask: Ask, grid: Grid, placed: Mapping[int, int], laid: Sequence[int], layout: Layout) -> Layout:
    """Search for what quicker means did not find round fixed stacks, or for the proof that it is not there."""
    most = most_of(ask.supplies, ask.blocks * ask.depth)
    searched = exhaustive(grid, placed, [high - there for high, there in zip(most, laid, strict=True)])
    if searched.outcome == "found":
        colours = [searched.colours.get(place, -1) for place in range(grid.size * grid.faces)]
        new = [colour for place, colour in searched.colours.items() if place not in placed]
        needed = [there + new.count(i) for i, there in enumerate(laid)]
        total = in_all(ask.supplies, ask.blocks, ask.depth, needed)
        if not total.problem:
            return _judged(ask, _stacks(ask, grid.faces, colours, total.counts), grid.faces, None)
    if searched.outcome != "none":
        return layout
    stay = len(ask.fixed)
    reason = f"nothing fits round the {counted(stay, 'block')} that {are(stay)} to stay: every way was tried"
    if searched.stuck is not None:
        face, row, column = grid.where(searched.stuck)
        which = "front" if face == 0 else "back"
        reason = f"no print is left for the {which} of row {row + 1} column {column + 1}: its neighbours show them all"
    return msgspec.structs.replace(layout, outcome="impossible", reason=reason)


def _judged(ask: Ask, stacks: Mapping[Cell, Stack], faces: int, problem: str | None) -> Layout:
    layout = Layout(ask.across, ask.down, ask.seed, as_blocks(stacks), 0, 0, 0, "found")
    return judged(layout, faces=faces, problem=problem, fixed=ask.fixed.keys())


def _placed(grid: Grid, ask: Ask, ends: Sequence[int]) -> dict[int, int]:
    """The fixed stacks' prints by place on the faces."""
    return {
        grid.at(face, row - 1, column - 1): ask.names.index(stack[end])
        for (row, column), stack in ask.fixed.items()
        for face, end in enumerate(ends)
    }


def _stacks(ask: Ask, faces: int, colours: list[int], counts: Sequence[int]) -> dict[Cell, Stack]:
    if faces < min(ask.depth, 2):
        colours += _lower(ask, colours, counts)
    return whole_stacks(colours, counts, ask)


def _lower(ask: Ask, upper: Sequence[int], counts: Sequence[int]) -> list[int]:
    """The lower face where only the upper one had to be clear: from what is left, as clear as may be."""
    names = ask.names
    left = list(counts)
    for colour in upper:
        if colour >= 0:
            left[colour] -= 1
    there = [0] * len(names)
    for stack in ask.fixed.values():
        for layer in stack[1:]:
            left[names.index(layer)] -= 1
        there[names.index(stack[-1])] += 1
    most = [count + low for count, low in zip(left, there, strict=True)]
    cap = apart(ask.blocks, 1)
    capped = [max(min(count, cap), low) for count, low in zip(most, there, strict=True)]
    shares = level(there, capped if sum(capped) >= ask.blocks else most, ask.blocks)
    grid = Grid(ask.across, ask.down, 1)
    free = [count - low for count, low in zip(shares, there, strict=True)]
    return best_colouring(grid, free, _placed(grid, ask, (-1,)), ask.seed)


def whole_stacks(colours: Sequence[int], counts: Sequence[int], ask: Ask) -> dict[Cell, Stack]:
    """Whole stacks: the faces as laid, the layers between from what is left, unlike where it goes."""
    names = ask.names
    faces = min(ask.depth, 2)
    grid = Grid(ask.across, ask.down, faces)
    stacks = dict(ask.fixed)
    shows = {
        (row, column): [colours[grid.at(face, row - 1, column - 1)] for face in range(faces)]
        for row, column in product(range(1, ask.down + 1), range(1, ask.across + 1))
        if (row, column) not in stacks
    }
    left = list(counts)
    for i, name in enumerate(names):
        left[i] -= sum(stack.count(name) for stack in ask.fixed.values())
    for colour in chain.from_iterable(shows.values()):
        left[colour] -= 1
    for cell, (front, *back) in shows.items():
        stack = [front, *back]
        for layer in range(1, ask.depth - len(back)):
            stack.insert(layer, _pick(left, stack))
            left[stack[layer]] -= 1
        stacks[cell] = tuple(names[colour] for colour in stack)
    return stacks


def _pick(left: Sequence[int], stack: Sequence[int]) -> int:
    """The print with most left, one that the stack has not yet if there is any."""
    some = [colour for colour, count in enumerate(left) if count > 0]
    return max(some, key=lambda colour: (colour not in stack, left[colour]))


def _lay_turned(ask: Ask, faces: int) -> Layout:
    """Lay stacks of one order: the front decides, and the back is clear wherever the front is."""
    fronts_laid = [stack[0] for stack in ask.fixed.values()]
    usable = tuple(supply for supply in ask.supplies if supply.name in fronts_laid or supply.at_most != 0)
    if not usable:
        return _lay_faces(ask, faces)
    names = [supply.name for supply in usable]
    laid = [fronts_laid.count(name) for name in names]
    shown = fronts(usable, ask.blocks, ask.depth, laid)
    grid = Grid(ask.across, ask.down, 1)
    free = [count - there for count, there in zip(shown.counts, laid, strict=True)]
    colours = best_colouring(grid, free, _placed(grid, ask._replace(supplies=usable), (0,)), ask.seed)
    stacks = {}
    for row in range(ask.down):
        for column in range(ask.across):
            first = colours[grid.at(0, row, column)]
            stacks[row + 1, column + 1] = tuple(names[(first + at) % len(names)] for at in range(ask.depth))
    return _judged(ask, stacks | dict(ask.fixed), faces, shown.problem)


EFFORT = 400_000  # looks at a place before giving up: some tenths of a second
DEEPEST = 400  # free places; more are not searched


class Searched(msgspec.Struct, frozen=True):
    """What came of it; `colours` by place when found, the place that nothing fits when that is plain."""

    outcome: Literal["found", "none", "given up"]
    colours: Mapping[int, int] = MappingProxyType({})
    stuck: int | None = None


class _GiveUp(Exception):
    """The effort is spent."""


def exhaustive(grid: Grid, laid: Mapping[int, int], room: Sequence[int]) -> Searched:
    """Colour the places that are not `laid`, no side neighbours alike, no print on more than its `room`.

    The place with fewest prints to choose from goes first, so that dead ends come early.
    """
    free = [place for place in grid.every if place not in laid]
    if len(free) > DEEPEST:
        return Searched("given up")
    board = _Board(grid, laid, room, free)
    # Told apart because a maker can do something about one place, and nothing about a proof.
    stuck = next((place for place in free if not board.choices(place)), None)
    if stuck is not None:
        return Searched("none", stuck=stuck)
    try:
        found = board.solve()
    except _GiveUp:
        return Searched("given up")
    return Searched("found", board.colours) if found else Searched("none")


class _Board:
    """Places coloured so far, and what is left to colour with."""

    def __init__(self, grid: Grid, laid: Mapping[int, int], room: Sequence[int], free: list[int]) -> None:
        self.colours = dict(laid)
        self.room = list(room)
        self.side = grid.side
        self.free = free
        self.looks = 0

    def choices(self, place: int) -> list[int]:
        """Prints that may lie here now, the most plentiful first."""
        near = {self.colours.get(place + step) for step in self.side}
        fit = [colour for colour, count in enumerate(self.room) if count > 0 and colour not in near]
        return sorted(fit, key=lambda colour: -self.room[colour])

    def solve(self) -> bool:
        """Colour all free places, or put everything back and say that it cannot be done.

        Raises _GiveUp after so many looks.
        """
        open_places = [place for place in self.free if place not in self.colours]
        if not open_places:
            return True
        self.looks += len(open_places)
        if self.looks > EFFORT:
            raise _GiveUp
        place, fit = min(((place, self.choices(place)) for place in open_places), key=lambda choice: len(choice[1]))
        for colour in fit:
            self.colours[place] = colour
            self.room[colour] -= 1
            if self.solve():
                return True
            del self.colours[place]
            self.room[colour] += 1
        return False
