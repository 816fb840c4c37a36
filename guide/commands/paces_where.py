"""What paces rest on, and where the time goes: `guide paces --where`, `--pupils`, and `guide why pace STAGE/ID`."""

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from statistics import median

import msgspec

from guide.commands.times import Past, everybody, past_of, past_of_all, seen_of
from guide.errors import WrongUse
from guide.money.evidence import Evidence, Paid, Reading, Spent, Worth, evidence, spent, worth_timing
from guide.money.forecast import forecast
from guide.money.glean import glean
from guide.money.model import Pace, Paces, Seen
from guide.money.paces import learn
from guide.money.price import NOTHING, exact, per_hour
from guide.plan.model import Plan
from guide.plan.shopping import CENT, money
from guide.read.model import did_you_mean
from guide.read.spoken import counted, percent
from guide.record.clock import exact_text, time_text
from guide.show.table import Cell, Column, Table, lines, table

# `guide paces --where`: hours and money by step; `guide paces --pupils`: who is slow where.

SLOW = 1.25  # over the others' middle pace


class Where(msgspec.Struct, frozen=True):
    """Where a maker's hours went, and what is worth timing for the article they made last."""

    maker: str
    steps: list[Spent]
    article: str
    currency: str
    worth: list[Worth]


def where(root: Path, named: str, *, practice: bool, whom: str) -> Where:
    """Add up a maker's newest year, step by step."""
    mine, past = past_of_all(root, named, practice=practice, whom=whom)
    paid: list[Paid] = []
    newest: Plan | None = None
    seen: list[Seen] = []
    for one in past:
        if one.record.header.whom != whom:
            continue
        steps, make = (one.plan.steps, one.plan.project.make) if one.plan else ((), 1)
        rows = glean(one.record, steps, make=make, practice=practice)
        seen += rows
        paid += [Paid(row, _an_hour(one), one.plan.project.currency if one.plan else "") for row in rows]
        newest = one.plan if rows and one.plan else newest
    if newest is None:
        return Where(mine.maker, spent(paid), "", "", [])
    paces = learn(seen, maker=mine.maker, whom=whom)
    worth = worth_timing(newest, paces, forecast(newest, paces), _worth(newest))
    return Where(mine.maker, spent(paid), newest.project.title, newest.project.currency, worth)


def _an_hour(one: Past) -> Decimal:
    return NOTHING if one.plan is None else _worth(one.plan)


def _worth(plan: Plan) -> Decimal:
    """What an hour at the table costs: labour with its allowance, and overhead."""
    labour = plan.project.labour
    return per_hour(labour.rate) * (1 + exact(labour.allowance)) + per_hour(plan.project.sell.overhead)


def where_lines(told: Where) -> list[str]:
    """Lay it out for the terminal."""
    if not told.steps:
        return []
    whole = math.fsum(one.labour_s for one in told.steps)
    whose = f"{told.maker}: " if told.maker else ""
    out = [f"{whose}{time_text(whole)} of labour in the year up to the newest session", ""]
    out += [*lines(_spent_table(told.steps), heads=True), ""]
    out += [f"  {line}" for line in SAYS]
    if told.worth:
        out += ["", f"Timed once more, these would narrow the price of {told.article} most:"]
        out += [
            f"  {one.title}, by {time_text(one.narrows_s) if one.narrows_s >= 1 else 'under a second'}"
            + (f" or {money(one.narrows)} {told.currency}" if one.narrows >= CENT else "")
            + " on each side"
            for one in told.worth
        ]
    return out


SAYS = (
    "Setting up: first pieces beyond the middle later one; scatter: slower ones beyond it; trouble: as you called it.",
    "Money: labour with its allowance, and overhead, by each session's project. A tenth: what 10 % less would bring.",
)


def _spent_table(steps: Sequence[Spent]) -> Table:
    parts = {name: math.fsum(getattr(one, name) for one in steps) for name in _PARTS}
    sums = Spent(base="", title="all of it", pieces=0, money=_added([one.money for one in steps]), **parts)
    currencies = sums.money.keys()
    only = f", {next(iter(currencies))}" if len(currencies) == 1 else ""
    columns = [
        Column[Spent]("step", lambda one: one.title),
        Column[Spent]("hours", lambda one: _h(one.labour_s), number=True),
        Column[Spent](f"money{only}", lambda one: _money(one.money, only), number=True),
        Column[Spent]("setting up", lambda one: _h(one.setting_up_s), number=True),
        Column[Spent]("scatter", lambda one: _h(one.scatter_s), number=True),
        Column[Spent]("trouble", lambda one: _h(one.trouble_s), number=True),
        Column[Spent]("a tenth", lambda one: _money(one.tenth, only), number=True),
    ]
    return table(columns, [steps, [sums]])


_PARTS = ("labour_s", "at_pace_s", "setting_up_s", "scatter_s", "trouble_s")


def _h(seconds: float) -> str:
    return f"{seconds / 3600:z.2f}"


def _added(many: Sequence[Mapping[str, Decimal]]) -> dict[str, Decimal]:
    out: dict[str, Decimal] = {}
    for one in many:
        for currency, amount in one.items():
            out[currency] = out.get(currency, NOTHING) + amount
    return out


def _money(amounts: Mapping[str, Decimal], only: str) -> str:
    """Amounts by currency; where there is `only` one, the column's head says which."""
    return " + ".join(
        money(amount) if only else f"{money(amount)} {currency}".strip()
        for currency, amount in amounts.items()
        if amount
    )


def plain_where(told: Where) -> object:
    """Give it as plain data: s, and money as text."""
    return {
        "maker": told.maker,
        "steps": [
            {"step": one.base, "title": one.title, "pieces": one.pieces}
            | {name: getattr(one, name) for name in _PARTS}
            | {
                "money": {currency: money(amount) for currency, amount in one.money.items()},
                "tenth": {currency: money(amount) for currency, amount in one.tenth.items()},
            }
            for one in told.steps
        ],
        "article": told.article,
        "currency": told.currency,
        "worth_timing": [
            {"step": one.base, "title": one.title, "narrows_s": one.narrows_s, "narrows": money(one.narrows)}
            for one in told.worth
        ],
    }


def pupils(root: Path, *, practice: bool, whom: str) -> dict[str, Paces]:
    """Each maker's own paces, by name. Raises WrongUse where there are not two who timed anything."""
    timed: dict[str, Paces] = {}
    for maker in everybody(root, practice=practice, whom=whom):
        paces = learn(seen_of(past_of(root, maker), practice=practice), maker=maker, whom=whom)
        timed |= {maker: paces} if paces.steps else {}
    if len(timed) < 2:
        there = f"only {', '.join(timed) or 'nobody'}"
        raise WrongUse(f"--pupils lays several makers side by side; sessions name {there}.")
    return timed


class Side(msgspec.Struct, frozen=True):
    """One step of several makers: their paces, and who is slow at it, by how much."""

    base: str
    title: str
    starter_s: float | None
    paces: dict[str, Pace]
    slow: dict[str, float]  # times the others' middle pace


def side_by_side(of: Mapping[str, Paces]) -> list[Side]:
    """Every step that anybody timed. Slow: a quarter over the others' middle, and the whole of the range over it."""
    out = []
    for base in dict.fromkeys(base for paces in of.values() for base in paces.steps):
        mine = {maker: paces.steps[base] for maker, paces in of.items() if base in paces.steps}
        slow = {}
        for maker, pace in mine.items():
            others = [math.exp(one.log_ratio) for name, one in mine.items() if name != maker]
            if not others:
                continue
            middle = median(others)
            times = math.exp(pace.log_ratio) / middle
            if times > SLOW and times * pace.low_s / pace.usual_s > 1:
                slow[maker] = times
        first = next(iter(mine.values()))
        out.append(Side(base, first.title or base, first.starter_s, mine, slow))
    return out


def pupils_lines(of: Mapping[str, Paces]) -> list[str]:
    """Lay makers side by side for the terminal, and name who is slow where."""
    sides = side_by_side(of)

    def pace_of(maker: str) -> Column[Side]:
        def says(one: Side) -> Cell:
            pace = one.paces.get(maker)
            mark = " ▲" if maker in one.slow else "  "
            return Cell("" if pace is None else f"{exact_text(pace.usual_s)}{mark}")

        return Column[Side](maker or "nobody named", says, number=True)

    columns = [
        Column[Side]("step", lambda one: one.title),
        Column[Side]("starter", lambda one: exact_text(one.starter_s) if one.starter_s else "", number=True),
        *(pace_of(maker) for maker in of),
    ]
    out = ["A piece, as each usually takes; ▲ slow: a quarter over the others, and beyond chance", ""]
    out += [*lines(table(columns, [sides]), heads=True), ""]
    for maker in of:
        slow = sorted(((one.slow[maker], one.title) for one in sides if maker in one.slow), reverse=True)
        told = ", ".join(f"{title} ({times:.1f} × the others)" for times, title in slow) or "is clearly slow at nothing"
        out.append(f"{maker or 'nobody named'} {'is slow at: ' if slow else ''}{told}")
    return out


def plain_pupils(of: Mapping[str, Paces]) -> object:
    """Give the same as plain data, s."""
    return [
        {
            "step": one.base,
            "title": one.title,
            "starter_s": one.starter_s,
            "makers": {
                maker: {
                    "usual_s": pace.usual_s,
                    "low_s": pace.low_s,
                    "high_s": pace.high_s,
                    "slow": one.slow.get(maker),
                }
                for maker, pace in one.paces.items()
            },
        }
        for one in side_by_side(of)
    ]


# `guide why pace STAGE/ID`: what a step's pace rests on.


def pace_evidence(step: str, root: Path, maker: str, whom: str) -> tuple[Evidence, str]:
    """Find what a step's pace rests on, and whose it is. Raises WrongUse where nobody has timed it."""
    mine, past = past_of_all(root, maker, whom=whom)
    rows = list(seen_of(past))
    found = evidence(rows, _meant(step, rows), maker=mine.maker, whom=whom)
    if found is None:
        known = sorted({row.base for row in rows})
        near = did_you_mean(step, known)
        there = f" Timed so far: {', '.join(known)}." if known and not near else ""
        raise WrongUse(
            f"Nobody has timed {step}{near}: its pace is the starter's, an estimate that nobody timed.{there}"
        )
    return found, mine.maker


def _meant(step: str, rows: list[Seen]) -> str:
    """A step by its key, without its row; by its own name where only one stage has it; or by its title."""
    asked = step.partition(":")[0].strip()
    bases = {row.base: row.title for row in rows}
    if asked in bases:
        return asked
    named = [base for base, title in bases.items() if base.partition("/")[2] == asked or title.lower() == asked.lower()]
    return named[0] if len(named) == 1 else asked


def pace_lines(found: Evidence, maker: str) -> list[str]:
    """Lay it out for the terminal."""
    pace, share = found.pace, found.pace.starter_share
    whose = f"{maker}: " if maker else ""
    named = f"{pace.title} ({found.base})" if pace.title else found.base
    usual, low, high = (exact_text(seconds) for seconds in (pace.usual_s, pace.low_s, pace.high_s))
    out = [f"{whose}{named}: {usual} a piece usual, {low} to {high} on four days of five"]
    if pace.starter_s:
        lean = exact_text(pace.starter_s * found.tempo)
        out.append(
            f"  {percent(1 - share, 0)} your own times, {exact_text(pace.own_s)}; "
            f"{percent(share, 0)} the starter pace, {exact_text(pace.starter_s)} × {found.tempo:.2f} "
            f"(your tempo over all steps) = {lean}"
        )
    else:
        out.append(f"  your own times only, {exact_text(pace.own_s)}: no plan says a starter pace for it")
    if pace.handling_s is not None and pace.rate_s is not None and pace.noun:
        out.append(f"  {pace.handling_s:.0f} s handling a piece + {exact_text(pace.rate_s)} a {pace.noun}")
    out += ["", *lines(_table(found), heads=True), ""]
    out += [f"  {told}" for told in _says(found)]
    return [*out, *(f"▲ {flag.says}" for flag in found.out)]


def _table(found: Evidence) -> Table:
    """Each session's day at the step."""
    some = found.readings
    columns = [
        Column[Reading]("day", lambda one: f"{date(1970, 1, 1) + timedelta(one.day)}"),
        Column[Reading](
            "size",
            lambda one: f"{one.effort:.4g} {one.noun}".rstrip() if one.effort else "",
            number=True,
            shown=any(one.effort for one in some),
        ),
        Column[Reading]("pieces", lambda one: f"{one.pieces}", number=True),
        Column[Reading]("a piece", lambda one: exact_text(one.own_s), number=True),
        Column[Reading](
            "first",
            lambda one: "" if one.first_s is None else exact_text(one.first_s),
            number=True,
            shown=any(one.first_s is not None for one in some),
        ),
        Column[Reading]("starter", lambda one: exact_text(one.starter_s) if one.starter_s else "", number=True),
        Column[Reading]("×", lambda one: f"{one.own_s / one.starter_s:.2f}" if one.starter_s else "", number=True),
    ]
    return table(columns, [some])


def _says(found: Evidence) -> list[str]:
    """What was kept out of the pace, and what is in it."""
    out = ["A piece: without trouble, pauses and waits."]
    if any(one.first_s is not None and one.pieces > 1 for one in found.readings):
        more_s = found.pace.first * found.pace.usual_s
        more = f"{exact_text(more_s)} each" if more_s >= 1 else "nothing so far"
        out.append(f"First pieces are kept out of the pace; what they add, {more}, is in the forecast.")
    if by_hand := sum(one.by_hand for one in found.readings):
        out.append(f"{counted(by_hand, 'time')} of it typed in afterwards.")
    if found.learning is not None:
        out.append(f"Learning is taken out: each doubling of makes takes {percent(found.learning, 0)} of the time.")
    if not found.out:
        out.append("No lap of it was left out.")
    return out
