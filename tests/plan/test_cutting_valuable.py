"""The most one piece can give, against published instances and a general solver."""

import os
import random
from itertools import product

import pytest

from guide.plan.cutting import most_valuable
from tests.plan.cutting_check import separable

FULL = os.environ.get("FRAYWORK_FULL") == "1"
SMALL = [(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 3, 24), (3, 4, 5, 17), (3, 3, 2, 11), (3, 2, 2, 8), (2, 1, 1, 2)]
LARGE = [
    (21, 22, 1, 582), (31, 13, 1, 403), (9, 35, 3, 315), (9, 24, 3, 216), (30, 7, 2, 210),
    (11, 13, 3, 143), (10, 14, 1, 140), (14, 8, 3, 110), (12, 8, 3, 94), (13, 7, 3, 90),
]  # fmt: skip


def worth(done, width, height, parts):
    """The value of a plan that holds: inside, apart, separable, copies kept to."""
    boxes = [(s.x, s.y, s.x + parts[s.part][0], s.y + parts[s.part][1]) for s in done.spots]
    assert all(x >= 0 and y >= 0 and x2 <= width + 1e-6 and y2 <= height + 1e-6 for x, y, x2, y2 in boxes)
    assert separable(boxes)
    for at, part in enumerate(parts):
        assert sum(s.part == at for s in done.spots) <= part[2]
    return sum(parts[s.part][3] for s in done.spots)


@pytest.mark.parametrize(("width", "height", "parts", "optimum"), [(15, 10, SMALL, 244), (40, 70, LARGE, 2892)])
def test_the_published_instances_come_to_their_optimum(width, height, parts, optimum):
    """[source] Christofides & Whitlock, Oper. Res. 25 (1977) 30-44, copies limited, by FACTS: Cutting."""
    done = most_valuable(width, height, parts)
    assert (done.value, done.bound, done.exact) == (optimum, optimum, True)
    assert worth(done, width, height, parts) == optimum


def test_a_spent_effort_gives_a_plan_and_a_bound_round_the_optimum():
    """[source] As above: what is found is at most 2892 and the bound at least that."""
    done = most_valuable(40, 70, LARGE, effort=12)
    assert done.value == worth(done, 40, 70, LARGE)
    assert done.value <= 2892 <= done.bound
    assert not done.exact


def test_nothing_fits_is_worth_nothing():
    """[identity]"""
    assert most_valuable(3, 3, [(4, 1, 2, 9.0)]).value == 0


def exhaustive(width, height, parts, memo):
    """Every guillotine plan on a whole-number grid, by plain recursion over pieces and copies left."""

    def go(w, h, left):
        key = (w, h, left)
        if key not in memo:
            best = max((p[3] for p, n in zip(parts, left, strict=True) if n and p[0] <= w and p[1] <= h), default=0)
            for share in product(*(range(n + 1) for n in left)):
                other = tuple(n - s for n, s in zip(left, share, strict=True))
                for cut in range(1, w // 2 + 1):
                    best = max(best, go(cut, h, share) + go(w - cut, h, other))
                for cut in range(1, h // 2 + 1):
                    best = max(best, go(w, cut, share) + go(w, h - cut, other))
            memo[key] = best
        return memo[key]

    return go(width, height, tuple(p[2] for p in parts))


@pytest.mark.parametrize("seed", range(100 if FULL else 12))
def test_small_cases_agree_with_exhaustive_search(seed):
    """[identity] Every cut of a small piece tried by another programme."""
    rng = random.Random(seed)
    width, height = rng.randint(3, 6), rng.randint(3, 6)
    parts = [(rng.randint(1, 4), rng.randint(1, 4), rng.randint(1, 2), rng.randint(1, 20)) for _ in range(3)]
    done = most_valuable(width, height, parts)
    assert done.exact
    assert done.value == worth(done, width, height, parts) == exhaustive(width, height, parts, {})
