"""The order a person cuts in: strips and columns read back from the placements, settings and cuts counted.

How cuts are counted [practice]: one for straightening each bought cloth; one per strip, unless the strip
ends where a piece on hand ends; then alike strips are laid on one another, up to `layers_at_once`, and
each stack is cut once: one cut for the selvedge, one at the end of each column that does not end with
the cloth, one above each piece that does not fill its column, one beside each piece narrower than its
column. Strips are alike when they are of one size and one's columns begin the other's.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import ceil
from typing import Any, NamedTuple

from guide.plan.model import CutCloth, Cutting, Placement

_NEAR = 1e-6  # mm: two edges that are one


class ColumnSeen(NamedTuple):
    """Pieces one above another, mm from the strip's left end; `sizes` are (width, height) as they lie."""

    start: float
    width: float
    parts: tuple[str, ...]
    sizes: tuple[tuple[float, float], ...]


class StripSeen(NamedTuple):
    """A strip as cut: its number, where it starts, the ruler's setting, its columns."""

    number: int
    start: float
    setting: float
    columns: tuple[ColumnSeen, ...]


def strips_of(cloth: CutCloth) -> tuple[StripSeen, ...]:
    """A cloth's strips, read back from its placements."""
    return tuple(
        _strip(number, [_lengthways(cloth, placement) for placement in group])
        for number, group in groupby(cloth.placements, key=lambda placement: placement.strip)
    )


class _Lying(NamedTuple):
    across: float
    down: float
    width: float
    height: float
    part: str


def _lengthways(cloth: CutCloth, placement: Placement) -> _Lying:
    p = placement
    if cloth.along:
        return _Lying(p.y_mm, p.x_mm, p.height_mm, p.width_mm, p.part)
    return _Lying(p.x_mm, p.y_mm, p.width_mm, p.height_mm, p.part)


def _strip(number: int, lying: Sequence[_Lying]) -> StripSeen:
    columns = [
        ColumnSeen(
            start,
            max(piece.width for piece in pieces),
            tuple(piece.part for piece in pieces),
            tuple((piece.width, piece.height) for piece in pieces),
        )
        for start, group in groupby(lying, key=lambda piece: piece.across)
        for pieces in [list(group)]
    ]
    setting = max(sum(height for _, height in column.sizes) for column in columns)
    return StripSeen(number, lying[0].down, setting, tuple(columns))


def runs(cloth: CutCloth) -> Iterator[tuple[StripSeen, ...]]:
    """Runs of alike strips, each run's fullest strip first where they differ in their ends only."""
    run: list[StripSeen] = []
    for strip in strips_of(cloth):
        if run and not _alike(run[0], strip):
            yield tuple(run)
            run = []
        run.append(strip)
    if run:
        yield tuple(run)


def _alike(full: StripSeen, strip: StripSeen) -> bool:
    if not _same(full.setting, strip.setting) or len(strip.columns) > len(full.columns):
        return False
    return all(
        len(one.sizes) == len(other.sizes)
        and all(
            _same(a, b)
            for mine, its in zip(one.sizes, other.sizes, strict=True)
            for a, b in zip(mine, its, strict=True)
        )
        for one, other in zip(full.columns, strip.columns, strict=False)
    )


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= _NEAR


def count_cuts(cloths: Sequence[CutCloth], layers_at_once: int) -> int:
    """How many cuts a person makes over all cloths, by the rule above."""
    return sum(_cloth_cuts(cloth, layers_at_once) for cloth in cloths)


def _cloth_cuts(cloth: CutCloth, layers_at_once: int) -> int:
    strips = strips_of(cloth)
    if not strips:
        return 0
    far_end, far_side = (
        (cloth.width_mm, cloth.length_mm) if cloth.along else (cloth.length_mm, cloth.width_mm)
    )
    cuts = int(cloth.bought and strips[0].start > _NEAR)
    cuts += sum(cloth.bought or not _same(strip.start + strip.setting, far_end) for strip in strips)
    for run in runs(cloth):
        cuts += ceil(len(run) / layers_at_once) * sum(1 for _ in _sub_cuts(run[0], far_side))
    return cuts


def _sub_cuts(strip: StripSeen, far_side: float) -> Iterator[float]:
    """The cuts that divide a strip: the ruler's setting of each, 0 for the selvedge."""
    if strip.columns[0].start > _NEAR:
        yield 0.0
    for column in strip.columns:
        if not _same(column.start + column.width, far_side):
            yield column.width
        top = 0.0
        for width, height in column.sizes:
            top += height
            if not _same(top, strip.setting):
                yield height
            if not _same(width, column.width):
                yield width


def count_settings(cloths: Sequence[CutCloth]) -> int:
    """How many different lengths the ruler is set to, over all cloths."""
    settings = {round(strip.setting, 3) for cloth in cloths for strip in strips_of(cloth)}
    for cloth in cloths:
        far_side = cloth.length_mm if cloth.along else cloth.width_mm
        for strip in strips_of(cloth):
            settings |= {round(setting, 3) for setting in _sub_cuts(strip, far_side)}
    return len(settings - {0.0})


def cut_rows(cutting: Cutting, layers_at_once: int = 4) -> list[dict[str, Any]]:
    """The table a cut stage's steps run over: one row per run of alike strips on one cloth.

    `setting_mm` in mm; `strips`, `pieces`, `layers` counts; `part` the names, joined; `material` the cloth.
    """
    rows = []
    for cloth in cutting.cloths:
        for run in runs(cloth):
            parts = [part for strip in run for column in strip.columns for part in column.parts]
            rows.append(
                {
                    "material": cutting.material,
                    "setting_mm": run[0].setting,
                    "strips": len(run),
                    "pieces": len(parts),
                    "part": " and ".join(dict.fromkeys(parts)),
                    "layers": min(len(run), layers_at_once),
                }
            )
    return rows


def cutting_order(cutting: Cutting) -> list[dict[str, Any]]:
    """The numbered order a person follows: one dict per strip.

    `cloth` counts the cloths from 1, `bought` says which is from the bolt, `strip` is the number on that
    cloth, `ruler_mm` the strip's setting, `along` whether the cut runs with the grain, `cut` what comes
    from it in order: {part, count, width_mm, height_mm} as it lies in the strip.
    """
    return [
        {
            "material": cutting.material,
            "cloth": number,
            "bought": cloth.bought,
            "strip": strip.number,
            "ruler_mm": strip.setting,
            "along": cloth.along,
            "cut": _what(strip),
        }
        for number, cloth in enumerate(cutting.cloths, start=1)
        for strip in strips_of(cloth)
    ]


def _what(strip: StripSeen) -> list[dict[str, Any]]:
    pieces = [
        (part, width, height)
        for column in strip.columns
        for part, (width, height) in zip(column.parts, column.sizes, strict=True)
    ]
    return [
        {"part": part, "count": len(list(group)), "width_mm": width, "height_mm": height}
        for (part, width, height), group in groupby(pieces)
    ]
