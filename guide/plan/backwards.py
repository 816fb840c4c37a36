"""Planning backwards: from the size wanted, a pad, or the cloth on hand, to grid and square.

The stages' own sums decide what a grid and square come to; sizes are chosen on the ruler's steps, 1/8 in
or 5 mm, as a maker would set it.
"""

import math
from collections.abc import Callable, Iterator
from heapq import nsmallest

import msgspec

from guide.errors import GuideError, NeedsMending
from guide.plan.cutting import CannotCut
from guide.plan.graph import draws_in_late, only
from guide.plan.layout.panels import CannotLay, lay_front, squares_on_hand
from guide.read.check import Language
from guide.read.formula import same
from guide.read.model import Given, Place, Project
from guide.read.spoken import counted
from guide.read.units import INCH, Units, show_length

STEP_MM = {"inch": INCH / 8, "metric": 5.0}
# Squares that are pleasant to sew, the smallest and the largest [practice].
SMALLEST_MM = {"inch": 3 * INCH, "metric": 75.0}
LARGEST_MM = {"inch": 12 * INCH, "metric": 300.0}
# The squares most panels are sewn of, and those that still look and sew well [practice].
USUAL_MM = {"inch": (5 * INCH, 6 * INCH), "metric": (130.0, 150.0)}
FAIR_MM = {"inch": (4 * INCH, 8 * INCH), "metric": (100.0, 200.0)}
FEW = 3  # with fewer blocks along a side a panel is no patchwork [practice]
MOST = 60  # blocks along a side


class Wanted(msgspec.Struct, frozen=True):
    """A size to plan from, as it was asked, mm: a cover's or a pad's; a cover is smaller than its pad by `ease`."""

    of: str  # cover | pad
    after: str  # washing | sewing
    width: float
    height: float
    ease: float = 0.0


class Choice(msgspec.Struct, frozen=True):
    """A grid and square, the size they come to, and by how much that misses (mm; + is too large)."""

    across: int
    down: int
    square: float
    width: float
    height: float
    miss_width: float
    miss_height: float

    @property
    def miss(self) -> float:
        """The larger of the two misses, mm, to a hundredth: nobody cuts finer."""
        return round(max(abs(self.miss_width), abs(self.miss_height)), 2)

    def unusual(self, units: Units) -> int:
        """How far from what is usual: 0 squares most panels have, 1 fair ones, 2 others; 3 more with too few blocks."""
        ranges = (USUAL_MM[units], FAIR_MM[units])
        size = next((i for i, (least, most) in enumerate(ranges) if least - 1e-6 <= self.square <= most + 1e-6), 2)
        return size + (3 if min(self.across, self.down) < FEW else 0)

    @property
    def order(self) -> tuple[float, float, int, float]:
        """Best first: least miss, least of the other side's, fewest blocks, largest square."""
        other = round(min(abs(self.miss_width), abs(self.miss_height)), 2)
        return (self.miss, other, self.across * self.down, -self.square)


def settle(project: Project, language: Language, cut: Callable[[Project], object]) -> Project:
    """Give the project with the best grid and square filled in; as it is when it has no target.

    cut: lays and cuts a grid chosen for the cloth on hand whole, back and all; CannotLay or CannotCut.
    """
    if project.target is None:
        return project
    if "on_hand" in project.target:
        return _on_hand(project, cut)
    return chosen(project, best(project, language, 1)[0])


def planned_from(project: Project, name: str) -> bool:
    """Whether a number of a settled project was chosen to come near its target, and not written."""
    given = project.given.get(name)
    target = project.target is not None and name in {"square", "across", "down"}
    return target and given is not None and given.place == Place(project.file, _line(project))


def chosen(project: Project, choice: Choice) -> Project:
    """Fill one choice into a project."""
    place = Place(project.file, _line(project))
    filled = {
        "square": Given("square", choice.square, "length", show_length(choice.square, project.units), place),
        "across": Given("across", float(choice.across), "count", None, place),
        "down": Given("down", float(choice.down), "count", None, place),
    }
    given = project.given | {name: g for name, g in filled.items() if project.given[name].value is None}
    out = msgspec.structs.replace(project, given=given, across=choice.across, down=choice.down)
    _zip_fits(out)
    return out


def best(project: Project, language: Language, count: int = 5) -> list[Choice]:
    """List the best choices for a target size, least miss first. Raises NeedsMending when there is none.

    Where grid and square are both free, what comes within one step of the nearest counts as equal to it: of those the
    usual squares come first, then fewest blocks.
    """
    found = sorted(_choices(project, language, count), key=lambda choice: choice.order)
    if not found:
        raise NeedsMending(
            f"{project.file}:{_line(project)}: no square from {range_text(project.units)} is larger than four seams, "
            "and planning backwards tries no other; write the square, or a smaller seam."
        )
    if is_free(project):
        units, near = project.units, found[0].miss + STEP_MM[project.units]
        alike = [choice for choice in found if choice.miss < near]
        alike.sort(key=lambda choice: (choice.unusual(units), choice.across * choice.down))
        found[: len(alike)] = alike
    return found[:count]


def range_text(units: Units) -> str:
    """Name the squares that planning backwards tries: `3 in to 12 in`."""
    return f"{show_length(SMALLEST_MM[units], units)} to {show_length(LARGEST_MM[units], units)}"


def is_free(project: Project) -> bool:
    """Whether neither the square nor the grid is written, so that usual ones may be chosen."""
    return all(project.given[name].value is None for name in ("across", "down", "square"))


def _choices(project: Project, language: Language, count: int) -> Iterator[Choice]:
    """For every square on the ruler, the nearest few grids each way: no other can be among the best few."""
    assert project.target is not None
    asked = wanted(project)
    wide, high = asked.width - asked.ease, asked.height - asked.ease
    for square in _squares(project):
        size = [_size(project, language, square, n) for n in (1, 2)]
        sides = []
        for side in (0, 1):
            each, rest = size[1][side] - size[0][side], 2 * size[0][side] - size[1][side]
            given = project.given["across" if side == 0 else "down"].value
            fixed = [round(given)] if isinstance(given, float) else None
            sides.append(_nearest((wide, high)[side], each, rest, count, fixed))
        for across, width in sides[0]:
            for down, height in sides[1]:
                yield Choice(across, down, square, width, height, width - wide, height - high)


def _nearest(wanted: float, each: float, rest: float, count: int, fixed: list[int] | None) -> list[tuple[int, float]]:
    if each <= 0:
        return []
    middle = (wanted - rest) / each
    around = fixed or range(max(1, math.floor(middle) - count), min(MOST, math.ceil(middle) + count) + 1)
    return nsmallest(count + 1, ((n, rest + n * each) for n in around), key=lambda pair: abs(pair[1] - wanted))


def _squares(project: Project) -> list[float]:
    given = project.given["square"].value
    if isinstance(given, float):
        return [given]
    step, seam = STEP_MM[project.units], project.given["seam"].value
    assert isinstance(seam, float)
    first = math.ceil(max(SMALLEST_MM[project.units], 4 * seam * 1.001) / step - 1e-9)
    return [n * step for n in range(first, math.floor(LARGEST_MM[project.units] / step + 1e-9) + 1)]


def wanted(project: Project) -> Wanted:
    """The size a project is planned from; only for one whose target is a size."""
    target = project.target or {}
    of = target.get("of", "cover")
    ease = project.given["pad_ease"].value if of == "pad" else 0.0
    assert isinstance(ease, float)
    return Wanted(of, target.get("after", "washing"), target["width"], target["height"], ease)


def _size(project: Project, language: Language, square: float, blocks: int) -> tuple[float, float]:
    """Work out what `blocks` × `blocks` of a square come to, after sewing or washing, by the stages' sums."""
    assert project.target is not None
    given = project.given | {
        "square": Given("square", square, "length"),
        "across": Given("across", float(blocks), "count"),
        "down": Given("down", float(blocks), "count"),
    }
    at = only(language, given, ("washed_width", "washed_height", "face_width", "face_height"))
    if project.target.get("after", "washing") == "washing":
        width, height = at["washed_width"], at["washed_height"]
        assert isinstance(width, float)
        assert isinstance(height, float)
        return width, height
    width, height, draw_in = at["face_width"], at["face_height"], at["draw_in"]
    assert isinstance(width, float)
    assert isinstance(height, float)
    assert isinstance(draw_in, float)
    kept = 1 - draw_in if draws_in_late(language) else 1.0
    return width * kept, height * kept


def _on_hand(project: Project, cut: Callable[[Project], object]) -> Project:
    """Find the largest panel, no more than twice as long as wide, that the squares on hand can fill."""
    square = project.given["square"].value
    assert isinstance(square, float)
    stock = {p.name: squares_on_hand(p, square, project.units) for p in project.prints}
    prints = tuple(
        msgspec.structs.replace(p, at_most=stock[p.name] if p.at_most is None else min(stock[p.name], p.at_most))
        for p in project.prints
    )
    stocked = msgspec.structs.replace(project, prints=prints)
    per_block = (project.above + project.below) * project.make
    most = sum(p.at_most or 0 for p in prints) // per_block
    why: GuideError | None = None
    for across, down in grids(min(most, MOST * MOST)):
        try:
            trial = chosen(stocked, Choice(across, down, square, 0, 0, 0, 0))
            cut(trial)
        except (NeedsMending, CannotLay, CannotCut) as cannot:
            why = (why or cannot) if isinstance(cannot, NeedsMending) else cannot
            continue
        if lay_front(trial).outcome == "found":
            return msgspec.structs.replace(trial, prints=project.prints)
    raise why or NeedsMending(
        f"{project.file}:{_line(project)}: the cloth on hand gives {counted(sum(stock.values()), 'square')}, "
        f"too few for a panel of even one row; cut smaller squares, or write a size to buy for."
    )


def grids(most: int) -> Iterator[tuple[int, int]]:
    """List grids of at most so many blocks, largest first, the squarest of equals first, wide before tall."""
    found = [
        (across, down)
        for across in range(1, MOST + 1)
        for down in range(1, MOST + 1)
        if across * down <= most and max(across, down) <= 2 * min(across, down)
    ]
    return iter(sorted(found, key=lambda g: (-g[0] * g[1], abs(g[0] - g[1]), -g[0])))


def _zip_fits(project: Project) -> None:
    for name, most in (("after_row", project.down), ("after_column", project.across)):
        after = project.given[name].value
        if isinstance(after, float) and not (1 <= after <= most - 1 or same(after, most - 1)):
            place = project.given[name].place or Place(project.file, 1)
            raise NeedsMending(
                f"{place.exact}: planned backwards there are {most} to lie the zip between; "
                f"write {name} below that, or another target."
            )


def _line(project: Project) -> int:
    return next((i for i, line in enumerate(project.text.split("\n"), 1) if line.startswith("target")), 1)
