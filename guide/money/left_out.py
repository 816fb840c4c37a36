"""Which laps are left out of the pace, never out of sight: keys pressed through, and forgotten timers.

A lap under a tenth of the starter pace is no work, however often it comes: the starter pace judges it, not the
other laps. On a session's day that was pressed through for its greater part, one under a quarter is none either.
What the maker said counts is never left out, and counts made late are put together before they are judged.

For a forgotten timer a lap is held against the usual pace of its step: the median piece of all sessions, in which the
starter pace counts as one piece. It is left out when it is longer than that by more than 3½ spreads of the
logarithms, the spread being at least 0.3 (so never under 2.8 ×), or by 8 × when it is the only lap.
"""

import math
from collections.abc import Collection, Container, Sequence
from datetime import date, timedelta

import msgspec

from guide.money.model import Flag, Seen, Timed
from guide.money.stats import weighted_median
from guide.read.spoken import counted
from guide.record.clock import spoken

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
        pressed += [msgspec.structs.replace(row, laps=tuple(quick))] if quick else []
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
        left = [msgspec.structs.replace(left[0], first=False)]
    counted_s = row.counted_s - math.fsum(lap.seconds for lap in laps)
    return [msgspec.structs.replace(row, laps=tuple(left), counted_s=counted_s)]


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
    return msgspec.structs.replace(row, laps=tuple(lap for run in runs for lap in _joined(run, short)))


def _joined(run: list[Timed], short: float) -> list[Timed]:
    last = run[-1]
    whole = Timed(math.fsum(lap.seconds for lap in run), sum(lap.pieces for lap in run), last.n, False, last.by_hand)
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
    days: dict[tuple[str, int], list[Seen]] = {}
    for row in pressed:
        days.setdefault((row.session, row.day), []).append(row)
    return [_flag(days[name]) for name in sorted(days)]


def _flag(rows: Sequence[Seen]) -> Flag:
    first, pieces = rows[0], sum(lap.pieces for row in rows for lap in row.laps)
    took = math.fsum(lap.seconds for row in rows for lap in row.laps)
    starter = math.fsum((row.starter_s or 0.0) * lap.pieces for row in rows for lap in row.laps)
    steps = len({row.step for row in rows})
    name = first.title or first.step if steps == 1 else f"{steps} steps"
    says = (
        f"{date(1970, 1, 1) + timedelta(first.day):%Y-%m-%d}, {name}: {counted(pieces, 'piece')} in "
        f"{spoken(round(took * 1000))}, at the starter paces {spoken(round(starter * 1000))}: keys pressed through? "
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
    pace, common = (spoken(round(seconds * 1000)) for seconds in (pace_s, usual_s))
    says = (
        f"{row.title or row.step}: {pace} a piece against {common} usual: a forgotten timer? "
        "Left out of the pace, kept in the labour; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, lap.n, pace_s, usual_s, says, lap.seconds)
