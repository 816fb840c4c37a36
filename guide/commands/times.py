"""The maker's own times: paces from the sessions beside a project, and what a plan takes and costs with them."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec

from guide.commands.common import talk
from guide.commands.planned import KeptPlans
from guide.commands.sessions import tell_damage
from guide.errors import GuideError
from guide.money.forecast import forecast, forecast_steps
from guide.money.glean import glean
from guide.money.model import Paces, Seen
from guide.money.paces import learn, pace_of
from guide.money.quote import price_plan
from guide.money.work_study import standard_time
from guide.plan.model import Plan
from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.model import Record
from guide.record.sessions import sessions_below
from guide.show.report_money import cost_dict, forecast_dict
from guide.show.words import minutes

NEWEST = 100  # sessions that paces are learnt from: older hands were other hands, and a plan must come quickly


class Past(msgspec.Struct, frozen=True):
    """One session and its own plan before anything was measured; None when its texts can no longer be read."""

    record: Record
    plan: Plan | None


def past_under(root: Path, *, newest: int = NEWEST, but: Path | None = None, before: str = "") -> list[Past]:
    """Read the newest sessions below a root, oldest first; what stops one is told, and its good part used.

    `but` leaves one out, `before` (UTC) those opened then or later.
    """
    plans = KeptPlans()
    past: list[Past] = []
    for path in sorted(sessions_below(root), key=lambda path: path.name, reverse=True):
        if len(past) == newest:
            break
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
            past.append(Past(record, plans.of(record)))
    return past[::-1]


def seen_of(past: Iterable[Past], *, practice: bool = False) -> list[Seen]:
    """Gather what sessions say about paces."""
    seen: list[Seen] = []
    for one in past:
        steps, make = (one.plan.steps, one.plan.project.make) if one.plan else ((), 1)
        seen += glean(one.record, steps, make=make, practice=practice)
    return seen


def paces_from(
    root: Path, *, practice: bool = False, maker: str | None = None, whom: str = "", newest: int = NEWEST,
    but: Path | None = None,
) -> Paces:  # fmt: skip
    """Learn the maker's paces from the newest sessions below a sessions root; `but` leaves one out."""
    return learn(seen_of(past_under(root, newest=newest, but=but), practice=practice), maker=maker, whom=whom)


def money_of(plan: Plan, paces: Paces) -> dict[str, Any]:
    """Give the forecast and cost parts of a report, from the maker's own times where there are any."""
    outlook = forecast(plan, paces)
    standard_s = standard_time(outlook.hands_on.likely, plan.project.labour.allowance)
    ahead = forecast_dict(outlook) | {"standard_s": standard_s}
    return {"forecast": ahead, "cost": cost_dict(plan, price_plan(plan, outlook))}


def own_paces(plan: Plan, paces: Paces) -> dict[str, float]:
    """Give the maker's own paces for the steps of a plan, s a piece by step key; starter paces are left out."""
    return {step.key: pace for step in plan.steps for pace, rests in [pace_of(paces, step)] if rests != "starter pace"}


def usual_steps(plan: Plan, paces: Paces) -> dict[str, dict[str, Any]]:
    """Give what a report's steps say of time from the maker's own paces; starter paces are left as they are."""
    return {
        one.key: {
            "pace_s": one.pace_s,
            "pace_from": one.rests_on,
            "hands_on_s": one.pace_s * one.pieces,
            "hands_on_text": minutes(one.pace_s * one.pieces),
        }
        for one in forecast_steps(plan, paces)
        if one.rests_on != "starter pace"
    }
