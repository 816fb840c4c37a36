"""Times in a report: moments of a session in the maker's local time, and what the steps of a plan add up to."""

from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

from guide.record.clock import SHORT_MS, clock_face, iso, local
from guide.record.model import Record
from guide.show.words import Said, minutes_each


def day_text(wall_ms: int, offset_min: int) -> str:
    """The day in words: `1 March 2026`."""
    moment = local(wall_ms, offset_min)
    return f"{moment.day} {moment:%B %Y}"


def moment_dict(wall_ms: int | None, offset_min: int) -> dict[str, str] | None:
    """A moment for machines and for people."""
    if wall_ms is None:
        return None
    at = local(wall_ms, offset_min)
    return {
        "iso": datetime.fromisoformat(iso(wall_ms, offset_min)).isoformat(timespec="seconds"),
        "day": day_text(wall_ms, offset_min),
        "clock": clock_face(wall_ms, offset_min),
        "short": f"{at.day} {at:%b %H:%M}",
    }


def offset_at(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset


Steps = list[dict[str, Any]]


def work_report(steps: Steps) -> dict[str, Steps]:
    """What is to be done by stage, by station, and in the order of work: printed, each adds up to the same total.

    A stage stands in the order of work as often as others come between its steps. The steps' own `hands_on_text` is
    written with them, so that they add up to where they stand.
    """
    stages, stations = _by(steps, lambda step: step["stage"]), _by(steps, lambda step: step["station"])
    told = _share(stages)
    waits = minutes_each([sum(step["waits_s"] or 0.0 for step in mine) for mine in stages])
    runs = [list(run) for _, run in groupby(steps, lambda step: step["stage"])]
    order: Steps = []
    for mine, whole in zip(stages, told, strict=True):
        own = [run for run in runs if run[0]["stage"] == mine[0]["stage"]]
        for run, part in zip(own, _share(own, whole.seconds), strict=True):
            for step, one in zip(run, minutes_each([step["hands_on_s"] for step in run], part.seconds), strict=True):
                step["hands_on_text"] = one.text
            order.append(_row(run, part) | {"first": run[0]["number"]})
    return {
        "stages": [
            _row(mine, one) | {"waits_text": wait.text if wait.seconds else ""}
            for mine, one, wait in zip(stages, told, waits, strict=True)
        ],
        "stations": [
            _row(mine, one) | {"station": mine[0]["station"]}
            for mine, one in zip(stations, _share(stations), strict=True)
        ],
        "order": sorted(order, key=lambda row: row["first"]),
    }


def _by(steps: Steps, what: Callable[[dict[str, Any]], str]) -> list[Steps]:
    groups: dict[str, Steps] = {}
    for step in steps:
        groups.setdefault(what(step), []).append(step)
    return list(groups.values())


def _share(groups: Sequence[Steps], total_s: int | None = None) -> list[Said]:
    """Say what groups of steps take; one of short steps only is what these add up to."""
    short = {i for i, mine in enumerate(groups) if all(round(step["hands_on_s"] * 1000) < SHORT_MS for step in mine)}
    return minutes_each([sum(step["hands_on_s"] for step in mine) for mine in groups], total_s, short)


def _row(mine: Steps, told: Said) -> dict[str, Any]:
    return {
        "stage": mine[0]["stage"],
        "title": mine[0]["stage_title"],
        "steps": len(mine),
        "hands_on_s": sum(step["hands_on_s"] for step in mine),
        "hands_on_text": told.text,
    }
