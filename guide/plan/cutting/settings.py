"""In which order the ruler is set when many strips are cut at once: the fewest settings there can be.

A cut waits for the cut that frees the piece it divides; at one setting every cut is made that waits for nothing more.
The order is found by A* (Hart, Nilsson and Raphael, 1968) over what is cut already; what is left needs at least one
setting for each length that is left. A setting that finishes its length may come at once: it has to come, and cutting
sooner makes nothing wait. Where that search would take too long, the setting that makes most cuts comes next.
"""

import heapq
from collections.abc import Iterable, Sequence
from itertools import count

from guide.plan.cutting.count import divide, gathered
from guide.plan.model import CutStrip, Lying

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
    best = _greedy(kinds, start)
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


def _greedy(kinds: Sequence[Sequence[Stroke]], state: tuple[int, ...]) -> tuple[float, ...]:
    order: list[float] = []
    while lengths := _left(kinds, state):
        tried = _tried(kinds, state)
        best = max(tried, key=lambda one: (_made(_advanced(kinds, state, one)), one))
        state = _advanced(kinds, state, best)
        order.append(best)
        assert best in lengths
    return tuple(order)


def _made(state: Sequence[int]) -> int:
    return sum(mask.bit_count() for mask in state)


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
