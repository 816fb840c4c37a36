"""`guide price`: what to ask for it."""

import os
from decimal import Decimal, InvalidOperation
from typing import Any

import click
import msgspec

from guide.commands.common import SESSIONS, maker_option, page_format, put_page, say
from guide.commands.sessions import At, plan_or_session
from guide.commands.times import paces_from
from guide.errors import WrongUse
from guide.money.forecast import forecast
from guide.money.model import Paces, Price, Quote
from guide.money.paces import NONE
from guide.money.price import stall_break_even
from guide.money.quote import UNPRICED, price_given, price_plan, price_session
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.model import Project
from guide.read.places import find_project, open_project
from guide.read.plurals import counted
from guide.read.spoken import said
from guide.show.columns import cells, fill
from guide.show.words import minutes


@click.command(
    "price",
    epilog="\b\nExamples:\n  guide price sessions/window-seat-cushion\n"
    "  guide price sessions/window-seat-cushion/2026-03-01.jsonl\n  guide price --given 120\n"
    "  guide price --quote quotation.html --valid-until 2026-12-31",
)
@click.argument("place", required=False, metavar="[PROJECT|SESSION]")
@click.option("--json", "as_json", is_flag=True, help="All figures as JSON.")
@click.option("--given", metavar="AMOUNT", help="A price someone else set: what margin and earnings it gives.")
@click.option("--stall", metavar="AMOUNT", help="What a stall costs: how many must be sold to pay for it.")
@click.option(
    "--page",
    type=click.Path(dir_okay=False),
    help="Write the whole build-up as a page (FILE.md: as Markdown); - for stdout.",
)
@click.option(
    "--quote",
    type=click.Path(dir_okay=False),
    help="Write a quotation, without costs (FILE.md: as Markdown); - for stdout.",
)
@click.option("--valid-until", metavar="DATE", default="", help="The date printed on a quotation.")
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="Try another value, beside the project's.")
@maker_option()
def command(
    place: str | None,
    *,
    as_json: bool,
    given: str | None,
    stall: str | None,
    page: str | None,
    quote: str | None,
    valid_until: str,
    changes: tuple[str, ...],
    maker: str,
) -> int:
    """Price a PROJECT by its forecast, or a SESSION by the time it really took.

    Cloth used, notions, labour with its rest allowance, overhead, packing and fees; rounded up last. Waiting
    costs nothing. What is not given in the project counts as nothing, and is said.
    """
    at = plan_or_session(place)
    if changes and at.record is not None:
        raise WrongUse("--set tries another plan: name the project, not its session.")
    paces = NONE if at.record is not None else paces_from(find_project(place, SESSIONS).parent.parent, maker)
    quoted = price_session(at.plan, at.record) if at.record is not None else _planned(at.plan, paces)
    tried = _planned(_tried(place, changes), paces) if changes else None
    if page == quote == "-":
        raise WrongUse("--page - and --quote - both go to stdout; give one of them a file.")
    if quoted.unpriced and (quote or stall is not None):
        raise WrongUse(UNPRICED)
    if as_json:
        import json

        data = price_dict(quoted)
        if tried is not None:
            data["tried"] = {"set": list(changes)} | price_dict(tried)
        if given is not None:
            data["given"] = msgspec.to_builtins(price_given(at.plan, quoted.costs, _amount(given, "--given")))
        if stall is not None:
            data["stall_break_even"] = stall_break_even(_amount(stall, "--stall"), quoted.price)
        click.echo(json.dumps(data, ensure_ascii=False, indent=1))
    elif page or quote:
        _pages(at, quoted, page, quote, valid_until)
    else:
        say("\n".join(price_lines(quoted, at.plan.project)))
        if tried is not None:
            say("\n".join(["", *price_beside(quoted, tried, " ".join(changes))]))
        if given is not None:
            say("\n".join(_given(at, quoted, _amount(given, "--given"))))
        if stall is not None:
            say(_stall(quoted, _amount(stall, "--stall")))
    return at.exit_code


def _stall(quoted: Quote, amount: Decimal) -> str:
    sold = stall_break_even(amount, quoted.price)
    return f"\nA stall of {amount} is paid for by {counted(sold, 'piece')} sold."


def _planned(plan: Plan, paces: Paces) -> Quote:
    return price_plan(plan, forecast(plan, paces))


def _tried(place: str | None, changes: tuple[str, ...]) -> Plan:
    other = open_project(find_project(place, SESSIONS), os.environ, changes)
    return make_plan(other.project, other.language)


def price_beside(one: Quote, other: Quote, changes: str) -> list[str]:
    """Lay two prices side by side: every line of the cost, and what one is asked for; what differs is marked."""
    sides = [{line.name: str(line.amount) for line in quoted.costs.lines} for quoted in (one, other)]
    rows = [(name, *(side.get(name, "—") for side in sides)) for name in dict.fromkeys([*sides[0], *sides[1]])]
    ends = [
        {
            "how many": str(quoted.costs.make),
            "cost of all": "—" if quoted.unpriced else str(quoted.costs.cost),
            "cost of one": "—" if quoted.unpriced else str(quoted.each),
            "hours for one": f"{quoted.costs.hours / quoted.costs.make:.2f}",
            "PRICE OF ONE": "—" if quoted.unpriced else str(quoted.price.paid),
            "an hour earns": str(quoted.price.hourly or "—"),
        }
        for quoted in (one, other)
    ]
    rows += [(name, ends[0][name], ends[1][name]) for name in ends[0]]
    wide = max(cells(name) for name, _, _ in rows) + 2
    out = [f"  {'':<{wide}}{'as it is':>12}   {changes}"]
    return out + [f"{'›' if a != b else ' '} {fill(name, wide)}{a:>12}   {b}" for name, a, b in rows]


def _amount(text: str, option: str) -> Decimal:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        raise WrongUse(f"{option}: {text!r} is not an amount; write it like 120 or 119.50.") from None
    if not amount.is_finite() or amount <= 0:
        raise WrongUse(f"{option}: the amount must be over 0.")
    return amount


def price_lines(quoted: Quote, project: Project) -> list[str]:
    """Lay a price out for the terminal."""
    costs, price = quoted.costs, quoted.price
    made = "1 made" if costs.make == 1 else f"{costs.make} made"
    out = [f"{project.title} · {quoted.currency} · {made} · {minutes(costs.hours * 3600)} hands on", ""]
    if quoted.unpriced:
        return [*out, *(f"  {sentence}" for sentence in quoted.says)]
    wide = max(cells(line.name) for line in costs.lines) + 2
    out += [f"  {fill(line.name, wide)}{line.amount:>10}   {line.how}".rstrip() for line in costs.lines]
    out += ["", f"  {'cost':<{wide}}{costs.cost:>10}   cloth and notions as bought: {costs.bought}"]
    if costs.make > 1:
        out.append(f"  {'cost of one':<{wide}}{quoted.each:>10}")
    out += ["", *_one(price, wide, project.words)]
    if quoted.low is not None and quoted.high is not None:
        out.append(f"  80 % of makings of this would ask {quoted.low} to {quoted.high}.")
    return [*out, "", *(f"  {told}" for told in quoted.says)]


def _one(price: Price, wide: int, words: str) -> list[str]:
    rows: list[tuple[str, Any]] = [
        ("PRICE OF ONE", price.paid), ("tax in it", price.tax), ("fees", price.fee + price.fee_each),
        ("packing", price.packing), ("profit", price.profit),
    ]  # fmt: skip
    out = [f"  {name:<{wide}}{amount:>10}" for name, amount in rows if amount or name == "PRICE OF ONE"]
    if price.margin is not None and price.markup is not None:
        out.append(f"  {'margin':<{wide}}{price.margin:>z9.1%}   markup {price.markup:z.1%}")
    if price.hourly is not None:
        how = said("labour and profit over the hours at the table", words)
        out.append(f"  {'an hour earns':<{wide}}{price.hourly:>10}   {how}")
    return out


def _given(at: At, quoted: Quote, amount: Decimal) -> list[str]:
    price = price_given(at.plan, quoted.costs, amount)
    return ["", f"At a price of {amount}:", *_one(price, 16, at.plan.project.words)]


def price_dict(quoted: Quote) -> dict[str, Any]:
    """Give a price as plain data; money as text."""
    out: dict[str, Any] = msgspec.to_builtins(quoted)
    return out


def _pages(at: At, quoted: Quote, page: str | None, quote: str | None, valid_until: str) -> None:
    from guide.show.pages.price import render_price, render_quote
    from guide.show.report import report
    from guide.show.report_money import cost_dict

    data = report(at.plan, at.record, money={"price": price_dict(quoted), "cost": cost_dict(at.plan, quoted)})
    if page:
        put_page(page, render_price(data, page_format(page)))
    if quote:
        put_page(quote, render_quote(data, page_format(quote), valid_until=valid_until))
