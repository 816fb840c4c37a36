"""What a day at the table is made of: its hours, the breaks in them, a meal, and the night after.

And how work falls into sittings of a stated length, and whether it will be done by a day.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import repeat
from typing import Literal

import msgspec

from guide.money.model import Forecast, Row
from guide.read.spoken import counted, percent
from guide.record.clock import clock_face, nearest

NIGHT_S = 86_400
EPS_S = 1e-6
LATE_S = 1800.0  # how far "about three hours" reaches before the meal is due
TITLES = {"break": "Break", "meal": "Meal", "night": "Night"}

Kind = Literal["step", "break", "wait", "meal", "night"]


class Hours(msgspec.Struct, frozen=True):
    """The hours of a day at the table, s. Common practice, no source: ten minutes' rest an hour, a meal after three."""

    day_s: float = 24_300.0  # from the start to the end by the clock: six hours and the meal
    work_s: float = 3000.0  # 50 minutes' work, then
    break_s: float = 600.0  # a break of 10
    meal_after_s: float = 10_800.0
    meal_s: float = 2700.0  # 0: no meal


class Now(msgspec.Struct):
    """Where the day stands while it is laid out."""

    hours: Hours
    begin: int  # the start as seconds of the clock
    s: float = 0.0  # since the start of the first day
    since_s: float = 0.0  # worked since the last rest
    fed: bool = False

    @property
    def day(self) -> int:
        """The day, from 0."""
        return int((self.s + EPS_S) // NIGHT_S)

    @property
    def at_s(self) -> float:
        """Since this day's start."""
        return self.s - self.day * NIGHT_S


def clock_text(seconds: float) -> str:
    """A time of day to the minute, 10:05; a later day says so: 00:05 next day, 10:05 3 days later."""
    days, rest = divmod(nearest(seconds, 60) * 60, NIGHT_S)
    later = ("", " next day")[days] if days < 2 else f" {days} days later"
    return f"{clock_face(rest * 1000, 0)}{later}"


def lay(now: Now, kind: Kind, length_s: float, key: str, title: str = "") -> Row:
    """Lay a window from now on, and go to its end."""
    day, begin = now.day, now.s
    midnight = now.begin - day * NIGHT_S
    now.s += length_s
    if kind != "step" and length_s >= now.hours.break_s:
        now.since_s = 0.0
    if kind == "meal":
        now.fed = True
    if now.day != day:
        now.fed = now.at_s >= now.hours.meal_after_s
    return Row(
        kind=kind,
        key=key,
        title=title or TITLES.get(kind, ""),
        start_s=begin,
        end_s=now.s,
        start=clock_text(midnight + begin),
        end=clock_text(midnight + now.s),
        day=day + 1,
    )


def night(now: Now, key: str) -> Row:
    """The time until the next day's start."""
    return lay(now, "night", (now.day + 1) * NIGHT_S - now.s, key)


def stop_s(now: Now, left_s: float) -> float:
    """When work must stop next, since this day's start: for the meal, or for the day. `left_s`: all that is left."""
    return now.hours.meal_after_s + LATE_S if meal_ahead(now, left_s) else now.hours.day_s


def meal_ahead(now: Now, left_s: float) -> bool:
    """Whether this day still has a meal: not had, work enough after it, and hours enough."""
    hours = now.hours
    if now.fed or not hours.meal_s:
        return False
    due_s = hours.meal_after_s + LATE_S
    return now.at_s <= due_s and min(now.at_s + left_s, hours.day_s) > due_s + hours.meal_s + LATE_S


def meal_due(now: Now, left_s: float) -> bool:
    """Whether it is about time for this day's meal."""
    return meal_ahead(now, left_s) and now.at_s >= now.hours.meal_after_s - LATE_S / 2


def room(now: Now, stop: float) -> float:
    """How much work fits before a stop, its breaks taken off."""
    free = max(stop - now.at_s, 0.0)
    breaks, work = 0, free
    # As long as more breaks fall due within that work, none at its very end.
    while int(max(now.since_s + work - EPS_S, 0.0) // now.hours.work_s) > breaks:
        breaks += 1
        work = free - breaks * now.hours.break_s
    return max(work, 0.0)


EVERY_DAY = frozenset(range(7))


class Possible(msgspec.Struct, frozen=True):
    """The answer to "by the 12th at two hours an evening: possible?"."""

    sittings: int  # there are
    chance: float  # 0 … 1
    answer: str  # yes | likely | unlikely | no
    says: str


def walk(
    work: Sequence[tuple[float, float]], sitting_s: float | None, days: Iterator[float] | None = None
) -> tuple[float, float, int]:
    """Work steps off in order: (hands-on s, clock s at the table, sittings).

    `work` is (hands-on s, wait s) per step; `days` gives each sitting's factor on the steps begun in it.
    A wait that does not fit into its sitting ends it and runs on in between. None: one sitting, any length.
    """
    days = days or repeat(1.0)
    hands = clock = used = 0.0
    sitting, slower = 1, next(days)
    for usual, wait in work:
        if sitting_s and usual and used >= sitting_s - EPS_S:
            sitting, slower, used = sitting + 1, next(days), 0.0
        hands += usual * slower
        clock += usual * slower
        used += usual * slower
        while sitting_s and used > sitting_s + EPS_S:
            sitting, slower, used = sitting + 1, next(days), used - sitting_s
        if sitting_s and used + wait > sitting_s and wait:
            used = sitting_s
        else:
            used += wait
            clock += wait
    return hands, clock, sitting


def evenings(start: date, by: date, weekdays: frozenset[int] = EVERY_DAY) -> int:
    """How many sittings there are from a day to a day, both included; Monday is 0."""
    days = (by - start).days + 1
    return sum((start + timedelta(days=n)).weekday() in weekdays for n in range(max(days, 0)))


def possible(forecast: Forecast, sittings: int) -> Possible:
    """Whether what is forecast can be done in so many sittings. ValueError for a forecast made without their length."""
    if forecast.sittings is None or forecast.sitting_s is None:
        raise ValueError("the forecast was made without sittings")
    chance = 0.0
    if forecast.chances and sittings > 0:
        chance = forecast.chances[min(sittings, len(forecast.chances)) - 1]
    answer = "yes" if chance >= 0.9 else "likely" if chance >= 0.5 else "unlikely" if chance >= 0.1 else "no"
    hours = forecast.sitting_s / 3600
    needed = forecast.sittings
    says = (
        f"{answer}: {counted(sittings, 'sitting')} of {hours:g} h, {needed.likely:.0f} likely needed "
        f"({needed.low:.0f} to {needed.high:.0f} in four cases of five); chance {percent(chance, 0)}"
    )
    return Possible(sittings, chance, answer, says)
