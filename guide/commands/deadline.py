"""Whether it can be done: six by the 12th at two hours an evening."""

from datetime import date
from pathlib import Path

import msgspec

from guide.commands.common import clock, talk
from guide.commands.sessions import At, read_session, under_way
from guide.errors import WrongUse
from guide.money.forecast import forecast
from guide.money.hours import EVERY_DAY, evenings, possible
from guide.money.model import Forecast, Paces
from guide.plan.model import Plan
from guide.read.places import shown
from guide.read.units import length_ms
from guide.record.clock import local
from guide.record.model import Record
from guide.show.model_plan import Left, Sittings, SpanReport
from guide.show.words import minutes

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Asked(msgspec.Struct, frozen=True):
    """By which day, from which, how long at a time, on which days of the week (Monday is 0)."""

    sitting_s: float
    start: date
    by: date | None
    weekdays: frozenset[int]


def asked(evening: str | None, by: str | None, start: str | None, on: str | None) -> Asked | None:
    """Read the options; None when nothing was asked. WrongUse when they do not fit together."""
    if evening is None:
        if by or start or on:
            raise WrongUse('--by, --from and --on go with --evening: how long you sew at a time, as --evening "2 h".')
        return None
    asking = Asked(
        sitting_length(evening, "--evening"),
        day_option(start, "--from") or today(),
        day_option(by, "--by"),
        _weekdays(on),
    )
    if asking.by is not None and asking.by < asking.start:
        raise WrongUse(f"--by {asking.by}: that day is over; it is {asking.start} now.")
    return asking


def sitting_length(text: str, option: str) -> float:
    """Read how long one sews at a time, s. WrongUse for less than anybody sits down for."""
    sitting_s = length_ms(text) / 1000
    if sitting_s < 300:
        raise WrongUse(f"{option}: under 5 minutes is no sitting.")
    return sitting_s


def today() -> date:
    """The maker's own day."""
    now = clock().read()
    return local(now.wall, now.offset).date()


def day_option(text: str | None, option: str) -> date | None:
    """Read a day typed as an option. WrongUse for what is none."""
    try:
        return None if text is None else date.fromisoformat(text)
    except ValueError:
        raise WrongUse(f"{option}: {text!r} is not a day; write it like 2026-12-12.") from None


def _weekdays(on: str | None) -> frozenset[int]:
    if on is None:
        return EVERY_DAY
    words = [word[:3].lower() for word in on.replace(",", " ").split()]
    if not words or not set(words) <= set(DAYS):
        raise WrongUse(f"--on: {on!r} are no days of the week; write them like mon,wed,sat.")
    return frozenset(DAYS.index(word) for word in words)


def answered(asking: Asked, plan: Plan, paces: Paces, record: Record | None = None) -> Sittings:
    """How many sittings it takes and, for a day, the chance; with the sentence that says it."""
    outlook = forecast(plan, paces, record=record, sitting_s=asking.sitting_s)
    needed = outlook.sittings
    assert needed is not None
    told = f"{needed.likely:.0f} likely, {needed.low:.0f} to {needed.high:.0f} in four cases of five"
    out = Sittings(
        sitting_s=asking.sitting_s,
        needed=needed,
        chances=outlook.chances,
        rests_on=outlook.rests_on,
        says=f"Sittings of {minutes(asking.sitting_s)}: {told}, from {outlook.rests_on}.",
    )
    if asking.by is None:
        return out
    answer = possible(outlook, evenings(asking.start, asking.by, asking.weekdays))
    return msgspec.structs.replace(
        out,
        start=asking.start.isoformat(),
        by=asking.by.isoformat(),
        sittings=answer.sittings,
        chance=answer.chance,
        answer=answer.answer,
        says=f"By {asking.by.day} {asking.by:%B %Y}: {answer.says}, from {outlook.rests_on}.",
    )


def unfinished_session(folder: Path) -> At:
    """Read the session that is not finished. WrongUse when there is none."""
    path = under_way(folder)
    if path is None:
        raise WrongUse(f"{shown(folder)} has no unfinished session: there is nothing left over.")
    talk(f"Session: {shown(path)}")
    return read_session(path)


def left_report(outlook: Forecast) -> Left:
    """What is left of a session by its forecast, hands on and waiting, s, and as a sentence."""
    low, likely, high = (
        max(value - outlook.done_s, 0.0)
        for value in (outlook.hands_on.low, outlook.hands_on.likely, outlook.hands_on.high)
    )
    says = f"Left: {minutes(likely)} hands on (80 %: {minutes(low)} to {minutes(high)})"
    if outlook.waiting_s:
        says += f" and {minutes(outlook.waiting_s)} of waits"
    return Left(
        done_s=outlook.done_s,
        hands_on_s=SpanReport(likely, low, high),
        waiting_s=outlook.waiting_s,
        today=outlook.today,
        says=f"{says}; {minutes(outlook.done_s)} done, from {outlook.rests_on}.",
        assumes=outlook.says,
    )
