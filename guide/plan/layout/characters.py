"""Four proposals by character, of the same squares: calm, scattered, diagonal, framed.

Each is the panel that is laid anyway, its squares changed about: so every one takes the same cloth, keeps within the
stock, and never lets more likes touch than that panel does. What a character wants is told as weights of likes at a
distance (`colouring.Wish`), and beginnings that have it are bettered by the same annealing. Of few prints hardly two
squares can change places alone: chains of two prints do (Kempe, American Journal of Mathematics 2 (1879) 193).
"""

from collections.abc import Iterator, Mapping
from itertools import product
from math import exp
from operator import itemgetter
from random import Random
from typing import Literal, get_args

import msgspec

from guide.plan.layout.colouring import Table, Wish, anneal, fill, lattice, side_matches
from guide.plan.layout.counts import Grid, Supply, alike
from guide.plan.layout.faces import NEAR, Cell, Lights, Stack, as_blocks, contrast, judged, panel_of
from guide.plan.layout.lay import Ask, whole_stacks
from guide.plan.model import Layout
from guide.read.model import Project, grouped

Character = Literal["calm", "scattered", "diagonal", "framed"]
CHARACTERS: tuple[Character, ...] = get_args(Character)
SAYS: Mapping[Character, str] = {
    "calm": "An even pattern: each print comes again a knight's move away.",
    "scattered": "No pattern: each print comes again as far away as it can.",
    "diagonal": "Slanting lines: each print comes again corner to corner.",
    "framed": "A border: some prints along the edge, the others within.",
}
WORK = 9_000  # squares times sweeps spent on one proposal
FEWEST, MOST = 3, 40  # sweeps
FEW = 4  # prints, up to which squares alone hardly change places: chains do
FLIPS, LONGEST = 700, 20  # chains tried, and squares of one at the most
SLACK = 3  # squares that a print may show too often on the way
FILLED = 0.75  # of the edge, that the prints of a border must be enough for
GAPS = 0.5  # of the places that a pattern may leave open to begin from


class Measured(msgspec.Struct, frozen=True):
    """What tells characters apart, over the faces that show; shares from 0 to 1."""

    knights: float  # of the pairs a knight's move apart, those alike: high is calm, low is scattered
    corners: float  # of the pairs on the better diagonal, those alike, less those on the other one: diagonal
    border: float  # squares of a border print along the edge, less those within: framed
    near: float  # of the pairs on diagonals, two apart and a knight's move apart, those alike: low is scattered
    run: int | None  # blocks one after another on the front that are hardly told apart by light; None: no colours


def proposals(
    project: Project, base: Layout, lights: Lights, kept: Mapping[Cell, Stack] | None = None
) -> dict[Character, Layout]:
    """Lay the base's squares again in each character; `kept` blocks stay. One that has nothing better is the base."""
    panel = _Panel(project, base, lights, kept or {})
    return {character: panel.laid(character) for character in CHARACTERS}


def measured(project: Project, layout: Layout, lights: Lights) -> Measured:
    """Measure a layout for its character."""
    panel = _Panel(project, layout, lights, {})
    grid, colours, s = panel.shown, panel.colours[: panel.shown.size * panel.shown.faces], panel.grid.stride
    down, up = (_share(grid, colours, (step,)) for step in (s + 1, s - 1))
    knights = (s + 2, s - 2, 2 * s + 1, 2 * s - 1)
    border, edge = panel.border(), _edge(grid)
    on = sum(colours[place] in border for place in edge)
    within = [place for place in grid.every if place not in edge]
    inside = sum(colours[place] in border for place in within)
    found = contrast(layout, lights)
    return Measured(
        knights=_share(grid, colours, knights),
        corners=abs(down - up),
        border=on / max(1, len(edge)) - inside / max(1, len(within)),
        near=_share(grid, colours, (*knights, s + 1, s - 1, 2, 2 * s)),
        run=found.longest if found else None,
    )


def _share(grid: Grid, colours: list[int], steps: tuple[int, ...]) -> float:
    """Of the pairs of squares at these distances ahead in the grid, those alike."""
    every = [min(colour, 0) for colour in colours]  # as if all were of one print: every pair is alike
    return alike(grid, colours, steps) / max(1, alike(grid, every, steps))


def _edge(grid: Grid) -> set[int]:
    """The squares along the edge of each face."""
    rows, columns = {0, grid.down - 1}, {0, grid.across - 1}
    return {place for place in grid.every if (at := grid.where(place))[1] in rows or at[2] in columns}


class _Panel:
    """The base as a flat list, and what may move in it."""

    def __init__(self, project: Project, base: Layout, lights: Lights, kept: Mapping[Cell, Stack]) -> None:
        self.project, self.base, self.kept, self.lights = project, base, dict(kept), lights
        self.stacks = base.stacks
        self.depth = len(base.blocks[0].stack)
        self.names = sorted({name for stack in self.stacks.values() for name in stack})
        self.turned = project.stacks == "rotate" and self.depth > 1
        self.faces = panel_of(project).faces
        # Of stacks in one order the front decides the whole stack, and the back is clear wherever the front is.
        self.grid = Grid(base.across, base.down, 1 if self.turned or self.depth == 1 else 2)
        self.shown = Grid(base.across, base.down, min(self.grid.faces, self.faces))
        self.colours = [-1] * (self.grid.size * self.grid.faces)
        for (row, column), stack in self.stacks.items():
            for face in range(self.grid.faces):
                self.colours[self.grid.at(face, row - 1, column - 1)] = self.names.index(stack[-face])
        stays = {self.grid.at(face, r - 1, c - 1) for face in range(self.grid.faces) for r, c in self.kept}
        self.movable = [place for place in self.shown.every if place not in stays]
        self.matches = side_matches(self.shown, self.colours)
        self.least, self.most = self._room()

    def _room(self) -> tuple[list[int], list[int]]:
        """How many squares of each print may show at the least and at the most, what lies between the faces aside."""
        shown = [self.colours.count(colour) for colour in range(len(self.names))]
        if self.turned or self.depth <= 2:
            return shown, shown
        every = [sum(stack.count(name) for stack in self.stacks.values()) for name in self.names]
        inside = [sum(stack[1:-1].count(name) for stack in self.kept.values()) for name in self.names]
        return [0] * len(shown), [count - under for count, under in zip(every, inside, strict=True)]

    def laid(self, character: Character) -> Layout:
        """The base's squares in a character."""
        wish, rng = self._wish(character), Random(self.base.seed)  # noqa: S311 (a pattern)
        sweeps = max(FEWEST, min(MOST, WORK // max(1, len(self.movable))))
        best, least = self.colours, (self.matches, _cost(self.grid, self.colours, wish))
        for begun in (self._begun(character, rng), list(self.colours)):
            if begun is None:
                continue
            anneal(self.grid, begun, (self.movable, sweeps), rng, wish)
            if len(self.names) <= FEW:
                self._flip(begun, rng, wish)
            cost = (side_matches(self.shown, begun), _cost(self.grid, begun, wish))
            if not self._fits(begun):
                continue
            if cost < least:
                best, least = begun, cost
            if cost[0] <= self.matches:
                break
        return self._layout(best)

    def _flip(self, colours: list[int], rng: Random, wish: Wish) -> None:
        """Let chains of two prints change over where that is nearer to the wish, within the squares there are."""
        table, prints = Table(self.grid, colours, len(self.names), wish), range(len(self.names))
        movable, shown = set(self.movable), [colours.count(colour) for colour in prints]
        heat, cooling = 6.0, (0.2 / 6.0) ** (1 / FLIPS)
        for _ in range(FLIPS if len(self.names) > 1 and self.movable else 0):
            heat *= cooling
            start = self.movable[int(rng.random() * len(self.movable))]
            mine = colours[start]
            other = (mine + 1 + int(rng.random() * (len(self.names) - 1))) % len(self.names)
            chain = self._chain(colours, start, other)
            if chain is None or not chain <= movable:
                continue
            more = 2 * sum(colours[place] == mine for place in chain) - len(chain)  # of the other, fewer of mine
            # A little beyond what may show is let pass on the way: without it hardly any chain of few prints could
            # change over.
            if shown[mine] - more < self.least[mine] - SLACK or shown[other] + more > self.most[other] + SLACK:
                continue
            if shown[mine] - more > self.most[mine] + SLACK or shown[other] + more < self.least[other] - SLACK:
                continue
            worse = _change_over(table, colours, chain, mine, other)
            if worse > 0 and rng.random() >= exp(-worse / heat):
                _change_over(table, colours, chain, mine, other)
                continue
            shown[mine] -= more
            shown[other] += more
        self._settle(colours)

    def _settle(self, colours: list[int]) -> None:
        """Change single squares, the edge's last, until each print shows as often as it may, as far as that goes."""
        lie, edge = [colours.count(colour) for colour in range(len(self.names))], _edge(self.shown)
        for place in sorted(self.movable, key=lambda place: place in edge):
            mine = colours[place]
            if lie[mine] <= self.least[mine]:
                continue
            beside = {colours[place + step] for step in self.grid.side}
            wanted = [c for c, count in enumerate(lie) if c not in beside and c != mine and count < self.most[c]]
            other = min(wanted, key=lambda c: lie[c] - self.least[c], default=mine)
            if lie[mine] > self.most[mine] or (other != mine and lie[other] < self.least[other]):
                lie[mine] -= 1
                lie[other] += 1
                colours[place] = other

    def _fits(self, colours: list[int]) -> bool:
        """Whether each print shows as often as it may."""
        lie = [colours.count(colour) for colour in range(len(self.names))]
        return all(low <= count <= high for low, count, high in zip(self.least, lie, self.most, strict=True))

    def _chain(self, colours: list[int], start: int, other: int) -> set[int] | None:
        """The squares of two prints that hang together from one of them; None where they are too many."""
        pair, chain, edge = (colours[start], other), {start}, [start]
        while edge:
            place = edge.pop()
            for step in self.grid.side:
                if colours[place + step] in pair and place + step not in chain:
                    chain.add(place + step)
                    edge.append(place + step)
            if len(chain) > LONGEST:
                return None
        return chain

    def _begun(self, character: Character, rng: Random) -> list[int] | None:
        """An even pattern that has the character, where one suits and nothing is to stay."""
        if self.kept or character == "scattered":
            return None
        grid, lie = self.shown, [self.colours[place] for place in self.movable]
        counts = [lie.count(colour) for colour in range(len(self.names))]
        many = sum(count > 0 for count in counts)
        if many == 3:
            return self._of_three(character)
        if character == "framed":
            return self._bordered(counts, rng)
        turn = 1 if character == "diagonal" else 2 if many > 4 else None
        pattern = lattice(grid, counts, rng, GAPS, turn)
        if pattern is None:
            return None
        left = [count - pattern.count(colour) for colour, count in enumerate(counts)]
        fill(grid, pattern, left, rng)
        return [*pattern, *self.colours[len(pattern) :]]

    def _bordered(self, counts: list[int], rng: Random) -> list[int]:
        """Border prints by turns along the edge, as far as they go, and the rest filled in."""
        colours, left = [-1] * (self.shown.size * self.shown.faces), list(counts)
        border, edge = sorted(self.border(), key=lambda colour: -counts[colour]), _edge(self.shown)
        for place in sorted(edge):
            _, row, column = self.shown.where(place)
            for colour in border[(row + column) % 2 :: 2]:
                if left[colour]:
                    colours[place] = colour
                    left[colour] -= 1
                    break
        fill(self.shown, colours, left, rng)
        return [*colours, *self.colours[len(colours) :]]

    def _of_three(self, character: Character) -> list[int] | None:
        """Slanting lines of three prints, or a border of two round a third by turns with them, where the squares allow.

        Along a border two prints lie by turns as on a draughtboard; within, every other square is the third one's, and
        the squares between are of whichever border print is not beside them.
        """
        border, edge, colours = sorted(self.border()), _edge(self.shown), list(self.colours)
        if character == "calm" or len(self.names) != 3 or len(border) != 2:
            return None
        if character == "diagonal":
            return next(filter(self._fits, self._slanting()), None)
        (third,) = {0, 1, 2} - set(border)
        for place in self.shown.every:
            _, row, column = self.shown.where(place)
            odd = (row + column) % 2
            colours[place] = border[odd] if place in edge else third if odd else border[0]
        self._even_out(colours, border, edge)
        self._settle(colours)
        return colours if self._fits(colours) else None

    def _slanting(self) -> Iterator[list[int]]:
        """Lines of three prints by turns, begun with each print on each face."""
        for starts in product(range(3), repeat=self.shown.faces):
            for way in (1, 2):
                colours = list(self.colours)
                for place in self.shown.every:
                    face, row, column = self.shown.where(place)
                    colours[place] = (way * (column - row) + starts[face]) % 3
                yield colours

    def _even_out(self, colours: list[int], border: list[int], edge: set[int]) -> None:
        """Give the other border print half of the squares within that may be of either."""
        one, other = border
        lie = [colours.count(colour) for colour in border]
        for place in self.shown.every:
            free = place not in edge and colours[place] == one and lie[0] > lie[1] + 1
            if free and all(colours[place + step] != other for step in self.grid.side):
                colours[place] = other
                lie = [lie[0] - 1, lie[1] + 1]

    def _wish(self, character: Character) -> Wish:
        s = self.grid.stride
        corners, others = {s + 1: 1, -s - 1: 1}, {s - 1: 1, 1 - s: 1}
        apart = dict.fromkeys((2, -2, 2 * s, -2 * s), 1)
        knights = (s + 2, s - 2, 2 - s, -s - 2, 2 * s + 1, 2 * s - 1, 1 - 2 * s, -2 * s - 1)
        if character == "calm":
            return Wish(dict.fromkeys([*corners, *others, *apart], 2) | dict.fromkeys(knights, -2))
        if character == "scattered":
            # Of few prints those that lie slantwise look like a pattern before those two apart do.
            return Wish(apart | dict.fromkeys((*corners, *others, *knights), 2 if len(self.names) < FEW else 1))
        if character == "diagonal":
            return Wish(dict.fromkeys(corners, -3) | dict.fromkeys(others, 2) | apart)
        return Wish(corners | others | apart, list(self._field()))

    def _field(self) -> Iterator[list[int]]:
        """What each print weighs at each place so that border prints come to lie along the edge."""
        border, edge, weighs = self.border(), _edge(self.grid), 6
        for colour in range(len(self.names)):
            row = [0] * (self.grid.size * self.grid.faces)
            for place in self.grid.every:
                row[place] = weighs if (place in edge) != (colour in border) else 0
            yield row

    def border(self) -> set[int]:
        """The prints that make a border: the darkest where all say their colours, else those there is most of.

        As many as fill most of the edge, two at the least, for likes may not touch along it; one is left for within.
        """
        shown = [self.colours[place] for place in self.shown.every]
        counts = [shown.count(colour) for colour in range(len(self.names))]
        used = [colour for colour, count in enumerate(counts) if count]
        # Dark frames light where colours are known and differ enough to be seen; else how many there are decides.
        lights = [self.lights.get(self.names[colour]) for colour in used]
        told = [light for light in lights if light is not None]
        if len(told) == len(used) and max(told) - min(told) >= NEAR:
            used.sort(key=lambda colour: self.lights[self.names[colour]])
        else:
            used.sort(key=lambda colour: (-counts[colour], colour))
        out: set[int] = set()
        for colour in used[: max(1, len(used) - 1)]:
            if len(out) >= 2 and sum(counts[one] for one in out) >= FILLED * len(_edge(self.shown)):
                break
            out.add(colour)
        return out

    def _layout(self, colours: list[int]) -> Layout:
        """Whole stacks again, of the same squares."""
        if self.turned:
            stacks = self._turned(colours)
        else:
            counts = [sum(stack.count(name) for stack in self.stacks.values()) for name in self.names]
            supplies = tuple(Supply(name) for name in self.names)
            ask = Ask(self.base.across, self.base.down, self.depth, supplies, self.kept, self.base.seed)
            stacks = whole_stacks(colours, counts, ask)
        layout = msgspec.structs.replace(self.base, blocks=as_blocks(stacks))
        found = judged(layout, faces=self.faces, fixed=self.kept)
        if self.base.outcome == "found" and found.outcome == "found":
            return msgspec.structs.replace(found, reason=self.base.reason)
        return found

    def _turned(self, colours: list[int]) -> dict[Cell, Stack]:
        """Stacks of one order, taken from those there are by the print they begin with."""
        pools = grouped((stack for cell, stack in self.stacks.items() if cell not in self.kept), itemgetter(0))
        out = dict(self.kept)
        for row, column in self.stacks:
            if (row, column) not in out:
                name = self.names[colours[self.grid.at(0, row - 1, column - 1)]]
                out[row, column] = pools[name].pop()
        return out


def _change_over(table: Table, colours: list[int], chain: set[int], one: int, other: int) -> int:
    """Change two prints over along a chain; what that weighs more than before."""
    worse = 0
    for place in chain:
        old, new = (one, other) if colours[place] == one else (other, one)
        table.lift(old, place)
        worse += table.rows[new][place] - table.rows[old][place]
        table.lay(new, place)
        colours[place] = new
    return worse


def _cost(grid: Grid, colours: list[int], wish: Wish) -> int:
    """What a layout weighs by a wish; pairs are counted once, ahead."""
    near = sum(weight * alike(grid, colours, (step,)) for step, weight in wish.near.items() if step > 0)
    if not wish.field:
        return near
    return near + sum(wish.field[c][place] for place, c in enumerate(colours) if c >= 0)
