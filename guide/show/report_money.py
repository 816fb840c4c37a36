"""A forecast and a price as the report prints them: amounts as texts, to the cent."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import groupby

import msgspec

from guide.money.model import Costs, Forecast, Price, Quote, StepActual
from guide.money.price import Offer
from guide.plan.model import Plan
from guide.plan.shopping import money, used_costs
from guide.read.spoken import counted, percent
from guide.record.clock import SHORT_MS, clock_face, day_text, exact_text, iso, local, time_text, wall_ms
from guide.record.model import Lap, Measure, Record, Remark, Sitting
from guide.show.model import Compared, DaySewn, Moment, SittingReport, StepCompared, When
from guide.show.model_plan import (
    CostLine,
    CostReport,
    ForecastReport,
    PricePart,
    SpanReport,
    StageWork,
    StationWork,
    StepReport,
    Stretch,
    Work,
    told_of,
)
from guide.show.report_numbers import seconds_each
from guide.show.table import Column, Table, table
from guide.show.words import Said, minutes_each

# Times in a report: moments in local time, when a session was worked, and what the steps of a plan add up to.


def moment(wall_ms: int, offset_min: int) -> Moment:
    """A moment for machines and for people."""
    at = local(wall_ms, offset_min)
    return Moment(
        iso=datetime.fromisoformat(iso(wall_ms, offset_min)).isoformat(timespec="seconds"),
        day=day_text(at),
        clock=clock_face(wall_ms, offset_min),
        short=f"{at.day} {at:%b %H:%M}",
    )


def offset_at(record: Record, wall_ms: int) -> int:
    """Local time minus UTC at a moment: of the sitting it fell in, else of the opening."""
    for sitting in record.sittings:
        if sitting.start <= wall_ms <= sitting.end:
            return sitting.offset
    return record.header.offset


Steps = Sequence[StepReport]


def shared(steps: Steps) -> tuple[StepReport, ...]:
    """Write the steps' own `hands_on_text`, so that they add up to the stretches of their stage."""
    out: list[StepReport] = []
    for mine, parts in _stretches(steps):
        for run, part in zip(mine, parts, strict=True):
            for step, one in zip(run, minutes_each([step.hands_on_s for step in run], part.seconds), strict=True):
                out.append(msgspec.structs.replace(step, hands_on_text=one.text))
    return tuple(sorted(out, key=lambda step: step.number))


def work_report(steps: Steps) -> Work:
    """What is to be done by stage, by station, and in the order of work: printed, each adds up to the same total.

    A stage stands in the order of work as often as others come between its steps.
    """
    stages, stations = _by(steps, lambda step: step.stage), _by(steps, lambda step: step.station)
    waits = minutes_each([sum(step.waits_s or 0.0 for step in mine) for mine in stages])
    order = [
        Stretch(*_row(run, part), run[0].number)
        for runs, parts in _stretches(steps)
        for run, part in zip(runs, parts, strict=True)
    ]
    return Work(
        stages=tuple(
            StageWork(*_row(mine, one), wait.text if wait.seconds else "")
            for mine, one, wait in zip(stages, _share(stages), waits, strict=True)
        ),
        stations=tuple(
            StationWork(*_row(mine, one), mine[0].station) for mine, one in zip(stations, _share(stations), strict=True)
        ),
        order=tuple(sorted(order, key=lambda row: row.first)),
    )


def _stretches(steps: Steps) -> Iterator[tuple[list[Steps], list[Said]]]:
    """Each stage's runs of steps, and what each takes of what the stage does."""
    runs = [list(run) for _, run in groupby(steps, lambda step: step.stage)]
    stages = _by(steps, lambda step: step.stage)
    for mine, whole in zip(stages, _share(stages), strict=True):
        own: list[Steps] = [run for run in runs if run[0].stage == mine[0].stage]
        yield own, _share(own, whole.seconds)


def _by(steps: Steps, what: Callable[[StepReport], str]) -> list[Steps]:
    groups: dict[str, list[StepReport]] = {}
    for step in steps:
        groups.setdefault(what(step), []).append(step)
    return list(groups.values())


def _share(groups: Sequence[Steps], total_s: int | None = None) -> list[Said]:
    """Say what groups of steps take; one of short steps only is what these add up to."""
    short = {i for i, mine in enumerate(groups) if all(round(step.hands_on_s * 1000) < SHORT_MS for step in mine)}
    return minutes_each([sum(step.hands_on_s for step in mine) for mine in groups], total_s, short)


def _row(mine: Steps, told: Said) -> tuple[str, str, int, float, str]:
    """Stage, title, steps, seconds and their words: what all rows begin with."""
    return mine[0].stage, mine[0].stage_title, len(mine), sum(step.hands_on_s for step in mine), told.text


def when_report(record: Record) -> When:
    """The days of the work, whatever day it was written down on, its sittings, and the days on paper."""
    paper = [lap for lap in record.laps() if lap.by_hand and lap.counted]
    sat = _sat(record) if paper else record.sittings
    header, last = record.header, record.last
    begun = [(one.start, one.start_offset) for one in sat] + [(one.start, one.start_offset) for one in paper]
    begun = begun or [(wall_ms(header.at), header.offset)]
    over = [(one.end, one.offset) for one in paper]
    if last and (sat or not paper):
        over.append((last.wall, last.offset))
    rows = [*map(_sitting, sat), *_days(paper)]
    told = tuple(
        msgspec.structs.replace(row, counted_text=exact_text(whole))
        for row, whole in zip(rows, seconds_each([row.counted_s for row in rows]), strict=True)
    )
    typed = (day_text(local(lap.typed, lap.offset)) for lap in sorted(paper, key=lambda p: p.typed))
    return When(
        moment(*min(begun)),
        moment(*max(over or begun)),
        told[: len(sat)],
        told[len(sat) :],
        tuple(dict.fromkeys(typed)),
        _sewn_on(told),
    )


def _sewn_on(rows: Iterable[SittingReport]) -> tuple[DaySewn, ...]:
    """The days on which anything was worked; of a sitting past midnight, both."""
    days = {at.iso[:10]: at.day for row in rows if row.counted_s for at in (row.start, row.end)}
    return tuple(DaySewn(iso, days[iso]) for iso in sorted(days))


def _sat(record: Record) -> list[Sitting]:
    """The sittings in which something was done besides typing in."""
    told: list[Measure | Remark] = [*record.remarks, *(one for many in record.measures.values() for one in many)]
    at = [one.at for one in told if not one.by_hand]
    return [one for one in record.sittings if one.counted_ms or any(one.start <= told <= one.end for told in at)]


def _sitting(sitting: Sitting) -> SittingReport:
    return SittingReport(
        sitting.number,
        moment(sitting.start, sitting.start_offset),
        moment(sitting.end, sitting.offset),
        sitting.counted_ms / 1000,
    )


def _days(laps: Iterable[Lap]) -> list[SittingReport]:
    """The days that were kept on paper, from the first start to the last end."""
    days: dict[str, list[Lap]] = {}
    for lap in sorted(laps, key=lambda one: one.start):
        days.setdefault(day_text(local(lap.start, lap.start_offset)), []).append(lap)
    return [
        SittingReport(
            None,
            moment(mine[0].start, mine[0].start_offset),
            moment(*max((lap.end, lap.offset) for lap in mine)),
            sum(lap.counted_ms for lap in mine) / 1000,
        )
        for mine in days.values()
    ]


def forecast_report(forecast: Forecast, standard_s: float | None = None) -> ForecastReport:
    """A forecast as plain figures, s, and as words; `standard_s`: with the rests that are allowed."""
    hands_on = forecast.hands_on
    return told_of(
        ForecastReport,
        forecast,
        hands_on_s=told_of(SpanReport, hands_on),
        clock_s=told_of(SpanReport, forecast.clock),
        text=time_text(hands_on.likely),
        range_text=f"{time_text(hands_on.low)} to {time_text(hands_on.high)}",
        standard_s=standard_s,
    )


def compared_report(rows: Sequence[StepActual]) -> Compared:
    """Forecast beside actual of the finished steps, by key, and how many lay inside their range."""
    within = sum(row.within for row in rows)
    says = (
        f"{within} of {len(rows)} finished steps lay inside the range their forecast gave before the session; "
        "four in five is what it promises."
    )
    steps = {
        row.key: told_of(
            StepCompared,
            row,
            likely_s=row.forecast.likely,
            low_s=row.forecast.low,
            high_s=row.forecast.high,
            range_text=f"{exact_text(row.forecast.low)} to {exact_text(row.forecast.high)}",
        )
        for row in rows
    }
    return Compared(steps, within, len(rows), says if rows else "")


def cost_report(plan: Plan, quote: Quote) -> CostReport:
    """The cost of all makes and the price of one, taken apart; money as text."""
    cloths = used_costs(plan.project, plan.cutting)
    used, bought = (sum((getattr(one, name) for one in cloths), Decimal(0)) for name in ("used", "bought"))
    costs, price = quote.costs, quote.price
    return told_of(
        CostReport,
        quote,
        cloth_used=money(used),
        cloth_bought=money(bought),
        cloth_text=f"cloth {money(used)} of it; the cloth bought costs {money(bought)}",
        **_amounts(costs, "materials", "labour", "overhead", "cost"),
        materials_bought=money(costs.bought),
        price=money(price.paid),
        price_text=price_text(quote),
        price_low=_known(quote.low),
        price_high=_known(quote.high),
        hours_text=time_text(costs.hours * 3600),
        resting_text=time_text(costs.resting_s) if costs.resting_s else "",
        lines=tuple(told_of(CostLine, one) for one in costs.lines),
        apart=_apart(price),
        hourly=_known(price.hourly),
        margin_text="" if price.margin is None else share_text(price.margin),
        markup_text="" if price.markup is None else share_text(price.markup),
        left_out=costs.says,
        on_hand=any(cloth.on_hand for cloth in cloths),
    )


PARTS = ("paid", "tax", "cost", "unsold", "fee", "fee_each", "part", "packing", "selling", "pitch", "day")


def _amounts(of: Costs | Price, *names: str) -> dict[str, str]:
    """Some amounts by their names, as texts."""
    return {name: money(getattr(of, name)) for name in names}


def _known(amount: Decimal | None) -> str | None:
    return None if amount is None else money(amount)


def share_text(share: float) -> str:
    """Say a share to a tenth of a per cent: 35.1 %."""
    return percent(share, 1)


def price_text(quote: Quote) -> str:
    """What one is asked for as people read it: `at least` where something in it has no price."""
    return f"{'at least ' if quote.at_least else ''}{money(quote.price.paid)}"


def amounts(cost: CostReport) -> list[tuple[str, str, str]]:
    """A cost's parts as they sum to it, and the price: name, amount, and what more is said of it."""
    return [
        ("materials used", cost.materials, cost.cloth_text),
        ("labour", cost.labour, ""),
        ("overhead", cost.overhead, ""),
        ("cost", cost.cost, ""),
        ("price of one" if cost.make > 1 else "price", cost.price_text, ""),
    ]


def _apart(price: Price) -> tuple[PricePart, ...]:
    """One article's price taken apart, the parts that are not nothing."""
    parts = (
        ("cost of making", price.cost),
        ("made in vain, what nobody buys", price.unsold),
        ("packing", price.packing),
        ("time for a sale", price.selling),
        ("pitch of a day's stall", price.pitch),
        ("hours of a day's stall", price.day),
        ("fee on the price", price.fee),
        ("fee each", price.fee_each),
        ("a shop's part", price.part),
        ("tax", price.tax),
        ("profit", price.profit),
    )
    return tuple(PricePart(name, money(amount)) for name, amount in parts if amount)


# Where it is sold, and which of several earns most: one table, for the terminal, the page and JSON.

HOUR = (
    "After wage: what is left once your own time is paid. Your hour: that and your wage, over your hours all told, at "
    "the table, selling, there and on the road. Under the floor you pay to work."
)


def sold_table(many: Sequence[Offer], currency: str, *, label: str = "Where it is sold") -> Table:
    """Each offer a row; what is the same in all of them has no column."""
    several = any(one.title != many[0].title or one.make != many[0].make or one.tried for one in many)
    selling = any(_selling(one) for one in many)
    columns = [
        Column[Offer]("what", lambda one: one.title, shown=len({one.title for one in many}) > 1),
        Column[Offer]("make", lambda one: f"{one.make}", number=True, shown=several),
        Column[Offer]("with", lambda one: one.tried, shown=any(one.tried for one in many)),
        Column[Offer]("at", lambda one: one.at, shown=any(one.at for one in many)),
        Column[Offer]("one takes", lambda one: time_text(one.each_s), number=True, shown=several),
        _amount("price", lambda one: one.price.paid),
        _amount("fees", lambda one: one.price.fee + one.price.fee_each + one.price.part, shown=not several),
        _amount("packing", lambda one: one.price.packing, shown=not several),
        _amount("selling", _selling, shown=selling and not several),
        _amount("after wage", lambda one: one.price.profit),
        _amount("your hour", lambda one: one.price.hourly),
        _amount("floor", lambda one: one.floor),
    ]
    return table(columns, [many], label=f"{label}, {currency}")


def _amount(head: str, says: Callable[[Offer], Decimal | None], *, shown: bool = True) -> Column[Offer]:
    """A column of amounts; what has no price has none."""

    def cell(one: Offer) -> str:
        amount = says(one)
        return "—" if amount is None or one.unpriced else money(amount)

    return Column[Offer](head, cell, number=True, shown=shown)


def sold_says(many: Sequence[Offer]) -> list[str]:
    """What the table's figures mean, and what is not in them, place by place."""
    out = [HOUR]
    if any(one.unpriced for one in many):
        out.append("— has no price at all: its project gives none.")
    if any(one.at_least and not one.unpriced for one in many):
        out.append("Something in it has no price: every price is at least that, and what is left is less.")
    days = dict.fromkeys((one.at, one.pays_from) for one in many if one.pays_from is not None)
    if len({(one.title, one.make, one.tried) for one in many}) == 1:
        out += [f"A day at {at or 'the stall'} pays from {counted(sold, 'piece')} sold." for at, sold in days]
    places = dict.fromkeys((one.at, one.uncounted) for one in many if one.uncounted)
    if places:
        told = [f"{f'at {at} ' if at else ''}{', '.join(names)}" for at, names in places]
        out.append(f"Not counted: {'; '.join(told)}.")
    return out


def sold_rows(many: Sequence[Offer]) -> list[dict[str, object]]:
    """The same as plain data; money as text, times in s."""
    return [
        {
            "title": one.title,
            "make": one.make,
            "set": one.tried,
            "at": one.at,
            "each_s": one.each_s,
            **_amounts(one.price, *PARTS),
            "after_wage": money(one.price.profit),
            "an_hour": _known(one.price.hourly),
            "floor": money(one.floor),
            "pays_from": one.pays_from,
            "not_counted": list(one.uncounted),
            "at_least": one.at_least,
            "unpriced": one.unpriced,
        }
        for one in many
    ]


def _selling(one: Offer) -> Decimal:
    """The place's own costs besides fees and packing: time, a share of a day, what is made in vain."""
    price = one.price
    return price.selling + price.pitch + price.day + price.unsold
