"""`guide plan A B`: several projects from one shelf, one shopping list; with `--cutting`, all cut on one day."""

from collections.abc import Sequence
from decimal import Decimal

import msgspec

from guide.commands.sessions import plan_of
from guide.commands.times import paces_from
from guide.errors import GuideError, WrongUse
from guide.money.forecast import forecast, forecast_steps, whose_times
from guide.money.glean import base_key
from guide.money.model import Paces
from guide.plan.day import CUT, PILE, PRESS, cutting_day, shares_of, times_of
from guide.plan.model import Plan
from guide.plan.shopping import share_shelf, shopping_of, used_cost
from guide.read.places import Opened, shown, to_type
from guide.show.cutting_day import DayReport, Hours, day_report
from guide.show.cutting_lines import short_rows
from guide.show.model import Report
from guide.show.model_plan import BuyReport
from guide.show.plan_lines import to_buy
from guide.show.report import plain_report, plan_report
from guide.show.report_numbers import shopping_report
from guide.show.table import pairs


def planned_in_turn(asked: Sequence[Opened], spare: int = 0) -> list[Plan]:
    """Plan projects one after another; each cuts from what those before it leave. Raises GuideError."""
    plans: list[Plan] = []
    _treated_alike(asked)
    for one in asked:
        left = msgspec.structs.replace(one, project=share_shelf(one.project, plans))
        try:
            plans.append(plan_of(left, spare))
        except GuideError as error:
            earlier = ", ".join(plan.project.title for plan in plans)
            after = f" (the cloth on hand less what is cut from it for {earlier})" if plans else ""
            error.args = (f"{shown(one.folder)}{after}: {error}",)
            raise
    return plans


def _treated_alike(asked: Sequence[Opened]) -> None:
    """Refuse one shelf for washed and unwashed cloth: what one leaves is not what the other takes it for.

    Raises WrongUse.
    """
    washed = [shown(one.folder) for one in asked if one.project.washed_first]
    if washed and len(washed) < len(asked):
        raise WrongUse(
            f"{' and '.join(washed)} cut washed cloth, and the rest cut it unwashed: they have no shelf in common. "
            "Write washed_first: true in all of them or in none, or plan them apart."
        )


class Together(msgspec.Struct, frozen=True):
    """Projects planned from one stash, what each uses of it, and one shopping list."""

    projects: tuple[tuple[Report, str], ...]  # each with the worth of the cloth it uses
    shopping: tuple[BuyReport, ...]
    bought: str
    currency: str


def together_report(plans: Sequence[Plan]) -> Together:
    """All plans, with the shopping list for all of them."""
    shopping = shopping_report(shopping_of(plans), [plan.project for plan in plans])
    costs = [Decimal(line.cost) for line in shopping if line.cost]
    return Together(
        projects=tuple((plan_report(plan), f"{used_cost(plan.project, plan.cutting)}") for plan in plans),
        shopping=shopping,
        bought=f"{sum(costs, Decimal(0)):.2f}",
        currency=plans[0].project.currency,
    )


def plain(data: Together) -> object:
    """Make it plain, as JSON gives it back."""
    return msgspec.structs.asdict(data) | {
        "projects": [plain_report(one) | {"cloth_used": used} for one, used in data.projects]
    }


def together_lines(data: Together) -> list[str]:
    """What each project cuts, then one list for the shop."""
    out: list[str] = []
    for one, used in data.projects:
        out.append(f"{one.project.title}, {one.project.make} to make")
        name = ""
        for begins, line in short_rows(one):
            name = begins or name
            out.append(f"  {name}, {line}")
        out += [f"  cloth used: {used} {one.project.currency}", ""]
    out.append(f"Shopping for all of them, {data.currency}")
    in_all = f"{'':<10}{data.bought:>9}"
    return [*out, *pairs([*to_buy(data.shopping), ("in all, where prices are given", in_all)])]


def day_together(asked: Sequence[Opened], spare: int, maker: str) -> DayReport:
    """Cut all projects on one day, at the maker's own paces where there are any. Raises GuideError."""
    plans = planned_in_turn(asked, spare)
    day = cutting_day(plans, [one.project for one in asked])
    paces = paces_from(asked[0].folder.parent, maker)
    own = [_cutting_s(plan, paces) for plan in plans]
    shares = shares_of(day, times_of(day, plans).saved(), own)
    hours = []
    for plan, mine, share in zip(plans, own, shares, strict=True):
        apart_s = sum(mine.values())
        whole = forecast(plan, paces, factors=dict.fromkeys(mine, share)).hands_on
        alone_s = sum(step.hands_on.likely for step in forecast_steps(plan, paces))
        hours.append(Hours(apart_s * share, apart_s, whole.likely, whole.low, whole.high, alone_s))
    rests_on = whose_times(paces, [step for plan in plans for step in forecast_steps(plan, paces)])
    return day_report(day, plans, hours, [to_type(one.folder) for one in asked], rests_on)


def _cutting_s(plan: Plan, paces: Paces) -> dict[str, float]:
    """What the steps that are done on a cutting day take this maker by themselves, s, by stage/id."""
    out: dict[str, float] = {}
    for step in forecast_steps(plan, paces):
        if (base := base_key(step.key)) in {PRESS, CUT, PILE}:
            out[base] = out.get(base, 0.0) + step.hands_on.likely
    return out
