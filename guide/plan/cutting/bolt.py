"""The shortest length from a bolt: first-fit shelves, then beams widened in turn, then strips cut again."""

import random
from collections.abc import Sequence

from guide.plan.cutting.beam import settings, shortest
from guide.plan.cutting.pieces import Kind, Strip, length_of
from guide.plan.cutting.shelves import shelves
from guide.plan.cutting.strips import StripMaker

_BEAMS = (2, 4, 8, 16, 32, 64)
_RECUTS = 30
_RECUT_BEAM = 4


def shortest_from_bolt(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, seed: int, effort: int
) -> tuple[Strip, ...]:
    """Strips that give every part, never longer than first-fit shelves; lengths in units.

    Parts of one size that may not be turned, squares among them, are exact at once. Otherwise about
    `effort` strips are tried; the same seed gives the same plan.
    """
    plan = shelves(kinds, counts, width, None)
    if sum(count > 0 for count in counts) == 1 and all(
        kind.fixed for kind, count in zip(kinds, counts, strict=True) if count
    ):
        return plan
    maker = StripMaker(kinds, width)
    for beam in _BEAMS:
        plan = shortest(maker, counts, (length_of(plan), settings(plan)), beam) or plan
        if len(maker.made) > effort:
            break
    return _cut_again(maker, plan, random.Random(seed), effort)  # noqa: S311, a search, no secret


def _cut_again(maker: StripMaker, plan: tuple[Strip, ...], rng: random.Random, effort: int) -> tuple[Strip, ...]:
    """Take out a few strips, the wasteful ones more often, and cut their parts anew while that saves cloth."""
    enough = len(maker.made) + effort // 2
    for _ in range(_RECUTS):
        if len(plan) < 2 or len(maker.made) > enough:
            break
        taken = _some(maker, plan, rng)
        out = [plan[at] for at in taken]
        counts = [sum(column) for column in zip(*(strip.used for strip in out), strict=True)]
        better = shortest(maker, counts, (length_of(out), 0), _RECUT_BEAM)
        if better:
            plan = (*(strip for at, strip in enumerate(plan) if at not in taken), *better)
    return plan


def _some(maker: StripMaker, plan: Sequence[Strip], rng: random.Random) -> set[int]:
    wanted = rng.randint(2, max(2, min(4, len(plan) - 1)))
    rest = list(range(len(plan)))
    for _ in range(min(wanted, len(plan))):  # without putting back: the draws are as many as the strips taken
        waste = [plan[at].size * maker.width - plan[at].area for at in rest]
        weights = [share / (maker.width * maker.width) + 1e-6 for share in waste]
        rest.remove(rng.choices(rest, weights)[0])
    return set(range(len(plan))) - set(rest)
