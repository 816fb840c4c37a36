"""`guide price A B --make 1,3 --set square=5in,6in`: several articles, batches and sizes in one table."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import product
from pathlib import Path

import click
from msgspec import Struct

from guide.commands.ask import JSON, PAGES, PageTo, argument, decimal, maker, option, sitting_length, to_come
from guide.commands.common import SESSIONS, code_told, put_out
from guide.commands.sessions import is_journal, open_here, plan_or_session, project_folder
from guide.commands.times import paces_from
from guide.errors import GuideError, WrongUse
from guide.money.forecast import forecast
from guide.money.model import Paces, Quote
from guide.money.price import Offer, at_place, by_the_hour, offers
from guide.money.quote import UNPRICED, at_given, price_plan, price_session
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.places import find_project
from guide.read.spoken import listed
from guide.show.report_money import sold_rows, sold_says, sold_table
from guide.show.table import lines

MOST = 60  # plans in one table: each is reckoned with its own thousand draws
_MARKS = {"[": "]", "{": "}", "(": ")"}


def _amount(text: str, option: str) -> Decimal:
    """Read an amount of money over nothing, a thousand million at most. Raises WrongUse, with the option, else."""
    amount = decimal(text, option)
    if not amount.is_finite() or not 0 < amount <= 10**9:
        raise WrongUse(f"{option}: the amount must be over 0, and no more than a thousand million.")
    return amount


class Pricing(Struct, frozen=True):
    """What is asked of prices: of what, tried how, at whose times, at what price and place, and where it is written."""

    places: tuple[str, ...] = argument(nargs=-1, metavar="[PROJECT|SESSION]...")
    as_json: bool = JSON
    given: Decimal | None = option(
        "A price someone else set: what margin and earnings it gives.", "AMOUNT", reads=_amount
    )
    stall: Decimal | None = option("What a stall costs: how many must be sold to pay for it.", "AMOUNT", reads=_amount)
    quote: str | None = option(
        "Write a quotation, without costs (FILE.md: as Markdown); - for stdout.", type=click.Path(dir_okay=False)
    )
    valid_until: date | None = option("The last day of a quotation, 2026-12-31, printed on it.", "DATE", reads=to_come)
    anyway: bool = option("Quote a price although something in it has none.")
    sitting_s: float | None = option(
        "Reckon in sittings of that length, on days apart; else as one day.",
        "LENGTH",
        "--sitting",
        reads=sitting_length,
    )
    at: str | None = option("The price at that place of `sell: places:`; else at the first.", "PLACE")
    make: str | None = option("Batches of so many, in one table.", "N,N")
    changes: tuple[str, ...] = option(
        "Try another value, beside the project's; several, square=5in,6in, in one table.", "KEY=VALUE", "--set"
    )
    maker: str = maker()
    to: PageTo = PAGES

    @property
    def several(self) -> bool:
        """Whether one price is asked for, or a table of several."""
        return len(self.places) > 1 or self.make is not None or any(len(_values(one)) > 1 for one in self.changes)

    @property
    def paged(self) -> bool:
        """Whether the price is written as a page: `--markdown` alone is the quotation's."""
        return self.to.file is not None or (bool(self.to) and self.quote is None)


def priced(said: Pricing) -> tuple[list[Offer], str]:
    """Price every article with all that is tried, the best hour first, in one currency. Raises GuideError, WrongUse."""
    tries, places = tries_of(said.changes, said.make), said.places or (None,)
    if len(places) * len(tries) > MOST:
        raise WrongUse(f"That is {len(places) * len(tries)} plans to price; ask for {MOST} at once at most.")
    known: dict[Path, Paces] = {}
    out: list[Offer] = []
    currencies: dict[str, None] = {}
    for place in places:
        for tried, plan, quoted in _quoted(place, said, tries, known):
            sold = plan if said.at is None else at_place(plan, said.at)
            price = quoted if said.given is None else at_given(sold, quoted, said.given)
            name = " ".join(one for one in tried if not one.startswith("make="))
            out += [one for one in offers(sold, price, name) if said.at in (None, one.at)]
            currencies[quoted.currency] = None
    if len(currencies) > 1:
        raise WrongUse(f"They are priced in {', '.join(currencies)}: ask for those of one currency together.")
    return by_the_hour(out), next(iter(currencies))


def _quoted(
    place: str | None, said: Pricing, tries: Sequence[Sequence[str]], known: dict[Path, Paces]
) -> Iterator[tuple[Sequence[str], Plan, Quote]]:
    """One article, priced with each thing tried; `known`: paces by sessions root, so that each is read once.

    Raises WrongUse when what is tried is of a plan, and the place is a session.
    """
    here = plan_or_session(place)
    if here.record is not None:
        if any(tries) or said.sitting_s:
            raise WrongUse(f"--make, --set and --sitting are of a plan: name the project, not its session {place}.")
        yield (), here.plan, price_session(here.plan, here.record)
        return
    path = find_project(place, SESSIONS)
    root = path.parent.parent
    if root not in known:
        known[root] = paces_from(root, said.maker)
    for asked in tries:
        plan = here.plan
        if asked:
            try:
                plan = plan_with(path, asked)
            except GuideError as error:
                error.args = (f"With {' '.join(asked)}: {error}", *error.args[1:])
                raise
        yield asked, plan, price_plan(plan, forecast(plan, known[root], sitting_s=said.sitting_s))


def plan_with(path: Path, changes: Sequence[str]) -> Plan:
    """Plan a project with other values tried. Raises GuideError."""
    other = open_here(path, changes)
    return make_plan(other.project, other.language)


def may_be_quoted(asked: Quote, *, anyway: bool) -> None:
    """Refuse to quote a price that is none, or, unless `anyway`, one that leaves something out. Raises WrongUse."""
    if asked.unpriced:
        raise WrongUse(UNPRICED)
    if asked.at_least and not anyway:
        raise WrongUse(
            f"The price leaves out {listed(asked.costs.missing)}: no price is given for that, and a quotation would "
            "hold you to it. Write the price, or quote it --anyway. Nothing was written."
        )


def tries_of(changes: Sequence[str], makes: str | None) -> list[tuple[str, ...]]:
    """Every batch with every value of every key. Raises WrongUse for batches that are no whole numbers."""
    asked = [_values(one) for one in changes]
    if makes is not None:
        if not re.fullmatch(r"\s*\d+\s*(,\s*\d+\s*)*", makes):
            raise WrongUse(f"--make: {makes!r} is no list of whole numbers; write it like 1,3,6.")
        asked.insert(0, _values(f"make={makes}"))
    return list(product(*asked))


def _values(change: str) -> list[str]:
    """Part `square=5in,6in` into its values, at commas outside brackets and quotes.

    `3,5 cm` stays whole: a bare number before one with a unit is a decimal comma, which the reader refuses by name.
    """
    key, equals, value = change.partition("=")
    parts, ends = [""], ""
    for letter in value:
        if letter == "," and not ends:
            parts.append("")
            continue
        if ends and letter == ends[-1]:
            ends = ends[:-1]
        elif letter in "'\"" and not ends:
            ends = letter
        elif letter in _MARKS and ends[-1:] not in {"'", '"'}:
            ends += _MARKS[letter]
        parts[-1] += letter
    bare = [bool(re.fullmatch(r"[\d\s]+", one)) for one in parts]
    if not all(one.strip() for one in parts) or (any(bare) and not all(bare)):
        return [change]
    return [f"{key}{equals}{one.strip()}" for one in parts]


def price_several(said: Pricing) -> int:
    """Price several in one table, printed or written as a page."""
    files_fit({"--page": said.to.file}, as_json=said.as_json)
    first = said.places[0] if said.places else None
    beside = project_folder(Path(first)) if first and is_journal(first) else find_project(first, SESSIONS).parent
    found, currency = priced(said)
    rows, says = sold_table(found, currency, label="The best hour first"), sold_says(found)
    if said.to:
        from guide.show.pages.papers import priced_page

        said.to.put(lambda fmt: priced_page(rows, says, fmt), beside / "prices", told=said.as_json)
        if not said.as_json:
            return code_told()
    data = {"currency": currency, "offers": sold_rows(found)}
    heard = (f"  {one}" for one in says)
    return put_out(data, lambda: [rows.label, "", *lines(rows, heads=True), "", *heard], as_json=said.as_json)


def files_fit(named: Mapping[str, str | None], *, as_json: bool) -> None:
    """Refuse two things for one stdout, and an amount in the place of a file's name. Raises WrongUse."""
    if [*named.values(), "-" if as_json else None].count("-") > 1:
        raise WrongUse("Only one of --json, --page - and --quote - can go to stdout; give the others a file.")
    for name, file in named.items():
        if file is not None and re.fullmatch(r"\d[\d.,]*", file):
            raise WrongUse(
                f"{name} takes a file's name, and {file} looks like an amount: give the price with --given {file}, "
                f"and {name} a name like {name[2:]}.html."
            )
