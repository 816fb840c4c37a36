"""The maker's own times: paces from the sessions beside a project, and what a plan takes and costs with them."""

from pathlib import Path
from typing import Any

from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.model import Paces, Seen
from guide.money.paces import learn, pace_of
from guide.money.quote import price_plan
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.places import from_texts
from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.model import Record
from guide.record.sessions import sessions_below
from guide.show.report_money import cost_dict, forecast_dict

NEWEST = 200  # sessions that paces are learnt from: older hands were other hands


def paces_from(root: Path, *, practice: bool = False, maker: str | None = None, whom: str = "") -> Paces:
    """Learn the maker's paces from the newest sessions below a sessions root; damaged ones give their good part."""
    return learn(seen_under(root, practice=practice), maker=maker, whom=whom)


def seen_under(root: Path, *, practice: bool = False, but: Path | None = None, before: str = "") -> list[Seen]:
    """Gather what every session below a root says; `but` leaves one out, `before` (UTC) those opened later."""
    seen: list[Seen] = []
    plans: dict[tuple[str, tuple[tuple[str, str], ...]], Plan] = {}
    for path in sorted(sessions_below(root), key=lambda path: path.name)[-NEWEST:]:
        if but is not None and path.resolve() == but.resolve():
            continue
        events = read_journal(path).events
        if not events or events[0].what != "opened" or (before and events[0].at >= before):
            continue
        record = fold(events)
        plan = _plan_of(record, plans)
        if plan is not None:
            seen += glean(record, plan.steps, make=plan.project.make, practice=practice)
    return seen


def _plan_of(record: Record, plans: dict[tuple[str, tuple[tuple[str, str], ...]], Plan]) -> Plan | None:
    """Plan a past session from the texts it keeps, once for all sessions with the same texts."""
    key = (record.project_text, tuple(sorted(record.stage_texts.items())))
    if key not in plans:
        project, language = from_texts(record.project_text, record.stage_texts, "project.yaml")
        plans[key] = make_plan(project, language, None, record.layout)
    return plans[key]


def money_of(plan: Plan, folder: Path) -> dict[str, Any]:
    """Give the forecast and cost parts of a report, from the maker's own times where there are any."""
    outlook = forecast(plan, paces_from(folder.parent))
    return {"forecast": forecast_dict(outlook), "cost": cost_dict(plan, price_plan(plan, outlook))}


def own_paces(plan: Plan, paces: Paces) -> dict[str, float]:
    """Give the maker's own paces for the steps of a plan, s a piece by step key; starter paces are left out."""
    return {step.key: pace for step in plan.steps for pace, rests in [pace_of(paces, step)] if rests != "starter pace"}
