"""Times in a report: moments in local time, when a session was worked, and what the steps of a plan add up to."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from itertools import groupby

import msgspec

from guide.record.clock import SHORT_MS, clock_face, iso, local, wall_ms
from guide.record.model import Lap, Measure, Record, Remark, Sitting
from guide.show.model import DaySewn, Moment, SittingReport, When
from guide.show.model_plan import StageWork, StationWork, StepReport, Stretch, Work
from guide.show.report_numbers import exact_text, seconds_each
from guide.show.words import Said, minutes_each


def day_text(wall_ms: int, offset_min: int) -> str:
    """The day in words: `1 March 2026`."""
    moment = local(wall_ms, offset_min)
    return f"{moment.day} {moment:%B %Y}"


def moment(wall_ms: int, offset_min: int) -> Moment:
    """A moment for machines and for people."""
    at = local(wall_ms, offset_min)
    return Moment(
        iso=datetime.fromisoformat(iso(wall_ms, offset_min)).isoformat(timespec="seconds"),
        day=day_text(wall_ms, offset_min),
        clock=clock_face(wall_ms, offset_min),
        short=f"{at.day} {at:%b %H:%M}",
    )


def offset_at(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset


Steps = Sequence[StepReport]


def shared(steps: Steps) -> tuple[StepReport, ...]:
    """Write the steps' own `hands_on_text`, so that they add up to the stretches of their stage."""
    out: list[StepReport] = []
    for mine, parts in _stretches(steps):
        for run, part in zip(mine, parts, strict=True):
            for step, one in zip(run, minutes_each([step.hands_on_s for step in run], part.seconds), strict=True):
                out.append(msgspec.structs.replace(step, hands_on_text=one.text))
    return tuple(sorted(out, key=lambda step: step.number))


def work_report(steps: Steps) -> Work:
    """What is to be done by stage, by station, and in the order of work: printed, each adds up to the same total.

    A stage stands in the order of work as often as others come between its steps.
    """
    stages, stations = _by(steps, lambda step: step.stage), _by(steps, lambda step: step.station)
    waits = minutes_each([sum(step.waits_s or 0.0 for step in mine) for mine in stages])
    order = [
        Stretch(*_row(run, part), run[0].number)
        for runs, parts in _stretches(steps)
        for run, part in zip(runs, parts, strict=True)
    ]
    return Work(
        stages=tuple(
            StageWork(*_row(mine, one), wait.text if wait.seconds else "")
            for mine, one, wait in zip(stages, _share(stages), waits, strict=True)
        ),
        stations=tuple(
            StationWork(*_row(mine, one), mine[0].station) for mine, one in zip(stations, _share(stations), strict=True)
        ),
        order=tuple(sorted(order, key=lambda row: row.first)),
    )


def _stretches(steps: Steps) -> Iterator[tuple[list[Steps], list[Said]]]:
    """Each stage's runs of steps, and what each takes of what the stage does."""
    runs = [list(run) for _, run in groupby(steps, lambda step: step.stage)]
    stages = _by(steps, lambda step: step.stage)
    for mine, whole in zip(stages, _share(stages), strict=True):
        own: list[Steps] = [run for run in runs if run[0].stage == mine[0].stage]
        yield own, _share(own, whole.seconds)


def _by(steps: Steps, what: Callable[[StepReport], str]) -> list[Steps]:
    groups: dict[str, list[StepReport]] = {}
    for step in steps:
        groups.setdefault(what(step), []).append(step)
    return list(groups.values())


def _share(groups: Sequence[Steps], total_s: int | None = None) -> list[Said]:
    """Say what groups of steps take; one of short steps only is what these add up to."""
    short = {i for i, mine in enumerate(groups) if all(round(step.hands_on_s * 1000) < SHORT_MS for step in mine)}
    return minutes_each([sum(step.hands_on_s for step in mine) for mine in groups], total_s, short)


def _row(mine: Steps, told: Said) -> tuple[str, str, int, float, str]:
    """Stage, title, steps, seconds and their words: what all rows begin with."""
    return mine[0].stage, mine[0].stage_title, len(mine), sum(step.hands_on_s for step in mine), told.text


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
        _sewn_on(told),
    )


def _sewn_on(rows: Iterable[SittingReport]) -> tuple[DaySewn, ...]:
    """The days on which anything was worked; of a sitting past midnight, both."""
    days = {at.iso[:10]: at.day for row in rows if row.counted_s for at in (row.start, row.end)}
    return tuple(DaySewn(iso, days[iso]) for iso in sorted(days))


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
