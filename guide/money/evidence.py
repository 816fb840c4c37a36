"""What one step's pace rests on: which sessions, at which size, what was left out, how far it leans on the starter."""

import math
from collections.abc import Iterable

import msgspec

from guide.money.glean import GROUP
from guide.money.model import Flag, Pace, Seen
from guide.money.paces import learn, sift


class Reading(msgspec.Struct, frozen=True):
    """One session's day at the step; seconds are per piece."""

    session: str  # when it was opened
    day: int  # the maker's own, as an ordinal
    effort: float | None  # of one piece: its size
    noun: str
    pieces: int
    own_s: float
    first_s: float | None  # the first piece, which is kept out of the pace where there are more
    starter_s: float | None
    by_hand: int  # laps typed in afterwards


class Evidence(msgspec.Struct, frozen=True):
    """All that a step's pace was learnt from."""

    base: str
    pace: Pace
    readings: tuple[Reading, ...]
    out: tuple[Flag, ...]  # laps left out of it
    tempo: float  # the maker's time over the starter paces, over all steps: 1.04 is 4 % slower
    learning: float | None  # what each doubling of makes takes of the time, where that is sure


def evidence(seen: Iterable[Seen], base: str, *, maker: str | None = None, whom: str = "") -> Evidence | None:
    """What the pace of a step (stage/id) rests on; None when nobody has timed it.

    A step timed only with others that one press counted rests on what all of them took together.
    """
    rows = list(seen)
    paces = learn(rows, maker=maker, whom=whom)
    named = base if base in paces.steps else next((n for n in paces.steps if base in n.split(GROUP)), None)
    if named is None:
        return None
    _, kept, _ = sift(rows, maker=maker, whom=whom)
    curve = paces.curve
    return Evidence(
        base=named,
        pace=paces.steps[named],
        readings=tuple(_reading(row) for row in sorted(kept[named], key=lambda row: (row.day, row.session))),
        out=tuple(flag for flag in paces.flags if flag.step.partition(":")[0] == named),
        tempo=math.exp(paces.tempo),
        learning=curve.rate if curve is not None and curve.sure else None,
    )


def _reading(row: Seen) -> Reading:
    later = [lap for lap in row.laps if not lap.first]
    firsts = [lap.seconds for lap in row.laps if lap.first]
    pieces = sum(lap.pieces for lap in later)
    seconds = math.fsum(lap.seconds for lap in later)
    return Reading(
        session=row.session,
        day=row.day,
        effort=row.effort,
        noun=row.noun,
        pieces=pieces + len(firsts),
        own_s=seconds / pieces if pieces else firsts[0],
        first_s=firsts[0] if firsts else None,
        starter_s=row.starter_s,
        by_hand=sum(lap.by_hand for lap in row.laps),
    )
