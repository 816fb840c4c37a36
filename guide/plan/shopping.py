"""What to buy, counter by counter, in what shops sell; and what the cloth really used has cost.

A pad is the nearest that is sold, with how it will sit.

Money is Decimal, half a cent up, as text with 2 places in what is shown. A yard is 0.9144 m exactly.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from math import ceil
from typing import Any

import msgspec

from guide.plan.cutting.cut import sizes_left
from guide.plan.layout.panels import squares_needed
from guide.plan.model import Buy, CutCloth, Cutting, Plan, Quantities, number
from guide.plan.parts import WADDING, bolt_of, sold_mm
from guide.read.formula import Value
from guide.read.model import Print, Project, Rate, Remnant
from guide.read.spoken import said
from guide.read.units import INCH, METRE, PER_UNIT, YARD, Units, show_length

BUY_STEP_MM: dict[Units, float] = {"inch": YARD / 8, "metric": METRE / 10}
UNIT_MM = {"yd": YARD, "m": METRE}  # what cloth is sold by
CENT = Decimal("0.01")


class Errand(msgspec.Struct, frozen=True):
    """One project's needs: its cuttings, spools of thread, and the zip's length to buy, mm."""

    project: Project
    cuttings: tuple[Cutting, ...]
    thread: float | None = None
    zip_buy_mm: float | None = None


class ClothCost(msgspec.Struct, frozen=True):
    """What one material costs a project: the cloth it used, and the length bought for it."""

    material: str
    used: Decimal
    bought: Decimal
    quantity: Decimal  # used, in the unit its price is per
    rate: Rate
    on_hand: bool  # some of it comes from what is on hand


def shop_together(errands: Sequence[Errand]) -> tuple[Buy, ...]:
    """List what projects need bought, each cloth once: lengths are added before they are rounded up.

    Cloth on hand is not on it; a price not given is None. Units and prices are those of the first project that names
    the thing.
    """
    lines = [line for errand in errands for line in _notions(errand)]
    return (*_lengths(errands), *_added_up(lines))


def _lengths(errands: Sequence[Errand]) -> list[Buy]:
    lengths: dict[str, float] = {}
    first: dict[str, Project] = {}
    for errand in errands:
        for cutting in errand.cuttings:
            if cutting.use_mm > 0:
                length = sold_mm(errand.project, cutting.material, cutting.use_mm)
                lengths[cutting.material] = lengths.get(cutting.material, 0.0) + length
                first.setdefault(cutting.material, errand.project)
    lines = [_length_line(first[material], material, length) for material, length in lengths.items()]
    return sorted(lines, key=lambda line: line.counter == WADDING)


def _length_line(project: Project, material: str, length_mm: float) -> Buy:
    steps = ceil(length_mm / BUY_STEP_MM[project.units] * (1 - 1e-9))
    quantity, unit = (Decimal(steps) / 8, "yd") if project.units == "inch" else (Decimal(steps) / 10, "m")
    rate = rate_of(project, material)
    price = None if rate is None else rate.amount * _per(unit) / _per(rate)
    return Buy(
        counter=WADDING if material == WADDING else "cloth",
        item=material,
        quantity=f"{quantity.normalize():f}",
        unit=unit,
        price=None if price is None else factor_text(price, [quantity]),
        cost=None if price is None else money(price * quantity),
        price_text=None if rate is None else f"{amount_text(rate.amount)} / {per_text(rate)}",
    )


def _notions(errand: Errand) -> Iterable[Buy]:
    project = errand.project
    closure, price, make = project.closure, project.closure_price, project.make
    if errand.zip_buy_mm is not None:
        yield _counted("notions", f"zip, {show_length(errand.zip_buy_mm, project.units)}", make, "each", price)
    elif price is not None and closure != "none":
        yield _counted("notions", f"closure, {closure}", make, "each", price)
    for extra in project.extras:
        yield _counted("notions", extra.name, extra.count * (make if extra.each == "make" else 1), "each", extra.price)
    if errand.thread:
        yield _counted("thread", "thread", round(errand.thread), "spool", project.thread_price)


def per_text(rate: Rate) -> str:
    """Name the length a price is for, as the project writes it: `yd`, `m`."""
    return next(unit for unit, mm in PER_UNIT.items() if mm == rate.per)


def amount_text(amount: Decimal) -> str:
    """An amount as it was written, with 2 places or as many more as it has."""
    return money(amount) if amount == cents(amount) else f"{amount.normalize():f}"


def item_words(line: Buy, words: str) -> str:
    """Name what is bought: wadding and zip in the project's words, what a maker named as they wrote it."""
    ours = line.counter == WADDING or (line.counter == "notions" and line.item.startswith("zip, "))
    return said(line.item, words) if ours else line.item


def _counted(counter: str, item: str, count: int, unit: str, price: Decimal | None) -> Buy:
    cost = None if price is None else money(price * count)
    each = None if price is None else amount_text(price)
    return Buy(counter, item, str(count), unit, each, cost, each)


def _added_up(lines: Iterable[Buy]) -> list[Buy]:
    """Equal things of several projects on one line, notions before thread."""
    totals: dict[tuple[str, str, str | None], Buy] = {}
    for line in lines:
        key = (line.counter, line.item, line.price)
        if key in totals:
            count = int(totals[key].quantity) + int(line.quantity)
            price = None if line.price is None else Decimal(line.price)
            totals[key] = _counted(line.counter, line.item, count, line.unit, price)
        else:
            totals[key] = line
    return sorted(totals.values(), key=lambda line: line.counter)


def used_costs(project: Project, cuttings: Sequence[Cutting]) -> tuple[ClothCost, ...]:
    """What each material costs by what is used of it, and what is bought; materials without a price left out.

    Used is the bought length used, and for pieces on hand the parts' area over the cloth's width, both as sold: the
    cloth was paid for once, even if not for this project.
    """
    costs = []
    for cutting in cuttings:
        rate = rate_of(project, cutting.material)
        if rate is not None:
            on_hand_mm = _on_hand_mm(project, cutting)
            used_mm = Decimal(repr(sold_mm(project, cutting.material, cutting.use_mm + on_hand_mm)))
            used, quantity = cents(rate.amount * used_mm / _per(rate)), used_mm / _per(rate)
            bought = Decimal(_length_line(project, cutting.material, cutting.buy_mm).cost or 0)  # as on the list
            costs.append(ClothCost(cutting.material, used, bought, quantity, rate, on_hand_mm > 0))
    return tuple(costs)


def used_cost(project: Project, cuttings: Sequence[Cutting]) -> Decimal:
    """The cost of all cloth and wadding used, to the cent."""
    return sum((cost.used for cost in used_costs(project, cuttings)), Decimal("0.00"))


def _on_hand_mm(project: Project, cutting: Cutting) -> float:
    """The parts cut from pieces on hand, as a length of the whole cloth; 0 when its width is not given."""
    bolt = bolt_of(project, cutting.material)
    if bolt is None or not bolt.width_mm:
        return 0.0
    return sum(_area(cloth) for cloth in cutting.cloths if not cloth.bought) / bolt.laid_width_mm


def _area(cloth: CutCloth) -> float:
    return sum(placement.width_mm * placement.height_mm for placement in cloth.placements)


def rate_of(project: Project, material: str) -> Rate | None:
    """The price per length of a print or of the wadding."""
    if material == WADDING:
        return project.wadding_price
    return next((cloth.price for cloth in project.prints if cloth.name == material), None)


def money(amount: Decimal) -> str:
    """An amount as text with 2 places, half a cent up."""
    return f"{cents(amount)}"


def cents(amount: Decimal) -> Decimal:
    """To the cent, half a cent up; less than half a cent lost is nothing lost, not −0.00."""
    return amount.quantize(CENT, ROUND_HALF_UP) + Decimal(0)


def factor_text(value: Decimal, others: Sequence[Decimal], least: int = 2) -> str:
    """A factor with as few decimals, `least` or more, as give each product with it to the cent.

    Where half a cent is met exactly every shorter figure falls short, so the next one up is tried beside the nearest.
    """
    for places in range(least, 9):
        step = Decimal(1).scaleb(-places)
        nearest = value.quantize(step, ROUND_HALF_UP)
        for text in (nearest, nearest + step if nearest < value else nearest - step):
            if all(cents(text * one) == cents(value * one) for one in others):
                return f"{text:f}"
    return f"{value:.9f}"


def _per(of: Rate | str) -> Decimal:
    """The length, mm, that a rate or a unit is per, exactly."""
    if isinstance(of, str):
        return Decimal("914.4") if of == "yd" else Decimal(1000)
    return Decimal(repr(of.per))


# A pad as large as the washed face fills it softly, one an inch larger each way fills it well [practice].
MOST_OVER_MM = {"inch": INCH, "metric": 25.0}


class Pad(msgspec.Struct, frozen=True):
    """A pad as it is sold, laid the way it fits, and by how much it is larger than the washed face (mm; − smaller)."""

    name: str
    over_width: float
    over_height: float
    units: Units

    @property
    def off(self) -> float:
        """How far outside what sits right, both ways together, mm."""
        most = MOST_OVER_MM[self.units]
        return sum(max(-over, over - most, 0.0) for over in (self.over_width, self.over_height))

    def says(self, words: str) -> str:
        """Say the pad and how it will sit."""
        ways = ((self.over_width, "across"), (self.over_height, "down"))
        most = MOST_OVER_MM[self.units]
        right = f"0 to {show_length(most, self.units)} larger than the washed face sits right (common practice)"
        sides = ", ".join(f"{self._side(over)} {way}" for over, way in ways)
        if self.off < 0.5:
            sits = f"sits right: {sides}"
        elif any(over < -0.5 for over, _ in ways) and all(over <= most + 0.5 for over, _ in ways):
            sits = f"sits slack: {sides}; {right}"
        elif all(over >= -0.5 for over, _ in ways):
            sits = f"sits tight: {sides}; {right}"
        else:
            sits = f"sits tight one way and slack the other: {sides}; {right}"
        return said(f"{self.name.replace(' x ', ' × ')}, {sits}", words)

    def _side(self, over: float) -> str:
        text = show_length(abs(over), self.units)
        return f"{text} {'larger' if over >= 0 else 'smaller'}"


def nearest(project: Project, quantities: Quantities, pads: Mapping[str, Mapping[str, Any]]) -> Pad | None:
    """Find the pad that sits best in the washed cover, of those sold in the project's units; None without a cover."""
    wide, high = (number(quantities, name) for name in ("washed_width", "washed_height"))
    if project.back == "none" or wide is None or high is None:
        return None
    tried = [
        Pad(name, first - wide, second - high, project.units)
        for name, pad in pads.items()
        if pad.get("units", project.units) == project.units
        for first, second in ((pad["width"], pad["height"]), (pad["height"], pad["width"]))
    ]
    half = MOST_OVER_MM[project.units] / 2
    return min(tried, key=lambda p: (p.off, abs(p.over_width - half) + abs(p.over_height - half)), default=None)


# Several projects from one shelf: what each leaves for the next, and one shopping list for all.

_NEAR = 1e-6


def share_shelf(project: Project, earlier: Sequence[Plan]) -> Project:
    """The project with its cloth on hand less what plans before it take from the same shelf.

    The shelf is what this project lists under each print, its ready-cut squares too when they are of one size
    with the earlier plan's. What earlier plans leave over can be cut from; nothing is spent twice.
    """
    prints = project.prints
    for plan in earlier:
        prints = tuple(_left(cloth, project, plan) for cloth in prints)
    return msgspec.structs.replace(project, prints=prints)


def _left(cloth: Print, project: Project, plan: Plan) -> Print:
    on_hand = cloth.on_hand
    for cutting in plan.cutting:
        if cutting.material == cloth.name:
            on_hand = after_cutting(on_hand, _without_shops_rest(cutting, plan.project))
    ready = cloth.ready_squares
    same_size = project.given["square"].value == plan.project.given["square"].value
    had = next((p.ready_squares for p in plan.project.prints if p.name == cloth.name), 0)
    if ready and had and same_size:
        needed = squares_needed(plan.layout, plan.backing, plan.project.make).get(cloth.name, 0)
        ready = max(0, ready - min(had, needed))
    return msgspec.structs.replace(cloth, on_hand=on_hand, ready_squares=ready)


def _without_shops_rest(cutting: Cutting, project: Project) -> Cutting:
    """The cutting without what the shop's step adds to its end: lengths are added up before they are rounded."""
    bolt = bolt_of(project, cutting.material)
    rest = bolt.laid(cutting.buy_mm) - cutting.use_mm if bolt else 0.0
    kept = [left for left in cutting.left_over if rest < _NEAR or abs(left.height_mm - rest) > _NEAR]
    return msgspec.structs.replace(cutting, left_over=tuple(kept))


def after_cutting(remnants: Sequence[Remnant], cutting: Cutting) -> tuple[Remnant, ...]:
    """What is on hand once a cutting is done: pieces not touched, then what it leaves, the bolt's too."""
    left = list(remnants)
    for cloth in cutting.cloths:
        at = next((i for i, piece in enumerate(left) if piece.count and _is_of(cloth, piece)), None)
        if at is not None:
            left[at] = msgspec.structs.replace(left[at], count=left[at].count - 1)
    rests = [Remnant(rest.width_mm, rest.height_mm, straight=True) for rest in cutting.left_over]
    return (*(piece for piece in left if piece.count), *rests)


def _is_of(cloth: CutCloth, piece: Remnant) -> bool:
    if cloth.bought or (piece.straight and cloth.trim_mm):
        return False
    return _near(piece.width, cloth.width_mm) and _near(piece.length, cloth.length_mm)


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= _NEAR * max(one, other)


def shopping_of(plans: Sequence[Plan]) -> tuple[Buy, ...]:
    """One list for all plans, each cloth once."""
    return shop_together([errand(plan) for plan in plans])


def errand(plan: Plan) -> Errand:
    """What one plan needs bought, as it was planned before anything was measured."""
    found = (plan.quantities.get(name) for name in ("thread_spools", "zip_buy"))
    sums = (None if q is None else q.value if q.planned is None else q.planned for q in found)
    return errand_of(plan.project, plan.cutting, *sums)


def errand_of(project: Project, cuttings: tuple[Cutting, ...], *sums: Value) -> Errand:
    """What one project needs bought; of spools of thread and the zip's length, one that is none is not needed."""
    return Errand(project, cuttings, *(value if isinstance(value, float) else None for value in sums))


# What is left of the cloth, and what it would still give: more squares, a plain back, pieces to practise on.
#
# Reckoned from the rectangles that stand beside and behind the strips as they are cut, without selvedges, and on the
# table: of washed cloth as it lies once washed. The length is what is bought, in the shop's whole steps.

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
    every = list(cloths)
    last = max((at for at, cloth in enumerate(every) if cloth.bought), default=-1)
    out = (size for at, cloth in enumerate(every) for size in sizes_left(cloth, spare_mm if at == last else 0.0))
    return [size for size in out if min(size) > 0]


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
    """How many squares of a side a rectangle gives, in rows; a hair under nothing is nothing."""
    wide, high = (max(int(one * _FITS // side), 0) if side > 0 else 0 for one in left)
    return wide * high


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
