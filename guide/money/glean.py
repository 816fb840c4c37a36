"""What a session has to say about paces: its laps, step by step and day by day.

One pass over the laps of a record, so that a thousand sessions cost a thousand times one.
"""

from collections.abc import Iterable, Sequence

import msgspec

from guide.money.model import Seen, Timed
from guide.plan.model import Step
from guide.record.clock import day_of
from guide.record.model import Lap, Record


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
    seen = []
    for key, done in record.steps.items():
        step = planned.get(key) or bases.get(base_key(key))
        for day, laps, counted_ms in _days(done.laps):
            seen.append(
                Seen(
                    step=key,
                    base=base_key(key),
                    session=record.header.at,
                    maker=record.header.maker,
                    whom=record.header.whom,
                    day=day,
                    laps=laps,
                    counted_s=counted_ms / 1000,
                    starter_s=step.pace_s if step and step.pace_s > 0 else None,
                    effort=step.effort if step else None,
                    noun=step.effort_noun if step else "",
                    title=_title(step),
                    make=make,
                )
            )
    return tuple(seen)


def _title(step: Step | None) -> str:
    """A step's title, without the row it is one of: rows share one pace."""
    if step is None:
        return ""
    return step.title.partition(": ")[0] if step.row is not None else step.title


def _days(laps: Sequence[Lap]) -> list[tuple[int, tuple[Timed, ...], int]]:
    """A step's finished pieces by day: (day, laps, labour in ms). Work put aside belongs to the piece it ends in."""
    days: dict[int, list[Timed]] = {}
    labour: dict[int, int] = {}
    held_ms = held_trouble_ms = 0
    for lap in laps:
        if not lap.counted:
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
        labour[day] = labour.get(day, 0) + counted_ms
    return [(day, _firsts(timed, len(days) > 1), labour[day]) for day, timed in days.items()]


def _firsts(timed: list[Timed], more_days: bool) -> tuple[Timed, ...]:
    """A first piece stands out only when there are more; alone it is all there is."""
    if len(timed) == 1 and timed[0].first and not more_days:
        return (msgspec.structs.replace(timed[0], first=False),)
    return tuple(timed)
