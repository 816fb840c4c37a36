"""What the shelf gives: the most articles of a size, or the largest one.

An article shows faces of across × down squares; no two alike may meet on one, which on a grid can be done when no print
is wanted for more than half of a face's squares, rounded up. Squares inside may be of any print. So with C that half,
F faces, m squares a face and K squares an article, n articles come out of stocks s when

    sum(min(s, n·F·C)) ≥ n·F·m   and   sum(s) ≥ n·K

(the first by integer flow: what a print gives is shared out over the faces, at most C to each). A piece of cloth gives
⌊width / square⌋ · ⌊length / square⌋ squares, once it is straightened.
"""

from collections.abc import Iterator, Mapping
from math import ceil

import msgspec

from guide.book.model import Book, in_mm
from guide.plan.cutting.pieces import straightened
from guide.plan.laundry import TRIM_MM
from guide.plan.layout.panels import squares_from
from guide.read.lengths import INCH, SAME_MM, Units
from guide.read.model import Remnant

STEP_MM: dict[Units, float] = {"inch": INCH / 8, "metric": 5.0}  # what squares are chosen on
SQUARE_MM: dict[Units, tuple[float, float]] = {"inch": (3 * INCH, 12 * INCH), "metric": (75.0, 300.0)}
MOST_ACROSS = 60


class Wanted(msgspec.Struct, frozen=True):
    """What is to be made: a cushion with a front and a back of single squares, or a throw that shows both faces."""

    kind: str
    above: int = 1
    below: int = 1
    seam_mm: float = INCH / 2
    shrinks: tuple[float, float] | None = None  # what washing will take, across and along; None: not said

    @property
    def faces(self) -> int:
        """How many faces are seen of one article."""
        return 2 if self.kind == "cushion" or self.above + self.below > 1 else 1

    @property
    def layers(self) -> int:
        """How many squares one place of the panel takes, those of a cushion's back too."""
        return self.above + self.below + (self.kind == "cushion")


class Choice(msgspec.Struct, frozen=True):
    """A grid and a square, how many articles of it the shelf gives, and how far its face is from what was asked, mm."""

    across: int
    down: int
    square_mm: float
    count: int
    width_mm: float
    height_mm: float
    off_mm: float = 0.0


def stock_of(book: Book, square_mm: float, project: str | None = None, *, unwashed: bool = False) -> dict[str, int]:
    """Give the squares of a size that each cloth on the shelf gives; what is promised elsewhere is left out.

    `unwashed`: of cloth that is not washed yet alone, for what is made of it shrinks alike.
    """
    out: dict[str, int] = {}
    for piece in book.pieces.values():
        if not piece.is_cloth or (unwashed and piece.washed):
            continue
        laid = Remnant(in_mm(piece.width - 2 * piece.selvedge), in_mm(piece.length), straight=piece.straight)
        side = straightened(laid, TRIM_MM[book.units])
        count = squares_from(side.width, side.length, square_mm) * book.free(piece.id, project)
        out[piece.cloth] = out.get(piece.cloth, 0) + count
    return out


def most(stock: Mapping[str, int], cells: int, faces: int, layers: int) -> int:
    """Give the most articles of so many squares a face that a stock gives."""
    half, least, beyond = ceil(cells / 2), 0, sum(stock.values()) // (cells * layers) + 1
    while beyond - least > 1:  # what n give, fewer give too
        n = (least + beyond) // 2
        seen = sum(min(count, n * faces * half) for count in stock.values())
        least, beyond = (n, beyond) if seen >= n * faces * cells else (least, n)
    return least


def of_size(book: Book, wanted: Wanted, width_mm: float, height_mm: float) -> list[Choice]:
    """Give the grids and squares whose face comes nearest to a size, those that give most articles first.

    Squares on 1/8 in or 5 mm, from 3 in to 12 in (7.5 cm to 30 cm); of each grid the nearest one. A size after washing
    is met by a face that is larger by what washing takes.
    """
    across, along = wanted.shrinks or (0.0, 0.0)
    width_mm, height_mm = width_mm / (1 - across), height_mm / (1 - along)
    out = [
        choice
        for across in range(2, MOST_ACROSS + 1)
        if (choice := _nearest(book, wanted, across, (width_mm, height_mm))) is not None
    ]
    return sorted(out, key=lambda one: (-min(one.count, 1), round(one.off_mm, 3), -one.count, -one.square_mm))


def _nearest(book: Book, wanted: Wanted, across: int, size: tuple[float, float]) -> Choice | None:
    step, (least, greatest) = STEP_MM[book.units], SQUARE_MM[book.units]
    exact = size[0] / across + 2 * wanted.seam_mm
    tries = [step * round(exact / step) + step * by for by in (-1, 0, 1)]
    choices = []
    for square in tries:
        pitch = square - 2 * wanted.seam_mm
        if not (least - SAME_MM <= square <= greatest + SAME_MM and pitch > 0):
            continue
        down = max(round(size[1] / pitch), 1)
        off = max(abs(across * pitch - size[0]), abs(down * pitch - size[1]))
        choices.append(Choice(across, down, square, 0, across * pitch, down * pitch, off))
    if not choices:
        return None
    best = min(choices, key=lambda one: (one.off_mm, one.square_mm))
    stock = stock_of(book, best.square_mm, unwashed=wanted.shrinks is not None)
    count = most(stock, best.across * best.down, wanted.faces, wanted.layers)
    return msgspec.structs.replace(best, count=count)


def largest(book: Book, wanted: Wanted, square_mm: float, count: int = 1) -> Choice | None:
    """Give the grid of the largest article of a square that so many come out of; of equals the one nearest a square."""
    stock, pitch = stock_of(book, square_mm, unwashed=wanted.shrinks is not None), square_mm - 2 * wanted.seam_mm
    found = [
        (across, down)
        for across, down in _grids(sum(stock.values()) // (wanted.layers * count))
        if most(stock, across * down, wanted.faces, wanted.layers) >= count
    ]
    if not found or pitch <= 0:
        return None
    across, down = max(found, key=lambda grid: (grid[0] * grid[1], grid[1] - grid[0]))
    given = most(stock, across * down, wanted.faces, wanted.layers)
    return Choice(across, down, square_mm, given, across * pitch, down * pitch)


def _grids(cells: int) -> Iterator[tuple[int, int]]:
    """Give the grids of at most so many squares, wider than high at most two to one, from two squares on."""
    for down in range(1, MOST_ACROSS + 1):
        for across in range(down, min(MOST_ACROSS, 2 * down) + 1):
            if 2 <= across * down <= cells:
                yield across, down
