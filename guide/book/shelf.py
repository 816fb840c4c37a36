"""The shelf and a plan: what a project may take, what it takes, and what its cutting leaves over."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from math import ceil, floor
from typing import Any

import msgspec

from guide.book.kinds import area, areas
from guide.book.model import SMALL, Book, Lot, Piece, Take, in_mm
from guide.plan.cutting.cut import rests
from guide.plan.cutting.strips import straightened
from guide.plan.layout.panels import squares_from
from guide.plan.model import CutCloth, Cutting, Plan
from guide.plan.parts import TRIM_MM, bolt_of, washed_first
from guide.plan.shopping import cents, rate_of
from guide.read.model import Print, Project, Remnant
from guide.read.units import INCH, SAME_MM, Units

# What the shelf gives: the most articles of a size, or the largest one.
#
# An article shows faces of across × down squares; no two alike may meet on one, which on a grid can be done when no
# print is wanted for more than half of a face's squares, rounded up. Squares inside may be of any print. So with C that
# half, F faces, m squares a face and K squares an article, n articles come out of stocks s when
#
# sum(min(s, n·F·C)) ≥ n·F·m   and   sum(s) ≥ n·K
#
# (the first by integer flow: what a print gives is shared out over the faces, at most C to each). A piece of cloth
# gives ⌊width / square⌋ · ⌊length / square⌋ squares, once it is straightened.

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
        if not piece.area or (unwashed and piece.washed):
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


# What is worth keeping, both ways: less is scrap [practice].
KEPT_MM = {"inch": 6 * INCH, "metric": 150.0}
CUT_ON = {"inch": INCH / 8, "metric": 5.0}  # what a length to cut is chosen on

Row = dict[str, Any]  # a piece as a session keeps it: piece, width, length, count, straight … in mm


def shelf_for(book: Book, project: Project, name: str) -> tuple[dict[str, list[Row]], list[str]]:
    """Give what lies on the shelf for a project, by cloth, as it lies on its table; and what must be said of it.

    What others have first call on is left out; a print that has pieces promised to it is planned from them. Where
    cloth is washed first, unwashed pieces are reckoned as washing
    leaves them; where none is, washed pieces are left out: cloth in one article is treated alike.
    """
    rows: dict[str, list[Row]] = {}
    says: list[str] = []
    own = Counter[str]()  # what the project has first call on
    for one in book.promises.get(name, []):
        own[one.piece] += one.count
    for cloth in project.prints if book.pieces else ():
        if not cloth.shelf:
            continue
        mine = [piece for piece in book.pieces.values() if piece.cloth == cloth.name and piece.area]
        fit = [piece for piece in mine if project.washed_first or not piece.washed]
        if len(fit) < len(mine):
            out = ", ".join(piece.id for piece in mine if piece not in fit)
            says.append(f"{cloth.name}: piece {out} of the shelf is washed, and this is cut unwashed; left out.")
        free = [(piece, own[piece.id]) for piece in fit if piece.id in own]
        free = free or [(piece, book.free(piece.id, name)) for piece in fit]
        rows[cloth.name] = [_row(project, cloth, piece, count) for piece, count in free if count > 0]
    return rows, says


def _row(project: Project, cloth: Print, piece: Piece, count: int) -> Row:
    wide, long = in_mm(piece.width - 2 * piece.selvedge), in_mm(piece.length)
    row: Row = {"piece": piece.id, "count": count, "straight": piece.straight}
    if project.washed_first and not piece.washed:
        row |= {"washes": True, "whole": in_mm(piece.width) * (1 - cloth.shrinks_width)}
        wide, long = wide * (1 - cloth.shrinks_width), long * (1 - cloth.shrinks_length)
    square = project.given["square"].value if "square" in project.given else None
    if isinstance(square, float) and piece.straight and abs(wide - square) < SAME_MM > abs(long - square):
        row["squares"] = True
    return row | {"width": wide, "length": long}


def kept_text(rows: Mapping[str, Sequence[Row]]) -> str:
    """Write what lies on the shelf as a session keeps it, so that an old plan never changes."""
    if not rows:
        return "shelf: {}\n"
    out = ["shelf:"]
    for name, mine in rows.items():
        out.append(f"  {_quoted(name)}:" + ("" if mine else " []"))
        for row in mine:
            said = [f"{key}: {_said(key, value)}" for key, value in row.items() if value is not False]
            out.append(f"    - {{{', '.join(said)}}}")
    return "\n".join(out) + "\n"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _said(key: str, value: Any) -> str:
    if key == "piece":
        return _quoted(value)
    if isinstance(value, bool) or key == "count":
        return str(value).lower()
    return f"{value:.9f}".rstrip("0").rstrip(".") + " mm"


def taken_by(plan: Plan, shelf: Mapping[str, Sequence[Row]]) -> list[tuple[Row, CutCloth | None, int]]:
    """Match what a plan cuts with its pieces: the piece, how it is cut (None: as squares), how many."""
    out: list[tuple[Row, CutCloth | None, int]] = []
    for name, rows in shelf.items():
        left = {row["piece"]: row.get("count", 1) for row in rows}
        for cutting in plan.cutting:
            for cloth in cutting.cloths if cutting.material == name else ():
                row = None if cloth.bought else next((r for r in rows if left[r["piece"]] and _is_of(cloth, r)), None)
                if row is not None:
                    left[row["piece"]] -= 1
                    out.append((row | {"cloth": name}, cloth, 1))
        wanted = plan.ready.get(name, 0)
        for row in rows:
            if row.get("squares") and (count := min(wanted, left[row["piece"]])):
                wanted -= count
                out.append((row | {"cloth": name}, None, count))
    return out


def _is_of(cloth: CutCloth, row: Row) -> bool:
    if row.get("squares") or bool(row.get("straight")) == bool(cloth.trim_mm):
        return False
    wide, long = float(row["width"]), float(row["length"])
    return abs(cloth.width_mm - wide) < SAME_MM > abs(cloth.length_mm - long)


def promised_by(plan: Plan, shelf: Mapping[str, Sequence[Row]]) -> list[Take]:
    """Give what a plan has first call on: each piece it cuts, and the squares it takes."""
    counts = Counter[str]()
    for row, _, count in taken_by(plan, shelf):
        counts[row["piece"]] += count
    return [Take(piece, count) for piece, count in counts.items()]


def parted_by(plan: Plan, shelf: Mapping[str, Sequence[Row]], book: Book) -> list[tuple[str, list[Lot]]]:
    """Give the pieces a plan takes only an end or a side of: each with what is cut off for it, and the rest.

    The cut is on 1/8 in or 5 mm, at least what the plan takes; a rest too small to keep goes with it.
    """
    out = []
    for row, cloth, _ in taken_by(plan, shelf):
        if cloth is not None and (lots := _parted(plan, book.pieces[row["piece"]], row, cloth)):
            out.append((row["piece"], lots))
    return out


def _parted(plan: Plan, piece: Piece, row: Row, cloth: CutCloth) -> list[Lot]:
    """Cut off what a plan takes of a piece, across it, or along where its strips lie so; [] where it takes all."""
    wide, long = in_mm(piece.width), in_mm(piece.length)
    taken = max((strip.area.high for strip in cloth.strips), default=0.0)
    table, whole = (float(row["width"]), wide) if cloth.along else (float(row["length"]), long)
    step = CUT_ON[plan.project.units]
    off = ceil(taken * whole / table / step - SAME_MM) * step  # as long as it was before washing takes of it
    least = KEPT_MM[plan.project.units] - SAME_MM
    if min(whole - off, long if cloth.along else wide) < least or (cloth.along and piece.selvedge):
        return []
    sizes = ((off, long), (whole - off, long)) if cloth.along else ((wide, off), (wide, whole - off))
    return [Lot(round(width, 4), round(length, 4)) for width, length in sizes]


def cut_by(plan: Plan, shelf: Mapping[str, Sequence[Row]]) -> list[Take]:
    """Give what cutting a plan does to the shelf: pieces cut, cloth bought for it, what is left over of both."""
    taken = taken_by(plan, shelf)
    takes = [_cut(plan, row, cloth) for row, cloth, _ in taken if cloth is not None]
    for row, cloth, count in taken:
        if cloth is None:
            square = _lot(row["width"], row["length"])
            takes += [Take(row["piece"], cloth=row["cloth"], parts=[square], laid=_laid(row))] * count
    mine = {cloth.name for cloth in plan.project.prints if cloth.shelf}
    return takes + [
        _cut_bolt(plan, cutting, cloth)
        for cutting in plan.cutting
        if cutting.material in mine
        for cloth in cutting.cloths
        if cloth.bought
    ]


def _laid(row: Row) -> Lot | None:
    return Lot(round(row["whole"], 4), round(row["length"], 4), washed=True) if row.get("washes") else None


def _cut(plan: Plan, row: Row, cloth: CutCloth) -> Take:
    parts, left = _parts(cloth), _left(plan, cloth, 0.0)
    return Take(row["piece"], cloth=row["cloth"], laid=_laid(row), parts=parts, left=left)


def _cut_bolt(plan: Plan, cutting: Cutting, cloth: CutCloth) -> Take:
    """Cut what is bought for it: as long as the shop's steps make it, at the project's price."""
    project, rate = plan.project, rate_of(plan.project, cutting.material)
    bolt = bolt_of(project, cutting.material)
    assert bolt is not None  # it is bought, so there is a bolt
    washed = washed_first(project, cutting.material)
    paid = None if rate is None else cents(rate.amount * Decimal(repr(cutting.buy_mm)) / Decimal(repr(rate.per)))
    sold = Lot(round(bolt.width_mm, 4), round(cutting.buy_mm, 4), washed=False, selvedge=round(bolt.selvedge_mm, 4))
    laid = Lot(round(bolt.laid_width_mm, 4), round(bolt.laid(cutting.buy_mm), 4), washed=True) if washed else None
    spare = bolt.laid(cutting.buy_mm) - cutting.use_mm
    return Take(
        cloth=cutting.material, lot=sold, amount=paid, laid=laid, parts=_parts(cloth), left=_left(plan, cloth, spare)
    )


def _parts(cloth: CutCloth) -> list[Lot]:
    counts = Counter((_down(one.width_mm), _down(one.height_mm)) for one in cloth.placements)
    return [Lot(*size, count=count) for size, count in counts.items()]


def _down(mm: float) -> float:
    """Give a length a tenth of a micrometre under itself at the most: parts that fill a piece stay within it."""
    return floor(mm * SMALL + 1e-3) / SMALL


def _lot(width: float, length: float) -> Lot:
    return Lot(_down(width), _down(length))


def _left(plan: Plan, cloth: CutCloth, spare_mm: float) -> list[Lot]:
    """Give the rectangles that are left of a cloth and worth keeping, largest first."""
    least = KEPT_MM[plan.project.units] - SAME_MM
    sizes = [(one.right - one.left, one.high - one.low) for one in rests(cloth, spare_mm)]
    sizes = [size[::-1] for size in sizes] if cloth.along else sizes
    kept = [_lot(*size) for size in sizes if min(size) >= least]
    return sorted(kept, key=lambda lot: (-lot.width * lot.length, lot.width))


def still_there(book: Book, takes: Sequence[Take], project: str) -> tuple[list[Take], list[str]]:
    """Give what can be taken of the shelf as it is now, and the pieces that are gone, or no more what they were."""
    left = {piece.id: book.free(piece.id, project) for piece in book.pieces.values()}
    good, gone = [], []
    for take in takes:
        piece = book.pieces.get(take.piece)
        if take.lot is None and (piece is None or not left[piece.id] or not _holds(piece, take)):
            gone.append(take.piece)
            continue
        if piece is not None:
            left[piece.id] -= 1
        good.append(take)
    return good, list(dict.fromkeys(gone))


def _holds(piece: Piece, take: Take) -> bool:
    table = area(take.laid) if take.laid else piece.area
    return piece.cloth == take.cloth and table <= piece.area and areas(take.parts) + areas(take.left) <= table
