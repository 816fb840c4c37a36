"""`guide price A B --make 1,3 --set square=5in,6in`: several articles, batches and sizes in one table."""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import product
from pathlib import Path
from typing import Any

import msgspec

from guide.commands.common import SESSIONS, PageTo
from guide.commands.sessions import open_here, plan_or_session
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
BEST = "The best hour first"
_MARKS = {"[": "]", "{": "}", "(": ")"}


def is_several(places: Sequence[str], changes: Sequence[str], makes: str | None) -> bool:
    """Whether one price is asked for, or a table of several."""
    return len(places) > 1 or makes is not None or any(len(_values(one)) > 1 for one in changes)


class Priced(msgspec.Struct, frozen=True):
    """Several offers, what an hour earns most with first; all in one currency."""

    offers: list[Offer]
    currency: str


class Several(msgspec.Struct, frozen=True):
    """What is asked of several: all that is tried, whose times, at what price and place."""

    tries: Sequence[Sequence[str]]
    maker: str = ""
    given: Decimal | None = None
    at: str | None = None
    sitting_s: float | None = None


def priced(places: Sequence[str | None], said: Several) -> Priced:
    """Price every article with all that is tried. Raises GuideError, WrongUse where they have several currencies."""
    tries, given, at = said.tries, said.given, said.at
    if len(places) * len(tries) > MOST:
        raise WrongUse(f"That is {len(places) * len(tries)} plans to price; ask for {MOST} at once at most.")
    known: dict[Path, Paces] = {}
    out: list[Offer] = []
    currencies: dict[str, None] = {}
    for place in places:
        for asked, plan, quoted in _quoted(place, said, known):
            sold = plan if at is None else at_place(plan, at)
            price = quoted if given is None else at_given(sold, quoted, given)
            tried = " ".join(one for one in asked if not one.startswith("make="))
            out += [one for one in offers(sold, price, tried) if at in (None, one.at)]
            currencies[quoted.currency] = None
    if len(currencies) > 1:
        raise WrongUse(f"They are priced in {', '.join(currencies)}: ask for those of one currency together.")
    return Priced(by_the_hour(out), next(iter(currencies)))


def _quoted(place: str | None, said: Several, known: dict[Path, Paces]) -> Iterator[tuple[Sequence[str], Plan, Quote]]:
    """One article, priced with each thing tried; `known`: paces by sessions root, so that each is read once.

    Raises WrongUse when what is tried is of a plan, and the place is a session.
    """
    here = plan_or_session(place)
    if here.record is not None:
        if any(said.tries) or said.sitting_s:
            raise WrongUse(f"--make, --set and --sitting are of a plan: name the project, not its session {place}.")
        yield (), here.plan, price_session(here.plan, here.record)
        return
    path = find_project(place, SESSIONS)
    root = path.parent.parent
    if root not in known:
        known[root] = paces_from(root, said.maker)
    for asked in said.tries:
        plan = here.plan
        if asked:
            try:
                other = open_here(path, asked)
                plan = make_plan(other.project, other.language)
            except GuideError as error:
                error.args = (f"With {' '.join(asked)}: {error}", *error.args[1:])
                raise
        yield asked, plan, price_plan(plan, forecast(plan, known[root], sitting_s=said.sitting_s))


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


def several_lines(said: Priced) -> list[str]:
    """Lay them out for the terminal."""
    rows = sold_table(said.offers, said.currency, label=BEST)
    return [rows.label, "", *lines(rows, heads=True), "", *(f"  {told}" for told in sold_says(said.offers))]


def several_dict(said: Priced) -> dict[str, Any]:
    """Give them as plain data."""
    return {"currency": said.currency, "offers": sold_rows(said.offers)}


def several_page(said: Priced, to: PageTo, beside: Path) -> None:
    """Write them as a page."""
    from guide.show.pages.papers import priced_page

    rows = sold_table(said.offers, said.currency, label=BEST)
    to.put(lambda fmt: priced_page(rows, sold_says(said.offers), fmt), beside)
