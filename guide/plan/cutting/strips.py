"""The best strips of one size that a multiset of parts can give, edge to edge.

A strip is divided into columns; the columns are chosen by bounded knapsack (branch and bound over the
densest columns first, within so many tries), then what is left above and beside them is filled again.

Whole plans of strips are found by beam search. Strips are put in order of falling size, which loses nothing, for they
may be cut in any order; so the next strip of a bolt must be at least as large as the lowest way of the tallest part
that is left.
"""

import heapq
from collections.abc import Sequence
from math import ceil, floor
from typing import NamedTuple

import msgspec

from guide.errors import GuideError
from guide.plan.model import Part
from guide.read.model import Remnant

# What the cutting engine moves about: kinds of parts, columns, strips and cloths, in whole units.
#
# A unit is a billionth of a mm, so sums of lengths are exact and 2 1/4 in by 3/4 in is exactly 3.

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


Kinds = dict[Kind, list[Part]]  # parts by what matters for cutting


def kinds_of(parts: Sequence[Part]) -> Kinds:
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


class _Column(NamedTuple):
    """So many of one part one above another; `density` is the share of the strip's size they take."""

    density: float
    width: int
    deep: int
    way: Piece


class _Gap(NamedTuple):
    x: int
    y: int
    width: int
    height: int


class StripMaker:
    """Makes strips for cloth of one usable width, and remembers those it made.

    `keep` strips are given for each size, `tries` bounds the search for each.
    """

    def __init__(self, kinds: Sequence[Kind], width: int, keep: int = 3, tries: int = 30) -> None:
        self.width = width
        self.kinds = len(kinds)
        self.areas = [kind.width * kind.height for kind in kinds]
        self.ways = [way for at, kind in enumerate(kinds) for way in ways(kind, at) if way.width <= width]
        self.lowest = [min((way.height for way in self.ways if way.kind == at), default=0) for at in range(len(kinds))]
        self.keep = keep
        self.tries = tries
        self.made: dict[tuple[int, tuple[int, ...]], list[Strip]] = {}

    def strips(self, size: int, counts: Sequence[int]) -> list[Strip]:
        """The fullest strips of this size, fullest first; none when no part fits it."""
        most = [0] * self.kinds
        fitting = [way for way in self.ways if way.height <= size and counts[way.kind]]
        for way in fitting:
            most[way.kind] = max(most[way.kind], (self.width // way.width) * (size // way.height))
        # Parts beyond what this size can hold change nothing, so plans with more of them left share the same strips.
        key = (size, tuple(map(min, counts, most)))
        if key not in self.made:
            self.made[key] = self._make(size, key[1], fitting)
        return self.made[key]

    def _make(self, size: int, counts: tuple[int, ...], fitting: list[Piece]) -> list[Strip]:
        columns = _columns(fitting, counts, size)
        found: dict[tuple[int, ...], Strip] = {}
        for chosen in _choose(columns, list(counts), self.width, self.keep, self.tries):
            pieces = _lay(chosen, list(counts), fitting, self.width, size)
            if pieces:
                strip = strip_of(pieces, self.kinds)
                found.setdefault(strip.used, strip)
        return sorted(found.values(), key=lambda strip: -strip.area)


def _columns(fitting: Sequence[Piece], counts: Sequence[int], size: int) -> list[_Column]:
    columns = []
    for way in fitting:
        deep = min(size // way.height, counts[way.kind])
        columns.append(_Column(deep * way.height / size, way.width, deep, way))
    return sorted(columns, key=lambda column: (-column.density, -column.width))


def _choose(
    columns: Sequence[_Column], left: list[int], width: int, keep: int, tries: int
) -> list[list[tuple[_Column, int]]]:
    """The best ways to fill the width, each as columns and how many of each; the best first."""
    best: list[tuple[float, int, tuple[tuple[int, int], ...]]] = []
    picked: list[tuple[int, int]] = []
    tried = 0

    def go(at: int, room: int, value: float) -> None:
        nonlocal tried
        tried += 1
        if at == len(columns) or tried > tries:
            entry = (value, -tried, tuple(picked))
            if len(best) < keep:
                heapq.heappush(best, entry)
            elif value > best[0][0]:
                heapq.heapreplace(best, entry)
            return
        density, column_width, deep, way = columns[at]
        # Columns come by falling density, so what is left of the width can bring no more than this one would.
        if len(best) == keep and value + room * density <= best[0][0]:
            return
        for times in range(min(room // column_width, left[way.kind] // deep), -1, -1):
            left[way.kind] -= times * deep
            picked.append((at, times))
            go(at + 1, room - times * column_width, value + times * column_width * density)
            picked.pop()
            left[way.kind] += times * deep
            if tried > tries:
                return

    go(0, width, 0.0)
    return [[(columns[at], times) for at, times in picks if times] for _, _, picks in sorted(best, reverse=True)]


def _lay(
    chosen: Sequence[tuple[_Column, int]], left: list[int], fitting: Sequence[Piece], width: int, size: int
) -> list[Piece]:
    """Lay the chosen columns side by side and fill the gaps above and beside them, largest first."""
    pieces: list[Piece] = []
    gaps: list[_Gap] = []
    x = 0
    for column, times in chosen:
        way = column.way
        _grid(way, times, column.deep, (x, 0), pieces)
        left[way.kind] -= times * column.deep
        top = column.deep * way.height
        if top < size:
            gaps.append(_Gap(x, top, times * way.width, size - top))
        x += times * way.width
    if x < width:
        gaps.append(_Gap(x, 0, width - x, size))
    for gap in sorted(gaps, key=lambda gap: -gap.width * gap.height):
        _fill(gap, left, fitting, pieces)
    return pieces


def _fill(gap: _Gap, left: list[int], fitting: Sequence[Piece], pieces: list[Piece]) -> None:
    """Fill a gap with grids of one part each, the largest first, by edge-to-edge cuts."""
    # The largest area first, in whole rows: what is left is small, and small parts still find room in it.
    gaps = [gap]
    while gaps:
        x, y, width, height = gaps.pop()
        best, pick = 0, None
        for way in fitting:
            count = left[way.kind]
            if count and way.width <= width and way.height <= height:
                wide, deep = width // way.width, height // way.height
                if wide * deep > count:
                    wide, deep = (wide, count // wide) if count >= wide else (count, 1)
                area = wide * deep * way.width * way.height
                if area > best:
                    best, pick = area, (way, wide, deep)
        if pick:
            way, wide, deep = pick
            left[way.kind] -= wide * deep
            _grid(way, wide, deep, (x, y), pieces)
            gaps += _beside(_Gap(x, y, width, height), wide * way.width, deep * way.height)


def _beside(gap: _Gap, wide: int, high: int) -> list[_Gap]:
    """What is left of a gap round a corner that is filled: of the two ways to cut it, the larger rest."""
    x, y, width, height = gap
    if max((width - wide) * height, wide * (height - high)) >= max((width - wide) * high, width * (height - high)):
        rests = [_Gap(x + wide, y, width - wide, height), _Gap(x, y + high, wide, height - high)]
    else:
        rests = [_Gap(x + wide, y, width - wide, high), _Gap(x, y + high, width, height - high)]
    rests.sort(key=lambda rest: rest.width * rest.height)
    return [rest for rest in rests if rest.width and rest.height]


def _grid(way: Piece, wide: int, deep: int, corner: tuple[int, int], pieces: list[Piece]) -> None:
    kind, _, _, width, height, turned = way
    x, y = corner
    pieces += [
        Piece(kind, x + column * width, y + row * height, width, height, turned)
        for column in range(wide)
        for row in range(deep)
    ]


_FULL = 0.9  # how full what is left will be cut: good for ranking, measured on random bolts
_MOST_SIZES = 60  # tried at one place; of more, evenly picked
_MOST_PAIRS = 400  # of heights, to which a third is added
_LARGEST = 1.5  # strips of several parts' heights, up to so many widths of the cloth


class _State(msgspec.Struct, frozen=True):
    rank: float
    length: int
    area: int
    left: tuple[int, ...]
    last: int
    strips: tuple[Strip, ...]


def shortest(
    maker: StripMaker, counts: Sequence[int], never_over: tuple[int, int], beam: int
) -> tuple[Strip, ...] | None:
    """The best plan found that gives all `counts` and is better than `never_over`: (length, settings)."""
    width, total = maker.width, _total(maker, counts)
    sums_to = int(_LARGEST * width)
    best, plan = never_over, None
    states = [_State(0.0, 0, 0, tuple(counts), never_over[0], ())]
    while states:
        reached: dict[tuple[int, ...], _State] = {}
        for state in states:
            least = max(low for low, count in zip(maker.lowest, state.left, strict=True) if count)
            for size in _sizes(maker, state.left, least, state.last, sums_to):
                for strip in maker.strips(size, state.left):
                    length, area = state.length + strip.size, state.area + strip.area
                    # Even if the rest were cut without any waste this plan would be longer than the best: not followed.
                    if length * width + total - area > best[0] * width:
                        continue
                    if area == total:
                        strips = (*state.strips, strip)
                        if (length, settings(strips)) < best:
                            best, plan = (length, settings(strips)), strips
                        continue
                    left = tuple(map(int.__sub__, state.left, strip.used))
                    # Plans that leave the same parts differ only in their length so far: the shorter stands for both.
                    if left not in reached or length < reached[left].length:
                        rank = length * width + (total - area) / _FULL
                        reached[left] = _State(rank, length, area, left, size, (*state.strips, strip))
        states = heapq.nsmallest(beam, reached.values(), key=lambda state: state.rank)
    return plan


def fullest(maker: StripMaker, counts: Sequence[int], length: int, beam: int) -> tuple[Strip, ...]:
    """The plan found that cuts the largest area of parts from a piece of so long a length."""
    width, total = maker.width, _total(maker, counts)
    states = [_State(0.0, 0, 0, tuple(counts), length, ())]
    best = states[0]
    while states and best.area < total:
        reached: dict[tuple[int, ...], _State] = {}
        for state in states:
            room = min(state.last, length - state.length)
            for size in _sizes(maker, state.left, 0, room, room):
                for strip in maker.strips(size, state.left):
                    used, area = state.length + strip.size, state.area + strip.area
                    left = tuple(map(int.__sub__, state.left, strip.used))
                    if left not in reached or used < reached[left].length:
                        rank = -area - width * (length - used) * _FULL
                        reached[left] = _State(rank, used, area, left, size, (*state.strips, strip))
        best = min([best, *reached.values()], key=lambda state: (-state.area, state.length))
        states = heapq.nsmallest(beam, reached.values(), key=lambda state: state.rank)
    return best.strips


def settings(strips: Sequence[Strip]) -> int:
    """How many different lengths these strips are about: their sizes and their pieces' sides."""
    lengths = {strip.size for strip in strips}
    for strip in strips:
        for piece in strip.pieces:
            lengths |= {piece.width, piece.height}
    return len(lengths)


def _total(maker: StripMaker, counts: Sequence[int]) -> int:
    return sum(area * count for area, count in zip(maker.areas, counts, strict=True))


def _sizes(maker: StripMaker, left: Sequence[int], least: int, room: int, sums_to: int) -> list[int]:
    """The sizes worth trying for the next strip: heights of parts, and sums of two and three of them.

    Where there are more than are tried, their sums are not made: most would be thinned out again.
    """
    # A full strip ends where parts do that lie one above another, and hardly ever more than three of them.
    singles = {way.height for way in maker.ways if left[way.kind]}
    few = singles if len(singles) <= _MOST_SIZES else set()
    pairs = {one + other for one in few for other in few if one + other <= sums_to}
    few = few if len(pairs) <= _MOST_PAIRS else set()
    triples = {pair + one for pair in pairs for one in few if pair + one <= sums_to}
    sizes = sorted(size for size in singles | pairs | triples if least <= size <= room)
    return sizes[:: ceil(len(sizes) / _MOST_SIZES)] if sizes else []
