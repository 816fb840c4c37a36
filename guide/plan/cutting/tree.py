"""How a strip is divided: by edge-to-edge cuts.

A part of a strip is split where a straight cut passes between its pieces, first across the strip, then
the other way, and so on until every piece is free.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from guide.plan.model import Area, CutStrip, Lying

NEAR = 1e-6  # mm: two edges that are one


class Done(NamedTuple):
    """One thing that happens while a strip is divided.

    `setting` is the ruler's setting of a cut, mm, 0 when it only trims; None when this is not a cut but
    `rest`, a rectangle that is left.
    """

    setting: float | None
    rest: Area | None = None


def divide(strip: CutStrip) -> Iterator[Done]:
    """Every cut that frees the parts of a strip, and every rectangle left, in the order of cutting."""
    return _divide(strip.lying, strip.area, upright=True, tries=2)


def _divide(lying: Sequence[Lying], area: Area, *, upright: bool, tries: int) -> Iterator[Done]:
    if len(lying) == 1 and _same(lying[0].area, area):
        return
    if not tries:
        raise ValueError("these parts cannot be freed by edge-to-edge cuts")
    groups = _groups(lying, upright=upright)
    at, end = (area.left, area.right) if upright else (area.low, area.high)
    cuts = 0
    for group in groups:
        first, last = _span(group, upright=upright)
        if first > at + NEAR:
            cuts += 1
            yield Done(0.0, _slice(area, at, first, upright=upright))
        if last < end - NEAR:
            cuts += 1
            yield Done(last - first)
        inner = _slice(area, first, last, upright=upright)
        if len(groups) > 1 or cuts:
            yield from _divide(group, inner, upright=not upright, tries=2)
        else:
            yield from _divide(group, inner, upright=not upright, tries=tries - 1)
        at = last
    if at < end - NEAR:
        yield Done(None, _slice(area, at, end, upright=upright))


def _groups(lying: Sequence[Lying], *, upright: bool) -> list[list[Lying]]:
    """Pieces gathered between the straight cuts that pass right through."""
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
