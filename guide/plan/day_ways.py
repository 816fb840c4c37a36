"""In which ways a material may be cut for several projects at once, and which of them are taken for the day.

Each project's own strips on one length; one plan for all its parts; or shelves whose settings are the parts' own sides.
"""

from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from itertools import product
from math import prod

import msgspec

from guide.plan.cutting.count import Stroke, fewest, gathered, strokes, tidied
from guide.plan.cutting.cut import cut, flat, rests, upright
from guide.plan.cutting.strips import Bolt, CannotCut
from guide.plan.model import Area, CutCloth, CutStrip, Cutting, Lying, Part, Plan
from guide.plan.parts import STRAIGHTEN_MM, TRIM_MM, WADDING, bolt_of
from guide.read.model import Project, Remnant

MORE_CLOTH = 0.02  # at most, over what the projects take apart
MOST_WAYS = 300  # of all materials together that are tried one by one
_SAME = 1e-3  # mm: sizes that were rounded on their way


class Way(msgspec.Struct, frozen=True):
    """How one material may be cut: its cloths, the area of cloth that touches, and its cuts."""

    cloths: tuple[CutCloth, ...]
    area: float
    bought: float
    strokes: frozenset[tuple[Stroke, ...]]


def ways_of(material: str, plans: Sequence[Plan], shelf_of: Sequence[Project]) -> list[Way]:
    """Ways to cut one material for all, the projects' own strips first; none takes more cloth than it may."""
    # Cut together only where all buy the same bolt: parts of one width would not fit another.
    mine = [(at, one) for at, plan in enumerate(plans) for one in plan.cutting if one.material == material]
    shelf = _shelf(material, shelf_of)
    found = [_way(_in_turn(mine, plans, shelf))]
    bolts = {bolt_of(plans[at].project, material) for at, _ in mine}
    if len(bolts) == 1:
        units = {plans[at].project.units for at, _ in mine}
        for lie in (None, flat, upright)[len(mine) == 1 :]:
            with suppress(CannotCut):
                cutting = cut(
                    material,
                    _parts(mine, plans, material),
                    next(iter(bolts)),
                    shelf,
                    straighten_mm=0.0 if material == WADDING else max(STRAIGHTEN_MM[unit] for unit in units),
                    trim_mm=max(TRIM_MM[unit] for unit in units),
                    lie=lie,
                )
                found.append(_way(cutting.cloths))
    most = 1 + MORE_CLOTH
    allowed = [way for way in found if way.area <= found[0].area * most and way.bought <= found[0].bought * most]
    alike: dict[frozenset[tuple[Stroke, ...]], Way] = {}
    for way in sorted(allowed, key=lambda way: way.area):
        alike.setdefault(way.strokes, way)  # of those with the same cuts the least cloth
    return list(alike.values())


def _way(cloths: Sequence[CutCloth]) -> Way:
    area = sum(cloth.width_mm * cloth.length_mm for cloth in cloths)
    bought = sum(cloth.length_mm for cloth in cloths if cloth.bought)
    strips = frozenset(strokes(tidied(strip)) for cloth in cloths for strip in cloth.strips)
    return Way(tuple(cloths), area, bought, strips)


def chosen(ways: Sequence[Sequence[Way]]) -> tuple[Way, ...]:
    """One way for each material: the fewest settings in all, then the least cloth.

    Where there are many ways, one material after another is changed for the better, from two beginnings.
    """
    if prod(map(len, ways)) <= MOST_WAYS:
        return min(product(*ways), key=_worth)
    least = tuple(min(one, key=lambda way: way.area) for one in ways)
    fewest_each = tuple(min(one, key=lambda way: (len(fewest(sorted(way.strokes))), way.area)) for one in ways)
    return min((_bettered(begun, ways) for begun in (least, fewest_each)), key=_worth)


def _worth(taken: Sequence[Way]) -> tuple[int, float]:
    order = fewest(one for way in taken for one in sorted(way.strokes))
    return len(order), sum(way.area for way in taken)


def _bettered(taken: tuple[Way, ...], ways: Sequence[Sequence[Way]]) -> tuple[Way, ...]:
    while True:
        tried = [(*taken[:at], way, *taken[at + 1 :]) for at, one in enumerate(ways) for way in one]
        better = min(tried, key=_worth)
        if _worth(better) >= _worth(taken):
            return taken
        taken = better


def _parts(mine: Sequence[tuple[int, Cutting]], plans: Sequence[Plan], material: str) -> list[Part]:
    """What all projects cut from a material, each part by its project; as it lies unturned."""
    counts: Counter[tuple[int, str, float, float]] = Counter()
    for at, cutting in mine:
        for placed in (placed for cloth in cutting.cloths for placed in cloth.placements):
            sides = (placed.width_mm, placed.height_mm)
            counts[(at, placed.part, *(sides[::-1] if placed.turned else sides))] += 1
    one_way = {at: any(p.one_way for p in plans[at].project.prints if p.name == material) for at, _ in mine}
    return [
        Part(f"{at}:{name}", material, width, height, many, one_way[at])
        for (at, name, width, height), many in counts.items()
    ]


def _shelf(material: str, projects: Sequence[Project]) -> list[Remnant]:
    """All that is on hand of a material: what several projects list is one shelf's, and lies there once."""
    there: Counter[tuple[float, float, bool]] = Counter()
    for project in projects:
        mine: Counter[tuple[float, float, bool]] = Counter()
        for piece in next((p.on_hand for p in project.prints if p.name == material), ()):
            mine[round(piece.width, 6), round(piece.length, 6), piece.straight] += piece.count
        there |= mine
    return [Remnant(width, length, many, straight) for (width, length, straight), many in there.items()]


_Rest = tuple[int, Area]  # what is left of a cloth of the day, where it lies on it


class _Laid(msgspec.Struct):
    """A cloth with all that is laid on it, project after project."""

    cloth: CutCloth
    bolt: Bolt | None
    length: float
    placed: list[Lying]


def _in_turn(mine: Sequence[tuple[int, Cutting]], plans: Sequence[Plan], shelf: Sequence[Remnant]) -> list[CutCloth]:
    """The projects' own cuttings on the same cloths: bought lengths are one, what one leaves the next is cut from."""
    stock = [[piece.width, piece.length, piece.straight, piece.count] for piece in shelf]
    laid: list[_Laid] = []
    left: list[_Rest] = []
    for at, cutting in mine:
        bolt = bolt_of(plans[at].project, cutting.material)
        for cloth in cutting.cloths:
            on, x, y = _where(cloth, bolt, laid, (stock, left))
            for placed in cloth.placements:
                area = Area(placed.x_mm, placed.y_mm, placed.x_mm + placed.width_mm, placed.y_mm + placed.height_mm)
                laid[on].placed.append(Lying(area.moved(x, y), f"{at}:{placed.part}"))
            over = (rest.turned if cloth.along else rest for rest in rests(cloth, 0.0))
            left += [(on, rest.moved(x, y)) for rest in over]
    return [_stripped(msgspec.structs.replace(one.cloth, length_mm=one.length), one.placed) for one in laid]


def _where(
    cloth: CutCloth, bolt: Bolt | None, laid: list[_Laid], lying: tuple[list[list[float]], list[_Rest]]
) -> tuple[int, float, float]:
    """On which cloth of the day a project's cloth lies, and where on it."""
    # What is bought is one length, on which each goes on where the last ended; a piece from the shelf is taken whole,
    # or where another project left it.
    stock, left = lying
    if cloth.bought:
        start = cloth.placements[0].y_mm  # the first strip begins where the end is straight
        for on, one in enumerate(laid):
            if one.cloth.bought and one.bolt == bolt:
                y = one.length - start
                one.length += cloth.length_mm - start
                return on, 0.0, y
    else:
        size = (cloth.width_mm, cloth.length_mm)
        mine = next((s for s in stock if s[3] and same(s[:2], size) and bool(s[2]) == (not cloth.trim_mm)), None)
        if mine is None:
            rest = next((one for one in left if same(one[1].size, size)), None)
            if rest is not None:
                left.remove(rest)
                return rest[0], rest[1].left, rest[1].low
        else:
            mine[3] -= 1
    laid.append(_Laid(cloth, bolt, cloth.length_mm, []))
    return len(laid) - 1, 0.0, 0.0


def _stripped(cloth: CutCloth, placed: Sequence[Lying]) -> CutCloth:
    """The cloth in strips anew: between the cuts that pass right through it."""
    seen = [one._replace(area=one.area.turned) if cloth.along else one for one in placed]
    far = cloth.length_mm if cloth.along else cloth.width_mm
    groups = enumerate(gathered(seen, upright=False), 1)
    strips = tuple(CutStrip.of(number, sorted(group), far) for number, group in groups)
    return msgspec.structs.replace(cloth, strips=strips, placements=())


def same(some: Sequence[float], others: Sequence[float]) -> bool:
    """Tell whether sizes are one, however they were rounded on their way."""
    return all(abs(a - b) <= _SAME for a, b in zip(some, others, strict=True))
