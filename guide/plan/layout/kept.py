"""A layout kept for later as plain data, and the checks when it comes back; files are not its business."""

from collections.abc import Collection
from typing import Any

import msgspec

from guide.plan.layout.faces import Cell, as_blocks, judged
from guide.plan.model import Layout
from guide.read.model import Project
from guide.read.spoken import counted

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


def layout_from_dict(data: Any, panel: Panel) -> Layout | list[str]:
    """Make the layout of kept data with its matches counted afresh, or tell all that is wrong with it."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        return [f"this is not a layout of format {FORMAT}: {AGAIN}"]
    problems = [f"`{key}` is not known: take it out" for key in data.keys() - {"format", "seed", "rows", "kept"}]
    seed = data.get("seed", 0)
    if not _whole(seed):
        problems.append("`seed` is not a whole number: write 0")
    problems += _wrong_rows(data.get("rows"), panel) or _wrong_kept(data.get("kept", []), panel)
    if problems:
        return problems
    stacks = {
        (r, c): tuple(stack) for r, row in enumerate(data["rows"], start=1) for c, stack in enumerate(row, start=1)
    }
    layout = Layout(panel.across, panel.down, seed, as_blocks(stacks), 0, 0, 0, "found")
    return judged(layout, faces=panel.faces, by_hand=True)


def kept_from_dict(data: dict[str, Any]) -> frozenset[Cell]:
    """The blocks that are to stay, of data that `layout_from_dict` took; 1-based (row, column)."""
    return frozenset((row, column) for row, column in data.get("kept", []))


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _wrong_rows(rows: Any, panel: Panel) -> list[str]:
    if not isinstance(rows, list) or not all(isinstance(row, list) for row in rows):
        return [f"`rows` is not a list of rows of stacks: {AGAIN}"]
    wide = sorted({len(row) for row in rows})
    if len(rows) != panel.down or wide != [panel.across]:
        has = f"{wide[0]} × {counted(len(rows), 'block')}" if len(wide) == 1 else f"{len(rows)} rows of unequal length"
        return [f"it has {has}, the project {panel.across} × {panel.down}: {AGAIN}"]
    problems = []
    for r, row in enumerate(rows, start=1):
        for c, stack in enumerate(row, start=1):
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
