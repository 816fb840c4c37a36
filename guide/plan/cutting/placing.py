"""From strips in units to placements in mm: names given out, strips numbered in cutting order."""

from collections.abc import Iterator, Sequence

from guide.plan.cutting.pieces import Kind, Piece, Strip, Used, to_mm
from guide.plan.cutting.tree import Area, divide, strips_of
from guide.plan.model import CutCloth, LeftOver, Part, Placement


def place(used: Sequence[Used], kinds: dict[Kind, list[Part]]) -> tuple[CutCloth, ...]:
    """Lay every piece at its place; parts of one size get their names in the order asked for."""
    names = [iter([part.name for part in parts for _ in range(part.count)]) for parts in kinds.values()]
    sizes = [(parts[0].width_mm, parts[0].height_mm) for parts in kinds.values()]
    cloths = []
    for cloth in used:
        placements = []
        for order, (number, low, piece) in enumerate(_in_order(cloth), start=1):
            turned = piece.turned
            width, height = sizes[piece.kind][::-1] if turned else sizes[piece.kind]
            x, y = (low, piece.x) if cloth.along else (piece.x, low)
            placements.append(
                Placement(
                    part=next(names[piece.kind]),
                    x_mm=to_mm(cloth.edge + x),
                    y_mm=to_mm(cloth.start + y),
                    width_mm=width,
                    height_mm=height,
                    turned=turned,
                    strip=number,
                    order=order,
                )
            )
        size = (to_mm(cloth.width), to_mm(cloth.length))
        edge = {"selvedge_mm" if cloth.bought else "trim_mm": to_mm(cloth.edge)}
        cloths.append(CutCloth(*size, cloth.bought, tuple(placements), along=cloth.along, **edge))
    return tuple(cloths)


def _in_order(cloth: Used) -> Iterator[tuple[int, int, Piece]]:
    """Every piece with its strip's number and its place down the cloth; alike strips side by side."""
    low = 0
    for number, strip in enumerate(sorted(cloth.strips, key=_looks, reverse=True), start=1):
        for piece in sorted(strip.pieces, key=lambda piece: (piece.x, piece.y)):
            yield number, low + piece.y, piece
        low += strip.size


def _looks(strip: Strip) -> tuple[int, list[tuple[int, ...]]]:
    pieces = sorted((piece.x, piece.y, piece.width, piece.height, piece.kind) for piece in strip.pieces)
    return (strip.size, list(pieces))


def left_over(cloths: Sequence[CutCloth], usable: Sequence[Part], spare_mm: float) -> tuple[LeftOver, ...]:
    """Rectangles that still hold one of these parts, largest first, without selvedges.

    `spare_mm` is what the shop's steps add to the length of what is bought.
    """
    found = []
    for cloth in cloths:
        for rest in _rests(cloth, spare_mm if cloth.bought else 0.0):
            size = (rest.right - rest.left, rest.high - rest.low)
            found.append(size[::-1] if cloth.along else size)
    holding = [rest for rest in found if any(_holds(rest, part) for part in usable)]
    holding.sort(key=lambda rest: (-rest[0] * rest[1], rest))
    return tuple(LeftOver(round(width, 6), round(height, 6)) for width, height in holding)


def _rests(cloth: CutCloth, spare_mm: float) -> Iterator[Area]:
    """What is left, seen along the strips, the selvedges and what is trimmed off."""
    strips = strips_of(cloth)
    far, end = (cloth.length_mm, cloth.width_mm) if cloth.along else (cloth.width_mm, cloth.length_mm)
    low = max((strip.area.high for strip in strips), default=0.0)
    rests = [Area(0.0, low, far, end + spare_mm)]
    rests += [done.rest for strip in strips for done in divide(strip) if done.rest]
    for rest in rests:
        left = max(rest.left, cloth.selvedge_mm, cloth.trim_mm)
        yield rest._replace(left=left, right=min(rest.right, far - cloth.selvedge_mm))


def _holds(rest: tuple[float, float], part: Part) -> bool:
    width, height = rest[0] * (1 + 1e-9), rest[1] * (1 + 1e-9)
    if part.width_mm <= width and part.height_mm <= height:
        return True
    return not part.one_way and part.height_mm <= width and part.width_mm <= height
