"""What is left of the cloth, and what it would still give: more squares, a plain back, pieces to practise on.

Reckoned from the rectangles that stand beside and behind the strips as they are cut, without selvedges, and on the
table: of washed cloth as it lies once washed. The length is what is bought, in the shop's whole steps.
"""

from collections.abc import Iterable, Sequence

import msgspec

from guide.plan.cutting.cut import rests
from guide.plan.model import CutCloth, Cutting, Plan
from guide.plan.parts import WADDING, bolt_of

Size = tuple[float, float]  # across and along the cloth, mm
_FITS = 1 + 1e-9


class Gives(msgspec.Struct, frozen=True):
    """What is left would give so many squares, or instead of them so many whole plain backs.

    `practice`: pieces of `practice_mm` each way from what is left once the squares are cut; 0 mm where there are none.
    """

    squares: int
    backs: int
    practice: int
    practice_mm: float


def gives_of(plan: Plan, cutting: Cutting) -> Gives:
    """What one plan's cutting of a material leaves, and would give."""
    bolt = bolt_of(plan.project, cutting.material)
    spare = bolt.laid(cutting.buy_mm) - cutting.use_mm if bolt else 0.0
    return would_give(plan, cutting.material, rectangles(cutting.cloths, spare))


def rectangles(cloths: Iterable[CutCloth], spare_mm: float) -> list[Size]:
    """Give what is left of these cloths; `spare_mm`: what was bought beyond what they take, at the last one's end."""
    out: list[Size] = []
    every = list(cloths)
    last = max((at for at, cloth in enumerate(every) if cloth.bought), default=-1)
    for at, cloth in enumerate(every):
        for rest in rests(cloth, spare_mm if at == last else 0.0):
            size = (rest.right - rest.left, rest.high - rest.low)
            out.append(size[::-1] if cloth.along else size)
    return [(width, height) for width, height in out if min(width, height) > 0]


def would_give(plan: Plan, material: str, left: Sequence[Size]) -> Gives:
    """Say what rectangles of a material would give of a plan's own sizes."""
    if material == WADDING:
        return Gives(sum(_grid(one, plan.number("wadding_size") or 0.0) for one in left), 0, 0, 0.0)
    square, seam = plan.number("square") or 0.0, plan.number("seam") or 0.0
    one_way = any(cloth.one_way for cloth in plan.project.prints if cloth.name == material)
    # Half a square is enough to try stitch and snips on; less than three seams is none [practice].
    practice_mm = max(square / 2, 3 * seam)
    practice = sum(_beside(one, square, practice_mm) for one in left)
    return Gives(
        sum(_grid(one, square) for one in left),
        _sets(left, back_panels(plan), turns=not one_way),
        practice,
        practice_mm if practice else 0.0,
    )


def back_panels(plan: Plan) -> tuple[Size, ...]:
    """The panels of one back of plain cloth as they are cut, whatever this project's is of; none for a throw."""
    width, height = plan.number("back_cut_width"), plan.number("back_cut_height")
    if plan.project.closure == "envelope":
        length = plan.number("envelope_cut_length")
        return ((width, length),) * 2 if width and length else ()
    if not width or not height:
        return ()
    first, second = plan.number("back_cut_1"), plan.number("back_cut_2")
    if plan.project.closure == "zip" and first and second:
        across = plan.quantities["zip_along"].value == "row"
        return tuple((width, one) if across else (one, height) for one in (first, second))
    return ((width, height),)


def _grid(left: Size, side: float) -> int:
    """How many squares of a side a rectangle gives, in rows."""
    return int(left[0] * _FITS // side) * int(left[1] * _FITS // side) if side > 0 else 0


def _beside(left: Size, square: float, side: float) -> int:
    """How many smaller squares come from what stands beside and above a rectangle's squares, split the better way."""
    width, height = left
    wide, high = (int(one * _FITS // square) * square for one in left) if square > 0 else (0.0, 0.0)
    if not wide or not high:
        return _grid(left, side)
    upright = _grid((width - wide, height), side) + _grid((wide, height - high), side)
    flat = _grid((width - wide, high), side) + _grid((width, height - high), side)
    return max(upright, flat)


def _sets(left: Sequence[Size], panels: Sequence[Size], *, turns: bool) -> int:
    """How many whole sets of panels: one after another from the smallest rectangle that holds it, the largest first."""
    free, made = list(left), 0
    while panels:
        for panel in sorted(panels, key=lambda one: -one[0] * one[1]):
            tries = [
                (one[0] * one[1], one, way)
                for one in free
                for way in (panel, panel[::-1])[: 1 + turns]
                if way[0] <= one[0] * _FITS and way[1] <= one[1] * _FITS
            ]
            if not tries:
                return made
            _, (width, height), (across, along) = min(tries)
            free.remove((width, height))
            free += [(width - across, height), (across, height - along)]
        made += 1
    return made
