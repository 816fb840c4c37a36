"""The maker's own times: paces from the sessions beside a project, and what a plan takes and costs with them."""

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import islice
from pathlib import Path

import msgspec

from guide.commands.ask import today
from guide.commands.common import talk
from guide.commands.sessions import At, KeptPlans, project_folder, read_session, tell_damage, under_way
from guide.errors import GuideError, WrongUse
from guide.money.forecast import forecast, forecast_steps
from guide.money.glean import glean
from guide.money.hours import EVERY_DAY, evenings, possible
from guide.money.model import Flag, Forecast, Paces, Seen
from guide.money.paces import learn, pace_of
from guide.money.quote import price_plan
from guide.money.stats import standard_time
from guide.plan.model import Plan
from guide.read.places import shown
from guide.read.spoken import listed
from guide.record.clock import day_text, time_text
from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.model import Event, Record
from guide.record.sessions import opening_of, sessions_below
from guide.show.model_plan import CostReport, ForecastReport, Left, Sittings, SpanReport, StepPace
from guide.show.report_money import cost_report, forecast_report

NEWEST = 100  # sessions that paces are learnt from: older hands were other hands, and a plan must come quickly


class Past(msgspec.Struct, frozen=True):
    """One session and its own plan before anything was measured; None when its texts can no longer be read."""

    record: Record
    plan: Plan | None


class Whose(msgspec.Struct, frozen=True):
    """Whose times are used: a maker's, or those of the sessions that name nobody ("")."""

    maker: str
    says: str = ""  # what the maker must be told: that others work here too, that a name is new
    sure: bool = True  # named, or the only one; else who worked last
    alone: bool = False  # no other is named: sessions that name nobody are theirs too


def whose(root: Path, named: str = "", *, practice: bool = False, whom: str = "", before: str = "") -> Whose:
    """Decide whose times are used: the maker's who is named, else the only one's, else theirs who worked last.

    Only sessions that paces are learnt from make a maker; of those opened before a moment (UTC) where one is given.
    Where no two makers are named, sessions that name nobody are the only one's: who says a name one day is who
    worked the day before.
    """
    named, heads = named.strip(), _counting(root, practice=practice, whom=whom, before=before)
    there: dict[str, None] = {}  # newest first
    for count, head in enumerate(heads):
        if count >= NEWEST and (not named or named in there):
            break
        there[head.maker] = None
    names = {*there, named} - {""}
    if len(names) < 2:
        return Whose("".join(names), alone=True)
    if named and named in there:
        return Whose(named)
    maker, *others = there
    if named:
        return Whose(named, f"No session names {named} yet; there are {_theirs(there)}. Starter paces are used.")
    of = maker or "the sessions that name nobody"
    return Whose(
        maker,
        f"Times are those of {of}, {'who worked' if maker else 'the'} last; there are also {_theirs(others)}. "
        "--maker NAME or FRAYWORK_MAKER says whose to use.",
        sure=False,
    )


def _counting(root: Path, *, practice: bool, whom: str, before: str) -> Iterator[Event]:
    """Give the first records of the sessions that paces are learnt from, the newest first."""
    modes = {"", "real", *(["practice"] if practice else [])}
    for path in _newest_first(root):
        head = opening_of(path)
        if head and head.mode in modes and head.whom == whom and not (before and head.at >= before):
            yield head


def _newest_first(root: Path) -> list[Path]:
    return sorted(sessions_below(root), key=lambda path: path.name, reverse=True)


def _theirs(makers: Iterable[str]) -> str:
    return listed([f"{maker}'s" if maker else "some that name nobody" for maker in sorted(makers)])


def past_under(
    root: Path, mine: Whose, *, newest: int = NEWEST, but: Path | None = None, before: str = ""
) -> list[Past]:
    """Read a maker's newest sessions below a root, oldest first; what stops one is told, and its good part used.

    `but` leaves one out, `before` (UTC) those opened then or later.
    """
    return list(islice(_read(_newest_first(root), mine, but, before), newest))[::-1]


def _read(paths: Iterable[Path], mine: Whose, but: Path | None = None, before: str = "") -> Iterator[Past]:
    """Read and fold a maker's sessions one after another; none is held here once the next is asked for."""
    makers = {mine.maker, *([""] if mine.alone else [])}
    plans = KeptPlans()
    for path in paths:
        head = opening_of(path)
        if head is not None and head.maker not in makers:
            continue
        try:
            found = read_journal(path)
        except GuideError as error:
            talk(f"Left out of your paces: {error}")
            continue
        events = found.events
        if found.damage is not None:
            tell_damage(path, found.damage)
        if not events or events[0].what != "opened" or (before and events[0].at >= before):
            continue
        if but is None or path.resolve() != but.resolve():
            record = fold(events)
            header = msgspec.structs.replace(record.header, maker=mine.maker)
            record = msgspec.structs.replace(record, header=header)
            yield Past(record, plans.of(record))


def seen_of(past: Iterable[Past], *, practice: bool = False) -> Iterator[Seen]:
    """Gather what sessions say about paces, session by session."""
    for one in past:
        steps, make = (one.plan.steps, one.plan.project.make) if one.plan else ((), 1)
        yield from glean(one.record, steps, make=make, practice=practice)


def paces_from(root: Path, named: str = "") -> Paces:
    """Learn one maker's paces from their newest sessions below a sessions root, and tell what must be said of whose."""
    mine = whose(root, named)
    tell(mine)
    return learn(seen_of(past_under(root, mine)), maker=mine.maker)


def paces_of_all(root: Path, named: str = "", *, practice: bool = False, whom: str = "") -> Paces:
    """Learn them from all of that maker's sessions instead, read one at a time, oldest first."""
    mine, past = past_of_all(root, named, practice=practice, whom=whom)
    return learn(seen_of(past, practice=practice), maker=mine.maker, whom=whom, by_session=True)


def past_of_all(root: Path, named: str = "", *, practice: bool = False, whom: str = "") -> tuple[Whose, Iterator[Past]]:
    """Give whose times are used, told, and all their sessions one at a time, oldest first."""
    mine = whose(root, named, practice=practice, whom=whom)
    tell(mine)
    return mine, _read(_newest_first(root)[::-1], mine)


def past_of(root: Path, maker: str) -> Iterator[Past]:
    """Read all sessions that name a maker ("": nobody), one at a time, oldest first."""
    return _read(_newest_first(root)[::-1], Whose(maker))


def everybody(root: Path, *, practice: bool = False, whom: str = "") -> list[str]:
    """List all makers whose sessions paces are learnt from, by name; "" is those that name nobody."""
    return sorted({head.maker for head in _counting(root, practice=practice, whom=whom, before="")})


def begun_by(root: Path, named: str) -> tuple[str, Whose]:
    """Say whom a session begun now is kept as ("": nobody), and whose times stand beside it."""
    mine = whose(root, named)
    if mine.sure and mine.maker and not named.strip():
        says = f"Kept as {mine.maker}'s, the only maker here; --maker NAME names another."
        mine = msgspec.structs.replace(mine, says=says)
    return (mine.maker if mine.sure else ""), mine


def tell(mine: Whose) -> None:
    """Say what must be said of whose times are used."""
    if mine.says:
        talk(mine.says)


def forgotten_in(record: Record, plan: Plan, path: Path) -> list[Flag]:
    """Name the laps of a session that look like a forgotten timer, beside its maker's others; the plan is its first."""
    head = record.header
    past = past_under(project_folder(path).parent, Whose(head.maker), newest=NEWEST - 1, but=path)
    seen = seen_of([*past, Past(record, plan)], practice=head.mode == "practice")
    flags = learn(seen, maker=head.maker, whom=head.whom).flags
    return [flag for flag in flags if flag.session == head.at and flag.pace_s > flag.usual_s]


def money_of(plan: Plan, paces: Paces) -> tuple[ForecastReport, CostReport]:
    """Give the forecast and cost parts of a report, from the maker's own times where there are any."""
    outlook = forecast(plan, paces)
    standard_s = standard_time(outlook.hands_on.likely, plan.project.labour.allowance)
    return forecast_report(outlook, standard_s), cost_report(plan, price_plan(plan, outlook))


def own_paces(plan: Plan, paces: Paces) -> dict[str, float]:
    """Give the maker's own paces for the steps of a plan, s a piece by step key; starter paces are left out."""
    return {step.key: pace for step in plan.steps for pace, rests in [pace_of(paces, step)] if rests != "starter pace"}


def usual_steps(plan: Plan, paces: Paces) -> dict[str, StepPace]:
    """Give what a report's steps say of time, as their forecast has it; a starter pace is left as it is.

    What the steps take is what the forecast adds up, first pieces and trouble too.
    """
    return {
        one.key: StepPace(one.hands_on.likely)
        if one.rests_on == "starter pace"
        else StepPace(one.hands_on.likely, one.pace_s, one.rests_on)
        for one in forecast_steps(plan, paces)
    }


# Whether it can be done: six by the 12th at two hours an evening.


class Asked(msgspec.Struct, frozen=True):
    """By which day, from which, how long at a time, on which days of the week (Monday is 0)."""

    sitting_s: float
    start: date
    by: date | None
    weekdays: frozenset[int]


def asked(
    evening_s: float | None, by: date | None, start: date | None, weekdays: frozenset[int] | None
) -> Asked | None:
    """Read the options; None when nothing was asked. WrongUse when they do not fit together."""
    if evening_s is None:
        if by or start or weekdays:
            raise WrongUse('--by, --from and --on go with --evening: how long you sew at a time, as --evening "2 h".')
        return None
    start = start or today()
    if by is not None and by < start:
        raise WrongUse(f"--by {by}: that day is over; it is {start} now.")
    return Asked(evening_s, start, by, weekdays or EVERY_DAY)


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
        says=f"Sittings of {time_text(asking.sitting_s)}: {told}, from {outlook.rests_on}.",
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
        says=f"By {day_text(asking.by)}: {answer.says}, from {outlook.rests_on}.",
    )


def session_left(folder: Path) -> At:
    """Read the session that is not finished. WrongUse when there is none."""
    path = under_way(folder)
    if path is None:
        raise WrongUse(f"{shown(folder)} has no unfinished session: there is nothing left over.")
    talk(f"Session: {shown(path)}")
    return read_session(path)


def left_report(outlook: Forecast) -> Left:
    """What is left of a session by its forecast, hands on and waiting, s, and as a sentence."""
    whole = outlook.hands_on
    low, likely, high = (max(value - outlook.done_s, 0.0) for value in (whole.low, whole.likely, whole.high))
    says = f"Left: {time_text(likely)} hands on (80 %: {time_text(low)} to {time_text(high)})"
    if outlook.waiting_s:
        says += f" and {time_text(outlook.waiting_s)} of waits"
    return Left(
        done_s=outlook.done_s,
        hands_on_s=SpanReport(likely, low, high),
        waiting_s=outlook.waiting_s,
        today=outlook.today,
        says=f"{says}; {time_text(outlook.done_s)} done, from {outlook.rests_on}.",
        assumes=outlook.says,
    )
