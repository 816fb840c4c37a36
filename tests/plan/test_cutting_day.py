"""A cutting day: all pieces of all projects once, from cloth that is there, in as few ruler settings as can be.

The judges share no code with the day: one looks at rectangles only, one cuts every strip in every order of settings.
"""

import math
import os
from collections import Counter
from itertools import pairwise, product

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from guide.errors import GuideError
from guide.plan.cutting.count import fewest, strokes, tidied
from guide.plan.day import cutting_day, shares_of, times_of, whose
from guide.plan.make import make_plan
from guide.plan.model import Area, CutStrip, Lying
from guide.plan.shopping import share_shelf
from tests.plan.random_projects import projects
from tests.plan.sums_of import read, shipped

FULL = bool(os.environ.get("FRAYWORK_FULL"))
NEAR = 1e-3  # mm
bounded = settings(  # a set is not made smaller: each try takes a second
    max_examples=200 if FULL else 6,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate),
)


@st.composite
def sets(draw, alike=None):
    """Two to four projects for one day; `alike`: squares of one size, as cloth of one name mostly is."""
    data = draw(st.lists(projects(), min_size=2, max_size=4))
    first = data[0]
    equal = draw(st.booleans()) if alike is None else alike
    cloths = {one["name"]: one for one in first["prints"]} if draw(st.integers(0, 3)) else {}
    for one in data[1:]:
        one["washed_first"] = first["washed_first"]
        if equal:
            one |= {
                key: first[key] for key in ("units", "square", "seam", "wadding", "closure", "kind", "back", "grid")
            }
        if cloths and one["units"] == first["units"]:
            one["prints"] = [cloths.get(cloth["name"], cloth) for cloth in one["prints"]]
    return data


def in_turn(data):
    """The projects and their plans, each from what those before it leave; sets that their stock cannot make are none."""
    try:
        given_, plans = [read(one) for one in data], []
        for project in given_:
            plans.append(make_plan(share_shelf(project, plans), shipped()))
    except GuideError:
        assume(False)
    return given_, plans


def asked(plan):
    """What a plan cuts: how many of each part of each size, as it lies unturned, of each material."""
    found = Counter()
    for cutting in plan.cutting:
        for one in (placed for cloth in cutting.cloths for placed in cloth.placements):
            sides = (one.height_mm, one.width_mm) if one.turned else (one.width_mm, one.height_mm)
            found[cutting.material, one.part, round(sides[0], 2), round(sides[1], 2)] += 1
    return found


def faults(day, given_, plans):
    """Everything wrong with a day, as texts, by its rectangles alone."""
    out, got = [], [Counter() for _ in plans]
    wanted = [asked(plan) for plan in plans]
    shelf = Counter()
    for project in given_:
        mine = Counter()
        for cloth in project.prints:
            for piece in cloth.on_hand:
                mine[cloth.name, round(piece.width, 3), round(piece.length, 3)] += piece.count
        shelf |= mine
    for cloth in day.cloths:
        lying, edge = cloth.cloth, max(cloth.cloth.selvedge_mm, cloth.cloth.trim_mm)
        users = {whose(one.part)[0] for one in lying.placements}
        if lying.bought:
            if cloth.material != "wadding":
                sold = [
                    (plans[at].project, p) for at in users for p in plans[at].project.prints if p.name == cloth.material
                ]
                widths = {p.width * (1 - p.shrinks_width * project.washed_first) for project, p in sold}
                edges = {p.selvedge * (1 - p.shrinks_width * project.washed_first) for project, p in sold}
                if all(abs(width - lying.width_mm) > NEAR for width in widths):
                    out.append(f"{cloth.material} is not sold {lying.width_mm} wide")
                if all(abs(one - edge) > NEAR for one in edges):
                    out.append(f"{cloth.material} has other selvedges")
                if min(one.y_mm for one in lying.placements) < 25 - NEAR:
                    out.append("the bolt's end is not straightened")
        else:
            key = (cloth.material, round(lying.width_mm, 3), round(lying.length_mm, 3))
            shelf[key] -= 1
            if shelf[key] < 0:
                out.append(f"{key} is not on hand any more")
        right = lying.width_mm - (edge if lying.bought else 0)
        for one in lying.placements:
            at, part = whose(one.part)
            size = (round(one.width_mm, 2), round(one.height_mm, 2))
            free = not any(p.one_way for p in plans[at].project.prints if p.name == cloth.material)
            as_asked = (cloth.material, part, *size)
            turned = (cloth.material, part, *size[::-1])
            if as_asked in wanted[at]:
                got[at][as_asked] += 1
            elif turned in wanted[at] and free:
                got[at][turned] += 1
            else:
                out.append(f"nobody asked for {as_asked}")
            if (as_asked in wanted[at]) == one.turned:
                out.append(f"{as_asked} says it is turned: {one.turned}")
            if one.x_mm < edge - NEAR or one.x_mm + one.width_mm > right + NEAR:
                out.append(f"{one} lies in the selvedge")
            if one.y_mm < lying.trim_mm - NEAR or one.y_mm + one.height_mm > lying.length_mm + NEAR:
                out.append(f"{one} lies beside the cloth")
        out += overlaps(lying.placements)
        out += strip_faults(lying)
    out += [f"wanted {w}, got {g}" for w, g in zip(wanted, got, strict=True) if w != g]
    return out + hand_faults(day, plans)


def overlaps(placements):
    """Pairs that lie on one another: only those that begin below another's end can."""
    placed = sorted(placements, key=lambda one: one.y_mm)
    found = []
    for at, a in enumerate(placed):
        for b in placed[at + 1 :]:
            if b.y_mm >= a.y_mm + a.height_mm - NEAR:
                break
            if min(a.x_mm + a.width_mm, b.x_mm + b.width_mm) - max(a.x_mm, b.x_mm) > NEAR:
                found.append(f"{a} and {b} overlap")
    return found


def strip_faults(cloth):
    """Strips lie one behind another, and hold the same parts as are placed."""
    out = []
    for a, b in pairwise(cloth.strips):
        if b.area.low < a.area.high - NEAR:
            out.append(f"strips {a.number} and {b.number} share cloth")
    seen = Counter(one.part for strip in cloth.strips for one in strip.lying)
    if seen != Counter(one.part for one in cloth.placements):
        out.append("strips do not hold what is placed")
    for strip in cloth.strips:
        if any(one.area.low < strip.area.low - NEAR or one.area.high > strip.area.high + NEAR for one in strip.lying):
            out.append(f"strip {strip.number} is lower than its parts")
    return out


def most_layers(day, plans, numbers):
    """By the kinds of cloth, written by hand: four at most. [practice]"""
    names = {cloth.material for cloth in day.cloths if cloth.number in numbers}
    kinds = [p.kind for plan in plans for p in plan.project.prints if p.name in names]
    return min(kind.cut_layers for kind in kinds) if kinds else 4


def hand_faults(day, plans):
    """Every strip is cut off once and divided once, in no more layers than the cutter goes through."""
    out, cut, divided = [], Counter(), Counter()
    of = {cloth.number: cloth for cloth in day.cloths}
    order = [one.mm for one in day.settings]
    for setting in day.settings:
        for one in setting.passes:
            layers = sum(of[number].folds for number, _ in one.cloths)
            if layers != one.layers or layers > most_layers(day, plans, {number for number, _ in one.cloths}):
                out.append(f"{layers} layers are cut at once: {one}")
            for number, many in one.cloths:
                cut[number, setting.mm] += many
    there = Counter(
        (cloth.number, round(strip.area.high - strip.area.low, 6))
        for cloth in day.cloths
        for strip in cloth.cloth.strips
    )
    if cut != there:
        out.append(f"strips cut {cut}, there are {there}")
    for stack in day.stacks:
        if len(stack.strips) > most_layers(day, plans, {number for number, _ in stack.strips}):
            out.append(f"{stack} is too thick")
        shapes = []
        for number, nth in stack.strips:
            strip = of[number].cloth.strips[nth - 1]
            x, y = min(one.area.left for one in strip.lying), strip.area.low
            shapes.append([(a.left - x, a.low - y, a.right - x, a.high - y) for a, _ in strip.lying])
            divided[number, nth] += 1
        if any(all(math.dist(one, other) > NEAR for other in shapes[0]) for shape in shapes for one in shape):
            out.append(f"the strips of {stack} are not alike")
    for cloth in day.cloths:
        for strip in cloth.cloth.strips:
            whole = len(strip.lying) == 1 and strip.lying[0].area == strip.area
            if divided[cloth.number, strip.number] != (not whole):
                out.append(
                    f"strip {strip.number} of {cloth.number} is divided {divided[cloth.number, strip.number]} times"
                )
            if not can_be_cut(strip, order):
                out.append(f"{strip} cannot be cut in the order {order}")
    return out


# A second way to say how a strip is divided: pieces of cloth on a table, each cut right through its first free edge.


def can_be_cut(strip, order):
    """Whether a strip comes apart when the ruler is set to these lengths one after another."""
    waiting = [("strip", strip.area, [one.area for one in strip.lying])]
    for mm in order:
        again = True
        while again:
            again = False
            for piece in list(waiting):
                freed = cut_at(piece, mm)
                if freed is not None:
                    waiting.remove(piece)
                    waiting += freed
                    again = True
    return not waiting


def cut_at(piece, mm):
    """What a piece becomes when everything that can be is cut off it at one setting; None when nothing can."""
    kind, area, parts = piece
    if kind == "strip":
        return settled(("across", area, parts)) if abs(area.high - area.low - mm) < NEAR else None
    lo, hi = ("left", "right") if kind == "across" else ("low", "high")
    groups = through(parts, lo, hi)
    first = groups[0]
    size = max(getattr(a, hi) for a in first) - min(getattr(a, lo) for a in first)
    if abs(size - mm) > NEAR:
        return None
    end = max(getattr(a, hi) for a in first)
    inner = area._replace(**{lo: min(getattr(a, lo) for a in first), hi: end})
    rest = area._replace(**{lo: end})
    other = "along" if kind == "across" else "across"
    out = settled((other, inner, first))
    later = [a for group in groups[1:] for a in group]
    return out + (settled((kind, rest, later)) if later else [])


def settled(piece):
    """A piece as it waits for its next cut: nothing where it is one part, its other way where it needs none this way."""
    kind, area, parts = piece
    for _ in range(2):
        if len(parts) == 1 and all(abs(a - b) < NEAR for a, b in zip(parts[0], area, strict=True)):
            return []
        lo, hi = ("left", "right") if kind == "across" else ("low", "high")
        groups = through(parts, lo, hi)
        least, most = min(getattr(a, lo) for a in parts), max(getattr(a, hi) for a in parts)
        if len(groups) > 1 or most < getattr(area, hi) - NEAR:
            return [(kind, area._replace(**{lo: least}), parts)]
        area = area._replace(**{lo: least})  # trimmed, which needs no setting
        kind = "along" if kind == "across" else "across"
    return []


def through(parts, lo, hi):
    groups, reach = [], None
    for one in sorted(parts, key=lambda a: getattr(a, lo)):
        if reach is not None and getattr(one, lo) < reach - NEAR:
            groups[-1].append(one)
        else:
            groups.append([one])
        reach = max(getattr(a, hi) for a in groups[-1])
    return groups


@bounded
@given(sets())
def test_every_piece_of_every_project_is_cut_once_from_cloth_that_is_there(data):
    """No overlap, nothing in a selvedge, grain kept, every strip cut and divided once, layers within their number."""
    given_, plans = in_turn(data)
    day = cutting_day(plans, given_)
    assert faults(day, given_, plans) == []
    own = [cloth for plan in plans for one in plan.cutting for cloth in one.cloths if cloth.bought]
    new = [cloth.cloth for cloth in day.cloths if cloth.cloth.bought]
    areas = [sum(cloth.width_mm * cloth.length_mm for cloth in some) for some in (own, new)]
    assert areas[1] <= areas[0] * 1.02 + NEAR


@bounded
@given(sets(alike=True))
def test_of_equal_squares_the_ruler_is_set_a_quarter_less_often_at_least(data):
    """Of the projects' own settings, each counted material by material, three quarters are left at most."""
    given_, plans = in_turn(data)
    assume(sum(bool(plan.cutting) for plan in plans) > 1)
    day = cutting_day(plans, given_)
    assert len(day.settings) <= 0.75 * day.own_settings


@st.composite
def strips(draw):
    """One to three small strips of columns, each column of parts one above another; sides of 2 to 5 mm."""
    out = []
    for _ in range(draw(st.integers(1, 3))):
        x, lying = 0.0, []
        for width in draw(st.lists(st.sampled_from((2.0, 3.0, 4.0)), min_size=1, max_size=3)):
            y = 0.0
            for height in draw(st.lists(st.sampled_from((2.0, 3.0, 5.0)), min_size=1, max_size=2)):
                lying.append(Lying(Area(x, y, x + width, y + height), "0:piece"))
                y += height
            x += width
        high = max(one.area.high for one in lying)
        strip = CutStrip(1, Area(0.0, 0.0, x + draw(st.sampled_from((0.0, 1.0))), high), tuple(sorted(lying)))
        out.append(tidied(strip))
    return out


@settings(max_examples=300 if FULL else 25, deadline=None)
@given(strips())
def test_no_shorter_order_of_settings_cuts_tiny_strips(some):
    """Every order of fewer settings is tried on the rectangles themselves: none cuts them all; the order found does."""
    order = fewest(strokes(strip) for strip in some)
    assert all(can_be_cut(strip, order) for strip in some)
    lengths = sorted(set(order))
    assume(len(lengths) ** (len(order) - 1) <= 1300)  # more orders than that are not tried
    for many in range(len(lengths), len(order)):
        assert not any(all(can_be_cut(strip, tried) for strip in some) for tried in product(lengths, repeat=many))


def test_a_length_comes_twice_where_each_of_two_strips_waits_for_the_other():
    """5 through 3, and 3 through 5: whichever comes first has to come again, so three settings for two lengths. [identity]

    A strip 5 high gives parts 3 wide with cloth beside, a strip 3 high parts 5 wide.
    """
    first = CutStrip(1, Area(0.0, 0.0, 10.0, 5.0), (Lying(Area(0.0, 0.0, 3.0, 5.0), "0:a"),))
    second = CutStrip(1, Area(0.0, 0.0, 10.0, 3.0), (Lying(Area(0.0, 0.0, 5.0, 3.0), "0:b"),))
    order = fewest([strokes(first), strokes(second)])
    assert sorted(order) in ([3.0, 3.0, 5.0], [3.0, 5.0, 5.0])
    assert order[0] == order[2]


# Hand sums. Paces of a practised maker [practice]: 3 min to press and straighten a cloth, 45 s for each time the cutter
# goes along however many cloths lie there, half a minute to lay a cloth on another, 6 s for each piece cut from strips,
# half a minute to count a pile of squares; denim takes 1.4 times that.

THROW = {
    "kind": "throw", "closure": "none", "back": "none", "pad": None, "layers": {"above": 1, "below": 1}, "seam": "1/2 in",
    "square": "6 in", "grid": {"across": 4, "down": 3}, "wadding": {"gap": "1/2 in", "width": "90 in"},
}  # fmt: skip


def throw(prints, **more):
    return read(
        {
            **{k: v for k, v in THROW.items() if v},
            "project": "An invented throw",
            "prints": prints,
            "snips": {"every": "1/2 in"},
            **more,
        }
    )


def cloths(*names, **more):
    return [{"name": name, "width": "44 in", **more} for name in names]


def day_of(*given_):
    plans = []
    for project in given_:
        plans.append(make_plan(share_shelf(project, plans), shipped()))
    return cutting_day(plans, given_), plans


BY_HAND = {
    # 24 squares a throw, half of each print: 24 of each print in all, 7 to a strip of 44 in, so 4 strips of each, cut
    # folded, both prints on one another. 24 wadding squares of 5 in, 18 to a strip: 2. Two cloths pressed, one laid on the other.
    "two alike": ([throw(cloths("leaf", "dot")), throw(cloths("leaf", "dot"))],
                  2 * 180 + (4 + 2) * 45 + 30 + (48 + 24) * 6 + 4 * 30),
    # The second of denim, thick: one cloth folded is all there goes under the cutter. 12 of each of four cloths, 2 strips
    # each: leaf and dot together 2, navy 2, slate 2; four cloths pressed. Wadding as before.
    "with denim": ([throw(cloths("leaf", "dot")), throw(cloths("navy", "slate", made_of="denim"))],
                   (2 + 2 * 1.4) * 180 + 2 * 45 + 4 * 45 * 1.4 + 2 * 45 + 30 + (24 + 24) * 6 + 24 * 6 * 1.4 + 4 * 30),
    # One of 6 in and one of 8 in squares: 12 and 12 of each print, 7 and 5 to a strip: 2 and 3 strips of each, on one another.
    # Wadding squares of 5 and 7 in: 12 to 18 in a strip and 12 to 12: 1 and 1.
    "two sizes": ([throw(cloths("leaf", "dot")), throw(cloths("leaf", "dot"), square="8 in")],
                  2 * 180 + (2 + 3 + 1 + 1) * 45 + 2 * 30 + (48 + 24) * 6 + 4 * 30),
}  # fmt: skip


@pytest.mark.parametrize("name", BY_HAND)
def test_the_day_takes_what_a_simple_count_by_hand_comes_to(name):
    """Within 15 %. [identity] on paces that are [practice]."""
    given_, by_hand = BY_HAND[name]
    day, plans = day_of(*given_)
    times = times_of(day, plans)
    assert sum(times.day.values()) == pytest.approx(by_hand, rel=0.15)
    assert sum(times.day.values()) < sum(times.apart.values())


def test_two_alike_to_the_second():
    """The hand sum of two alike throws, exactly: nothing about them is a matter of choice. [identity]"""
    given_, by_hand = BY_HAND["two alike"]
    day, plans = day_of(*given_)
    assert sum(times_of(day, plans).day.values()) == pytest.approx(by_hand)
    assert [one.mm / 25.4 for one in day.settings] == [pytest.approx(6), pytest.approx(5)]
    squares, wadding = day.settings
    assert [(one.layers, one.times) for one in squares.passes] == [(4, 4)]
    assert [(one.layers, one.times) for one in wadding.passes] == [(4, 2)]  # 90 in of wadding, folded twice


def test_shares_are_by_pieces_and_add_up_to_the_day():
    """Sixty pieces and twenty of a day of an hour: 45 and 15 min, whatever each takes alone. [identity]"""
    day, _ = day_of(throw(cloths("leaf", "dot")), throw(cloths("leaf", "dot")))
    day = type(day)(**{name: getattr(day, name) for name in day.__struct_fields__} | {"pieces": (60, 20, 10)})
    own = [{"cut/pieces": 3000.0, "cut/press": 600.0}, {"cut/pieces": 1800.0}, {}]
    left = {"cut/pieces": 0.7, "cut/press": 0.4}
    whole = 4800 * 0.7 + 600 * 0.4
    first, second, none = shares_of(day, left, own)
    assert (first * 3600, second * 1800) == (pytest.approx(whole * 0.75), pytest.approx(whole * 0.25))
    assert none == 1.0  # it has no steps that could take a share: its pieces are no weight


@pytest.mark.parametrize(
    ("ruler", "width", "made_of", "folds", "moves"),
    [
        ("24 in", "44 in", None, 2, 0),  # 22 in
        ("24 in", "48 in", None, 2, 0),
        ("24 in", "50 in", None, 4, 0),  # 25 in is too long, 12 1/2 is not
        ("48 in", "44 in", None, 1, 0),
        ("6 in", "44 in", None, 4, 1),  # 11 in: four layers are all that cotton is cut in
        ("24 in", "58 in", "denim", 2, 1),  # 29 in: two are all that denim is cut in
        ("24 in", "58 in", "double gauze", 2, 1),
    ],
)
def test_cloth_is_folded_until_the_ruler_reaches_across(ruler, width, made_of, folds, moves):
    """Halved and halved again, never into more layers than the cutter goes through. [identity]"""
    more = {"width": width, **({"made_of": made_of} if made_of else {})}
    plain = throw(cloths("leaf", **more), wadding="none", ruler=ruler)
    day, _ = day_of(plain, plain)
    assert {(cloth.folds, cloth.moves) for cloth in day.cloths} == {(folds, moves)}


@pytest.mark.parametrize(("units", "width"), [("inch", "48.3 in"), ("metric", "121 cm"), ("inch", "47.9 in")])
def test_a_stage_that_knows_no_ruler_is_cut_as_with_the_usual_one(units, width):
    """Stages of long ago ask for none: then it is what the shipped one takes, 24 in or 60 cm, by the project's units."""
    plain = throw(cloths("leaf", width=width), wadding="none", **({"units": "metric"} if units == "metric" else {}))
    _, plans = day_of(plain, plain)
    bare = [replace(one, quantities={k: v for k, v in one.quantities.items() if k != "ruler"}) for one in plans]
    shelf = [one.project for one in plans]
    known, unknown = (cutting_day(many, shelf) for many in (plans, bare))
    assert known.cloths[0].folds == (2 if width == "47.9 in" else 4)
    assert unknown == known


def test_what_lies_there_is_taken_once_and_one_leaves_the_other_cuts():
    """Both list one piece of 20 × 13 in, three by two squares of 6 in: the day cuts it once, the rest off the bolt. [identity]"""
    shelf = [{"name": "leaf", "width": "44 in", "on_hand": [{"width": "20 in", "length": "13 in", "straight": True}]}]
    day, _ = day_of(throw(shelf, wadding="none"), throw(shelf, wadding="none"))
    assert [cloth.cloth.bought for cloth in day.cloths].count(False) == 1
    assert sum(len(cloth.cloth.placements) for cloth in day.cloths) == 48
    assert [len(cloth.cloth.placements) for cloth in day.cloths if not cloth.cloth.bought] == [6]
    assert day.bought_mm["leaf"] == pytest.approx(25.4 * (1 + 6 * 6))  # 42 in strips of 7, one straightened end
    # Apart: 18 squares in strips of 7, 7 and 4; 3 of the other's 24 from the 20 in beside those 4, so three strips again.
    assert day.own_bought_mm["leaf"] == pytest.approx(25.4 * (1 + 3 * 6 + 1 + 3 * 6))


def test_a_strip_that_lies_there_is_no_two_strips_because_two_list_it():
    """A piece of 42 × 6 in is seven squares of 6 in with no waste: a second one would be cut before any bolt. [identity]"""
    shelf = [{"name": "leaf", "width": "44 in", "on_hand": [{"width": "42 in", "length": "6 in", "straight": True}]}]
    day, plans = day_of(throw(shelf, wadding="none"), throw(shelf, wadding="none"))
    assert [cloth.cloth.bought for cloth in day.cloths].count(False) == 1
    assert faults(day, [throw(shelf, wadding="none")] * 2, plans) == []


def test_two_bought_lengths_are_one_straightened_once():
    """Four whole strips of seven squares of each print for each throw: 8 × 6 in and one inch. [identity]"""
    both = [throw(cloths("leaf", "dot"), grid={"across": 7, "down": 4}, wadding="none")] * 2
    day, plans = day_of(*both)
    assert faults(day, both, plans) == []
    assert day.bought_mm == {name: pytest.approx(25.4 * (8 * 6 + 1)) for name in ("leaf", "dot")}
    assert [cloth.cloth.length_mm for cloth in day.cloths] == [pytest.approx(25.4 * 49)] * 2
