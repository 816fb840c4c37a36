"""What a session has to say about paces: its laps, step by step and day by day.

One pass over the laps of a record, so that a thousand sessions cost a thousand times one.

Laps left out of the pace stay in sight: keys pressed through, and forgotten timers. A lap under a tenth of the starter
pace is no work, however often it comes: the starter pace judges it, not the other laps. On a session's day that was
pressed through for its greater part, one under a quarter is none either. What the maker said counts is never left out,
and counts made late are put together before they are judged.

For a forgotten timer a lap is held against the usual pace of its step: the median piece of all sessions, in which the
starter pace counts as one piece. It is left out when it is longer than that by more than 3½ spreads of the
logarithms, the spread being at least 0.3 (so never under 2.8 ×), or by 8 × when it is the only lap.
"""

import math
from collections.abc import Collection, Container, Iterable, Iterator, Sequence
from datetime import date, timedelta

from msgspec.structs import replace

from guide.money.model import Flag, Seen, Timed
from guide.money.stats import weighted_median
from guide.plan.model import Step
from guide.read.model import grouped
from guide.read.spoken import counted
from guide.record.clock import day_of, time_text
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
    # A key of another plan, of a cloth that is no longer in it, is still known by its step's name.
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
    laps = (lap for step in record.steps.values() for lap in step.laps if lap.shared)
    whole = grouped(laps, lambda lap: (lap.shared, lap.end_n, lap.start))
    out: dict[tuple[str, ...], list[Lap]] = {}
    for (keys, _, _), shares in whole.items():
        ms, trouble = sum(one.counted_ms for one in shares), sum(one.trouble_ms for one in shares)
        lap = replace(shares[0], counted_ms=ms, trouble_ms=trouble, first=all(one.first for one in shares))
        out.setdefault(keys, []).append(lap)
    return out


def _as_one(group: Sequence[Step]) -> Step:
    """Several steps that one press counted, as one step: their paces added up."""
    title, pace_s = f"{_title(group[0])} and {len(group) - 1} more, one press", math.fsum(step.pace_s for step in group)
    return replace(group[0], pace_s=pace_s, effort=None, effort_noun="", effort_s=0.0, title=title)


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
        starts = lap.first and lap.pieces > 1
        timed = Timed((counted_ms - trouble_ms) / 1000, lap.pieces, lap.end_n, first, lap.by_hand, lap.sure, starts)
        days.setdefault(day, []).append(timed)
        labour[day] = labour.get(day, 0) + counted_ms + between_ms
        between_ms = 0
    if list(map(len, days.values())) == [1]:  # a first piece stands out only when there are more
        days = {day: [replace(timed[0], first=False)] for day, timed in days.items()}
    return [(day, tuple(timed), labour[day]) for day, timed in days.items()]


HURRIED = 0.1  # of the starter pace
LATE = 0.25  # of the usual pace: a press this soon belongs to the press before


def set_pressed_aside(rows: Sequence[Seen]) -> tuple[list[Seen], list[Seen]]:
    """Part the rows of any steps: (what was worked, what was pressed through). Without a starter pace all is work."""
    rows = [counted_late(row, row.starter_s) if row.starter_s else row for row in rows]
    mostly = _mostly_pressed(rows)
    worked, pressed = [], []
    for row in rows:
        least = LATE if (row.session, row.day) in mostly else HURRIED
        quick = [lap for lap in row.laps if is_quick(lap, least * (row.starter_s or 0.0))]
        worked += [row] if not quick else without(row, quick)
        pressed += [replace(row, laps=tuple(quick))] if quick else []
    return worked, pressed


def is_quick(lap: Timed, least_s: float) -> bool:
    """Whether a lap took less than so many seconds a piece, and the maker did not say that it counts."""
    return not lap.sure and lap.seconds < least_s * lap.pieces


def without(row: Seen, laps: Sequence[Timed]) -> list[Seen]:
    """The row without some of its laps and their labour; none when nothing is left. A first piece alone is a piece."""
    out = set(laps)
    left = [lap for lap in row.laps if lap not in out]
    if not left:
        return []
    if len(left) == 1:
        left = [replace(left[0], first=False)]
    counted_s = row.counted_s - math.fsum(lap.seconds for lap in laps)
    return [replace(row, laps=tuple(left), counted_s=counted_s)]


def counted_late(row: Seen, usual_s: float) -> Seen:
    """Put a long lap and the burst of short ones after it together, where they make a likely pace."""
    short = LATE * usual_s
    runs: list[list[Timed]] = []
    for lap in row.laps:
        lead = runs[-1][0] if runs else None
        if lead and is_quick(lap, short) and not (lead.first or lead.sure or is_quick(lead, short)):
            runs[-1].append(lap)
        else:
            runs.append([lap])
    if len(runs) == len(row.laps):
        return row
    return replace(row, laps=tuple(lap for run in runs for lap in _joined(run, short)))


def _joined(run: list[Timed], short: float) -> list[Timed]:
    last = run[-1]
    seconds, pieces = math.fsum(lap.seconds for lap in run), sum(lap.pieces for lap in run)
    whole = Timed(seconds, pieces, last.n, by_hand=last.by_hand, starts=run[0].starts)
    return run if len(run) == 1 or is_quick(whole, short) else [whole]


def _mostly_pressed(rows: Sequence[Seen]) -> set[tuple[str, int]]:
    """The sessions' days whose greater part, by the starter paces, was pressed through."""
    days: dict[tuple[str, int], float] = {}
    for row in rows:
        starter = row.starter_s or 0.0
        part = math.fsum(lap.pieces * (1 if is_quick(lap, HURRIED * starter) else -1) for lap in row.laps)
        days[row.session, row.day] = days.get((row.session, row.day), 0.0) + part * starter
    return {day for day, more in days.items() if more > 0}


def flags_of(pressed: Sequence[Seen]) -> list[Flag]:
    """One flag for all that a session pressed through on a day."""
    days = grouped(pressed, lambda row: (row.session, row.day))
    return [_flag(days[name]) for name in sorted(days)]


def _flag(rows: Sequence[Seen]) -> Flag:
    first, pieces = rows[0], sum(lap.pieces for row in rows for lap in row.laps)
    took = math.fsum(lap.seconds for row in rows for lap in row.laps)
    starter = math.fsum((row.starter_s or 0.0) * lap.pieces for row in rows for lap in row.laps)
    steps = len({row.step for row in rows})
    name = first.title or first.step if steps == 1 else f"{steps} steps"
    says = (
        f"{date(1970, 1, 1) + timedelta(first.day):%Y-%m-%d}, {name}: {counted(pieces, 'piece')} in "
        f"{time_text(took)}, at the starter paces {time_text(starter)}: keys pressed through? "
        "Left out of the paces; if it was work, `guide amend` can say of each lap that it is counted"
    )
    return Flag(first.step, first.session, first.laps[0].n, took / pieces, starter / pieces, says, took)


def left_out(worked: Container[str], pressed: Collection[str]) -> tuple[int, int]:
    """How many sessions (by name) were pressed through from end to end, and how many in part."""
    part = sum(session in worked for session in pressed)
    return len(pressed) - part, part


SPREADS = 3.5
LEAST_SPREAD = 0.3
ONLY_LAP_TIMES = 8.0


def set_aside(rows: Sequence[Seen]) -> tuple[list[Seen], list[Flag]]:
    """The rows of one step without their doubtful laps, and a flag for each lap left out.

    Labour of a lap left out leaves `counted_s` too, so that the share of trouble stays right; the labour
    of the session itself is never touched.
    """
    usual = _usual(rows)
    rows = [counted_late(row, usual * (row.starter_s or 1.0)) for row in rows]
    most = usual * _most(rows, math.log(usual))
    kept, flags = [], []
    for row in rows:
        most_s = most * (row.starter_s or 1.0)
        long = [lap for lap in row.laps if lap.seconds > most_s * lap.pieces and not lap.sure]
        flags += [_doubtful(row, lap, usual) for lap in long]
        kept += without(row, long) if long else [row]
    return kept, flags


def _times(rows: Sequence[Seen]) -> list[tuple[float, float]]:
    """Each lap's pace over the starter pace (over 1 s where there is none), and its pieces."""
    return [
        (lap.seconds / lap.pieces / (row.starter_s or 1.0), float(lap.pieces))
        for row in rows
        for lap in row.laps
        if lap.seconds > 0
    ]


def _usual(rows: Sequence[Seen]) -> float:
    pairs = _times(rows)
    if any(row.starter_s for row in rows):
        if len(pairs) == 1:
            return 1.0
        pairs.append((1.0, 1.0))
    return weighted_median(pairs) if pairs else 1.0


def _most(rows: Sequence[Seen], middle: float) -> float:
    """How many times the usual pace is still believed."""
    apart = [(abs(math.log(times) - middle), weight) for times, weight in _times(rows)]
    if len(apart) < 2:
        return ONLY_LAP_TIMES
    return math.exp(SPREADS * max(LEAST_SPREAD, 1.4826 * weighted_median(apart)))


def _doubtful(row: Seen, lap: Timed, usual: float) -> Flag:
    pace_s, usual_s = lap.seconds / lap.pieces, usual * (row.starter_s or 1.0)
    pace, common = (time_text(seconds) for seconds in (pace_s, usual_s))
    says = (
        f"{row.title or row.step}: {pace} a piece against {common} usual: a forgotten timer? "
        "Left out of the pace, kept in the labour; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, lap.n, pace_s, usual_s, says, lap.seconds)
