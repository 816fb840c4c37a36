"""What a session has to say about paces: its laps, step by step and day by day.

One pass over the laps of a record, so that a thousand sessions cost a thousand times one.
"""

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from guide.money.model import Seen, Timed
from guide.plan.model import Step
from guide.record.clock import day_of
from guide.record.model import Lap, Record

GROUP = "+"  # between the names of steps whose pace is learnt as one


def base_key(key: str) -> str:
    """The name a pace is learnt under: the same for every row of an `each` step."""
    return key.partition(":")[0]


def counted_labour_s(record: Record) -> float:
    """Hands-on time of a session that is paid for, s: trouble is in it; waits, pauses and laps not counted are out."""
    return record.counted_ms / 1000


def unfinished_s(step: Step, record: Record | None) -> float:
    """What is worked already on a step's next piece, s: the open lap, and what was put aside since the last piece."""
    if record is None:
        return 0.0
    running = record.open_lap
    ms = running.counted_ms if running and running.step == step.key else 0
    for lap in reversed(record.step(step.key).laps):
        if lap.pieces:
            break
        ms += lap.counted_ms * lap.counted
    return ms / 1000


def glean(record: Record, steps: Iterable[Step] = (), *, make: int = 1, practice: bool = False) -> tuple[Seen, ...]:
    """What one session says about its steps. A rehearsal says nothing; practice only when asked for.

    `steps` are those of the session's own plan: they give starter paces and efforts at its sizes, so that
    sessions of other sizes can be compared. Steps without a counted, finished piece are left out.
    """
    mode = record.header.mode or "real"
    if mode != "real" and not (practice and mode == "practice"):
        return ()
    planned = {step.key: step for step in steps}
    bases = {base_key(step.key): step for step in planned.values()}

    def rows(key: str, step: Step | None, laps: Sequence[Lap]) -> Iterator[Seen]:
        for day, timed, counted_ms in _days(laps):
            yield Seen(
                step=key,
                base=base_key(key),
                session=record.header.at,
                maker=record.header.maker,
                whom=record.header.whom,
                day=day,
                laps=timed,
                counted_s=counted_ms / 1000,
                starter_s=step.pace_s if step and step.pace_s > 0 else None,
                effort=step.effort if step else None,
                noun=step.effort_noun if step else "",
                title=_title(step),
                make=make,
                share=step.effort_s / step.pace_s if step and step.effort_s and step.pace_s > 0 else None,
            )

    def known(key: str) -> Step | None:
        return planned.get(key) or bases.get(base_key(key))

    seen = [
        row
        for key, done in record.steps.items()
        for row in rows(key, known(key), [lap for lap in done.laps if not lap.shared])
    ]
    for keys, laps in _at_once(record).items():
        group = [step for key in keys if (step := known(key)) is not None]
        seen += rows(GROUP.join(map(base_key, keys)), _as_one(group) if len(group) == len(keys) else None, laps)
    return tuple(seen)


def _at_once(record: Record) -> dict[tuple[str, ...], list[Lap]]:
    """Laps whose time was shared out among several steps, put together again: the steps, and their laps as one's."""
    whole: dict[tuple[tuple[str, ...], int, int], list[Lap]] = {}
    for lap in (lap for step in record.steps.values() for lap in step.laps if lap.shared):
        whole.setdefault((lap.shared, lap.end_n, lap.start), []).append(lap)
    out: dict[tuple[str, ...], list[Lap]] = {}
    for (keys, _, _), shares in whole.items():
        ms, trouble = sum(one.counted_ms for one in shares), sum(one.trouble_ms for one in shares)
        first = all(one.first for one in shares)
        lap = replace(shares[0], counted_ms=ms, trouble_ms=trouble, first=first)
        out.setdefault(keys, []).append(lap)
    return out


def _as_one(group: Sequence[Step]) -> Step:
    """Several steps that one press counted, as one step: their paces added up."""
    title = f"{_title(group[0])} and {len(group) - 1} more, one press"
    return replace(
        group[0],
        pace_s=math.fsum(step.pace_s for step in group),
        effort=None,
        effort_noun="",
        effort_s=0.0,
        title=title,
    )


def _title(step: Step | None) -> str:
    """A step's title, without the row it is one of: rows share one pace."""
    if step is None:
        return ""
    return step.title.partition(": ")[0] if step.row is not None else step.title


def _days(laps: Sequence[Lap]) -> list[tuple[int, tuple[Timed, ...], int]]:
    """A step's finished pieces by day: (day, laps, labour in ms). Work put aside belongs to the piece it ends in."""
    days: dict[int, list[Timed]] = {}
    labour: dict[int, int] = {}
    held_ms = held_trouble_ms = between_ms = 0
    for lap in laps:
        if not lap.counted:
            continue
        if lap.between:
            between_ms += lap.counted_ms
            continue
        counted_ms, trouble_ms = lap.counted_ms + held_ms, lap.trouble_ms + held_trouble_ms
        if not lap.pieces:
            held_ms, held_trouble_ms = counted_ms, trouble_ms
            continue
        held_ms = held_trouble_ms = 0
        day = day_of(lap.end, lap.offset)
        first = lap.first and lap.pieces == 1
        timed = Timed((counted_ms - trouble_ms) / 1000, lap.pieces, lap.end_n, first, lap.by_hand, lap.sure)
        days.setdefault(day, []).append(timed)
        labour[day] = labour.get(day, 0) + counted_ms + between_ms
        between_ms = 0
    return [(day, _firsts(timed, len(days) > 1), labour[day]) for day, timed in days.items()]


def _firsts(timed: list[Timed], more_days: bool) -> tuple[Timed, ...]:
    """A first piece stands out only when there are more; alone it is all there is."""
    if len(timed) == 1 and timed[0].first and not more_days:
        return (replace(timed[0], first=False),)
    return tuple(timed)
