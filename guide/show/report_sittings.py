"""When the work was done: its first and last day, the sittings at the table, and what was typed in from paper."""

from collections.abc import Iterable
from typing import Any

from guide.record.clock import wall_ms
from guide.record.model import Lap, Measure, Record, Remark, Sitting
from guide.show.report_numbers import exact_text, seconds_each
from guide.show.report_times import day_text, moment_dict


def when_report(record: Record) -> dict[str, Any]:
    """The days of the work, whatever day it was written down on, its sittings, and the days on paper."""
    paper = [lap for lap in record.laps() if lap.by_hand and lap.counted]
    sat = _sat(record) if paper else record.sittings
    header, last = record.header, record.last
    begun = [(one.start, one.start_offset) for one in sat] + [(one.start, one.start_offset) for one in paper]
    begun = begun or [(wall_ms(header.at), header.offset)]
    over = [(one.end, one.offset) for one in paper]
    if last and (sat or not paper):
        over.append((last.wall, last.offset))
    sittings, on_paper = [_sitting(one) for one in sat], _days(paper)
    sat_and_paper = [*sittings, *on_paper]
    for row, whole in zip(sat_and_paper, seconds_each([row["counted_s"] for row in sat_and_paper]), strict=True):
        row["counted_text"] = exact_text(whole)
    first_day, last_day = moment_dict(*min(begun)), moment_dict(*max(over or begun))
    return {
        "first_day": first_day,
        "last_day": last_day,
        "several_days": first_day is not None and last_day is not None and first_day["day"] != last_day["day"],
        "sittings": sittings,
        "paper": on_paper,
        "typed_in": list(
            dict.fromkeys(day_text(lap.typed, lap.offset) for lap in sorted(paper, key=lambda p: p.typed))
        ),
    }


def _sat(record: Record) -> list[Sitting]:
    """The sittings in which something was done besides typing in."""
    told: list[Measure | Remark] = [*record.remarks, *(one for many in record.measures.values() for one in many)]
    at = [one.at for one in told if not one.by_hand]
    return [one for one in record.sittings if one.counted_ms or any(one.start <= told <= one.end for told in at)]


def _sitting(sitting: Sitting) -> dict[str, Any]:
    return {
        "number": sitting.number,
        "start": moment_dict(sitting.start, sitting.start_offset),
        "end": moment_dict(sitting.end, sitting.offset),
        "counted_s": sitting.counted_ms / 1000,
    }


def _days(laps: Iterable[Lap]) -> list[dict[str, Any]]:
    """The days that were kept on paper, from the first start to the last end."""
    days: dict[str, list[Lap]] = {}
    for lap in sorted(laps, key=lambda one: one.start):
        days.setdefault(day_text(lap.start, lap.start_offset), []).append(lap)
    return [
        {
            "start": moment_dict(mine[0].start, mine[0].start_offset),
            "end": moment_dict(*max((lap.end, lap.offset) for lap in mine)),
            "counted_s": sum(lap.counted_ms for lap in mine) / 1000,
        }
        for mine in days.values()
    ]
