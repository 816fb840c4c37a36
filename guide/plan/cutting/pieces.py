"""What the cutting engine moves about: kinds of parts, columns, strips and cloths, in whole units.

A unit is a billionth of a mm, so sums of lengths are exact and 2 1/4 in by 3/4 in is exactly 3.
"""

from collections.abc import Sequence
from math import ceil, floor
from typing import NamedTuple

import msgspec

from guide.errors import GuideError
from guide.plan.model import Part
from guide.read.model import Remnant

UNITS_PER_MM = 1e9
_SLACK = 0.01  # of a unit: a float's last bits decide nothing


class CannotCut(GuideError):
    """The parts cannot come out of the cloth there is; the text gives figures and a way out (exit 2)."""


class Bolt(msgspec.Struct, frozen=True):
    """Cloth sold by the length: its whole width and each selvedge as sold, mm.

    `shrinks_width` and `shrinks_length` are the shares that washing takes before it is laid on the table to be
    cut; 0 when it is cut as it is sold.
    """

    width_mm: float
    selvedge_mm: float = 0.0
    shrinks_width: float = 0.0
    shrinks_length: float = 0.0

    @property
    def laid_width_mm(self) -> float:
        """The whole width as it lies on the table, mm."""
        return self.width_mm * (1 - self.shrinks_width)

    @property
    def edge_mm(self) -> float:
        """Each selvedge as it lies on the table, mm: it shrinks with its cloth."""
        return self.selvedge_mm * (1 - self.shrinks_width)

    @property
    def usable_mm(self) -> float:
        """The width between the selvedges as it lies on the table, mm."""
        return self.laid_width_mm - 2 * self.edge_mm

    def laid(self, sold_mm: float) -> float:
        """The length on the table, mm, that a length off the bolt gives."""
        return sold_mm * (1 - self.shrinks_length)

    def sold(self, laid_mm: float) -> float:
        """The length off the bolt, mm, that gives so much on the table."""
        return laid_mm / (1 - self.shrinks_length)


def straightened(piece: Remnant, trim_mm: float) -> Remnant:
    """What is left of a piece on hand once one side and one end are cut along a thread."""
    if piece.straight:
        return piece
    width, length = (max(side - trim_mm, 0.0) for side in (piece.width, piece.length))
    return Remnant(width, length, piece.count, straight=True)


class Kind(msgspec.Struct, frozen=True):
    """Parts of one size, whatever they are called; `fixed` means turning is forbidden or pointless."""

    width: int
    height: int
    fixed: bool


class Piece(NamedTuple):
    """One part as it lies: x from its strip's left end, y from its near edge."""

    kind: int
    x: int
    y: int
    width: int
    height: int
    turned: bool


class Strip(msgspec.Struct, frozen=True):
    """A length cut edge to edge from the cloth, and the parts that come from it."""

    size: int
    area: int
    used: tuple[int, ...]  # how many of each kind
    pieces: tuple[Piece, ...]


class Used(NamedTuple):
    """A piece of cloth, where its usable part lies, and the strips cut from it.

    `along` strips run with the grain (the first cuts go along the cloth); others run across it.
    """

    width: int
    length: int
    edge: int
    start: int
    bought: bool
    along: bool
    strips: tuple[Strip, ...]


def part_units(mm: float) -> int:
    """A part's length in units, rounded down so that n parts never miss n times their length."""
    return floor(mm * UNITS_PER_MM + _SLACK)


def space_units(mm: float) -> int:
    """A cloth's length in units, rounded up."""
    return ceil(mm * UNITS_PER_MM - _SLACK)


def to_mm(units: int) -> float:
    """Units in mm."""
    return units / UNITS_PER_MM


def kinds_of(parts: Sequence[Part]) -> dict[Kind, list[Part]]:
    """Parts gathered by what matters for cutting, in the order they were asked for."""
    kinds: dict[Kind, list[Part]] = {}
    for part in parts:
        if part.count < 1:
            continue
        width, height = part_units(part.width_mm), part_units(part.height_mm)
        kinds.setdefault(Kind(width, height, part.one_way or width == height), []).append(part)
    return kinds


def ways(kind: Kind, index: int) -> tuple[Piece, ...]:
    """The ways a part of this kind may lie."""
    as_is = Piece(index, 0, 0, kind.width, kind.height, turned=False)
    if kind.fixed:
        return (as_is,)
    return (as_is, Piece(index, 0, 0, kind.height, kind.width, turned=True))


def strip_of(pieces: Sequence[Piece], kinds: int) -> Strip:
    """A strip just large enough for these pieces."""
    used = [0] * kinds
    for piece in pieces:
        used[piece.kind] += 1
    return Strip(
        max(piece.y + piece.height for piece in pieces),
        sum(piece.width * piece.height for piece in pieces),
        tuple(used),
        tuple(pieces),
    )


def parted(strips: Sequence[Strip], kinds: int) -> tuple[Strip, ...]:
    """Strips cut as a person cuts them: where a cut runs right across a strip, it is two strips.

    Three rows of squares cut as one deep strip are three strips of one ruler setting; no cloth is lost by it.
    """
    return tuple(strip_of(band, kinds) for strip in strips for band in _bands(strip.pieces))


def _bands(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """Pieces between the cuts that run right across, each band moved to its own near edge."""
    bands: list[list[Piece]] = []
    top = 0
    for piece in sorted(pieces, key=lambda piece: piece.y):
        if not bands or piece.y >= top:
            bands.append([])
        bands[-1].append(piece)
        top = max(top, piece.y + piece.height)
    return [[piece._replace(y=piece.y - band[0].y) for piece in band] for band in bands]


def length_of(strips: Sequence[Strip]) -> int:
    """The length so many strips take, one after another."""
    return sum(strip.size for strip in strips)
