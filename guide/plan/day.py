"""A cutting day: the cloth of several projects cut in one go, the ruler set as seldom as can be.

Every material has several ways to be cut: each project's own strips put on one length, one plan for all its parts, or
shelves whose settings are the parts' own sides. Of what is no more than `MORE_CLOTH` over cutting apart, the ways with
the fewest ruler settings in all are taken, then those with the least cloth.

The rules of hand [practice]: each cloth is straightened first; a cut longer than the ruler is made with the cloth
folded; cloths of one setting lie on one another, layers = cloths × folds, up to what the kinds of cloth among them
allow; strips are opened, and alike ones laid on one another to be divided, up to the same number.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import ceil

import msgspec

from guide.plan.cutting.count import NEAR, alike, divide, done_at, fewest, set_to, strokes, tidied
from guide.plan.day_ways import chosen, same, ways_of
from guide.plan.model import CutCloth, CutStrip, Lying, Placement, Plan
from guide.plan.parts import WADDING
from guide.read.model import Project
from guide.read.units import INCH, Units

Sizes = Mapping[tuple[int, str, str], set[tuple[float, float]]]
RULER = "ruler"  # the name by which a stage tells how long it is
RULER_MM: dict[Units, float] = {"inch": 24 * INCH, "metric": 600.0}  # as stages ask for it; those of long ago do not


class Cloth(msgspec.Struct, frozen=True):
    """A cloth of the day: its number from 1, what it is, and how it lies under the ruler.

    `folds`: layers it lies in while strips are cut; `moves`: how often the ruler is moved on along one such cut.
    `cloth`'s parts are named `project:part`, the project's place from 0.
    """

    number: int
    material: str
    cloth: CutCloth
    folds: int
    moves: int
    most_layers: int


class Pass(msgspec.Struct, frozen=True):
    """Strips cut from cloths that lie on one another: (cloth's number, its strips). `layers`: cloths × folds."""

    cloths: tuple[tuple[int, int], ...]
    layers: int
    along: bool

    @property
    def times(self) -> int:
        """How often the cutter goes along."""
        return max(strips for _, strips in self.cloths)


class Stack(msgspec.Struct, frozen=True):
    """Alike strips that are divided together, the fullest first: (cloth's number, its strip's number)."""

    number: int
    strips: tuple[tuple[int, int], ...]


class Setting(msgspec.Struct, frozen=True):
    """What is cut while the ruler stays as it is: strips off cloths, then stacks divided (a stack, its cuts)."""

    mm: float
    passes: tuple[Pass, ...]
    stacks: tuple[tuple[int, int], ...]


class Day(msgspec.Struct, frozen=True):
    """Everything that is cut on one day, and what cutting apart would have taken."""

    cloths: tuple[Cloth, ...]
    settings: tuple[Setting, ...]
    stacks: tuple[Stack, ...]
    pieces: tuple[int, ...]  # of each project
    own_settings: int  # the sum of the projects' own
    bought_mm: dict[str, float]  # by material, the length of cloth from the bolt on the table
    own_bought_mm: dict[str, float]


def cutting_day(plans: Sequence[Plan], shelf_of: Sequence[Project]) -> Day:
    """Cut the parts of all plans together.

    `plans`: planned one after another, each from what those before it leave; `shelf_of`: their projects as they were
    before that, with all that is on hand. Lengths mm.
    """
    # The ways decide which settings there are, those in which order they come, and only then does a strip's number
    # stand fast: so cloths are laid once the order is known.
    materials = dict.fromkeys(cutting.material for plan in plans for cutting in plan.cutting)
    ways = [ways_of(material, plans, shelf_of) for material in materials]
    taken = chosen(ways)
    order = fewest(one for way in taken for one in sorted(way.strokes))
    cloths: list[Cloth] = []
    asked, ruler = _asked(plans), min(plan.number(RULER) or RULER_MM[plan.project.units] for plan in plans)
    for material, way in zip(materials, taken, strict=True):
        most = _most_layers(material, plans)
        for cloth in way.cloths:
            laid = _in_order(cloth, order, asked, material)
            folds = _folds(_span(laid), ruler, most)
            moves = ceil(_span(laid) / folds / ruler - NEAR) - 1
            cloths.append(Cloth(len(cloths) + 1, material, laid, folds, moves, most))
    stacks = tuple(Stack(at, strips) for at, strips in enumerate(_stacks(cloths, order), 1))
    return Day(
        cloths=tuple(cloths),
        settings=tuple(_setting(at, order, cloths, stacks) for at in range(len(order))),
        stacks=stacks,
        pieces=tuple(sum(len(c.placements) for one in plan.cutting for c in one.cloths) for plan in plans),
        own_settings=sum(one.ruler_settings for plan in plans for one in plan.cutting),
        bought_mm=_bought((cloth.material, cloth.cloth) for cloth in cloths),
        own_bought_mm=_bought((one.material, c) for plan in plans for one in plan.cutting for c in one.cloths),
    )


def whose(name: str) -> tuple[int, str]:
    """Whose part a name of the day is: the project's place, and what the project calls it."""
    project, _, part = name.partition(":")
    return int(project), part


def _bought(cloths: Iterable[tuple[str, CutCloth]]) -> dict[str, float]:
    out: dict[str, float] = {}
    for material, cloth in cloths:
        if cloth.bought:
            out[material] = out.get(material, 0.0) + cloth.length_mm
    return out


def _most_layers(material: str, plans: Sequence[Plan]) -> int:
    """How many layers of a material the cutter goes through, by the projects that use it."""
    kinds = [p.kind for plan in plans for p in plan.project.prints if p.name == material]
    if material == WADDING:
        kinds = [plan.project.wadding_kind for plan in plans if any(c.material == WADDING for c in plan.cutting)]
    return min(kind.cut_layers for kind in kinds)


def _folds(span: float, ruler: float, most: int) -> int:
    """In how many layers cloth is folded, selvedge to selvedge, until the ruler reaches across or it is too thick."""
    folds = 1
    while span / folds > ruler + NEAR and folds * 2 <= most:
        folds *= 2
    return folds


def _span(cloth: CutCloth) -> float:
    return cloth.length_mm if cloth.along else cloth.width_mm


# In which order, on one another


def _in_order(cloth: CutCloth, order: Sequence[float], asked: Sizes, material: str) -> CutCloth:
    """The cloth with its strips in the order in which their settings come, from its straightened end."""
    strips = [tidied(strip) for strip in cloth.strips]
    low = min((strip.area.low for strip in strips), default=0.0)
    laid: list[CutStrip] = []
    placements: list[Placement] = []
    strips.sort(key=lambda one: (order.index(set_to(one.setting)), -len(one.lying), sorted(one.lying)))
    for number, strip in enumerate(strips, 1):
        up = low - strip.area.low
        lying = tuple(one._replace(area=one.area.moved(0.0, up)) for one in strip.lying)
        laid.append(CutStrip(number, strip.area.moved(0.0, up), lying))
        low += strip.setting
        for one in lying:
            area = one.area.turned if cloth.along else one.area
            size = _lies(area.size, asked[(*whose(one.part), material)])
            placements.append(Placement(one.part, area.left, area.low, *size, number, len(placements) + 1))
    return msgspec.structs.replace(cloth, strips=tuple(laid), placements=tuple(placements))


def _asked(plans: Sequence[Plan]) -> Sizes:
    """The sizes of every part as it was asked for, unturned, by its project, its name and its material."""
    out: dict[tuple[int, str, str], set[tuple[float, float]]] = {}
    for at, plan in enumerate(plans):
        for cutting in plan.cutting:
            for placed in (placed for cloth in cutting.cloths for placed in cloth.placements):
                sides = (placed.width_mm, placed.height_mm)
                sizes = out.setdefault((at, placed.part, cutting.material), set())
                sizes.add(sides[::-1] if placed.turned else sides)
    return out


def _lies(size: tuple[float, float], asked: Iterable[tuple[float, float]]) -> tuple[float, float, bool]:
    """The size as it was asked for, as it lies, and whether it lies turned."""
    both = sorted(asked)
    as_is = next((one for one in both if same(one, size)), None)
    if as_is is not None:
        return (*as_is, False)
    width, height = next(one for one in both if same(one[::-1], size))
    return height, width, True


def _stacks(cloths: Sequence[Cloth], order: Sequence[float]) -> list[tuple[tuple[int, int], ...]]:
    """Alike strips of one setting on one another, the fullest first, as many as the thickest cloth allows."""
    every = [
        (cloth.most_layers, _begun(strip), cloth.number, strip)
        for cloth in cloths
        for strip in cloth.cloth.strips
        if any(done.setting is not None for done in divide(strip))
    ]
    every.sort(key=lambda one: (order.index(set_to(one[3].setting)), one[0], -len(one[3].lying), one[1].lying, one[2]))
    stacks: list[tuple[int, CutStrip, list[tuple[int, int]]]] = []
    for most, begun, number, strip in every:
        stack = next((s for s in stacks if len(s[2]) < s[0] and alike(s[1], begun)), None)
        if stack is None:
            stacks.append(stack := (most, begun, []))
        stack[2].append((number, strip.number))
    return [tuple(strips) for _, _, strips in stacks]


def _begun(strip: CutStrip) -> CutStrip:
    """The strip as it lies on others, its first parts' edges on one line, with its parts' sizes alone."""
    x = min(one.area.left for one in strip.lying)
    lying = tuple(Lying(one.area.moved(-x, -strip.area.low), "") for one in strip.lying)
    return CutStrip(0, strip.area.moved(0.0, -strip.area.low), lying)


def _setting(at: int, order: Sequence[float], cloths: Sequence[Cloth], stacks: Sequence[Stack]) -> Setting:
    # A length may come twice in the order, where a later cut waited for another setting: strips are cut off the first
    # time alone, and a stack that is only trimmed is done then too.
    begun = {set_to(strip.setting) for cloth in cloths for strip in cloth.cloth.strips}
    first = order.index(order[at]) == at and order[at] in begun
    of = {(cloth.number, strip.number): strip for cloth in cloths for strip in cloth.cloth.strips}
    divided = []
    for stack in stacks:
        fullest = strokes(of[stack.strips[0]])
        many = sum(when == at for when in done_at(fullest, order)[1:])
        trims = not many and len(fullest) == 1 and order[at] == fullest[0][0] and first
        if many or trims:
            divided.append((stack.number, many))
    return Setting(order[at], tuple(_passes(order[at], cloths)) if first else (), tuple(divided))


def _passes(mm: float, cloths: Sequence[Cloth]) -> Iterator[Pass]:
    """Cloths with strips of one setting on one another, those with most strips first."""
    wanted = [
        (cloth, many) for cloth in cloths if (many := sum(set_to(strip.setting) == mm for strip in cloth.cloth.strips))
    ]
    wanted.sort(key=lambda one: (one[0].cloth.along, one[0].most_layers, one[0].folds, -one[1], one[0].number))
    piles: list[list[tuple[Cloth, int]]] = []
    for cloth, many in wanted:
        pile = next((pile for pile in piles if _fits(cloth, [one for one, _ in pile])), None)
        if pile is None:
            piles.append(pile := [])
        pile.append((cloth, many))
    for pile in piles:
        layers = sum(cloth.folds for cloth, _ in pile)
        yield Pass(tuple((cloth.number, many) for cloth, many in pile), layers, pile[0][0].cloth.along)


def _fits(cloth: Cloth, pile: Sequence[Cloth]) -> bool:
    most = min(one.most_layers for one in (*pile, cloth))
    return cloth.cloth.along == pile[0].cloth.along and sum(one.folds for one in (*pile, cloth)) <= most


# What it takes

LAY_S = 30.0  # to lay a cloth on another, edges together [practice]


class Times(msgspec.Struct, frozen=True):
    """What the cut's steps take at starter paces, s, by stage/id: on the day, and apart."""

    day: dict[str, float]
    apart: dict[str, float]

    def saved(self) -> Mapping[str, float]:
        """What is left of each step's time on the day, 0 to 1 and a little over where little is shared."""
        return {name: self.day[name] / apart for name, apart in self.apart.items() if apart}


PRESS, CUT, PILE = "cut/press", "cut/pieces", "cut/pile"


def times_of(day: Day, plans: Sequence[Plan]) -> Times:
    """Reckon the day by the paces of the projects' own steps.

    A cloth that several projects share is straightened once. A strip's handling is taken once for each time the
    cutter goes along, `LAY_S` more for each cloth laid on another; parts take what they take.
    """
    # One walk over the steps for all sums: what is shared on the day, handling and pressing, is the slowest project's.
    apart = dict.fromkeys((PRESS, CUT, PILE), 0.0)
    handling: dict[str, float] = {}  # of a strip, s, by material
    parts_s, press_s = 0.0, 0.0
    for plan in plans:
        for step in plan.steps:
            base = step.key.partition(":")[0]
            if base in apart:
                apart[base] += step.pace_s * step.pieces
            if base == CUT and step.row:
                material = step.row["material"]
                handling[material] = max(handling.get(material, 0.0), step.pace_s - step.effort_s)
                parts_s += step.effort_s * step.pieces
            if base == PRESS:
                press_s = max(press_s, step.pace_s)
    shared = Counter(one.material for plan in plans for one in plan.cutting if one.material != WADDING)
    again = sum(many - 1 for many in shared.values())
    material_of = {cloth.number: cloth.material for cloth in day.cloths}
    cut_s = parts_s
    for one in (one for setting in day.settings for one in setting.passes):
        cut_s += one.times * max(handling.get(material_of[number], 0.0) for number, _ in one.cloths)
        cut_s += LAY_S * (len(one.cloths) - 1)
    return Times({PRESS: apart[PRESS] - again * press_s, CUT: cut_s, PILE: apart[PILE]}, apart)


def shares_of(day: Day, times: Mapping[str, float], own: Sequence[Mapping[str, float]]) -> list[float]:
    """Each project's share of the day, as a factor on the time its own steps take, by its pieces.

    `own`: what each project's steps take apart, s, by stage/id; `times`: what is left of each on the day. A project
    that has no such steps has no share.
    """
    whole = sum(seconds * times.get(name, 1.0) for one in own for name, seconds in one.items())
    pieces = [many if sum(one.values()) else 0 for many, one in zip(day.pieces, own, strict=True)]
    if not any(pieces):
        return [1.0 for _ in own]
    return [
        whole * many / sum(pieces) / mine if (mine := sum(one.values())) else 1.0
        for many, one in zip(pieces, own, strict=True)
    ]
