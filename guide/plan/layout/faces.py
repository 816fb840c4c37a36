"""What meets what on the faces of a layout, whoever made it; swaps by hand; what each seam shows once frayed."""

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from typing import Any

import msgspec

from guide.plan.model import Block, Layout, Outcome
from guide.read.model import Project
from guide.read.spoken import counted, plural

Cell = tuple[int, int]  # (row, column), 1-based, front seen
Stack = tuple[str, ...]  # front first
_CELL = r"(?<!\d)(\d{1,3})\s*,\s*(\d{1,3})(?!\d)"


def cells_in(text: str) -> tuple[list[Cell], str]:
    """The blocks that a text names as row,column, and what else it says."""
    cells = [(int(row), int(column)) for row, column in re.findall(_CELL, text)]
    return cells, " ".join(re.sub(_CELL, " ", text).split())


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
    stacks = layout.stacks
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


def with_matches(layout: Layout) -> Layout:
    """Return the same layout with its matches counted afresh from its blocks alone, whoever made it."""
    sides = [meeting.face for meeting in meetings(layout)]
    stacks, diagonal = layout.stacks, 0
    for (row, column), stack in stacks.items():
        for other in ((row + 1, column + 1), (row + 1, column - 1)):
            beside = stacks.get(other)
            if beside is not None:
                diagonal += stack[0] == beside[0]
                diagonal += len(stack) > 1 and stack[-1] == beside[-1]
    front, back = sides.count("front"), sides.count("back")
    return msgspec.structs.replace(layout, front_matches=front, back_matches=back, diagonal_matches=diagonal)


def judged(
    layout: Layout, *, faces: int = 2, problem: str | None = None, fixed: Collection[Cell] = (), by_hand: bool = False
) -> Layout:
    """Count a layout's matches and say what came of it.

    With `faces=1` only the front has to be clear; `problem` is why the stock cannot do it; blocks that
    are `fixed` and meet their like cannot be helped. For one laid `by_hand` nothing was looked for.
    """
    layout = with_matches(layout)
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
    stacks = layout.stacks
    stacks[first], stacks[second] = stacks[second], stacks[first]
    swapped = msgspec.structs.replace(layout, blocks=as_blocks(stacks))
    if layout.outcome == "impossible":
        return with_matches(swapped)  # a swap changes nothing about the stock
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
    stacks = layout.stacks
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


# Light against dark: how light a colour is, and where two prints side by side are hardly told apart.

EVEN = 0.179  # relative luminance at which black and white stand out alike


def parts(colour: str) -> tuple[float, float, float]:
    """Red, green and blue of `#rrggbb`, each from 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def luminance(red: float, green: float, blue: float) -> float:
    """Relative luminance, 0 to 1, of an sRGB colour whose parts go from 0 to 1 (IEC 61966-2-1; WCAG 2)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (red, green, blue)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def lightness(colour: str) -> float:
    """L* of `#rrggbb`, 0 black to 100 white (CIE 1976, ISO/CIE 11664-4; the white is that of sRGB, D65).

    The same step looks about as large anywhere between black and white, whatever the hue.
    """
    light = luminance(*parts(colour))
    return 116 * light ** (1 / 3) - 16 if light > (6 / 29) ** 3 else light * (29 / 3) ** 3


def ink(colour: str) -> str:
    """Black or white, whichever stands out further on a colour: 4.5 : 1 or more on any (WCAG 2)."""
    return "#ffffff" if luminance(*parts(colour)) < EVEN else "#000000"


def grey(light: float) -> str:
    """The grey of a lightness, as `#rrggbb`: `lightness` turned round."""
    linear = ((light + 16) / 116) ** 3 if light > 8 else light / (29 / 3) ** 3
    part = linear * 12.92 if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return "#" + f"{round(255 * min(1.0, max(0.0, part))):02x}" * 3


NEAR = 10.0  # L* apart, below which two prints read as one from across a room [practice]

Lights = Mapping[str, float]


def lights_of(project: Project) -> dict[str, float]:
    """L* of each print that says its colour, 0 black to 100 white."""
    return {cloth.name: lightness(cloth.colour) for cloth in project.prints if cloth.colour}


class Contrast(msgspec.Struct, frozen=True):
    """Light against dark on one face: L* apart, over neighbours at the sides whose prints both say a colour."""

    neighbours: int
    mean: float  # apart, on average
    near: tuple[tuple[Cell, Cell], ...]  # less than NEAR apart, prints that are the same left out
    longest: int  # blocks one after another in a row or column of which none is told apart from the one before


def contrast(layout: Layout, lights: Lights, layer: int = 0) -> Contrast | None:
    """Light against dark on a layer of a layout, 1-based as its front is seen; None where no neighbours say colours."""
    rows = [[""] * layout.across for _ in range(layout.down)]
    for block in layout.blocks:
        rows[block.row - 1][block.column - 1] = block.stack[layer]
    return contrast_of(rows, lights)


def contrast_of(rows: Sequence[Sequence[str]], lights: Lights) -> Contrast | None:
    """The same of prints row by row, as they are seen."""
    apart: list[float] = []
    near: list[tuple[Cell, Cell]] = []
    longest = 1
    across = [[((r, c), name) for c, name in enumerate(row, 1)] for r, row in enumerate(rows, 1)]
    for line in [*across, *(list(column) for column in zip(*across, strict=True))]:
        run = 1
        for (first, one), (second, other) in pairwise(line):
            if one not in lights or other not in lights:  # a print that says no colour may look like anything
                run = 1
                continue
            differs = abs(lights[one] - lights[other])
            apart.append(differs)
            run = run + 1 if differs < NEAR else 1
            longest = max(longest, run)
            if differs < NEAR and one != other:
                near.append((first, second))
    if not apart:
        return None
    return Contrast(len(apart), sum(apart) / len(apart), tuple(near), longest)


# A layout kept for later as plain data, and the checks when it comes back; files are not its business.

FORMAT = 1
AGAIN = "run `guide layout` to lay it again"


class Panel(msgspec.Struct, frozen=True):
    """What the project says of the panel a layout is for."""

    across: int
    down: int
    depth: int  # squares in a block
    prints: Collection[str]
    faces: int = 2  # that must be clear: 1 for a cushion's front alone


def panel_of(project: Project) -> Panel:
    """Say what a kept layout must fit; the project's target is settled."""
    depth = project.above + project.below
    faces = 1 if project.back != "none" or depth == 1 else 2
    return Panel(project.across, project.down, depth, [p.name for p in project.prints], faces)


def layout_to_dict(layout: Layout, kept: Collection[Cell] = ()) -> dict[str, Any]:
    """Plain data for JSON: rows of stacks, front first; `kept` are blocks that are to stay."""
    rows: list[list[list[str]]] = [[] for _ in range(layout.down)]
    for block in layout.blocks:
        rows[block.row - 1].append(list(block.stack))
    return {"format": FORMAT, "seed": layout.seed, "rows": rows, "kept": [list(cell) for cell in sorted(kept)]}


def wrong_layout(data: Any, panel: Panel, *, empty: bool = False) -> list[str]:
    """Tell all that is wrong with kept data; `empty`: places may have nothing on them, an empty stack."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        return [f"this is not a layout of format {FORMAT}: {AGAIN}"]
    problems = [f"`{key}` is not known: take it out" for key in data.keys() - {"format", "seed", "rows", "kept"}]
    if not _whole(data.get("seed", 0)):
        problems.append("`seed` is not a whole number: write 0")
    return problems + (_wrong_rows(data.get("rows"), panel, empty=empty) or _wrong_kept(data.get("kept", []), panel))


def layout_from_dict(data: Any, panel: Panel) -> Layout | list[str]:
    """Make the layout of kept data with its matches counted afresh, or tell all that is wrong with it."""
    if problems := wrong_layout(data, panel):
        return problems
    stacks = {
        (r, c): tuple(stack) for r, row in enumerate(data["rows"], start=1) for c, stack in enumerate(row, start=1)
    }
    layout = Layout(panel.across, panel.down, data.get("seed", 0), as_blocks(stacks), 0, 0, 0, "found")
    return judged(layout, faces=panel.faces, by_hand=True)


def kept_from_dict(data: dict[str, Any]) -> frozenset[Cell]:
    """The blocks that are to stay, of data that `layout_from_dict` took; 1-based (row, column)."""
    return frozenset((row, column) for row, column in data.get("kept", []))


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _wrong_rows(rows: Any, panel: Panel, *, empty: bool) -> list[str]:
    if not isinstance(rows, list) or not all(isinstance(row, list) for row in rows):
        return [f"`rows` is not a list of rows of stacks: {AGAIN}"]
    # From the outside in: of rows that are not the panel's no stack is worth a word.
    wide = sorted({len(row) for row in rows})
    if len(rows) != panel.down or wide != [panel.across]:
        has = f"{wide[0]} × {counted(len(rows), 'block')}" if len(wide) == 1 else f"{len(rows)} rows of unequal length"
        return [f"it has {has}, the project {panel.across} × {panel.down}: {AGAIN}"]
    problems = []
    for r, row in enumerate(rows, start=1):
        for c, stack in enumerate(row, start=1):
            if not (empty and stack == []):
                problems += [f"row {r}, column {c}: {wrong}" for wrong in _wrong_stack(stack, panel)]
    return problems


def _wrong_stack(stack: Any, panel: Panel) -> list[str]:
    if not isinstance(stack, list) or not all(isinstance(name, str) for name in stack):
        return ["write the stack as a list of prints, front first"]
    if len(stack) != panel.depth:
        return [f"the stack has {counted(len(stack), 'square')}, a block {panel.depth}: {AGAIN}"]
    strange = sorted(set(stack) - set(panel.prints))
    return [f"the project has no print `{name}`: name one of its prints, or {AGAIN}" for name in strange]


def _wrong_kept(kept: Any, panel: Panel) -> list[str]:
    if not isinstance(kept, list):
        return ["`kept` is not a list of [row, column]: write []"]
    problems = []
    for cell in kept:
        fits = isinstance(cell, list) and len(cell) == 2 and all(_whole(number) for number in cell)
        if not fits or not (1 <= cell[0] <= panel.down and 1 <= cell[1] <= panel.across):
            problems.append(f"`kept` names {cell}, which is no block of {panel.across} × {panel.down}: take it out")
    return problems
