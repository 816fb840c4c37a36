"""The panels of a project: the blocks' stacks, and a patchwork back's single squares."""

from collections.abc import Mapping, Sequence

from guide.errors import GuideError
from guide.plan.faces import Cell, Stack, judged
from guide.plan.layout import lay
from guide.plan.model import Block, Layout
from guide.plan.share import Supply
from guide.read.formula import Value
from guide.read.model import Print, Project


class CannotLay(GuideError):
    """The prints there are cannot fill the panels (exit 2); the message says what would."""


def lay_panels(
    project: Project, at: Mapping[str, Value], kept: Sequence[Sequence[str]] | None = None
) -> tuple[Layout | None, Layout | None]:
    """Lay one make's panel and its patchwork back (None without one). Rows and columns 1-based, front seen.

    `kept` is a layout already decided, stacks row by row. Raises CannotLay when stock is too small.
    """
    if not project.across or not project.down:
        return None, None
    prints = [p for p in project.prints if p.at_most != 0 or p.ready_squares]
    layout = _kept(project, kept) if kept else lay_front(project)
    _enough(layout, prints)
    backing = None
    if project.back == "patchwork":
        rows = project.down
        if project.closure == "envelope" and isinstance(at.get("envelope_rows"), float):
            rows = 2 * int(at["envelope_rows"])  # type: ignore[arg-type]
        used = _count(layout)
        supplies = [_supply(p, project.make, used.get(p.name, 0)) for p in prints]
        backing = lay(
            project.across, rows, 1, [s for s in supplies if s.at_most != 0] or supplies, seed=project.seed + 1
        )
        _enough(backing, prints)
    return layout, backing


def lay_front(project: Project, fixed: Mapping[Cell, Stack] | None = None) -> Layout:
    """Lay one make's panel; `fixed` stacks by 1-based (row, column) stay where they are."""
    prints = [p for p in project.prints if p.at_most != 0 or p.ready_squares]
    return lay(
        project.across,
        project.down,
        project.above + project.below,
        [_supply(p, project.make) for p in prints],
        faces="front" if project.back != "none" else "both",
        seed=project.seed,
        order=project.stacks,
        fixed=fixed,
    )


def _supply(cloth: Print, make: int, used: int = 0) -> Supply:
    """Tell what one make may take of a print, after `used` squares of it are spoken for."""
    at_most = None
    if cloth.at_most is not None:
        at_most = cloth.at_most // make - used
    elif not cloth.width and not cloth.on_hand:
        at_most = cloth.ready_squares // make - used
    at_least = cloth.ready_squares // make if cloth.use_up and not used else 0
    return Supply(
        cloth.name, at_most=None if at_most is None else max(at_most, 0), reverse=cloth.reverse, at_least=at_least
    )


def _count(layout: Layout) -> dict[str, int]:
    count: dict[str, int] = {}
    for block in layout.blocks:
        for name in block.stack:
            count[name] = count.get(name, 0) + 1
    return count


def squares_needed(layout: Layout | None, backing: Layout | None, make: int) -> dict[str, int]:
    """Count the squares of each print for all makes."""
    out: dict[str, int] = {}
    for panel in (layout, backing):
        for name, count in (_count(panel) if panel else {}).items():
            out[name] = out.get(name, 0) + count * make
    return out


def _kept(project: Project, kept: Sequence[Sequence[str]]) -> Layout:
    blocks = tuple(Block(i // project.across + 1, i % project.across + 1, tuple(stack)) for i, stack in enumerate(kept))
    known = {p.name for p in project.prints}
    if len(blocks) != project.across * project.down or not all(set(b.stack) <= known for b in blocks):
        raise CannotLay("the kept layout does not belong to this project's size and prints; lay it again")
    bare = Layout(project.across, project.down, project.seed, blocks, 0, 0, 0, "found")
    return judged(bare, faces=2 if project.back == "none" else 1)


def _enough(layout: Layout, prints: Sequence[Print]) -> None:
    """Refuse only what cannot be filled; prints that must meet are a thing to know, not to stop for."""
    if layout.outcome != "impossible" or not layout.reason or "allow" not in layout.reason:
        return
    scarce = ", ".join(f"{p.name} ({p.at_most})" for p in prints if p.at_most is not None)
    raise CannotLay(
        f"There are not enough squares: {layout.reason}.\n"
        f"Raise at_most{f' of {scarce}' if scarce else ''}, add a print, or make the grid smaller."
    )
