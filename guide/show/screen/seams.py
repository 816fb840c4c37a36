"""Which seam of a panel is under the needle? The patches it joins, two by two, in the order seams are sewn."""

import msgspec

from guide.plan.model import Layout, Plan, Step
from guide.show.screen.patches import Pair

Seam = tuple[Pair, ...]


class Sewn(msgspec.Struct, frozen=True):
    """How a panel is sewn: in rows of so many squares, or columns of them when upright; 0-based everywhere."""

    rows: int
    squares: int
    upright: bool = False
    parted: int = 0  # after so many rows it stays in two parts: for a zip, or as two panels


def front(plan: Plan) -> Sewn:
    """The front: rows first, then rows to rows."""
    return Sewn(plan.project.down, plan.project.across)


def back(plan: Plan, backing: Layout) -> Sewn:
    """A back of single squares: the same, in columns where its zip runs down it."""
    along, after = plan.quantities.get("zip_along"), plan.number("zip_after")
    upright = along is not None and along.value == "column"
    rows, squares = (backing.across, backing.down) if upright else (backing.down, backing.across)
    parted = rows // 2 if plan.project.closure == "envelope" else 0
    if after is not None:
        parted = round(after)
    return Sewn(rows, squares, upright, parted)


def in_hand(sewn: Sewn, step: Step, done: int, makes: int) -> Seam:
    """The seam after so many that are done, make after make; none when the step's pieces are not the panel's seams."""
    if step.piece != "seam" or done >= step.pieces:
        return ()
    short = sewn.rows * (sewn.squares - 1)
    if step.pieces == short * makes:
        row, place = divmod(done % short, sewn.squares - 1)
        return _turned(sewn, (((row, place), (row, place + 1)),))
    between = [row for row in range(sewn.rows - 1) if row + 1 != sewn.parted]
    return _long(sewn, between[done % len(between)]) if step.pieces == len(between) * makes else ()


def parting(sewn: Sewn) -> Seam:
    """The patches on either side of where a panel stays in two parts."""
    return _long(sewn, sewn.parted - 1) if sewn.parted else ()


def _long(sewn: Sewn, row: int) -> Seam:
    return _turned(sewn, tuple(((row, place), (row + 1, place)) for place in range(sewn.squares)))


def _turned(sewn: Sewn, seam: Seam) -> Seam:
    return tuple((first[::-1], second[::-1]) for first, second in seam) if sewn.upright else seam
