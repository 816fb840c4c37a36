"""The even patterns a layout begins with, and what is laid already stays: small panels, worked out by hand [identity]."""

from collections import Counter
from itertools import chain
from random import Random

import pytest

from guide.plan.layout.colouring import _empty, _leans, _periods, best_colouring, lattice, zigzag
from guide.plan.layout.counts import Grid
from guide.plan.layout.lay import exhaustive


def rows(grid: Grid, colours: list[int]) -> list[list[int]]:
    return [[colours[grid.at(0, row, column)] for column in range(grid.across)] for row in range(grid.down)]


@pytest.mark.parametrize(
    ("lines", "phase", "leans"),
    [
        (4, 0, [0, 1, 2, 3]),  # up to four lines look like no band: they never turn
        (7, 0, [0, -1, -2, -1, 0, 1, 0]),  # three steps a leg, the first of them taken already
        (7, 3, [0, 1, 2, 1, 0, -1, 0]),  # the other way
        (7, 2, [0, 1, 2, 3, 2, 1, 0]),
    ],
)
def test_lines_lean_three_steps_one_way_and_three_back(lines, phase, leans):
    assert _leans(lines, phase) == leans


@pytest.mark.parametrize(("room", "fits"), [([3, 3, 3], True), ([4, 4, 4], True), ([2, 4, 4], False)])
def test_a_zigzag_may_take_all_the_room_there_is(room, fits):
    """Three rows of three take each print three times: room for three is enough, for two it is not."""
    grid = Grid(3, 3, 1)
    laid = zigzag(grid, room, Random(1))
    assert (laid is not None) == fits
    if laid is not None:
        assert sorted(chain.from_iterable(rows(grid, laid))) == [0, 0, 0, 1, 1, 1, 2, 2, 2]
        for row in rows(grid, laid):
            assert sorted(row) == [0, 1, 2]


def test_what_is_laid_already_stays_even_where_two_alike_must_meet():
    """Three in a row, two of one print, and one of these lies in the middle: it stays there, beside the other."""
    grid = Grid(3, 1, 1)
    (got,) = rows(grid, best_colouring(grid, [2, 1], {grid.at(0, 0, 1): 0}, seed=1))
    assert got in ([0, 0, 1], [1, 0, 0])
    (free,) = rows(grid, best_colouring(grid, [2, 1], {}, seed=1))
    assert free == [0, 1, 0]


@pytest.mark.parametrize(
    ("room", "outcome"), [([2, 2], "found"), ([3, 1], "none"), ([1, 3], "none"), ([3, 2], "found")]
)
def test_what_was_tried_in_vain_is_put_back_and_no_more(room, outcome):
    """Two rows of two are a chequer or they are not: two of each print, and three of one and one of the other never."""
    grid = Grid(2, 2, 1)
    found = exhaustive(grid, {}, room)
    assert found.outcome == outcome
    if outcome == "found":
        assert Counter(found.colours.values()) == {0: 2, 1: 2}


def test_a_lattice_leans_one_way_in_front_and_the_other_at_the_back():
    """Five prints on five by five: what lies `turn` places on in a row lies below on the front, above it at the back."""
    grid = Grid(5, 5, 2)
    laid = lattice(grid, [10] * 5, Random(1), gaps=0.0)
    front, back = ([[laid[grid.at(face, r, c)] for c in range(5)] for r in range(5)] for face in (0, 1))
    turn = front[0].index(front[1][0])
    assert turn in (1, 2, 3, 4)
    assert back[1][turn] == back[0][0]
    assert back[1][0] != back[0][turn]


def test_as_many_places_are_emptied_as_lie_too_often():
    """Six of one print where two may lie: four are emptied, no place twice."""
    grid = Grid(6, 1, 1)
    colours = [-1] * grid.size
    for place in grid.walk(0):
        colours[place] = 0
    assert _empty(grid, colours, [2], Random(1)) == 4
    assert sorted(colours[place] for place in grid.walk(0)) == [-1, -1, -1, -1, 0, 0]


def test_the_first_zigzag_runs_along_the_rows():
    """Three rows, each begun one print further on, and each going on from its first in the same order."""
    grid = Grid(3, 3, 1)
    assert rows(grid, next(_periods(grid, [0, 1, 2], 0))) == [[0, 1, 2], [1, 2, 0], [2, 0, 1]]
