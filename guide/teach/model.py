"""A class as plain data: its file, the work of its seats, and the plan that comes of it. Times are s."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from itertools import accumulate
from typing import Any, Literal

import msgspec

from guide.record.clock import nearest

CHANGE_S = 180.0  # foot and thread, where somebody else sat at the machine [practice]
NOD_S = 120.0
TUTOR_SHARE = 0.6  # of a tutor's time that may be booked: the rest is for whoever is stuck [practice]
Kind = Literal["work", "wait", "demo", "nod", "break", "change", "home", "practice", "opening"]


class Sitting(msgspec.Struct, frozen=True):
    """Hours in one go, s from the first hour's begin; `day` counts from the first."""

    start_s: float
    end_s: float
    day: int = 0
    text: str = ""


class Hours(msgspec.Struct, frozen=True):
    """When a class meets."""

    sittings: tuple[Sitting, ...]
    opening_s: float = 0.0
    packing_s: float = 0.0
    every_s: float = 3600.0
    break_s: float = 0.0


class Seat(msgspec.Struct, frozen=True):
    """Somebody at the table: initials or a number, never more."""

    name: str
    takes: float = 1.0  # how many times as long as usual
    project: str = ""


class Demo(msgspec.Struct, frozen=True):
    """Something shown once to all before the first needs it."""

    step: str
    for_s: float


class Course(msgspec.Struct, frozen=True):
    """What a class file says."""

    title: str
    seats: tuple[Seat, ...]
    hours: Hours
    begins: str  # the first hour, 2027-03-06 10:00
    file: str
    text: str
    demos: tuple[Demo, ...] = ()
    practice_s: float = 600.0
    stations: dict[str, int] = {}
    tutors: int = 1
    nods: tuple[str, ...] = ()
    prepared: tuple[str, ...] = ()
    home: tuple[str, ...] = ()
    spare_kits: int = 1


class Task(msgspec.Struct, frozen=True):
    """A step of one seat (of one make): pieces that are not broken off, and what must be done first."""

    key: str  # the step's, or practice
    title: str
    pieces: int
    piece_s: float
    station: str
    needs: tuple[int, ...] = ()  # by place in the seat's list
    wait_s: float = 0.0
    nod: bool = False
    demo: int | None = None
    make: int = 1


class Window(msgspec.Struct, frozen=True):
    """What a seat does from when to when."""

    step: str
    title: str
    station: str
    kind: Kind
    start_s: float
    end_s: float
    make: int = 1


class SeatPlan(msgspec.Struct, frozen=True):
    """One seat's day."""

    name: str
    machine: int  # 0: none
    windows: tuple[Window, ...]
    ends_s: float
    finished: bool
    waiting_s: float
    home: tuple[str, ...] = ()  # steps that go home, by title
    home_keys: tuple[str, ...] = ()  # the same by key
    reached: str = ""  # the last step done in class, by title
    chance: float | None = None


class Booked(msgspec.Struct, frozen=True):
    """When a tutor is needed: at a seat (from 1), or by all (0)."""

    seat: int
    step: str
    start_s: float
    end_s: float


class ClassPlan(msgspec.Struct, frozen=True):
    """The plan of a class."""

    seats: tuple[SeatPlan, ...]
    tutor: tuple[Booked, ...]
    breaks: tuple[tuple[float, float], ...]
    closing_s: float
    ends_s: float
    waiting_s: float
    stations: dict[str, int]


def plain(plan: ClassPlan, title: str, more: dict[str, Any]) -> dict[str, Any]:
    """The plan as `guide class --json` prints it, moments to the second."""

    def row(of: Any, *names: str) -> dict[str, Any]:
        told = {name: getattr(of, name) for name in names}
        return {name: round(value) if name.endswith("_s") else value for name, value in told.items()}

    seats = [
        row(one, "name", "machine")
        | {"windows": [row(window, "step", "station", "kind", "start_s", "end_s") for window in one.windows]}
        | row(one, "ends_s", "finished", "chance")
        | {"home": list(one.home)}
        for one in plan.seats
    ]
    return {
        "class": title,
        "seats": seats,
        "stations": plan.stations,
        "tutor": [row(one, "seat", "step", "start_s", "end_s") for one in plan.tutor],
        "closes_s": round(plan.closing_s),
        **row(plan, "ends_s", "waiting_s"),
        **more,
    }


# The hours of a class as stretches in which work can be done: opening, breaks, demos and packing up taken out.
#
# All times are s from the first hour's begin; what lies between two sittings counts on that clock, and holds nothing.

Segments = Sequence[tuple[int, float]]  # so many pieces of so many s, one after another
EPS = 1e-6
FOREVER = 1e12
LATE = 60  # stretches after the last hour, to see how much does not fit


Stretch = tuple[float, float]  # time without a break in it, s, from its begin to its end


class Calendar(msgspec.Struct, frozen=True):
    """When work can be done: the stretches before and after the last hour, and where each demo ends."""

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    demos: tuple[tuple[float, float], ...]  # of each demo, in the file's order
    shown: tuple[float, ...]  # of each stretch, what demos took from its beginning
    closing: float
    sums: tuple[float, ...]  # time for work before each stretch

    def lay(self, at: float, segments: Segments) -> tuple[float, float]:
        """Say when work that may begin at `at` begins and ends; breaks fall between pieces."""
        i = bisect_right(self.ends, at + EPS)
        t = max(at, self.starts[i])
        begun: float | None = None
        for pieces, piece in segments:
            left = pieces
            while True:
                fits = int((self.ends[i] - t + EPS) / piece)
                if fits >= left:
                    begun = t if begun is None else begun
                    t += left * piece
                    break
                if fits:
                    begun = t if begun is None else begun
                    left -= fits
                i += 1
                t = self.starts[i]
        return (t if begun is None else begun), t

    def parts(self, at: float, segments: Segments) -> list[list[tuple[float, float]]]:
        """The same work as windows, segment by segment, cut where breaks and hours fall."""
        i = bisect_right(self.ends, at + EPS)
        t = max(at, self.starts[i])
        out: list[list[tuple[float, float]]] = []
        for pieces, piece in segments:
            left, mine = pieces, list[tuple[float, float]]()
            while left:
                fits = min(int((self.ends[i] - t + EPS) / piece), left)
                if fits:
                    mine.append((t, t + fits * piece))
                    left -= fits
                    t += fits * piece
                if left:
                    i += 1
                    t = self.starts[i]
            out.append(mine)
        return out

    def work_between(self, start: float, end: float) -> float:
        """How much time for work lies between two moments, s."""
        return self._work_until(end) - self._work_until(start)

    def _work_until(self, at: float) -> float:
        i = bisect_right(self.ends, at)
        return self.sums[i] + max(at - self.starts[i], 0.0)

    def stretch_at(self, at: float) -> int:
        """Number the stretch that a moment lies in, or the next."""
        return bisect_right(self.ends, at + EPS)


def stretches(hours: Hours) -> tuple[list[Stretch], list[Stretch]]:
    """Give the stretches of work, and the breaks between them."""
    work: list[Stretch] = []
    breaks: list[Stretch] = []
    for i, sitting in enumerate(hours.sittings):
        last_of_day = i + 1 == len(hours.sittings) or hours.sittings[i + 1].day != sitting.day
        end = sitting.end_s - (hours.packing_s if last_of_day else 0.0)
        start = sitting.start_s + (hours.opening_s if i == 0 else 0.0)
        due = sitting.start_s + hours.every_s
        # A break is left out where less than a quarter of an hour of work would follow it. [practice]
        while hours.break_s and due + hours.break_s + 900.0 <= end:
            if due > start:
                work.append((start, due))
                breaks.append((due, due + hours.break_s))
                start = due + hours.break_s
            due += hours.break_s + hours.every_s
        work.append((start, end))
    return [(start, end) for start, end in work if end > start], breaks


def calendar(hours: Hours, demos: Sequence[float] = (), slots: Sequence[int] = ()) -> Calendar:
    """Lay demos (s each) at the beginning of the stretches they are given (`slots`); work goes on after the last hour.

    A demo that does not fit its stretch whole goes into the next that it fits.
    """
    work, _ = stretches(hours)
    starts, ends = [start for start, _ in work], [end for _, end in work]
    closing = ends[-1]
    every = hours.every_s if hours.break_s else 86_400.0
    at = closing
    for _ in range(LATE):
        starts.append(at)
        ends.append(at + every)
        at += every + hours.break_s
    starts.append(at)
    ends.append(FOREVER)
    taken = [0.0] * len(starts)
    demo_at: list[tuple[float, float]] = []
    for length, slot in zip(demos, slots, strict=True):
        i = slot
        while ends[i] - starts[i] <= length:
            i += 1
        demo_at.append((starts[i], starts[i] + length))
        starts[i] += length
        taken[i] += length
    sums = tuple(accumulate((b - a for a, b in zip(starts[:-1], ends[:-1], strict=True)), initial=0.0))
    return Calendar(tuple(starts), tuple(ends), tuple(demo_at), tuple(taken), closing, sums)


def clock_of(course: Course) -> Callable[[float], str]:
    """Show a moment of a class's clock as a time of day, to the minute; a day's name where there are several."""
    begins = begins_of(course)
    several = len({one.day for one in course.hours.sittings}) > 1

    def at(seconds: float) -> str:
        moment = begins + timedelta(minutes=nearest(seconds, 60))
        return f"{moment:%a %H:%M}" if several else f"{moment:%H:%M}"

    return at


def begins_of(course: Course) -> datetime:
    """When the first hour begins."""
    return datetime.strptime(course.begins, "%Y-%m-%d %H:%M")  # noqa: DTZ007 - the class's own clock
