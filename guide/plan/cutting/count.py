"""How a person cuts: how many cuts, how often the ruler is set anew, and in which order, for steps and pages.

The rule [practice]: one cut straightens each cloth that is not straight; one cuts each strip, unless the strip ends
where a piece on hand ends; then alike strips are laid on one another, up to `LAYERS_AT_ONCE`, and each
stack is divided at once: one cut trims the selvedge, and one frees each part or group of parts from what
follows it, unless it ends where the strip ends. Strips are alike when they are of one size and the parts
of one lie as the first parts of the other.

A strip is divided by edge-to-edge cuts: a part of it is split where a straight cut passes between its pieces, first
across the strip, then the other way, and so on until every piece is free.
From which cloths a step's strips come is said in the words of one step.
"""

import heapq
from collections.abc import Iterable, Iterator, Sequence
from itertools import count, groupby
from math import ceil
from typing import Any

import msgspec

from guide.plan.model import Area, CutCloth, CutStrip, Cutting, Lying
from guide.read.units import Units, show_length

NEAR = 1e-6  # mm: two edges that are one


class Done(msgspec.Struct, frozen=True):
    """One thing that happens while a strip is divided.

    `setting` is the ruler's setting of a cut, mm, 0 when it only trims; None when this is not a cut but
    `rest`, a rectangle that is left. `path` is its place: cuts with the same path but for its last number divide one
    piece, one after another, and that piece is freed by the cut whose path they go on from.
    """

    setting: float | None
    rest: Area | None = None
    path: tuple[int, ...] = ()


def divide(strip: CutStrip) -> Iterator[Done]:
    """Every cut that frees the parts of a strip, and every rectangle left, in the order of cutting."""
    return _divide(strip.lying, strip.area, (), upright=True, tries=2)


def _divide(lying: Sequence[Lying], area: Area, path: tuple[int, ...], *, upright: bool, tries: int) -> Iterator[Done]:
    """Free the parts that lie in an area, cut by cut from edge to edge. Raises ValueError when no such cuts do."""
    if len(lying) == 1 and _same(lying[0].area, area):
        return
    if not tries:  # neither up nor across does any cut pass right through, and a ruler makes no other
        raise ValueError("these parts cannot be freed by edge-to-edge cuts")
    groups = gathered(lying, upright=upright)
    at, end = (area.left, area.right) if upright else (area.low, area.high)
    cuts = 0
    for nth, group in enumerate(groups):
        first, last = _span(group, upright=upright)
        if first > at + NEAR:
            cuts += 1
            yield Done(0.0, _slice(area, at, first, upright=upright), (*path, nth))
        if last < end - NEAR:
            cuts += 1
            yield Done(last - first, None, (*path, nth))
        inner = _slice(area, first, last, upright=upright)
        again = 2 if len(groups) > 1 or cuts else tries - 1
        yield from _divide(group, inner, (*path, nth), upright=not upright, tries=again)
        at = last
    if at < end - NEAR:
        yield Done(None, _slice(area, at, end, upright=upright))


def gathered(lying: Sequence[Lying], *, upright: bool) -> list[list[Lying]]:
    """Gather pieces between the straight cuts that pass right through."""
    groups: list[list[Lying]] = []
    reach = 0.0
    for one in sorted(lying, key=lambda one: _span([one], upright=upright)):
        first, last = _span([one], upright=upright)
        if groups and first < reach - NEAR:
            groups[-1].append(one)
            reach = max(reach, last)
        else:
            groups.append([one])
            reach = last
    return groups


def _span(group: Sequence[Lying], *, upright: bool) -> tuple[float, float]:
    if upright:
        return min(one.area.left for one in group), max(one.area.right for one in group)
    return min(one.area.low for one in group), max(one.area.high for one in group)


def _slice(area: Area, first: float, last: float, *, upright: bool) -> Area:
    return area._replace(left=first, right=last) if upright else area._replace(low=first, high=last)


def _same(one: Area, other: Area) -> bool:
    return all(abs(a - b) <= NEAR for a, b in zip(one, other, strict=True))


LAYERS_AT_ONCE = 4


def runs(cloth: CutCloth) -> Iterator[tuple[CutStrip, ...]]:
    """Runs of alike strips, each run's fullest strip first."""
    run: list[CutStrip] = []
    for strip in cloth.strips:
        if run and not alike(run[0], strip):
            yield tuple(run)
            run = []
        run.append(strip)
    if run:
        yield tuple(run)


def count_cuts(cloths: Sequence[CutCloth]) -> int:
    """All the cuts a person makes, by the rule above."""
    return sum(_cuts(cloth) for cloth in cloths)


def _cuts(cloth: CutCloth) -> int:
    strips = cloth.strips
    end = cloth.width_mm if cloth.along else cloth.length_mm
    straighten = bool(strips) and strips[0].area.low > NEAR
    across = sum(cloth.bought or strip.area.high < end - NEAR for strip in strips)
    stacked = sum(
        ceil(len(run) / LAYERS_AT_ONCE) * sum(done.setting is not None for done in divide(run[0]))
        for run in runs(cloth)
    )
    return int(straighten) + across + stacked


def count_settings(cloths: Sequence[CutCloth]) -> int:
    """How many different lengths the ruler is set to, over all cloths; a trim needs none."""
    strips = [strip for cloth in cloths for strip in cloth.strips]
    divided = {round(done.setting, 3) for strip in strips for done in divide(strip) if done.setting}
    return len({round(strip.setting, 3) for strip in strips} | divided)


def alike(full: CutStrip, strip: CutStrip) -> bool:
    """Tell whether a strip's parts lie as the first parts of a fuller one, so that both are divided at once."""
    if abs(full.setting - strip.setting) > NEAR or len(full.lying) < len(strip.lying):
        return False
    rest = full.lying[len(strip.lying) :]
    ends = max(one.area.right for one in strip.lying)
    if any(one.area.left < ends - NEAR for one in rest):
        return False
    return all(
        abs(a.left - b.left) + abs(a.right - b.right) <= NEAR
        and abs((a.low - full.area.low) - (b.low - strip.area.low)) <= NEAR
        and abs((a.high - a.low) - (b.high - b.low)) <= NEAR
        for (a, _), (b, _) in zip(full.lying, strip.lying, strict=False)
    )


def cutting_order(cutting: Cutting) -> list[dict[str, Any]]:
    """The numbered order a person follows: one dict per strip.

    `cloth` counts the cloths from 1, `bought` says which is from the bolt, `strip` is the number on that
    cloth, `ruler_mm` the strip's setting, `along` whether the cut runs with the grain, `then_mm` the other
    settings that divide it, `cut` what comes from it in order: {part, count, width_mm, height_mm}, the
    width along the strip.
    """
    return [
        {
            "material": cutting.material,
            "cloth": number,
            "bought": cloth.bought,
            "strip": strip.number,
            "ruler_mm": strip.setting,
            "along": cloth.along,
            "then_mm": list(then(strip)),
            "cut": _what(strip),
        }
        for number, cloth in enumerate(cutting.cloths, start=1)
        for strip in cloth.strips
    ]


def then(strip: CutStrip) -> tuple[float, ...]:
    """The other settings that divide a strip, mm, in the order they are met."""
    settings = (round(done.setting, 6) for done in divide(strip) if done.setting)
    return tuple(dict.fromkeys(mm for mm in settings if abs(mm - strip.setting) > NEAR))


def _what(strip: CutStrip) -> list[dict[str, Any]]:
    pieces = [
        (one.part, round(one.area.right - one.area.left, 6), round(one.area.high - one.area.low, 6))
        for one in strip.lying
    ]
    return [
        {"part": part, "count": len(list(group)), "width_mm": width, "height_mm": height}
        for (part, width, height), group in groupby(pieces)
    ]


class Source(msgspec.Struct, frozen=True):
    """A cloth that a step cuts, its number from 1 as the cutting order counts, and how many strips it gives."""

    cloth: CutCloth
    number: int
    strips: int


def together(runs: Sequence[Source]) -> list[Source]:
    """Put the runs of strips that one cloth gives together."""
    of = {one.number: one.cloth for one in runs}
    return [Source(cloth, at, sum(one.strips for one in runs if one.number == at)) for at, cloth in of.items()]


def named(sources: Sequence[Source], units: Units) -> str:
    """Say them all at once: `piece 2 on hand, 13 in × 40 in`, `3 pieces on hand and the bolt`."""
    only = sources[0]
    if len(sources) == 1 and not only.cloth.bought:
        return f"piece {only.number} on hand, {_size(only.cloth, units)}"
    pieces = sum(not one.cloth.bought for one in sources)
    said = ["the piece on hand" if pieces == 1 else f"{pieces} pieces on hand"] if pieces else []
    return " and ".join([*said, *(["the bolt"] if pieces < len(sources) else [])])


def shares(sources: Sequence[Source], units: Units) -> str:
    """Say how many strips come from which: `2 from piece 1, 22 in × 18 in; 3 from the bolt`; of one nothing."""
    if len(sources) == 1:
        return ""

    def alike(at: tuple[int, Source]) -> tuple[object, ...]:
        place, one = at  # numbers that follow on differ from their places by the same
        return one.cloth.width_mm, one.cloth.length_mm, one.cloth.bought, one.strips, one.number - place

    runs = groupby(enumerate(sources), key=alike)
    return "; ".join(_share([one for _, one in run], units) for _, run in runs)


def _size(cloth: CutCloth, units: Units) -> str:
    return " × ".join(show_length(mm, units) for mm in (cloth.width_mm, cloth.length_mm))


def _share(run: Sequence[Source], units: Units) -> str:
    first, last = run[0], run[-1]
    if first.cloth.bought:
        return f"{first.strips} from the bolt"
    size = _size(first.cloth, units)
    if first is last:
        return f"{first.strips} from piece {first.number}, {size}"
    to = "and" if len(run) == 2 else "to"
    return f"{first.strips} each from pieces {first.number} {to} {last.number}, {size}"


def trimmed(sources: Sequence[Source], units: Units) -> str:
    """Say what a piece on hand that is not straight loses at one side and one end; nothing where all are straight."""
    most = max(one.cloth.trim_mm for one in sources)
    return show_length(most, units) if most else ""


# In which order the ruler is set when many strips are cut at once: the fewest settings there can be.
#
# A cut waits for the cut that frees the piece it divides; at one setting every cut is made that waits for nothing more.
# The order is found by A* (Hart, Nilsson and Raphael, 1968) over what is cut already; what is left needs at least one
# setting for each length that is left. A setting that finishes its length may come at once: it has to come, and cutting
# sooner makes nothing wait. Where that search would take too long, the setting that makes most cuts comes next.

Stroke = tuple[float, int]  # a cut's setting, mm, and which cut of its strip it waits for; -1: for none
_LOOKED_AT = 4000  # states


def set_to(mm: float) -> float:
    """A setting as it is told from others: lengths differ by more, what edges lose on their way is less."""
    return round(mm, 6)


def strokes(strip: CutStrip) -> tuple[Stroke, ...]:
    """The cuts that free a strip and its parts; its own, from the cloth, comes first. A trim needs no setting."""
    out: list[Stroke] = [(set_to(strip.setting), -1)]
    newest: dict[tuple[int, ...], int] = {(): 0}  # by the piece that is divided
    for done in divide(strip):
        if done.setting:
            piece = done.path[:-1]
            while piece not in newest:  # nothing of it is cut yet: it waits for the cut that freed it
                piece = piece[:-1]
            out.append((set_to(done.setting), newest[piece]))
            newest[done.path[:-1]] = len(out) - 1
    return tuple(out)


def done_at(strip: Sequence[Stroke], order: Sequence[float]) -> tuple[int, ...]:
    """At which setting of an order, from 0, each cut of a strip is made: as soon as it can be."""
    out: list[int] = []
    for setting, after in strip:  # a cut stands behind what it waits for
        soonest = out[after] if after >= 0 else 0
        out.append(next(at for at in range(soonest, len(order)) if order[at] == setting))
    return tuple(out)


def fewest(strips: Iterable[Sequence[Stroke]]) -> tuple[float, ...]:
    """The shortest order of settings, mm, in which all these strips can be cut; larger lengths first of equals."""
    kinds = tuple(dict.fromkeys(tuple(one) for one in strips))
    start = tuple(0 for _ in kinds)
    best = tuple(_greedy(kinds, start))
    least = len({setting for kind in kinds for setting, _ in kind})
    if len(best) == least:
        return best
    number = count()
    states: list[tuple[int, int, tuple[int, ...], tuple[float, ...]]] = [(least, next(number), start, ())]
    seen = {start: 0}
    for _ in range(_LOOKED_AT):
        if not states or states[0][0] >= len(best):
            break
        _, _, state, order = heapq.heappop(states)
        for setting in _tried(kinds, state):
            after, so_far = _advanced(kinds, state, setting), (*order, setting)
            lengths = _left(kinds, after)
            if not lengths:
                best = min(best, so_far, key=len)
            elif seen.get(after, len(best)) > len(so_far):
                seen[after] = len(so_far)
                heapq.heappush(states, (len(so_far) + len(lengths), next(number), after, so_far))
    return best


def _greedy(kinds: Sequence[Sequence[Stroke]], state: tuple[int, ...]) -> Iterator[float]:
    while _left(kinds, state):
        after = {one: _advanced(kinds, state, one) for one in _tried(kinds, state)}
        best = max(after, key=lambda one: (sum(mask.bit_count() for mask in after[one]), one))
        state = after[best]
        yield best


def _tried(kinds: Sequence[Sequence[Stroke]], state: tuple[int, ...]) -> list[float]:
    """The settings worth trying next: one that finishes its length, by itself; else all that make a cut."""
    lengths = sorted(_left(kinds, state), reverse=True)
    after = {one: _advanced(kinds, state, one) for one in lengths}
    able = [one for one in lengths if after[one] != state]
    return next(([one] for one in able if one not in _left(kinds, after[one])), able)


def _left(kinds: Sequence[Sequence[Stroke]], state: Sequence[int]) -> set[float]:
    """The lengths that are still to be cut."""
    return {
        setting
        for kind, mask in zip(kinds, state, strict=True)
        for at, (setting, _) in enumerate(kind)
        if not mask >> at & 1
    }


def _advanced(kinds: Sequence[Sequence[Stroke]], state: Sequence[int], setting: float) -> tuple[int, ...]:
    """What is cut, a bit for each cut of each kind, once all is cut that can be at a setting."""
    out = []
    for kind, before in zip(kinds, state, strict=True):
        mask = before
        for at, (length, after) in enumerate(kind):
            if length == setting and (after < 0 or mask >> after & 1):
                mask |= 1 << at
        out.append(mask)
    return tuple(out)


def tidied(strip: CutStrip) -> CutStrip:
    """The strip with its groups side by side from its first part on, the widest first: like settings together."""
    groups = gathered(strip.lying, upright=True)
    x = min((one.area.left for one in strip.lying), default=0.0)
    lying: list[Lying] = []
    spans = [(min(o.area.left for o in group), max(o.area.right for o in group), group) for group in groups]
    for left, right, group in sorted(spans, key=lambda span: -set_to(span[1] - span[0])):
        for one in sorted(group):
            area = one.area._replace(left=one.area.left - left + x, right=one.area.right - left + x)
            lying.append(one._replace(area=area))
        x += right - left
    return strip._replace(lying=tuple(lying))
