"""The graph of sums: a project's inputs and the stages' formulas to numbers, measured ones taking over."""

import ast
import math
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from heapq import nsmallest
from typing import cast

import msgspec
from msgspec.structs import asdict, replace

from guide.errors import GuideError, NeedsMending
from guide.plan.cutting.strips import CannotCut
from guide.plan.layout.panels import CannotLay, lay_front, squares_on_hand
from guide.plan.model import Called, Quantities, Quantity
from guide.read.check import Language
from guide.read.formula import FormulaError, Value, compile_formula, same
from guide.read.model import Given, Place, Project
from guide.read.spoken import counted
from guide.read.units import INCH, Units, show_length

DRAW_IN, MADE_SMALLER = "draw_in", "pitch_made"  # what quilting pulls in, and the sum that takes it off
DEPTH, MANY = 12, 1000  # of a `why`: how deep it goes, and how many branches are opened without looking back


Measured = Mapping[str, float]  # mm by name


def work_out(language: Language, given: Mapping[str, Given], measured: Measured | None = None) -> dict[str, Quantity]:
    """Work out every name, inputs first. Lengths mm, counts and ratios plain; None does not apply.

    A measured name (mm) takes the place of its formula and every later number follows. With more than
    one make a measure belongs to one make: names that count over all makes keep their plan.
    Raises NeedsMending where a formula cannot be worked out for these inputs.
    """
    start: dict[str, Value] = {name: g.value for name, g in given.items()}
    planned = _run(language, dict(start), {}, {})
    made = planned
    if measured:
        over_makes = depending("make", language) if (start.get("make") or 1) != 1 else frozenset()
        made = _run(language, dict(start), measured, {n: planned[n] for n in over_makes}, _drawn(measured, language))
    called = _called(language)
    out = {name: Quantity(**asdict(g), called=called.get(name)) for name, g in given.items()}
    for name in language.order:
        work = language.sums[name]
        plan, value = planned[name], made[name]
        out[name] = Quantity(
            name,
            value,
            language.dims[name],
            work.formula.text,
            work.formula.place,
            work.stage,
            measured=name in (measured or {}) and plan is not None,
            planned=plan if isinstance(plan, float) else None,
            called=called.get(name),
        )
    return out


def _called(language: Language) -> dict[str, Called]:
    """Tell what numbers are called: two that share a label, such as a width and a height, are told apart by side."""
    alike = Counter(label.text for label in language.labels.values())
    seen: set[str] = set()
    out: dict[str, Called] = {}
    for name, label in language.labels.items():
        side = "" if alike[label.text] < 2 else " down" if label.text in seen else " across"
        seen.add(label.text)
        head, comma, more = label.text.partition(", ")
        out[name] = Called(f"{head}{side}{comma}{more}", label.text, label.group, len(out))
    return out


def draws_in_late(language: Language) -> bool:
    """Whether these are texts of an older journal: their panel is undrawn, their washed size takes the draw-in off."""
    return MADE_SMALLER not in language.sums


def _drawn(measured: Measured, language: Language) -> frozenset[str]:
    """List the sums of an older journal's texts that would take draw-in off a panel measured with it."""
    if not draws_in_late(language):
        return frozenset()
    return frozenset(n for m in measured for n in depending(m, language) if DRAW_IN in language.compiled[n].names)


def only(language: Language, given: Mapping[str, Given], names: Sequence[str]) -> dict[str, Value]:
    """Work out a few names and what they need, nothing else: for trying many sizes."""
    needed = set(names)
    for name in reversed(language.order):
        if name in needed:
            needed |= language.compiled[name].names
    at: dict[str, Value] = {name: g.value for name, g in given.items()}
    for name in language.order:
        if name in needed:
            at[name] = language.compiled[name].run(at)
    return at


def values(quantities: Quantities) -> dict[str, Value]:
    """Give the plain values by name."""
    return {name: quantity.value for name, quantity in quantities.items()}


def _run(
    language: Language, at: dict[str, Value], measured: Measured, fixed: dict[str, Value], drawn: Collection[str] = ()
) -> dict[str, Value]:
    """Work the sums out in order; `drawn` names rest on a measure that has drawn in already.

    Raises NeedsMending for one that cannot be worked out.
    """
    for name in language.order:
        if name in fixed:
            at[name] = fixed[name]
            continue
        try:
            given = {**at, DRAW_IN: 0.0} if name in drawn else at
            value = language.compiled[name].run(given)
        except FormulaError as error:
            work = language.sums[name]
            raise NeedsMending(
                f"{work.formula.place}: {name} cannot be worked out for this project: {error.message}\n"
                f"    {name}: {work.formula.text}\nMend the project's sizes, or the formula; nothing was written."
            ) from None
        at[name] = measured[name] if name in measured and value is not None else value
    return at


def depending(root: str, language: Language) -> frozenset[str]:
    """List the sums that use a name, directly or through others."""
    found = {root}
    for name in language.order:
        if language.compiled[name].names & found:
            found.add(name)
    return frozenset(found - {root})


class Need(msgspec.Struct, frozen=True):
    """One branch of a `why`: a quantity, the part of its formula that applies, and what that part reads."""

    quantity: Quantity
    applies: str | None
    needs: tuple["Need", ...]


def tree(name: str, quantities: Quantities, language: Language) -> Need:
    """Tell where a number comes from, down to the project's lines; ways not taken are left out.

    A very large tree opens each name only once: where all names use one another it would double with every name.
    """
    return _branch(name, quantities, language, DEPTH, [])


def _branch(name: str, quantities: Quantities, language: Language, depth: int, opened: list[str]) -> Need:
    quantity = quantities[name]
    compiled = language.compiled.get(name)
    if compiled is None or depth == 0 or (len(opened) > MANY and name in opened):
        return Need(quantity, None, ())
    opened.append(name)
    part = applying(compiled.tree, values(quantities))
    names = dict.fromkeys(n.id for n in ast.walk(part) if isinstance(n, ast.Name) and n.id in quantities)
    apart = sorted(compiled.names - set(names), key=compiled.text.find)
    deciding = [n for n in apart if quantities[n].dim in {"text", "flag"}]
    needs = tuple(_branch(n, quantities, language, depth - 1, opened) for n in (*names, *deciding))
    return Need(quantity, ast.unparse(part), needs)


def applying(node: ast.expr, at: Mapping[str, Value]) -> ast.expr:
    """Cut a formula down to the ways taken by its ifs."""
    if isinstance(node, ast.IfExp):
        test = compile_formula(ast.unparse(node.test)).run(at)
        return ast.Name("none") if test is None else applying(node.body if test else node.orelse, at)
    if isinstance(node, ast.BinOp):
        return ast.BinOp(applying(node.left, at), node.op, applying(node.right, at))
    if isinstance(node, ast.Call):
        return ast.Call(node.func, [applying(arg, at) for arg in node.args], [])
    return node


# Planning backwards: from the size wanted, a pad, or the cloth on hand, to grid and square.
#
# The stages' own sums decide what a grid and square come to; sizes are chosen on the ruler's steps, 1/8 in
# or 5 mm, as a maker would set it.

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
    out = replace(project, given=given, across=choice.across, down=choice.down)
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
    # Where neither the square nor the grid is written usual ones may be chosen.
    if all(project.given[name].value is None for name in ("across", "down", "square")):
        units, near = project.units, found[0].miss + STEP_MM[project.units]
        alike = [choice for choice in found if choice.miss < near]
        alike.sort(key=lambda choice: (choice.unusual(units), choice.across * choice.down))
        found[: len(alike)] = alike
    return found[:count]


def range_text(units: Units) -> str:
    """Name the squares that planning backwards tries: `3 in to 12 in`."""
    return f"{show_length(SMALLEST_MM[units], units)} to {show_length(LARGEST_MM[units], units)}"


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
    names = ("washed_width", "washed_height", "face_width", "face_height")
    at = cast("dict[str, float]", only(language, given, names))
    if project.target.get("after", "washing") == "washing":
        return at["washed_width"], at["washed_height"]
    kept = 1 - at["draw_in"] if draws_in_late(language) else 1.0
    return at["face_width"] * kept, at["face_height"] * kept


def _on_hand(project: Project, cut: Callable[[Project], object]) -> Project:
    """Find the largest panel, no more than twice as long as wide, that the squares on hand can fill.

    Raises NeedsMending, or why none could be laid or cut (CannotLay, CannotCut), when it fills none.
    """
    square = project.given["square"].value
    assert isinstance(square, float)
    stock = {p.name: squares_on_hand(p, square, project.units) for p in project.prints}
    prints = tuple(
        replace(p, at_most=stock[p.name] if p.at_most is None else min(stock[p.name], p.at_most))
        for p in project.prints
    )
    stocked = replace(project, prints=prints)
    per_block = (project.above + project.below) * project.make
    most = sum(p.at_most or 0 for p in prints) // per_block
    # Whether cloth can be cut for a grid is known only by cutting it: from the largest down, the first that works out
    # is taken. A cloth that does not reach is told rather than a formula that fails, for a maker can mend it.
    why: GuideError | None = None
    for across, down in grids(min(most, MOST * MOST)):
        try:
            trial = chosen(stocked, Choice(across, down, square, 0, 0, 0, 0))
            cut(trial)
        except (NeedsMending, CannotLay, CannotCut) as cannot:
            why = (why or cannot) if isinstance(cannot, NeedsMending) else cannot
            continue
        if lay_front(trial).outcome == "found":
            return replace(trial, prints=project.prints)
    raise why or NeedsMending(
        f"{project.file}:{_line(project)}: the cloth on hand gives {counted(sum(stock.values()), 'square')}, "
        f"too few for a panel of even one row; cut smaller squares, or write a size to buy for."
    )


def grids(most: int) -> Iterator[tuple[int, int]]:
    """List grids of at most so many blocks, largest first, the squarest of equals first, wide before tall."""
    sides = range(1, MOST + 1)
    found = [(a, d) for a in sides for d in sides if a * d <= most and max(a, d) <= 2 * min(a, d)]
    return iter(sorted(found, key=lambda g: (-g[0] * g[1], abs(g[0] - g[1]), -g[0])))


def _zip_fits(project: Project) -> None:
    """Look whether a panel planned backwards has room for its zip. Raises NeedsMending when it has not."""
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
