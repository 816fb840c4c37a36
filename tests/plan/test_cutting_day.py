"""A cutting day: all pieces of all projects once, from cloth that is there, in as few ruler settings as can be.

The judges share no code with the day: one looks at rectangles only, one cuts every strip in every order of settings.
"""

import math
import os
from collections import Counter
from itertools import pairwise

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from guide.errors import GuideError
from guide.plan.day import cutting_day, whose
from guide.plan.make import make_plan
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
