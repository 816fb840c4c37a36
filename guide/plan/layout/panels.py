"""The panels of a project: the blocks' stacks, and a patchwork back's single squares."""

from collections.abc import Mapping, Sequence
from math import floor

from guide.errors import GuideError
from guide.plan.cutting.strips import straightened
from guide.plan.layout.counts import Supply
from guide.plan.layout.faces import Cell, Stack, judged
from guide.plan.layout.lay import lay
from guide.plan.model import Block, Layout
from guide.plan.parts import TRIM_MM
from guide.read.formula import Value
from guide.read.model import Print, Project
from guide.read.spoken import are, counted
from guide.read.units import Units


class CannotLay(GuideError):
    """The prints there are cannot fill the panels (exit 2); the message says what would."""


def lay_panels(
    project: Project, at: Mapping[str, Value], kept: Sequence[Sequence[str]] | None = None
) -> tuple[Layout | None, Layout | None]:
    """Lay one make's panel and its patchwork back (None without one). Rows and columns 1-based.

    The panel's are counted as its front is seen, the back's as the back is seen: each with its right sides up.
    `kept` is a layout already decided, stacks row by row. Raises CannotLay when stock is too small.
    """
    if not project.across or not project.down:
        return None, None
    envelope_rows = at.get("envelope_rows")
    rows = project.down
    if project.closure == "envelope" and isinstance(envelope_rows, float):
        rows = 2 * round(envelope_rows)
    squares = project.across * project.down * (project.above + project.below)
    single = project.across * rows if project.back == "patchwork" else 0
    if not kept:
        _enough(squares + single, [_supply(p, project) for p in project.prints])
    layout = keep(project, kept) if kept else lay_front(project)
    backing = None
    if single:
        used = _count(layout)
        supplies = [_supply(p, project, used.get(p.name, 0)) for p in project.prints]
        left = [supply for supply in supplies if supply.at_most != 0] or supplies
        backing = lay(project.across, rows, 1, left, seed=project.seed + 1)
    if not kept:
        within_stock(project, layout, backing)
    return layout, backing


def lay_front(project: Project, fixed: Mapping[Cell, Stack] | None = None) -> Layout:
    """Lay one make's panel; `fixed` stacks by 1-based (row, column) stay where they are."""
    supplies = [_supply(p, project) for p in project.prints]
    return lay(
        project.across,
        project.down,
        project.above + project.below,
        [supply for supply in supplies if supply.at_most != 0] or supplies,
        faces="front" if project.back != "none" else "both",
        seed=project.seed,
        order=project.stacks,
        fixed=fixed,
    )


def _supply(cloth: Print, project: Project, used: int = 0) -> Supply:
    """Tell what one make may take of a print, after `used` squares of it are spoken for."""
    stock = stock_of(cloth, project)
    at_most = None if stock is None else max(stock // project.make - used, 0)
    at_least = cloth.ready_squares // project.make if cloth.use_up and not used else 0
    return Supply(cloth.name, at_most=at_most, at_least=at_least)


def stock_of(cloth: Print, project: Project) -> int | None:
    """Tell how many squares of a print all makes may take; None: as many as are wanted."""
    limits = [] if cloth.at_most is None else [cloth.at_most]
    if not cloth.width and isinstance(square := project.given["square"].value, float):  # nothing of it can be bought
        limits.append(squares_on_hand(cloth, square, project.units))
    return min(limits, default=None)


def stock_left(project: Project, taken: Mapping[str, int]) -> dict[str, int]:
    """Tell how many squares more can be cut of the prints that are scarce, after those taken."""
    stocks = {cloth.name: stock_of(cloth, project) for cloth in project.prints}
    return {name: max(0, stock - taken.get(name, 0)) for name, stock in stocks.items() if stock is not None}


def too_many(project: Project, name: str, takes: int) -> str:
    """Say what is taken of a print beyond its stock, both figures, and what to write so that it may be."""
    cloth = next(cloth for cloth in project.prints if cloth.name == name)
    stock = stock_of(cloth, project)
    assert stock is not None
    return f"{counted(takes, 'square')} of {name}; {_limit(cloth, stock)}. {', '.join(_more_of(cloth, stock, takes))}"


def within_stock(project: Project, layout: Layout | None, backing: Layout | None, *, kept: bool = False) -> None:
    """Refuse panels that take more squares of a print than there are. Raises CannotLay.

    `kept`: the layout was decided by hand or half way, so another may do with what there is.
    """
    for name, takes in squares_needed(layout, backing, project.make).items():
        cloth = next(cloth for cloth in project.prints if cloth.name == name)
        stock = stock_of(cloth, project)
        if stock is None or takes <= stock:
            continue
        if kept:
            told, other = "The layout takes", "lay again: guide layout --forget puts the kept one away"
        else:
            told, other = "Stacks turned in one order take", f"leave {name} out of the prints"
        mends = [*_more_of(cloth, stock, takes), *([] if kept else ["write stacks: free"])]
        raise CannotLay(
            f"{told} {counted(takes, 'square')} of {name}; {_limit(cloth, stock)}.\n{', '.join(mends)}, or {other}."
        )


def with_spare(project: Project, squares: Mapping[str, int], spare: int) -> tuple[dict[str, int], tuple[str, ...]]:
    """Count the squares to cut, so many to spare of every print as far as the stock goes, and say what is lacking."""
    out: dict[str, int] = {}
    scarce = []
    for cloth in project.prints:
        takes, stock = squares.get(cloth.name, 0), stock_of(cloth, project)
        if takes:
            more = spare if stock is None else max(0, min(spare, stock - takes))
            out[cloth.name] = takes + more
            if more < spare and stock is not None:
                scarce.append(f"{cloth.name}: {more or 'none'} to spare, not {spare}: {_limit(cloth, stock)} in all")
    return out, tuple(scarce)


def _limit(cloth: Print, stock: int) -> str:
    return f"{stock} {are(stock)} {'allowed' if stock == cloth.at_most else 'on hand'}"


def _more_of(cloth: Print, stock: int, takes: int) -> list[str]:
    """What to write so that a print may be taken so often."""
    if stock == cloth.at_most:
        return [f"Raise its at_most to {takes}"]
    return [f"Write the width of {cloth.name}, so that it can be bought"]


def squares_on_hand(cloth: Print, square: float, units: Units) -> int:
    """Count the squares that what is on hand of a print gives, ready-cut ones too."""
    pieces = [straightened(piece, TRIM_MM[units]) for piece in cloth.on_hand]
    return cloth.ready_squares + sum(one.count * squares_from(one.width, one.length, square) for one in pieces)


def squares_from(width: float, length: float, square: float) -> int:
    """Count the squares of one size that straight cuts give from a piece: whole strips of whole squares."""
    across, down = (floor(side / square * (1 + 1e-9)) for side in (width, length))
    return across * down


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


def keep(project: Project, kept: Sequence[Sequence[str]]) -> Layout:
    """Take one make's panel as it was decided: stacks row by row. CannotLay when it is not this project's."""
    blocks = tuple(Block(i // project.across + 1, i % project.across + 1, tuple(stack)) for i, stack in enumerate(kept))
    known = {p.name for p in project.prints}
    if len(blocks) != project.across * project.down or not all(set(b.stack) <= known for b in blocks):
        raise CannotLay("the kept layout does not belong to this project's size and prints; lay it again")
    bare = Layout(project.across, project.down, project.seed, blocks, 0, 0, 0, "found")
    return judged(bare, faces=2 if project.back == "none" else 1, by_hand=True)


def _enough(needed: int, supplies: Sequence[Supply]) -> None:
    """Refuse only what cannot be filled; prints that must meet are a thing to know, not to stop for."""
    limits = {supply.name: supply.at_most for supply in supplies}
    allowed = sum(limit for limit in limits.values() if limit is not None)
    if None in limits.values() or allowed >= needed:
        return
    scarce = ", ".join(f"{name} {limit}" for name, limit in limits.items())
    raise CannotLay(
        f"There are not enough squares: one make takes {needed}, and the prints allow {allowed} ({scarce}).\n"
        f"{needed - allowed} more are wanted: raise at_most, add a print, write the width of one that can be bought, "
        "or make the grid smaller."
    )
