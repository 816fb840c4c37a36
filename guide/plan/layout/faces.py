"""What meets what on the faces of a layout, whoever made it; swaps by hand; what each seam shows once frayed."""

from collections import Counter
from collections.abc import Collection, Mapping
from typing import NamedTuple

import msgspec

from guide.plan.model import Block, Layout, Outcome
from guide.read.spoken import plural

Cell = tuple[int, int]  # (row, column), 1-based, front seen
Stack = tuple[str, ...]  # front first


class Matches(NamedTuple):
    """How often the same print meets itself: sides on the front, on the back, diagonals on both."""

    front: int
    back: int
    diagonal: int


class Meeting(msgspec.Struct, frozen=True):
    """Two side neighbours with the same print on one face."""

    face: str  # front | back
    first: tuple[int, int]
    second: tuple[int, int]
    print: str


def meetings(layout: Layout, faces: int = 2) -> list[Meeting]:
    """Every place where a print meets itself, in the panel's order; rows and columns 1-based, front seen.

    The lower face is seen mirrored, but the same blocks meet there. Single squares have only a front, and of
    `faces=1` only the front is looked at.
    """
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    found = []
    for (row, column), stack in stacks.items():
        for other in ((row, column + 1), (row + 1, column)):
            beside = stacks.get(other)
            if beside is None:
                continue
            if stack[0] == beside[0]:
                found.append(Meeting("front", (row, column), other, stack[0]))
            if faces == 2 and len(stack) > 1 and stack[-1] == beside[-1]:
                found.append(Meeting("back", (row, column), other, stack[-1]))
    return found


def matches(layout: Layout) -> Matches:
    """Count the matches of a layout from its blocks alone, whoever made it."""
    sides = [meeting.face for meeting in meetings(layout)]
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    diagonal = 0
    for (row, column), stack in stacks.items():
        for other in ((row + 1, column + 1), (row + 1, column - 1)):
            beside = stacks.get(other)
            if beside is not None:
                diagonal += stack[0] == beside[0]
                diagonal += len(stack) > 1 and stack[-1] == beside[-1]
    return Matches(sides.count("front"), sides.count("back"), diagonal)


def counted(layout: Layout) -> Layout:
    """Return the same layout with its matches counted afresh."""
    found = matches(layout)
    return msgspec.structs.replace(
        layout, front_matches=found.front, back_matches=found.back, diagonal_matches=found.diagonal
    )


def judged(
    layout: Layout, *, faces: int = 2, problem: str | None = None, fixed: Collection[Cell] = (), by_hand: bool = False
) -> Layout:
    """Count a layout's matches and say what came of it.

    With `faces=1` only the front has to be clear; `problem` is why the stock cannot do it; blocks that
    are `fixed` and meet their like cannot be helped. For one laid `by_hand` nothing was looked for.
    """
    layout = counted(layout)
    met = meetings(layout, faces)
    stuck = [meeting for meeting in met if meeting.first in fixed and meeting.second in fixed]
    outcome: Outcome = "found" if not met else "as laid" if by_hand else "not found"
    reason = None
    if problem:
        outcome, reason = "impossible", problem
    elif stuck:
        outcome, reason = "impossible", f"{_told(stuck[0])} on the {stuck[0].face}, and both blocks are to stay"
    elif met:
        reason = f"like meets like in {len(met)} {plural('place', len(met))}: {_told(met[0])} on the {met[0].face}"
    return msgspec.structs.replace(layout, outcome=outcome, reason=reason)


def _told(meeting: Meeting) -> str:
    (row, column), (other_row, other_column) = meeting.first, meeting.second
    return f"row {row} column {column} and row {other_row} column {other_column} both show {meeting.print}"


def said_of(layout: Layout, faces: int, *, patchwork_back: bool = False) -> str:
    """Say how often a print meets itself on the faces that show, and where first, or why; nothing when clear."""
    met = meetings(layout, faces)
    if not met:
        return f"the panel cannot be laid as asked: {layout.reason}" if layout.outcome == "impossible" else ""
    count = Counter("patchwork back" if patchwork_back else meeting.face for meeting in met)
    places = " and ".join(f"{n} {plural('place', n)} on the {face}" for face, n in count.items())
    said = f"{'as laid, ' if layout.outcome == 'as laid' else ''}a print meets itself in {places}"
    return f"{said}: {layout.reason if layout.outcome == 'impossible' else _told(met[0])}"


def swap(layout: Layout, first: Cell, second: Cell) -> Layout:
    """Two blocks change places whole, and the matches are counted again; (row, column) 1-based.

    Raises KeyError when there is no such block.
    """
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    stacks[first], stacks[second] = stacks[second], stacks[first]
    swapped = msgspec.structs.replace(layout, blocks=as_blocks(stacks))
    if layout.outcome == "impossible":
        return counted(swapped)  # a swap changes nothing about the stock
    relaxed = layout.outcome == "found" and layout.reason is not None
    judgement = judged(swapped, faces=1 if relaxed else 2, by_hand=True)
    return msgspec.structs.replace(judgement, reason=judgement.reason or layout.reason) if relaxed else judgement


def as_blocks(stacks: Mapping[tuple[int, int], tuple[str, ...]]) -> tuple[Block, ...]:
    """Blocks in the panel's order from stacks by (row, column)."""
    return tuple(Block(row, column, stack) for (row, column), stack in sorted(stacks.items()))


class SeamFringe(msgspec.Struct, frozen=True):
    """One seam between two blocks: colours with the sides of cloth that show them, most first."""

    first: Cell  # (row, column), 1-based
    second: Cell
    shows: tuple[tuple[str, int], ...]


def fringe(layout: Layout, reverses: Mapping[str, str]) -> tuple[SeamFringe, ...]:
    """Colours of every seam inside the panel: seams within rows and between them, in the panel's order.

    Every layer stands up in the seam and shows both its sides: the print, and its reverse where it has
    another colour (`reverses`, by print). So each seam of two stacks shows 4 sides per layer of a block.
    """
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
    seams = []
    for (row, column), stack in stacks.items():
        for other in ((row, column + 1), (row + 1, column)):
            if other in stacks:
                shows = Counter[str]()
                for name in (*stack, *stacks[other]):
                    shows[name] += 1
                    shows[reverses.get(name, name)] += 1
                seams.append(SeamFringe((row, column), other, tuple(shows.most_common())))
    return tuple(seams)
