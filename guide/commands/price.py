"""`guide price`: what to ask for it."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click
import msgspec

from guide.commands.ask import asks
from guide.commands.common import SESSIONS, say, say_json, talk
from guide.commands.prices import Pricing, files_fit, may_be_quoted, plan_with, price_several
from guide.commands.sessions import At, plan_or_session, project_folder
from guide.commands.times import forgotten_in, paces_from
from guide.errors import WrongUse
from guide.money.forecast import forecast
from guide.money.model import Price, Quote
from guide.money.price import HOUR_S, OF_SOME_PLACES, at_place, exact, offers, per_hour, stall_break_even
from guide.money.quote import LESS, UNPRICED, at_given, price_plan, price_session
from guide.plan.model import Plan
from guide.plan.shopping import cents
from guide.read.places import find_project, to_type
from guide.read.spoken import counted, listed, said
from guide.record.clock import day_text, time_text
from guide.record.model import Record
from guide.show.report_cautions import caution
from guide.show.report_money import cost_report, price_text, share_text, sold_rows, sold_says, sold_table
from guide.show.table import Column, beside, lines, table
from guide.show.words import named_steps


@click.command(
    "price",
    epilog="\b\nExamples:\n  guide price sessions/window-seat-cushion\n"
    "  guide price sessions/window-seat-cushion/2026-03-01.jsonl\n  guide price --given 120\n"
    "  guide price sessions/a sessions/b --make 1,3,6 --set square=5in,6in\n"
    "  guide price --quote quotation.html --valid-until 2026-12-31",
)
@asks(Pricing)
def command(said: Pricing) -> int:
    """Price a PROJECT by its forecast, or a SESSION by the time it really took.

    Cloth used, notions, labour with its rest allowance, overhead, packing and fees; rounded up last. Waiting
    costs nothing. What is not given in the project counts as nothing, and is said. A page, a quotation and a
    stall are for what was asked: with what --set tries, at the price of --given.

    Several articles, batches (--make) and values (--set square=5in,6in) come in one table, what an hour of yours
    earns most with first: your hours all told, with those that selling takes. Where the project names places it is
    sold at, each has its row.
    """
    if said.several:
        ones = {"--stall": said.stall, "--quote": said.quote, "--valid-until": said.valid_until}
        if named := [option for option, value in ones.items() if value is not None]:
            raise WrongUse(f"{listed(named)} of which? Of several prices there is a table; ask it of one.")
        return price_several(said)
    return _price_one(said.places[0] if said.places else None, said)


_Quoted = tuple[Plan, Quote]


class _Told(msgspec.Struct, frozen=True):
    """What is told of a price: its own, what is tried beside it, both at a price given, and pieces that pay a stall."""

    own: _Quoted
    tried: _Quoted | None
    at_given: Quote | None
    sold: int | None = None

    @property
    def plan(self) -> Plan:
        """The plan that was asked about: what is tried, where something is."""
        return (self.tried or self.own)[0]

    @property
    def quote(self) -> Quote:
        """The price that was asked about, as it was given where it was."""
        return self.at_given or (self.tried or self.own)[1]


def _price_one(place: str | None, asked: Pricing) -> int:
    """Price what is at a place, write the pages asked for, and tell the rest.

    Raises WrongUse, after what could be told, when no quotation may be written.
    """
    files_fit({"--page": asked.to.file, "--quote": asked.quote}, as_json=asked.as_json)
    here = plan_or_session(place)
    if asked.changes and here.record is not None:
        raise WrongUse("--set tries another plan: name the project, not its session.")
    if asked.sitting_s is not None and here.record is not None:
        raise WrongUse("--sitting reckons what is still to be made: name the project, not its session.")
    own, tried = _quoted(here, place, asked)
    plan, quote = tried or own
    told = _Told(own, tried, None if asked.given is None else at_given(plan, quote, asked.given))
    refused = None
    try:
        told = _with_stall(told, asked)
    except WrongUse as error:
        if asked.stall is None or asked.paged or asked.quote or asked.as_json:
            raise
        refused = error  # a stall nothing pays for: the price it was asked of is still told
    if asked.paged or asked.quote:
        _pages(here, place, told, asked)
    if asked.as_json:
        say_json(_plain(told, asked.changes))
    elif not (asked.paged or asked.quote):
        say("\n".join(_told_lines(told, asked)))
    if refused is not None:
        raise refused
    return here.exit_code


def _with_stall(told: _Told, asked: Pricing) -> _Told:
    """Say how many pieces pay for the stall, where one is asked about. Raises WrongUse where none ever do.

    Refuses a quotation, or a stall, of a price that is none, and a quotation of one that is too low.
    """
    if asked.quote is not None:
        may_be_quoted(told.quote, anyway=asked.anyway)
    if asked.stall is None:
        return told
    if told.quote.unpriced:
        raise WrongUse(UNPRICED)
    margin = None if told.quote.given else told.plan.project.sell.margin
    return msgspec.structs.replace(told, sold=stall_break_even(asked.stall, told.quote.price, margin))


def _plain(told: _Told, changes: Sequence[str]) -> object:
    """Give prices as plain data, money as text."""
    data = _of_one(*told.own)
    if told.tried is not None:
        data["tried"] = {"set": list(changes)} | _of_one(*told.tried)
    if told.at_given is not None:
        data["given"] = _figures(told.at_given.price)
    if told.sold is not None:
        data["stall_break_even"] = told.sold
    return data


def _of_one(plan: Plan, quoted: Quote) -> dict[str, object]:
    """A price, and that at every place the project names."""
    out: dict[str, object] = msgspec.to_builtins(quoted) | {"price": _figures(quoted.price)}
    sell = plan.project.sell
    return out | ({"at": sell.at, "places": sold_rows(offers(plan, quoted))} if sell.places else {})


def _figures(price: Price) -> dict[str, object]:
    """What only some places have is there where it is something."""
    out: dict[str, object] = msgspec.to_builtins(price)
    return {name: value for name, value in out.items() if name not in OF_SOME_PLACES or getattr(price, name)}


def _told_lines(told: _Told, asked: Pricing) -> list[str]:
    (plan, quote), tried = told.own, told.tried
    out = price_lines(quote, plan)
    if tried is not None:
        out += ["", *price_beside(quote, tried[1], " ".join(asked.changes))]
    if told.at_given is not None:
        rows = _one(told.at_given, plan.project.words)
        out += ["", f"At a price of {asked.given}:", *_laid(rows, told.at_given, 16)]
    if told.sold is not None:
        least = "at least " if told.quote.costs.missing else ""
        out += ["", f"A stall of {asked.stall} is paid for by {least}{counted(told.sold, 'piece')} sold."]
    return out


def _quoted(here: At, place: str | None, said: Pricing) -> tuple[_Quoted, _Quoted | None]:
    """Price what is there, and what is tried beside it, as sold at a place."""
    if here.record is not None:
        assert place is not None
        plan = here.plan if said.at is None else at_place(here.plan, said.at)
        quoted = price_session(plan, here.record)
        doubts = tuple(_forgotten(here, here.record, Path(place)))
        return (plan, msgspec.structs.replace(quoted, says=(*doubts, *quoted.says))), None
    path = find_project(place, SESSIONS)
    paces = paces_from(path.parent.parent, said.maker)
    plans = [here.plan, *([plan_with(path, said.changes)] if said.changes else [])]
    plans = plans if said.at is None else [at_place(plan, said.at) for plan in plans]
    own, *tried = [(plan, price_plan(plan, forecast(plan, paces, sitting_s=said.sitting_s))) for plan in plans]
    return own, tried[0] if tried else None


def _forgotten(at: At, record: Record, path: Path) -> Iterator[str]:
    """Name each forgotten timer that is in a session: its minutes, its money, and how to put it right."""
    names, project = named_steps(at.plan), at.plan.project
    an_hour = per_hour(project.labour.rate) * (1 + exact(project.labour.allowance)) + per_hour(project.sell.overhead)
    for flag in forgotten_in(record, at.first or at.plan, path):
        took, usual = (time_text(seconds) for seconds in (flag.took_s, flag.usual_s * flag.took_s / flag.pace_s))
        money = f", {cents(exact(flag.took_s) / HOUR_S * an_hour)} of the cost" if an_hour else ""
        mend = f"guide amend {to_type(path)} --record {flag.n}"
        yield (
            f"Record {flag.n}, {names.get(flag.step, flag.step)}: {took}{money}, where {usual} is usual: a forgotten "
            f'timer? Then {mend} --set "took {usual}"; if it was work, {mend} --set counted.'
        )


def price_beside(one: Quote, other: Quote, changes: str) -> list[str]:
    """Lay two prices side by side: every line of the cost, and what one is asked for; what differs is marked."""
    sides = [{line.name: str(line.amount) for line in quoted.costs.lines} for quoted in (one, other)]
    rows = [(name, sides[0].get(name, "—"), sides[1].get(name, "—")) for name in dict.fromkeys([*sides[0], *sides[1]])]
    ends = [
        {
            "how many": str(quoted.costs.make),
            "cost of all": "—" if quoted.unpriced else str(quoted.costs.cost),
            "cost of one": "—" if quoted.unpriced else str(quoted.each),
            "hours for one": f"{quoted.costs.hours / quoted.costs.make:.2f}",
            "PRICE OF ONE": "—" if quoted.unpriced else price_text(quoted),
            "an hour earns": str(quoted.price.hourly or "—"),
        }
        for quoted in (one, other)
    ]
    rows += [(name, ends[0][name], ends[1][name]) for name in ends[0]]
    return beside(("as it is", changes), rows, least=12)


def price_lines(quoted: Quote, plan: Plan) -> list[str]:
    """Lay a price out for the terminal, and that at every place the project names."""
    costs, project = quoted.costs, plan.project
    made = "1 made" if costs.make == 1 else f"{costs.make} made"
    rests = f" · {time_text(costs.resting_s)} resting hands" if costs.resting_s else ""
    out = [f"{project.title} · {quoted.currency} · {made} · {time_text(costs.hours * 3600)} hands on{rests}", ""]
    says = [f"  {told}" for told in (*quoted.says, caution("selling", project.words))]
    if quoted.unpriced:
        return [*out, *says]
    rows = [(f"{line.name}  ", f"{line.amount}", line.how) for line in costs.lines]
    rows += [("", "", ""), ("cost", f"{costs.cost}", f"cloth and notions as bought: {costs.bought}")]
    rows += [("cost of one", f"{quoted.each}", "")] if costs.make > 1 else []
    rows += [("", "", ""), *_one(quoted, project.words)]
    out += _laid(rows, quoted, 20 if quoted.at_least else 0)
    if quoted.low is not None and quoted.high is not None:
        least = "at least " if quoted.at_least else ""
        out.append(f"  80 % of makings of this would ask {least}{quoted.low} to {quoted.high}.")
    if project.sell.places:
        many = offers(plan, quoted)
        places = sold_table(many, quoted.currency)
        out += ["", places.label, "", *lines(places, heads=True), "", *(f"  {told}" for told in sold_says(many))]
    return [*out, "", *says]


def _laid(rows: Sequence[tuple[str, str, str]], quoted: Quote, least: int) -> list[str]:
    """Lay amounts out: what each is, at least so wide, how much, and how that comes about."""
    columns = [
        Column[tuple[str, str, str]]("", lambda row: row[0], least=least),
        Column[tuple[str, str, str]]("", lambda row: row[1], number=True, least=10, gap=0),
        Column[tuple[str, str, str]]("", lambda row: row[2], gap=3),
    ]
    return [*lines(table(columns, [rows])), *([f"  {LESS}"] if quoted.given and quoted.costs.missing else [])]


def _one(quoted: Quote, words: str) -> list[tuple[str, str, str]]:
    """The price of one, what is in it, and what it really gives."""
    price = quoted.price
    rows: list[tuple[str, Any]] = [
        ("PRICE OF ONE", price_text(quoted)), ("tax in it", price.tax), ("fees", price.fee + price.fee_each),
        ("a shop's part", price.part), ("packing", price.packing), ("time for a sale", price.selling),
        ("the pitch", price.pitch), ("hours of the day", price.day), ("what nobody buys", price.unsold),
        ("profit", price.profit),
    ]  # fmt: skip
    out = [(name, f"{amount}", "") for name, amount in rows if amount]
    if price.margin is not None and price.markup is not None:
        out.append(("margin", share_text(price.margin), f"markup {share_text(price.markup)}"))
    if price.hourly is not None:
        told = any(getattr(price, name) for name in OF_SOME_PLACES)
        how = said(f"labour and profit over the hours {'all told' if told else 'at the table'}", words)
        out.append(("an hour earns", f"{price.hourly}", how))
    return out


def _pages(at: At, place: str | None, told: _Told, asked: Pricing) -> None:
    """Write the build-up and the quotation, those that are asked for, beside the project where no file is named."""
    from guide.show.pages.price import render_price, render_quote
    from guide.show.report import report

    plan, quoted = told.plan, told.quote
    here = project_folder(Path(place)) if at.record and place else find_project(place, SESSIONS).parent
    data = report(plan, at.record, cost=cost_report(plan, quoted))
    if asked.paged:
        many = offers(plan, quoted) if plan.project.sell.places else ()
        sold = sold_table(many, quoted.currency) if many else None
        says = sold_says(many)
        asked.to.put(lambda fmt: render_price(data, fmt, sold=sold, says=says), here / "price", told=True)
    if asked.quote:
        until = day_text(asked.valid_until) if asked.valid_until else ""
        to = msgspec.structs.replace(asked.to, file=asked.quote)
        to.put(lambda fmt: render_quote(data, fmt, valid_until=until), here / "quotation", told=True)
        talk(caution("selling", plan.project.words))
