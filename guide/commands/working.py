"""How much work is left of an order: from its session under way, from a plan of so many, or as was said."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import msgspec

from guide.book.model import Order
from guide.book.orders import Job
from guide.commands.common import SESSIONS, talk
from guide.commands.on_shelf import open_here
from guide.commands.planned import plan_of
from guide.commands.sessions import read_session, under_way
from guide.commands.times import paces_from
from guide.errors import GuideError
from guide.money.forecast import draws_of, forecast
from guide.money.model import Paces
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.plan.shopping import share_shelf, shopping_of
from guide.read.check import Language
from guide.read.places import PROJECT_FILE, shown
from guide.record.model import Record
from guide.show.report_cloth import shopping_report
from guide.show.words import minutes


class Work(msgspec.Struct, frozen=True):
    """The work of an order: hands-on and waits, s, what it was reckoned from, and that in words."""

    job: Job
    says: str
    plan: Plan | None = None
    language: Language | None = None  # its plan's
    record: Record | None = None
    resting_s: float = 0.0
    under_way: bool = False
    known: bool = True  # False: nobody said or can reckon how long it takes


def work_of(order: Order, known: Mapping[str, Any]) -> Work:
    """Give what is left of an order; `known` may hold the maker's `paces`. What cannot be planned is told."""
    left = order.count - order.delivered
    due = date.fromisoformat(order.due) if order.due else None
    if not order.project:
        hands_s = order.hours * 3600 * left
        if not hands_s:
            return _unknown(order, due, "how long it takes is not said")
        return Work(Job(order.number, hands_s, 0.0, due), f"{minutes(hands_s)}, as it was said")
    try:
        return _planned(order, left, due, known.get("paces") or paces_from(SESSIONS))
    except GuideError as error:
        talk(f"Order {order.number} cannot be planned: {error}")
        return _unknown(order, due, "cannot be planned")


def _unknown(order: Order, due: date | None, why: str) -> Work:
    return Work(Job(order.number, 0.0, 0.0, due), f"{why}: reckoned as nothing", known=False)


def _planned(order: Order, left: int, due: date | None, paces: Paces) -> Work:
    folder = SESSIONS / order.project
    path = under_way(folder)
    at = read_session(path) if path is not None else None
    if at is not None and at.record is not None and at.record.begun:
        outlook = forecast(at.plan, paces, record=at.record)
        hands_s = max(outlook.hands_on.likely - outlook.done_s, 0.0) + outlook.resting_s
        says = f"{minutes(hands_s)} left of {shown(path)}" if path else ""
        return Work(
            Job(order.number, hands_s, outlook.waiting_s, due),
            says,
            at.plan,
            at.language,
            at.record,
            outlook.resting_s,
            under_way=True,
        )
    own = open_here(folder / PROJECT_FILE)
    same = own.project.make == left
    here = own if same else open_here(folder / PROJECT_FILE, [f"make={left}"])
    plan = plan_of(here) if same else make_plan(here.project, here.language)
    outlook = forecast(plan, paces)
    hands_s = outlook.hands_on.likely + outlook.resting_s
    says = f"{minutes(hands_s)} and {minutes(outlook.waiting_s)} of waits, from {outlook.rests_on}"
    return Work(Job(order.number, hands_s, outlook.waiting_s, due), says, plan, here.language, None, outlook.resting_s)


def draws_for(work: Sequence[Work], paces: Paces) -> list[list[float]]:
    """Draw what each order takes, hands on and rests, s, in this sequence: the forecast's own draws."""
    jobs = [(one.plan, one.record) for one in work if one.plan is not None]
    out = []
    for drawn in draws_of(jobs, paces):
        mine = iter(drawn)
        out.append([next(mine) + one.resting_s if one.plan is not None else one.job.hands_s for one in work])
    return out


def bought_for(work: Sequence[Work]) -> list[dict[str, Any]]:
    """Give one shopping list for the orders whose cloth is not cut yet, each from what those before it leave."""
    plans: list[Plan] = []
    for one in work:
        if one.plan is None or one.language is None or one.under_way:
            continue
        mine = one.plan.project
        alike = [plan for plan in plans if plan.project.washed_first == mine.washed_first]
        left = share_shelf(mine, alike)
        try:
            plans.append(one.plan if left == mine else make_plan(left, one.language))
        except GuideError as error:  # what is left does not do, and nothing of it can be bought
            talk(f"Order {one.job.number}, from what is left for it: {error}")
    rows = shopping_report(shopping_of(plans), [plan.project for plan in plans]) if plans else ()
    return [msgspec.to_builtins(row) for row in rows]
