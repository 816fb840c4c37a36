"""Small panels against exhaustive search."""

from collections.abc import Iterator
from itertools import product

import pytest

from guide.plan.layout import lay as laying
from guide.plan.layout.counts import Grid
from guide.plan.layout.lay import Supply, lay
from tests.plan.layout_judges import cells, exactly, proper

SHAPES = [(1, 1), (2, 1), (3, 1), (5, 1), (1, 4), (2, 2), (3, 2), (2, 3), (4, 2), (3, 3)]


def proper_fronts(across: int, down: int, prints: int) -> Iterator[tuple[int, ...]]:
    """Every face without side matches, by trying them all."""
    for face in product(range(prints), repeat=across * down):
        if proper(dict(zip(cells(across, down), face, strict=True))):
            yield face


def reachable(across: int, down: int, prints: int) -> set[tuple[int, ...]]:
    """The counts by print that some face without matches has."""
    return {tuple(face.count(i) for i in range(prints)) for face in proper_fronts(across, down, prints)}


def vectors(prints: int, total: int) -> Iterator[tuple[int, ...]]:
    """Every way to share a total among the prints."""
    if prints == 1:
        yield (total,)
        return
    for first in range(total + 1):
        for rest in vectors(prints - 1, total - first):
            yield (first, *rest)


def all_of(counts: tuple[int, ...]) -> list[Supply]:
    return [exactly(f"print {i}", count) for i, count in enumerate(counts)]


@pytest.mark.parametrize(
    ("side", "prints", "count"),
    [(2, 3, 18), (3, 3, 246), (2, 4, 84), (3, 4, 9612)],
)
def test_the_exhaustive_judge_agrees_with_other_counts(side, prints, count):
    """The judge itself is right. Three prints: [source: OEIS A078099 (× 3)]. Four, by hand [identity]:

    2 × 2 is a ring of four: 3⁴ + 3 = 84. 3 × 3, row under row: of the 12 rows like aba each may have 7 like it below
    and 10 like abc, of the 24 like abc each 5 like aba and 11 like abc. So one row may follow in 17 or 16 ways, two in
    7 × 17 + 10 × 16 = 279 or 5 × 17 + 11 × 16 = 261, and 12 × 279 + 24 × 261 = 9612.
    """
    assert sum(1 for _ in proper_fronts(side, side, prints)) == count


@pytest.mark.parametrize("prints", [2, 3])
@pytest.mark.parametrize("shape", SHAPES)
def test_one_face_is_found_exactly_when_there_is_one(shape, prints):
    """Every share of single squares: found where exhaustive search finds one, impossible elsewhere. [identity]"""
    across, down = shape
    can = reachable(across, down, prints)
    for counts in vectors(prints, across * down):
        laid = lay(across, down, 1, all_of(counts))
        assert laid.outcome == ("found" if counts in can else "impossible"), counts


@pytest.mark.parametrize("prints", [2, 3])
@pytest.mark.parametrize("shape", SHAPES)
def test_both_faces_are_found_exactly_when_there_are_such(shape, prints):
    """Every share of two-layer blocks: the faces' counts are sums of two reachable ones. [identity]"""
    across, down = shape
    one = reachable(across, down, prints)
    can = {tuple(map(sum, zip(a, b, strict=True))) for a in one for b in one}
    for counts in vectors(prints, 2 * across * down):
        laid = lay(across, down, 2, all_of(counts))
        assert laid.outcome == ("found" if counts in can else "impossible"), counts


@pytest.mark.parametrize("shape", [(2, 1), (3, 1), (2, 2), (3, 2)])
def test_layers_between_take_what_the_faces_cannot(shape):
    """Four layers, three prints: found where any choice of squares for the faces could be. [identity]"""
    across, down = shape
    one = reachable(across, down, 3)
    faces = {tuple(map(sum, zip(a, b, strict=True))) for a in one for b in one}
    for counts in vectors(3, 4 * across * down):
        can = any(all(f <= t for f, t in zip(face, counts, strict=True)) for face in faces)
        laid = lay(across, down, 4, all_of(counts))
        assert laid.outcome == ("found" if can else "impossible"), counts


def test_four_prints_on_a_small_face_are_found_exactly_when_possible():
    """2×3 blocks in four prints, every share. [identity]"""
    can = reachable(3, 2, 4)
    for counts in vectors(4, 6):
        assert lay(3, 2, 1, all_of(counts)).outcome == ("found" if counts in can else "impossible"), counts


def test_looking_stops_once_the_effort_is_spent_and_not_before(monkeypatch):
    """[identity] Two places: two looks for the first square, one for the second, three in all."""
    for effort, outcome in ((3, "found"), (2, "given up")):
        monkeypatch.setattr(laying, "EFFORT", effort)
        found = laying.exhaustive(Grid(2, 1, 1), {}, [1, 1])
        assert (found.outcome, len(found.colours)) == (outcome, 2 if outcome == "found" else 0)
