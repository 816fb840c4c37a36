"""Which laps are a forgotten timer, or keys pressed through: left out of the pace, never out of sight.

A lap is held against the usual pace of its step: the median piece of all sessions, in which the starter
pace counts as one piece. It is left out when it is longer than that by more than 3½ spreads of the
logarithms, the spread being at least 0.3 (so never under 2.8 ×), or by 8 × when it is the only lap.
A count made late leaves one long lap and a burst of short ones: those are put together first. A lap under
a tenth of the starter pace is no work, unless three days and most days agree on such a pace: then it is
the starter pace that is wrong.
"""

import math
from collections.abc import Sequence
from datetime import date, timedelta

import msgspec

from guide.money.model import Flag, Seen, Timed
from guide.money.stats import weighted_median

SPREADS = 3.5
LEAST_SPREAD = 0.3
ONLY_LAP_TIMES = 8.0
HURRIED = 0.1  # of the starter pace
DAYS_AGREED = 3  # from there on it is believed
BURST = 0.25  # of the usual pace: a press this soon belongs to the press before


def set_aside(rows: Sequence[Seen]) -> tuple[list[Seen], list[Flag]]:
    """The rows of one step without their doubtful laps; a flag for each long one, and for each row's quick ones.

    Labour of a lap left out leaves `counted_s` too, so that the share of trouble stays right; the labour
    of the session itself is never touched.
    """
    least = 0.0 if _agreed(rows) else HURRIED
    usual = _usual(rows, least)
    rows = [_burst_joined(row, usual) for row in rows]
    most = usual * _most(rows, math.log(usual), least)
    kept, flags = [], []
    for row in rows:
        starter = row.starter_s or 1.0
        quick = [lap for lap in row.laps if row.starter_s and lap.seconds < least * starter * lap.pieces]
        long = [lap for lap in row.laps if lap.seconds > most * starter * lap.pieces]
        if not quick and not long:
            kept.append(row)
            continue
        flags += [_flag(row, lap, usual) for lap in long]
        flags += [_flag_quick(row, quick)] if quick else []
        laps = tuple(lap for lap in row.laps if lap not in long and lap not in quick)
        if laps:
            kept.append(_with(row, laps, row.counted_s - sum(lap.seconds for lap in (*long, *quick))))
    return kept, flags


def set_hurried_aside(rows: Sequence[Seen]) -> tuple[list[Seen], list[Flag]]:
    """Leave out whole days that took under a tenth of their starter paces, one flag each; rows of any steps.

    Days are a session's. Three such days, and most of all, are believed.
    """
    days: dict[tuple[str, int], list[Seen]] = {}
    for row in rows:
        if row.starter_s:
            days.setdefault((row.session, row.day), []).append(row)
    quick = {name for name, of in days.items() if _share_of_starter(of) < HURRIED}
    if not quick or (len(quick) >= DAYS_AGREED and 2 * len(quick) > len(days)):
        return list(rows), []
    return (
        [row for row in rows if (row.session, row.day) not in quick],
        [_flag_day(days[name]) for name in sorted(quick)],
    )


def _share_of_starter(rows: Sequence[Seen]) -> float:
    """What laps took, over what they would take at the starter paces."""
    took = math.fsum(lap.seconds for row in rows for lap in row.laps)
    return took / math.fsum((row.starter_s or 0.0) * lap.pieces for row in rows for lap in row.laps)


def _flag_day(rows: Sequence[Seen]) -> Flag:
    took = math.fsum(lap.seconds for row in rows for lap in row.laps)
    pieces = sum(lap.pieces for row in rows for lap in row.laps)
    usual_s = took / _share_of_starter(rows) / pieces if took else 0.0
    day, first = date(1970, 1, 1) + timedelta(rows[0].day), rows[0]
    says = (
        f"{day:%Y-%m-%d}: {pieces} piece{'s' if pieces > 1 else ''} in {took:.0f} s, under a tenth of the starter "
        "paces: keys pressed through? The whole day is left out of the paces; `guide amend` puts it right"
    )
    return Flag(first.step, first.session, first.laps[0].n, took / pieces, usual_s, says)


def _agreed(rows: Sequence[Seen]) -> bool:
    """Whether a pace far under the starter's was kept on three days, and on most."""
    quick = [_share_of_starter([row]) < HURRIED for row in rows if row.starter_s]
    return sum(quick) >= DAYS_AGREED and 2 * sum(quick) > len(quick)


def _times(rows: Sequence[Seen], least: float) -> list[tuple[float, float]]:
    """Each lap's pace over the starter pace (over 1 s where there is none), and its pieces; none pressed through."""
    return [
        (lap.seconds / lap.pieces / (row.starter_s or 1.0), float(lap.pieces))
        for row in rows
        for lap in row.laps
        if lap.seconds > 0 and lap.seconds >= least * (row.starter_s or 0.0) * lap.pieces
    ]


def _usual(rows: Sequence[Seen], least: float) -> float:
    pairs = _times(rows, least)
    if any(row.starter_s for row in rows):
        if len(pairs) == 1:
            return 1.0
        pairs.append((1.0, 1.0))
    return weighted_median(pairs) if pairs else 1.0


def _most(rows: Sequence[Seen], middle: float, least: float) -> float:
    """How many times the usual pace is still believed."""
    apart = [(abs(math.log(times) - middle), weight) for times, weight in _times(rows, least)]
    if len(apart) < 2:
        return ONLY_LAP_TIMES
    return math.exp(SPREADS * max(LEAST_SPREAD, 1.4826 * weighted_median(apart)))


def _burst_joined(row: Seen, usual: float) -> Seen:
    """The row with counts made in a burst put to the lap before them."""
    short = usual * BURST * (row.starter_s or 1.0)
    if all(lap.seconds >= short * lap.pieces for lap in row.laps):
        return row
    joined: list[Timed] = []
    for lap in row.laps:
        before = joined[-1] if joined else None
        if before and not before.first and lap.seconds < short * lap.pieces:
            seconds, pieces = before.seconds + lap.seconds, before.pieces + lap.pieces
            joined[-1] = Timed(seconds, pieces, lap.n, False, lap.by_hand)
        else:
            joined.append(lap)
    return _with(row, tuple(joined), row.counted_s)


def _with(row: Seen, laps: tuple[Timed, ...], counted_s: float) -> Seen:
    return msgspec.structs.replace(row, laps=laps, counted_s=counted_s)


def _flag(row: Seen, lap: Timed, usual: float) -> Flag:
    pace_s, usual_s = lap.seconds / lap.pieces, usual * (row.starter_s or 1.0)
    says = (
        f"{row.title or row.step}: {pace_s / 60:.1f} min a piece against {usual_s / 60:.1f} min usual: a forgotten "
        "timer? Left out of the pace, kept in the labour; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, lap.n, pace_s, usual_s, says)


def _flag_quick(row: Seen, quick: Sequence[Timed]) -> Flag:
    """One flag for all that was pressed through on one step in one session."""
    pieces = sum(lap.pieces for lap in quick)
    pace_s, starter = math.fsum(lap.seconds for lap in quick) / pieces, row.starter_s or 1.0
    says = (
        f"{row.title or row.step}: {pieces} piece{'s' if pieces > 1 else ''} at {pace_s:.1f} s, under a tenth of the "
        f"starter pace: keys pressed through? Left out of the pace; `guide amend` puts it right"
    )
    return Flag(row.step, row.session, quick[0].n, pace_s, starter, says)
