"""When the work was done: its first and last day, the sittings at the table, and what was typed in from paper."""

from collections.abc import Iterable

import msgspec

from guide.record.clock import wall_ms
from guide.record.model import Lap, Measure, Record, Remark, Sitting
from guide.show.model import SittingReport, When
from guide.show.report_numbers import exact_text, seconds_each
from guide.show.report_times import day_text, moment


def when_report(record: Record) -> When:
    """The days of the work, whatever day it was written down on, its sittings, and the days on paper."""
    paper = [lap for lap in record.laps() if lap.by_hand and lap.counted]
    sat = _sat(record) if paper else record.sittings
    header, last = record.header, record.last
    begun = [(one.start, one.start_offset) for one in sat] + [(one.start, one.start_offset) for one in paper]
    begun = begun or [(wall_ms(header.at), header.offset)]
    over = [(one.end, one.offset) for one in paper]
    if last and (sat or not paper):
        over.append((last.wall, last.offset))
    rows = [*map(_sitting, sat), *_days(paper)]
    told = tuple(
        msgspec.structs.replace(row, counted_text=exact_text(whole))
        for row, whole in zip(rows, seconds_each([row.counted_s for row in rows]), strict=True)
    )
    typed = (day_text(lap.typed, lap.offset) for lap in sorted(paper, key=lambda p: p.typed))
    return When(
        moment(*min(begun)),
        moment(*max(over or begun)),
        told[: len(sat)],
        told[len(sat) :],
        tuple(dict.fromkeys(typed)),
    )


def _sat(record: Record) -> list[Sitting]:
    """The sittings in which something was done besides typing in."""
    told: list[Measure | Remark] = [*record.remarks, *(one for many in record.measures.values() for one in many)]
    at = [one.at for one in told if not one.by_hand]
    return [one for one in record.sittings if one.counted_ms or any(one.start <= told <= one.end for told in at)]


def _sitting(sitting: Sitting) -> SittingReport:
    return SittingReport(
        sitting.number,
        moment(sitting.start, sitting.start_offset),
        moment(sitting.end, sitting.offset),
        sitting.counted_ms / 1000,
    )


def _days(laps: Iterable[Lap]) -> list[SittingReport]:
    """The days that were kept on paper, from the first start to the last end."""
    days: dict[str, list[Lap]] = {}
    for lap in sorted(laps, key=lambda one: one.start):
        days.setdefault(day_text(lap.start, lap.start_offset), []).append(lap)
    return [
        SittingReport(
            None,
            moment(mine[0].start, mine[0].start_offset),
            moment(*max((lap.end, lap.offset) for lap in mine)),
            sum(lap.counted_ms for lap in mine) / 1000,
        )
        for mine in days.values()
    ]
