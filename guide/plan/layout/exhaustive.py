"""Try every way round fixed blocks, when quicker means found none: a layout, or the proof that there is none."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal, NamedTuple

from guide.plan.layout.grid import Grid

EFFORT = 400_000  # looks at a place before giving up: some tenths of a second
DEEPEST = 400  # free places; more are not searched


class Searched(NamedTuple):
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
    free = [place for face in range(grid.faces) for place in grid.walk(face) if place not in laid]
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
        """Colour all free places, or put everything back and say that it cannot be done."""
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
