"""From strips in units to placements in mm: names given out, strips numbered in cutting order."""

from collections.abc import Sequence
from typing import NamedTuple

from guide.plan.cutting.pieces import Kind, Piece, Strip, Used, column_height, to_mm
from guide.plan.model import CutCloth, LeftOver, Part, Placement


class _Spot(NamedTuple):
    piece: Piece
    across: int
    down: int
    strip: int


def place(used: Sequence[Used], kinds: dict[Kind, list[Part]]) -> tuple[CutCloth, ...]:
    """Lay every piece at its place; parts of one size get their names in the order asked for."""
    names = [[part.name for part in parts for _ in range(part.count)] for parts in kinds.values()]
    sizes = [(parts[0].width_mm, parts[0].height_mm) for parts in kinds.values()]
    given_out = [0] * len(names)
    cloths = []
    for cloth in used:
        placements = []
        for order, spot in enumerate(_spots(cloth), start=1):
            kind = spot.piece.kind
            turned = spot.piece.turned != cloth.along and sizes[kind][0] != sizes[kind][1]
            width, height = sizes[kind][::-1] if turned else sizes[kind]
            x, y = (spot.down, spot.across) if cloth.along else (spot.across, spot.down)
            placements.append(
                Placement(
                    part=names[kind][given_out[kind]],
                    x_mm=to_mm(cloth.edge + x),
                    y_mm=to_mm(cloth.start + y),
                    width_mm=width,
                    height_mm=height,
                    turned=turned,
                    strip=spot.strip,
                    order=order,
                )
            )
            given_out[kind] += 1
        cloths.append(
            CutCloth(
                to_mm(cloth.width), to_mm(cloth.length), cloth.bought, tuple(placements), along=cloth.along
            )
        )
    return tuple(cloths)


def in_cutting_order(strips: Sequence[Strip]) -> tuple[Strip, ...]:
    """Strips of one setting together, largest first, alike ones side by side so that they can be stacked."""

    def looks(strip: Strip) -> tuple[object, ...]:
        return (
            -strip.size,
            strip.columns[0].pieces[0].kind,
            tuple(-column.width for column in strip.columns),
        )

    return tuple(sorted(strips, key=looks))


def _spots(cloth: Used) -> list[_Spot]:
    spots, down = [], 0
    for number, strip in enumerate(cloth.strips, start=1):
        across = 0
        for column in strip.columns:
            top = down
            for piece in column.pieces:
                spots.append(_Spot(piece, across, top, number))
                top += piece.height
            across += column.width
        down += strip.size
    return spots


def left_over(used: Sequence[Used], kinds: Sequence[Kind], spare_length: int) -> tuple[LeftOver, ...]:
    """Rectangles that still hold a part of this material, largest first.

    `spare_length` is what the shop's steps add to the bought length, in units.
    """
    found: list[tuple[int, int]] = []
    for cloth in used:
        rests = _rests(cloth, spare_length if cloth.bought else 0)
        found += [(down, across) for across, down in rests] if cloth.along else rests
    usable = [
        (width, height) for width, height in found if any(_holds(width, height, kind) for kind in kinds)
    ]
    usable.sort(key=lambda rest: (-rest[0] * rest[1], rest))
    return tuple(LeftOver(to_mm(width), to_mm(height)) for width, height in usable)


def _rests(cloth: Used, spare_length: int) -> list[tuple[int, int]]:
    width = cloth.width - 2 * cloth.edge
    length = cloth.length - cloth.start
    if cloth.along:
        width, length = length, width
    rests = [(width, length - sum(strip.size for strip in cloth.strips) + spare_length)]
    for strip in cloth.strips:
        rests.append((width - sum(column.width for column in strip.columns), strip.size))
        for column in strip.columns:
            rests.append((column.width, strip.size - column_height(column)))
            rests += [(column.width - piece.width, piece.height) for piece in column.pieces]
    return rests


def _holds(width: int, height: int, kind: Kind) -> bool:
    if kind.width <= width and kind.height <= height:
        return True
    return not kind.fixed and kind.height <= width and kind.width <= height
