"""The cutting drawn in plain text: one band for strips that give the same, cuts dotted, what is left as points."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from guide.plan.cutting.count import runs
from guide.plan.model import CutCloth, CutStrip, Cutting
from guide.plan.parts import letter
from guide.read.units import INCHES, Ruler

_DEEPEST = 6  # lines for one strip
_LABEL = 18  # characters beside the drawing


def sketch(cutting: Cutting, columns: int = 60, ruler: Ruler = INCHES) -> list[str]:
    """Lines no wider than `columns`: letters are parts, points are left over, dotted lines are cuts.

    A strip stands for all that give the same; its numbers and the ruler's setting are beside it.
    """
    names = list(dict.fromkeys(p.part for cloth in cutting.cloths for p in cloth.placements))
    letters = {name: letter(at) for at, name in enumerate(names)}
    wide = max(columns - _LABEL, 10)
    lines = [cutting.material[:columns]]
    for cloth in cutting.cloths:
        lines += ["", *_cloth(cloth, letters, wide, ruler)]
    lines += ["", *(f"{sign} {name}" for name, sign in letters.items())]
    return [line[:columns].rstrip() for line in lines]


def _cloth(cloth: CutCloth, letters: dict[str, str], wide: int, ruler: Ruler) -> Iterator[str]:
    where = "from the bolt" if cloth.bought else "on hand"
    ways = ", strips along the grain" if cloth.along else ""
    yield f"{where}: {ruler.told(cloth.width_mm)} by {ruler.told(cloth.length_mm)}{ways}"
    for run in _identical(cloth):
        yield "┄" * wide
        numbers = f"{run[0].number}" if len(run) == 1 else f"{run[0].number}-{run[-1].number}"
        label = f"  {numbers}  {ruler.told(run[0].setting)}"
        for line in _band(run[0], letters, wide):
            yield line + label
            label = ""
    yield "┄" * wide


def _identical(cloth: CutCloth) -> Iterator[list[CutStrip]]:
    """Strips that give the same, run by run; a last short one stands by itself."""
    for run in runs(cloth):
        yield from (list(same) for _, same in groupby(run, key=lambda strip: len(strip.lying)))


def _band(strip: CutStrip, letters: dict[str, str], wide: int) -> list[str]:
    """A strip's parts in so many characters; a character is twice as high as it is wide."""
    per_column = strip.area.right / wide
    deep = min(max(round(strip.setting / per_column / 2), 1), _DEEPEST)
    per_line = strip.setting / deep
    canvas = [["·"] * wide for _ in range(deep)]
    for one in strip.lying:
        left, right = (round(x / per_column) for x in (one.area.left, one.area.right))
        low, high = (round((y - strip.area.low) / per_line) for y in (one.area.low, one.area.high))
        _patch(canvas, letters[one.part], range(left, max(right, left + 1)), range(low, max(high, low + 1)))
    return ["".join(line) for line in canvas]


def _patch(canvas: Sequence[list[str]], sign: str, across: range, down: range) -> None:
    for line in canvas[down.start : down.stop]:
        for x in across[: max(len(canvas[0]) - across.start, 0)]:
            line[x] = "┊" if x == across.start else " "
    middle = min((down.start + down.stop - 1) // 2, len(canvas) - 1)
    at = min((across.start + across.stop) // 2, len(canvas[0]) - len(sign))
    canvas[middle][at : at + len(sign)] = sign
