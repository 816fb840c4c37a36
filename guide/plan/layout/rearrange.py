"""Half way: blocks already sewn stay, finished ones move whole, the rest is laid from what is left."""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from random import Random
from typing import Literal

import msgspec

from guide.plan.layout.counts import Supply, level
from guide.plan.layout.faces import Cell, Stack, as_blocks, judged
from guide.plan.layout.lay import lay
from guide.plan.model import Layout

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
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
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
    best: Rearranged | None = None
    for more in _allowances(wanted, left, limits):
        supplies = _supplies(fixed, left, more)
        depth = len(layout.blocks[0].stack)
        laid = lay(layout.across, layout.down, depth, supplies, faces=faces, seed=layout.seed, fixed=fixed)
        moved: tuple[tuple[Cell, Cell], ...] = ()
        if laid.outcome != "found":
            laid, moved = _move_whole(laid, fixed, set(sewn), (0,) if faces == "front" else (0, -1))
        found = _reckoned(laid, fixed, left, moved)
        if best is None or _matches(laid) < _matches(best.layout):
            best = found
        if laid.outcome == "found":
            break
    assert best is not None
    return best


def beyond(cut_again: Mapping[str, int], stock: Mapping[str, int]) -> set[str]:
    """Name the prints that more is cut again of than can be; those not in `stock` are bought as wanted."""
    return {name for name, count in cut_again.items() if count > stock.get(name, count)}


def _matches(layout: Layout) -> int:
    return layout.front_matches + layout.back_matches


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


def _supplies(fixed: Mapping[Cell, Stack], left: Mapping[str, int], more: Mapping[str, int]) -> list[Supply]:
    used = Counter(name for stack in fixed.values() for name in stack)
    names = sorted(used.keys() | left.keys() | more.keys())
    return [Supply(name, at_most=used[name] + left.get(name, 0) + more.get(name, 0)) for name in names]


def _move_whole(
    layout: Layout, fixed: Mapping[Cell, Stack], sewn: Collection[Cell], ends: Sequence[int]
) -> tuple[Layout, tuple[tuple[Cell, Cell], ...]]:
    """Let unsewn blocks change places whole where that takes matches away; finished ones that moved."""
    stacks = {(block.row, block.column): block.stack for block in layout.blocks}
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
    return (better, moved) if _matches(better) < _matches(layout) else (layout, ())


def _meets(stacks: Mapping[Cell, Stack], cell: Cell, ends: Sequence[int]) -> int:
    """How often this block's faces meet their like at its four sides."""
    row, column = cell
    mine = stacks[cell]
    count = 0
    for other in ((row, column + 1), (row, column - 1), (row + 1, column), (row - 1, column)):
        beside = stacks.get(other)
        if beside:
            count += sum(mine[end] == beside[end] for end in ends)
    return count


def _after(stacks: dict[Cell, Stack], first: Cell, second: Cell, ends: Sequence[int]) -> int:
    """Change in matches if these two blocks changed places."""
    before = _meets(stacks, first, ends) + _meets(stacks, second, ends)
    stacks[first], stacks[second] = stacks[second], stacks[first]
    after = _meets(stacks, first, ends) + _meets(stacks, second, ends)
    stacks[first], stacks[second] = stacks[second], stacks[first]
    return after - before


def _reckoned(
    laid: Layout,
    fixed: Mapping[Cell, Stack],
    left: Mapping[str, int],
    moved: tuple[tuple[Cell, Cell], ...],
) -> Rearranged:
    """What the new layout takes beyond the squares at hand, and what it leaves."""
    used = Counter(name for block in laid.blocks for name in block.stack)
    used.subtract(Counter(name for stack in fixed.values() for name in stack))
    at_hand = Counter({name: count for name, count in left.items() if count > 0})
    again = {name: count - at_hand[name] for name, count in used.items() if count > at_hand[name]}
    spare = {name: count - used[name] for name, count in at_hand.items() if count > used[name]}
    return Rearranged(laid, again, spare, moved)
