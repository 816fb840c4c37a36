"""What the shelf gives, against trying everything: every colouring of every face, every share of the squares."""

import json
import random
from functools import cache
from itertools import pairwise, product

import pytest

from guide.book.model import Lot, Take
from guide.book.shelf import Wanted, largest, most, of_size, stock_of
from tests.book.histories import empty_book


@cache
def face_counts(across: int, down: int, prints: int) -> frozenset[tuple[int, ...]]:
    """How often each print can stand on a face where no two alike are side by side: by trying every colouring."""
    found = set()
    for colours in product(range(prints), repeat=across * down):
        rows = [colours[row * across : (row + 1) * across] for row in range(down)]
        beside = any(a == b for row in rows for a, b in pairwise(row))
        above = any(a == b for one, other in pairwise(rows) for a, b in zip(one, other, strict=True))
        if not beside and not above:
            found.add(tuple(colours.count(one) for one in range(prints)))
    return frozenset(found)


def can_be_made(stock: tuple[int, ...], grid: tuple[int, int], faces: int, layers: int, articles: int) -> bool:
    """Whether so many come out: every face is given one of its colourings, and there are squares for the inside."""
    if sum(stock) < articles * layers * grid[0] * grid[1]:
        return False
    states = {stock}
    for _ in range(articles * faces):
        states = {
            left
            for state in states
            for face in face_counts(*grid, len(stock))
            if min(left := tuple(a - b for a, b in zip(state, face, strict=True))) >= 0
        }
    return bool(states)


def test_the_most_articles_equal_brute_force():
    """300 small shelves of one to three prints, faces of 2 to 6 squares, cushions and throws."""
    rng = random.Random(2)
    counts = []
    for _ in range(300):
        stock = tuple(rng.randint(0, 12) for _ in range(rng.randint(1, 3)))
        grid = rng.choice(((2, 1), (3, 1), (2, 2), (3, 2)))
        wanted = Wanted(rng.choice(("cushion", "throw")), rng.randint(1, 2), rng.randint(0, 2))
        found = most(dict(enumerate(stock)), grid[0] * grid[1], wanted.faces, wanted.layers)
        tried = 0
        while can_be_made(stock, grid, wanted.faces, wanted.layers, tried + 1):
            tried += 1
        assert found == tried, (stock, grid, wanted)
        counts.append(found)
    assert max(counts) > 2
    assert min(counts) == 0


@pytest.fixture
def book():
    """24 squares of 6 in of moss check, a piece of 30 in × 18 in of oat stripe: 4 × 2 of 6 in once straightened."""
    writer = empty_book()
    writer.add({"what": "bought", "cloth": "moss check", "lots": [Lot(152.4, 152.4, 24, straight=True)]})
    writer.add({"what": "bought", "cloth": "oat stripe", "lots": [Lot(762, 457.2)]})
    return writer.book


def test_a_piece_gives_whole_squares_once_it_is_straightened(book):
    """30 in × 18 in less 1/2 in each way: 29 1/2 / 6 = 4 across, 17 1/2 / 6 = 2 down [identity]."""
    assert stock_of(book, 152.4) == {"moss check": 24, "oat stripe": 8}


def test_selvedges_give_no_squares():
    """43 in with 1 in of selvedge on each side: 41 less 1/2 in are 6 of 6 in; 18 less 1/2 in are 2 down [identity]."""
    writer = empty_book()
    writer.add({"what": "bought", "cloth": "moss check", "lots": [Lot(43 * 25.4, 18 * 25.4, selvedge=25.4)]})
    assert stock_of(writer.book, 152.4) == {"moss check": 12}


def test_of_grids_as_large_the_one_nearest_a_square_is_named():
    """72 squares are 9 × 8 and 12 × 6 [identity]."""
    writer = empty_book()
    for name in ("moss check", "oat stripe"):
        writer.add({"what": "bought", "cloth": name, "lots": [Lot(152.4, 152.4, 36, straight=True)]})
    best = largest(writer.book, Wanted("throw", 1, 0), 152.4)
    assert (best.across, best.down) == (9, 8)


def test_what_is_promised_elsewhere_gives_no_squares():
    """Ten of 24 squares are promised: fourteen are there for anybody, and all for whom they are promised to [identity]."""
    writer = empty_book()
    writer.add({"what": "bought", "cloth": "moss check", "lots": [Lot(152.4, 152.4, 24, straight=True)]})
    writer.add({"what": "promised", "project": "one", "takes": [Take("2", 10)]})
    assert stock_of(writer.book, 152.4) == {"moss check": 14}
    assert stock_of(writer.book, 152.4, "one") == {"moss check": 24}


def test_the_largest_throw_of_a_square_by_hand(book):
    """Two faces of 8 squares: four oat on each, eight in all; of 9 each face needs four oat too, and there are 32 squares.

    A face of 10 needs five oat, ten in all, and there are eight.
    """
    best = largest(book, Wanted("throw", 1, 1), 152.4)
    assert (best.across, best.down, best.count) == (3, 3, 1)
    assert can_be_made((24, 8), (3, 3), 2, 2, 1)
    assert not can_be_made((24, 8), (5, 2), 2, 2, 1)


def test_the_largest_equals_trying_every_grid(book):
    """Of grids up to twice as wide as high, the largest that can be made, by every colouring there is."""
    best = largest(book, Wanted("throw", 1, 0), 152.4)
    grids = [(a, d) for d in range(1, 5) for a in range(d, 2 * d + 1) if 2 <= a * d <= 12]
    tried = max(a * d for a, d in grids if can_be_made((24, 8), (a, d), 1, 1, 1))
    assert tried <= best.across * best.down
    assert best.across * best.down == 16  # eight of each, half and half [identity]


def test_a_size_asked_for_is_met_as_nearly_as_squares_go(book):
    """20 in × 15 in with seams of 1/2 in: 4 × 3 squares of 6 in meet it exactly."""
    found = of_size(book, Wanted("cushion", 1, 0), 508.0, 381.0)
    exact = [one for one in found if (one.across, one.down) == (4, 3)]
    assert [(one.square_mm, one.off_mm) for one in exact] == [(pytest.approx(152.4), pytest.approx(0, abs=1e-9))]
    assert exact[0].count == 0  # a cushion shows two faces of 12: at most 6 of one print, and there are 8 oat squares


def test_a_size_once_washed_is_met_by_a_larger_face_of_cloth_that_is_not(guide):
    """4 × 3 of 6 in are 20 in × 15 in, less 3 % across and 4 % along 19.4 in × 14.4 in [identity]."""
    for name in ("moss check", "oat stripe"):
        guide("shelf", "add", name, "--squares", "40", "--size", "6in x 6in")
    argv = ["shelf", "make", "throw", "--size", "19.4in x 14.4in", "--shrinks", "4 %, 3 %"]
    (first, *_) = json.loads(guide(*argv, "--json").out)
    assert (first["across"], first["down"], first["count"]) == (4, 3, 3)
    assert first["off_mm"] == pytest.approx(0, abs=1e-6)
    assert "19 3/8 in × ≈ 14 3/8 in" in guide(*argv).out  # 19.4 and 14.4 to the sixteenth
    guide("shelf", "wash", "2", "--to", "6in x 5.9in")
    assert json.loads(guide(*argv, "--json").out)[0]["count"] == 0  # one print alone meets its like
    for wrong in ("4", "4 %", "4, 3", "60 %, 3 %", "-4 %, 3 %"):
        assert guide(*argv[:-1], wrong).code == 2, wrong


def test_what_is_given_away_is_not_counted(guide):
    guide("shelf", "add", "moss check", "--squares", "40", "--size", "6in x 6in")
    guide("shelf", "add", "oat stripe", "--squares", "40", "--size", "6in x 6in")
    argv = ["shelf", "make", "throw", "--size", "20in x 15in", "--layers", "1,1", "--json"]
    (first, *_) = json.loads(guide(*argv).out)
    assert (first["across"], first["down"], first["count"]) == (4, 3, 3)  # 24 squares each, 80 there
    assert guide("shelf", "give", "2", "--number", "30").code == 0
    counts = [one["count"] for one in json.loads(guide(*argv).out) if (one["across"], one["down"]) == (4, 3)]
    assert counts == [0]  # ten of moss: a throw shows two faces of 12, six moss at least on each
