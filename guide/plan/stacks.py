"""Say which stacks are laid, in which order, how many of each and for which places; and how high each pile is."""

from collections import Counter

import msgspec

from guide.plan.model import Layout
from guide.plan.parts import letters
from guide.read.model import Project

At = tuple[int, int]  # row and column of the front, from 1
EACH = 4  # places that are named one by one; more are gathered row by row


class Stack(msgspec.Struct, frozen=True):
    """Blocks with one and the same stack. `laid`: its prints as they are laid down, the front last, on top.

    `count` is of all makes, `places` of one.
    """

    laid: tuple[str, ...]
    letters: str
    count: int
    places: tuple[At, ...]
    places_text: str


class Pile(msgspec.Struct, frozen=True):
    """How many squares of a print are needed in all makes: for the stacks, and for a patchwork back."""

    print: str
    letter: str
    stacks: int
    back: int
    total: int


class StackMap(msgspec.Struct, frozen=True):
    """Every stack of a panel, those that begin from one pile together; `below`: squares laid before the wadding."""

    stacks: tuple[Stack, ...]
    piles: tuple[Pile, ...]
    below: int
    wadding: bool


def stack_map(project: Project, layout: Layout | None, backing: Layout | None) -> StackMap | None:
    """Count equal stacks together, in the order of the piles they are laid from; None where nothing is laid."""
    if layout is None:
        return None
    named, make = letters(project), max(1, project.make)
    rank = {name: place for place, name in enumerate(named)}
    places: dict[tuple[str, ...], list[At]] = {}
    for block in layout.blocks:
        places.setdefault(block.stack[::-1], []).append((block.row, block.column))
    stacks = tuple(
        Stack(laid, " ".join(named[name] for name in laid), len(at) * make, tuple(at), places_text(at))
        for laid, at in sorted(places.items(), key=lambda one: [rank[name] for name in one[0]])
    )
    return StackMap(stacks, piles(project, layout, backing), project.below, project.wadding)


def piles(project: Project, layout: Layout | None, backing: Layout | None) -> tuple[Pile, ...]:
    """How many squares of each print the stacks and the back take, those that take none left out."""
    make = max(1, project.make)
    stacks, back = (
        Counter(name for block in (laid.blocks if laid else ()) for name in block.stack) for laid in (layout, backing)
    )
    return tuple(
        Pile(name, letter, stacks[name] * make, back[name] * make, (stacks[name] + back[name]) * make)
        for name, letter in letters(project).items()
        if stacks[name] + back[name]
    )


def places_text(places: list[At]) -> str:
    """Say places one by one, or row by row where they are many."""
    if len(places) <= EACH:
        return ", ".join(f"row {row} column {column}" for row, column in places)
    rows: dict[int, list[int]] = {}
    for row, column in places:
        rows.setdefault(row, []).append(column)
    return "; ".join(
        f"row {row} column{'s' if len(columns) > 1 else ''} {', '.join(map(str, columns))}"
        for row, columns in rows.items()
    )
