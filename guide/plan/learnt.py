"""What past makings teach the next: how much quilting drew in, and how much washing shrank.

Panels are measured raw edge to raw edge once they are quilted and joined; the two outer seams are not
quilted, so the draw-in is taken on the face between them:

    draw-in = 1 − (panel as made − 2·seam) / (panel as it would be undrawn − 2·seam)

Shrinkage is the washed face against the face as it was made (ISO 5077 would write it with a minus).
Both are means of the newest few, in tenths of a percent, never under nothing.
"""

import math
from collections.abc import Sequence

import msgspec

from guide.read.model import Project
from guide.read.spoken import plural

NEWEST = 3  # makings that are asked: cloth and hands change
WAYS = ("length", "width")
LEAST_DIFFERENCE = 0.0005  # half of what is written: less is the same


class Pair(msgspec.Struct, frozen=True):
    """One length before and after, mm."""

    before: float
    after: float

    @property
    def lost(self) -> float:
        """The share that is gone, 0.013 for 1.3 %; negative when it grew."""
        return 1 - self.after / self.before


class Made(msgspec.Struct, frozen=True):
    """One finished article: its sides as pairs, those that were measured. Widths first."""

    drawn: tuple[Pair, ...] = ()  # face as it would be undrawn → face as made
    washed_width: Pair | None = None  # face as made → face as washed
    washed_height: Pair | None = None


class Learnt(msgspec.Struct, frozen=True):
    """A share learnt from the newest makings, beside what the project reckons with."""

    name: str  # draw_in | shrinks_width | shrinks_length
    value: float  # what to write, a fraction
    given: float  # what the project says
    count: int  # makings behind it
    low: float  # the least and the most of them
    high: float
    says: str
    write: str  # the line for the project


def drawn_pair(undrawn_mm: float, measured_mm: float, seam_mm: float) -> Pair:
    """A panel's side without draw-in and as made, raw edge to raw edge, as the face between its seams."""
    return Pair(undrawn_mm - 2 * seam_mm, measured_mm - 2 * seam_mm)


def learn_draw_in(made: Sequence[Made], given: float) -> Learnt | None:
    """What quilting pulled in, from the newest panels measured (oldest first); None when none was."""
    each = [_mean([pair.lost for pair in one.drawn]) for one in made if one.drawn]
    return _learnt(DRAW_IN, each, given)


def learn_shrinkage(made: Sequence[Made], given_width: float, given_length: float) -> tuple[Learnt, ...]:
    """What washing took, across and along the cloth, from the newest articles measured after washing."""
    across = [one.washed_width.lost for one in made if one.washed_width]
    along = [one.washed_height.lost for one in made if one.washed_height]
    both = (_learnt(ACROSS, across, given_width), _learnt(ALONG, along, given_length))
    return tuple(one for one in both if one is not None)


def differs(learnt: Learnt) -> bool:
    """Whether what was learnt is worth writing: it differs from what the project says."""
    return abs(learnt.value - learnt.given) > LEAST_DIFFERENCE


class _Told(msgspec.Struct, frozen=True):
    """How one figure is told: a making, what it lost or gained, and the line to write."""

    name: str
    one: str
    lost: str
    gained: str
    where: str
    line: str


DRAW_IN = _Told("draw_in", "panel", "drew in", "grew by", "", "draw_in: {}")
ACROSS = _Told("shrinks_width", "wash", "took", "gave", " in width", "shrinks: {{width: {}}}")
ALONG = _Told("shrinks_length", "wash", "took", "gave", " in length", "shrinks: {{length: {}}}")


def _learnt(told: _Told, each: Sequence[float], given: float) -> Learnt | None:
    newest = each[-NEWEST:]
    if not newest:
        return None
    mean, count = _mean(newest), len(newest)
    value = max(round(mean, 3), 0.0)
    who = f"your last {_COUNT[count]}{plural(told.one, count)}"
    says = f"{who} {told.lost if mean >= 0 else told.gained} {percent(abs(mean))}{told.where}"
    if count > 1:
        says += f" ({percent(min(newest))} to {percent(max(newest))})"
    write = told.line.format(percent(value))
    return Learnt(told.name, value, given, count, min(newest), max(newest), says, write)


_COUNT = {1: "", 2: "two ", 3: "three "}


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def percent(share: float) -> str:
    """A share as it is written in a project, to a tenth: 1.3 %."""
    return f"{round(share * 100, 1):zg} %".replace("-", "−")


def as_made(project: Project, learnt: Sequence[Learnt]) -> Project:
    """The project as it would be with what was learnt written into it; shrinkage into every print."""
    value = {one.name: one.value for one in learnt}
    given = dict(project.given)
    changed = {"draw_in": ("draw_in",), "shrinks_width": ("shrink_width", "shrink_width_worst"),
               "shrinks_length": ("shrink_length", "shrink_length_worst")}  # fmt: skip
    for name, names in changed.items():
        for flat in names if name in value else ():
            given[flat] = msgspec.structs.replace(given[flat], value=value[name], written=percent(value[name]))
    shrinks = {f"shrinks_{way}": value[f"shrinks_{way}"] for way in WAYS if f"shrinks_{way}" in value}
    prints = []
    for cloth in project.prints:
        known = tuple(way for way in WAYS if f"shrinks_{way}" in shrinks or way in cloth.shrinks_known)
        prints.append(msgspec.structs.replace(cloth, **shrinks, shrinks_known=known))
    return msgspec.structs.replace(project, given=given, prints=tuple(prints))
