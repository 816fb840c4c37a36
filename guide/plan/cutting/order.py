"""The order a person cuts in: a table for the steps, and the numbered order they follow."""

from itertools import groupby
from typing import Any

from guide.plan.cutting.count import LAYERS_AT_ONCE, runs
from guide.plan.cutting.tree import NEAR, StripSeen, divide, strips_of
from guide.plan.model import Cutting


def cut_rows(cutting: Cutting) -> list[dict[str, Any]]:
    """The table a cut stage's steps run over: one row per run of alike strips on one cloth.

    `setting_mm` in mm; `strips`, `pieces`, `layers` counts; `part` the names, joined; `material` the cloth;
    `along` whether the strips run with the grain, `bought` whether from the bolt, `cloth` its number from 1;
    `then_mm` the other settings that divide the strips, in the order they are met.
    """
    rows = []
    for number, cloth in enumerate(cutting.cloths, start=1):
        for run in runs(cloth):
            parts = [one.part for strip in run for one in strip.lying]
            rows.append(
                {
                    "material": cutting.material,
                    "setting_mm": run[0].setting,
                    "strips": len(run),
                    "pieces": len(parts),
                    "part": " and ".join(dict.fromkeys(parts)),
                    "layers": min(len(run), LAYERS_AT_ONCE),
                    "along": cloth.along,
                    "bought": cloth.bought,
                    "cloth": number,
                    "then_mm": _then(run[0]),
                }
            )
    return rows


def cutting_order(cutting: Cutting) -> list[dict[str, Any]]:
    """The numbered order a person follows: one dict per strip.

    `cloth` counts the cloths from 1, `bought` says which is from the bolt, `strip` is the number on that
    cloth, `ruler_mm` the strip's setting, `along` whether the cut runs with the grain, `then_mm` the other
    settings that divide it, `cut` what comes from it in order: {part, count, width_mm, height_mm}, the
    width along the strip.
    """
    return [
        {
            "material": cutting.material,
            "cloth": number,
            "bought": cloth.bought,
            "strip": strip.number,
            "ruler_mm": strip.setting,
            "along": cloth.along,
            "then_mm": list(_then(strip)),
            "cut": _what(strip),
        }
        for number, cloth in enumerate(cutting.cloths, start=1)
        for strip in strips_of(cloth)
    ]


def _then(strip: StripSeen) -> tuple[float, ...]:
    settings = (round(done.setting, 6) for done in divide(strip) if done.setting)
    return tuple(dict.fromkeys(mm for mm in settings if abs(mm - strip.setting) > NEAR))


def _what(strip: StripSeen) -> list[dict[str, Any]]:
    pieces = [
        (one.part, round(one.area.right - one.area.left, 6), round(one.area.high - one.area.low, 6))
        for one in strip.lying
    ]
    return [
        {"part": part, "count": len(list(group)), "width_mm": width, "height_mm": height}
        for (part, width, height), group in groupby(pieces)
    ]
