"""The panels of a project: the blocks' stacks, and a patchwork back's single squares."""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from math import floor
from random import Random
from typing import Literal

import msgspec

from guide.errors import GuideError
from guide.plan.cutting.strips import straightened
from guide.plan.layout.counts import Supply, level
from guide.plan.layout.faces import Cell, Stack, as_blocks, judged
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
    # Front first, for it is what is seen; the back takes of what that leaves, an envelope's in rows of its own.
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
        used = squares_needed(layout, None, 1)
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
        faces=to_clear(project),
        seed=project.seed,
        order=project.stacks,
        fixed=fixed,
    )


def to_clear(project: Project) -> Literal["both", "front"]:
    """Tell which faces of the panel show, so that no two alike may meet there."""
    return "both" if project.back == "none" else "front"


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


def squares_needed(layout: Layout | None, backing: Layout | None, make: int) -> dict[str, int]:
    """Count the squares of each print for all makes."""
    panels = (panel for panel in (layout, backing) if panel)
    count = Counter(name for panel in panels for block in panel.blocks for name in block.stack)
    return {name: squares * make for name, squares in count.items()}


def keep(project: Project, kept: Sequence[Sequence[str]]) -> Layout:
    """Take one make's panel as it was decided: stacks row by row. CannotLay when it is not this project's."""
    blocks = tuple(Block(i // project.across + 1, i % project.across + 1, tuple(stack)) for i, stack in enumerate(kept))
    known = {p.name for p in project.prints}
    if len(blocks) != project.across * project.down or not all(set(b.stack) <= known for b in blocks):
        raise CannotLay("the kept layout does not belong to this project's size and prints; lay it again")
    bare = Layout(project.across, project.down, project.seed, blocks, 0, 0, 0, "found")
    return judged(bare, faces=2 if project.back == "none" else 1, by_hand=True)


def _enough(needed: int, supplies: Sequence[Supply]) -> None:
    """Refuse only what cannot be filled; prints that must meet are a thing to know, not to stop for.

    Raises CannotLay when squares are missing.
    """
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


# Half way: blocks already sewn stay, finished ones move whole, the rest is laid from what is left.

ROUNDS = 60  # swaps of whole blocks tried before more squares are asked for


class Rearranged(msgspec.Struct, frozen=True):
    """The rest of a panel laid again, and what that asks of the cloth."""

    layout: Layout
    cut_again: dict[str, int]  # squares by print
    spare: dict[str, int]  # squares left over
    moved: tuple[tuple[Cell, Cell], ...]  # finished blocks that go elsewhere: from, to (row, column)


def rearrange(
    layout: Layout,
    sewn: Collection[Cell],
    left: Mapping[str, int],
    *,
    finished: Collection[Cell] = (),
    gone: Collection[str] = (),
    stock: Mapping[str, int] | None = None,
    faces: Literal["both", "front"] = "both",
) -> Rearranged:
    """Lay what is not sewn yet again, with as few squares cut again as can be found.

    `sewn` blocks keep their places and `finished` ones (quilted, not joined) their stacks; (row, column)
    1-based. `left` are the squares at hand by print; of `gone` prints none can be cut again, and of those in
    `stock` so many; both hold wherever the rest can be filled at all. `faces` as for `lay`. A layout that needs
    no more squares than any other comes back as it was, so nothing moves.
    Raises ValueError for places that do not exist.
    """
    stacks = layout.stacks
    kept = set(sewn) | set(finished)
    if not kept <= stacks.keys():
        raise ValueError("a sewn or finished block lies outside the panel")
    fixed = {cell: stacks[cell] for cell in kept}
    wanted = Counter(name for cell, stack in stacks.items() if cell not in kept for name in stack)
    lacking = wanted - Counter(left)
    limits = dict(stock or {}) | dict.fromkeys(gone, 0)
    fewest = max(0, wanted.total() - sum(left.values()))
    if layout.outcome == "found" and lacking.total() <= fewest and not beyond(lacking, limits):
        return _reckoned(layout, fixed, left, ())
    # Squares are allowed little by little, for each is cloth; blocks that are whole are moved only where that is not
    # enough.
    best: Rearranged | None = None
    ends = (0,) if faces == "front" else (0, -1)
    for more in _allowances(wanted, left, limits):
        used = Counter(name for stack in fixed.values() for name in stack)
        names = sorted(used.keys() | left.keys() | more.keys())
        supplies = [Supply(name, at_most=used[name] + left.get(name, 0) + more.get(name, 0)) for name in names]
        depth = len(layout.blocks[0].stack)
        laid = lay(layout.across, layout.down, depth, supplies, faces=faces, seed=layout.seed, fixed=fixed)
        moved: tuple[tuple[Cell, Cell], ...] = ()
        if laid.outcome != "found":
            laid, moved = _move_whole(laid, fixed, set(sewn), ends)
        found = _reckoned(laid, fixed, left, moved)
        if best is None or _matches(laid, ends) < _matches(best.layout, ends):
            best = found
        if laid.outcome == "found":
            break
    assert best is not None
    return best


def cannot_cut(
    project: Project, cut_again: Mapping[str, int], taken: Mapping[str, int], gone: Collection[str] = ()
) -> str:
    """Say which squares to cut again cannot be cut, and what to write in the project file; "" when all can.

    `taken`: the squares of each print that were cut so far.
    """
    for name in cut_again.keys() & set(gone):
        lacking = counted(cut_again[name], "more square")
        return f"{lacking} of {name}, and of no other print enough may be cut. Raise an at_most or add a print"
    over = min(beyond(cut_again, stock_left(project, taken)), default="")
    return too_many(project, over, taken[over] + cut_again[over]) if over else ""


def beyond(cut_again: Mapping[str, int], stock: Mapping[str, int]) -> set[str]:
    """Name the prints that more is cut again of than can be; those not in `stock` are bought as wanted."""
    return {name for name, count in cut_again.items() if count > stock.get(name, count)}


def _matches(layout: Layout, ends: Sequence[int]) -> int:
    return layout.front_matches + (layout.back_matches if len(ends) > 1 else 0)


def _allowances(wanted: Counter[str], left: Mapping[str, int], limits: Mapping[str, int]) -> Iterator[dict[str, int]]:
    """What may be cut again by print: what is missing first, then a little more each time."""
    prints, most = sorted(wanted.keys() | left.keys()), 2 * wanted.total()
    short = max(0, wanted.total() - sum(left.values()))
    if sum(limits.get(name, most) for name in prints) < short:
        limits = {}  # whatever is done takes more than there is
    prints = [name for name in prints if limits.get(name, most)]
    caps = [limits.get(name, most) for name in prints]
    lacking = [min(max(0, wanted[name] - left.get(name, 0)), cap) for name, cap in zip(prints, caps, strict=True)]
    extra = 0
    while extra <= wanted.total():
        total = min(short + extra, sum(caps))
        if not prints:
            yield {}
            return
        shares = level([0] * len(prints), lacking, total) if total <= sum(lacking) else level(lacking, caps, total)
        yield dict(zip(prints, shares, strict=True))
        extra = extra * 2 or 1


def _move_whole(
    layout: Layout, fixed: Mapping[Cell, Stack], sewn: Collection[Cell], ends: Sequence[int]
) -> tuple[Layout, tuple[tuple[Cell, Cell], ...]]:
    """Let unsewn blocks change places whole where that takes matches away; finished ones that moved."""
    stacks = layout.stacks
    came = {cell: cell for cell in stacks}
    free = [cell for cell in stacks if cell not in sewn]
    rng = Random(layout.seed)  # noqa: S311 (a pattern, not a secret)
    for _ in range(ROUNDS):
        bad = [cell for cell in free if _meets(stacks, cell, ends)]
        if not bad:
            break
        first = bad[int(rng.random() * len(bad))]
        second = min(free, key=lambda cell: (_after(stacks, first, cell, ends), rng.random()))
        stacks[first], stacks[second] = stacks[second], stacks[first]
        came[first], came[second] = came[second], came[first]
    moved = tuple((came[cell], cell) for cell in free if came[cell] in fixed and came[cell] != cell)
    swapped = msgspec.structs.replace(layout, blocks=as_blocks(stacks))
    better = judged(swapped, faces=len(ends), fixed=sewn)
    return (better, moved) if _matches(better, ends) < _matches(layout, ends) else (layout, ())


def _meets(stacks: Mapping[Cell, Stack], cell: Cell, ends: Sequence[int]) -> int:
    """How often this block's faces meet their like at its four sides."""
    row, column = cell
    mine, sides = stacks[cell], ((row, column + 1), (row, column - 1), (row + 1, column), (row - 1, column))
    return sum(mine[end] == stacks[side][end] for side in sides if side in stacks for end in ends)


def _after(stacks: dict[Cell, Stack], first: Cell, second: Cell, ends: Sequence[int]) -> int:
    """Change in matches if these two blocks changed places."""
    before = _meets(stacks, first, ends) + _meets(stacks, second, ends)
    stacks[first], stacks[second] = stacks[second], stacks[first]
    after = _meets(stacks, first, ends) + _meets(stacks, second, ends)
    stacks[first], stacks[second] = stacks[second], stacks[first]
    return after - before


def _reckoned(
    laid: Layout, fixed: Mapping[Cell, Stack], left: Mapping[str, int], moved: tuple[tuple[Cell, Cell], ...]
) -> Rearranged:
    """What the new layout takes beyond the squares at hand, and what it leaves."""
    used = Counter(name for block in laid.blocks for name in block.stack)
    used.subtract(Counter(name for stack in fixed.values() for name in stack))
    at_hand = +Counter(left)
    again = {name: count - at_hand[name] for name, count in used.items() if count > at_hand[name]}
    spare = {name: count - used[name] for name, count in at_hand.items() if count > used[name]}
    return Rearranged(laid, again, spare, moved)
