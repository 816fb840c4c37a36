"""Which laps are keys pressed through, and nothing sewn: left out of the pace, never out of sight.

A lap under a tenth of the starter pace is no work, however often it comes: the starter pace judges it, not the
other laps. On a session's day that was pressed through for its greater part, one under a quarter is none either.
What the maker said counts is never left out, and counts made late are put together before they are judged.
"""

import math
from collections.abc import Collection, Container, Sequence
from datetime import date, timedelta

import msgspec

from guide.money.model import Flag, Seen, Timed
from guide.read.plurals import counted
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
