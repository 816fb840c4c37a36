"""`guide price`: what to ask for it."""

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

import click
import msgspec

from guide.commands.common import SESSIONS, PageTo, code_told, maker_option, page_options, say, say_json, talk
from guide.commands.prices import Several, is_several, priced, several_dict, several_lines, several_page, tries_of
from guide.commands.sessions import At, is_journal, open_here, plan_or_session, project_folder
from guide.commands.times import forgotten_in, paces_from, sitting_length
from guide.errors import WrongUse
from guide.money.forecast import forecast
from guide.money.model import Price, Quote
from guide.money.price import HOUR_S, OF_SOME_PLACES, at_place, exact, offers, per_hour, stall_break_even
from guide.money.quote import LESS, UNPRICED, at_given, price_plan, price_session
from guide.plan.make import make_plan
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
@click.argument("places", nargs=-1, metavar="[PROJECT|SESSION]...")
@click.option("--json", "as_json", is_flag=True, help="All figures as JSON.")
@click.option("--given", metavar="AMOUNT", help="A price someone else set: what margin and earnings it gives.")
@click.option("--stall", metavar="AMOUNT", help="What a stall costs: how many must be sold to pay for it.")
@click.option(
    "--quote",
    type=click.Path(dir_okay=False),
    help="Write a quotation, without costs (FILE.md: as Markdown); - for stdout.",
)
@click.option("--valid-until", metavar="DATE", help="The last day of a quotation, 2026-12-31, printed on it.")
@click.option("--anyway", is_flag=True, help="Quote a price although something in it has none.")
@click.option("--sitting", metavar="LENGTH", help="Reckon in sittings of that length, on days apart; else as one day.")
@click.option("--at", metavar="PLACE", help="The price at that place of `sell: places:`; else at the first.")
@click.option("--make", "makes", metavar="N,N", help="Batches of so many, in one table.")
@click.option(
    "--set", "changes", multiple=True, metavar="KEY=VALUE",
    help="Try another value, beside the project's; several, square=5in,6in, in one table.",
)  # fmt: skip
@maker_option()
@page_options
def command(
    places: tuple[str, ...],
    *,
    as_json: bool,
    given: str | None,
    stall: str | None,
    to: PageTo,
    quote: str | None,
    valid_until: str | None,
    anyway: bool,
    sitting: str | None,
    at: str | None,
    makes: str | None,
    changes: tuple[str, ...],
    maker: str,
) -> int:
    """Price a PROJECT by its forecast, or a SESSION by the time it really took.

    Cloth used, notions, labour with its rest allowance, overhead, packing and fees; rounded up last. Waiting
    costs nothing. What is not given in the project counts as nothing, and is said. A page, a quotation and a
    stall are for what was asked: with what --set tries, at the price of --given.

    Several articles, batches (--make) and values (--set square=5in,6in) come in one table, what an hour of yours
    earns most with first: your hours all told, with those that selling takes. Where the project names places it is
    sold at, each has its row.
    """
    sitting_s = None if sitting is None else sitting_length(sitting, "--sitting")
    if is_several(places, changes, makes):
        ones = {"--stall": stall, "--quote": quote, "--valid-until": valid_until}
        if said := [option for option, text in ones.items() if text is not None]:
            raise WrongUse(f"{listed(said)} of which? Of several prices there is a table; ask it of one.")
        amount = None if given is None else _amount(given, "--given")
        return _several(places, Several(tries_of(changes, makes), maker, amount, at, sitting_s), to, as_json=as_json)
    asked = _Asked(Several([changes], maker, None, at, sitting_s), to, quote, given, stall, anyway, as_json)
    return _price_one(places[0] if places else None, asked, valid_until)


_Quoted = tuple[Plan, Quote]


class _Asked(msgspec.Struct, frozen=True):
    """What is asked of one price, as typed: by what it is reckoned, where it is written, what stands beside it."""

    by: Several
    to: PageTo
    quote: str | None
    given: str | None
    stall: str | None
    anyway: bool
    as_json: bool

    @property
    def paged(self) -> bool:
        """Whether the price is written as a page: `--markdown` alone is the quotation's."""
        return self.to.file is not None or (bool(self.to) and self.quote is None)


class _Told(msgspec.Struct, frozen=True):
    """What is told of a price: its own, what is tried beside it, both at a price given, and pieces that pay a stall."""

    own: _Quoted
    tried: _Quoted | None
    at_given: Quote | None
    changes: str
    given: str | None
    stall: str | None
    takes: Decimal | None = None
    sold: int | None = None

    @property
    def plan(self) -> Plan:
        """The plan that was asked about: what is tried, where something is."""
        return (self.tried or self.own)[0]

    @property
    def quote(self) -> Quote:
        """The price that was asked about, as it was given where it was."""
        return self.at_given or (self.tried or self.own)[1]


def _price_one(place: str | None, asked: _Asked, valid_until: str | None) -> int:
    """Price what is at a place, write the pages asked for, and tell the rest.

    Raises WrongUse, after what could be told, when no quotation may be written.
    """
    _files({"--page": asked.to.file, "--quote": asked.quote}, as_json=asked.as_json)
    until = _until(valid_until)
    here = plan_or_session(place)
    _of_a_plan(here, asked.by)
    told = _told(here, place, asked)
    refused = None
    try:
        _may_be_quoted(told.quote, asked)
        told = _with_stall(told)
    except WrongUse as error:
        if asked.stall is None or asked.paged or asked.quote or asked.as_json:
            raise
        refused = error  # a stall nothing pays for: the price it was asked of is still told
    if asked.paged or asked.quote:
        to = msgspec.structs.replace(asked.to, told=True)
        quoted_to = msgspec.structs.replace(to, file=asked.quote) if asked.quote else None
        _pages(here, place, (told.plan, told.quote), to if asked.paged else None, quoted_to, until=until)
    if asked.as_json:
        say_json(_told_dict(told, asked.by.tries[0]))
    elif not (asked.paged or asked.quote):
        say("\n".join(_told_lines(told)))
    if refused is not None:
        raise refused
    return here.exit_code


def _of_a_plan(here: At, by: Several) -> None:
    """Refuse of a session what only a plan can answer. Raises WrongUse."""
    if by.tries[0] and here.record is not None:
        raise WrongUse("--set tries another plan: name the project, not its session.")
    if by.sitting_s is not None and here.record is not None:
        raise WrongUse("--sitting reckons what is still to be made: name the project, not its session.")


def _told(here: At, place: str | None, asked: _Asked) -> _Told:
    """Price it as it is, as tried, and at the price given; an amount is read before anything is told of it."""
    own, tried = _quoted(here, place, asked.by)
    plan, quote = tried or own
    at = None if asked.given is None else at_given(plan, quote, _amount(asked.given, "--given"))
    takes = None if asked.stall is None else _amount(asked.stall, "--stall")
    return _Told(own, tried, at, " ".join(asked.by.tries[0]), asked.given, asked.stall, takes)


def _with_stall(told: _Told) -> _Told:
    """Say how many pieces pay for the stall, where one is asked about. Raises WrongUse where none ever do."""
    if told.takes is None:
        return told
    margin = None if told.quote.given else told.plan.project.sell.margin
    return msgspec.structs.replace(told, sold=stall_break_even(told.takes, told.quote.price, margin))


def _several(places: Sequence[str], asked: Several, to: PageTo, *, as_json: bool) -> int:
    """Price several in one table."""
    _files({"--page": to.file}, as_json=as_json)
    first = places[0] if places else None
    beside = project_folder(Path(first)) if first and is_journal(first) else find_project(first, SESSIONS).parent
    told = priced(places or [None], asked)
    if to:
        several_page(told, msgspec.structs.replace(to, told=as_json), beside / "prices")
    if as_json:
        say_json(several_dict(told))
    elif not to:
        say("\n".join(several_lines(told)))
    return code_told()


def _files(named: Mapping[str, str | None], *, as_json: bool) -> None:
    """Refuse two things for one stdout, and an amount in the place of a file's name. Raises WrongUse."""
    if [*named.values(), "-" if as_json else None].count("-") > 1:
        raise WrongUse("Only one of --json, --page - and --quote - can go to stdout; give the others a file.")
    for option, file in named.items():
        if file is not None and re.fullmatch(r"\d[\d.,]*", file):
            raise WrongUse(
                f"{option} takes a file's name, and {file} looks like an amount: give the price with --given {file}, "
                f"and {option} a name like {option[2:]}.html."
            )


def _told_dict(told: _Told, changes: Sequence[str]) -> dict[str, Any]:
    data = price_dict(*told.own)
    if told.tried is not None:
        data["tried"] = {"set": list(changes)} | price_dict(*told.tried)
    if told.at_given is not None:
        data["given"] = _plain(told.at_given.price)
    if told.sold is not None:
        data["stall_break_even"] = told.sold
    return data


def _told_lines(told: _Told) -> list[str]:
    (plan, quote), tried = told.own, told.tried
    out = price_lines(quote, plan)
    if tried is not None:
        out += ["", *price_beside(quote, tried[1], told.changes)]
    if told.at_given is not None:
        rows = _one(told.at_given, plan.project.words)
        out += ["", f"At a price of {told.given}:", *_laid(rows, told.at_given, 16)]
    if told.sold is not None:
        least = "at least " if told.quote.costs.missing else ""
        out += ["", f"A stall of {told.stall} is paid for by {least}{counted(told.sold, 'piece')} sold."]
    return out


def _quoted(here: At, place: str | None, said: Several) -> tuple[_Quoted, _Quoted | None]:
    """Price what is there, and what is tried beside it, as sold at a place."""
    (changes,), at = said.tries, said.at
    if here.record is not None:
        assert place is not None
        plan = here.plan if at is None else at_place(here.plan, at)
        quoted = price_session(plan, here.record)
        doubts = tuple(_forgotten(here, here.record, Path(place)))
        return (plan, msgspec.structs.replace(quoted, says=(*doubts, *quoted.says))), None
    path = find_project(place, SESSIONS)
    paces = paces_from(path.parent.parent, said.maker)
    plans = [here.plan]
    if changes:
        other = open_here(path, changes)
        plans.append(make_plan(other.project, other.language))
    plans = plans if at is None else [at_place(plan, at) for plan in plans]
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


def _may_be_quoted(quote: Quote, asked: _Asked) -> None:
    """Refuse a quotation, or a stall, of a price that is none, and a quotation of one that is too low.

    Raises WrongUse for it.
    """
    quoted = asked.quote is not None
    if quote.unpriced and (quoted or asked.stall is not None):
        raise WrongUse(UNPRICED)
    if quoted and quote.at_least and not asked.anyway:
        raise WrongUse(
            f"The price leaves out {listed(quote.costs.missing)}: no price is given for that, and a quotation would "
            "hold you to it. Write the price, or quote it --anyway. Nothing was written."
        )


def _until(text: str | None) -> str:
    """Read the last day of a quotation as it is printed. Raises WrongUse when it is past."""
    from guide.commands.times import day_option, today

    until = day_option(text, "--valid-until")
    if until is None:
        return ""
    if until < today():
        raise WrongUse(f"--valid-until: {until} is past; it is {today()} now.")
    return day_text(until)


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


def _amount(text: str, option: str) -> Decimal:
    """Read an amount of money over nothing. Raises WrongUse, with the option, for anything else."""
    try:
        amount = Decimal(text)
    except InvalidOperation:
        raise WrongUse(f"{option}: {text!r} is not an amount; write it like 120 or 119.50.") from None
    if not amount.is_finite() or amount <= 0:
        raise WrongUse(f"{option}: the amount must be over 0.")
    return amount


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


def price_dict(plan: Plan, quoted: Quote) -> dict[str, Any]:
    """Give a price as plain data, and that at every place the project names; money as text."""
    out: dict[str, Any] = msgspec.to_builtins(quoted) | {"price": _plain(quoted.price)}
    sell = plan.project.sell
    return out | ({"at": sell.at, "places": sold_rows(offers(plan, quoted))} if sell.places else {})


def _plain(price: Price) -> dict[str, Any]:
    """A price as plain data; what only some places have is there where it is something."""
    out: dict[str, Any] = msgspec.to_builtins(price)
    return {name: value for name, value in out.items() if name not in OF_SOME_PLACES or getattr(price, name)}


def _pages(
    at: At, place: str | None, asked: _Quoted, to: PageTo | None, quoted_to: PageTo | None, *, until: str
) -> None:
    """Write the build-up and the quotation, those that are asked for, beside the project where no file is named."""
    from guide.show.pages.price import render_price, render_quote
    from guide.show.report import report

    plan, quoted = asked
    here = project_folder(Path(place)) if at.record and place else find_project(place, SESSIONS).parent
    data = report(plan, at.record, cost=cost_report(plan, quoted))
    many = offers(plan, quoted) if plan.project.sell.places else ()
    sold = sold_table(many, quoted.currency) if many else None
    if to:
        to.put(lambda fmt: render_price(data, fmt, sold=sold, says=sold_says(many)), here / "price")
    if quoted_to:
        quoted_to.put(lambda fmt: render_quote(data, fmt, valid_until=until), here / "quotation")
        talk(caution("selling", plan.project.words))
