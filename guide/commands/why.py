"""`guide why`: where a number comes from."""

import re
from collections.abc import Collection, Mapping
from pathlib import Path

import click
from msgspec import Struct

from guide.commands.ask import argument, asks, maker, option
from guide.commands.common import SESSIONS, put_out, say, say_json
from guide.commands.sessions import At, plan_or_session, plans_by_make, read_session, session_path
from guide.errors import WrongUse
from guide.plan.graph import Need, depending, planned_from, tree
from guide.plan.model import Plan, Quantity
from guide.read import spoken
from guide.read.model import Given, Rank, did_you_mean
from guide.read.units import Units
from guide.show.words import text_of, value_text

# Where a number comes from: its formula, the same with values in, and each value down to the project's line.

_NAME = re.compile(r"'[^']*'|[A-Za-z_][A-Za-z_0-9]*")
OF_RANK: dict[Rank | None, str] = {"machine": "your machine", "cloth": "the kind of cloth"}
BRANCH, LAST, DOWN, SPACE = "├╴", "└╴", "│ ", "  "


def why_lines(need: Need, quantities: Mapping[str, Quantity], units: Units) -> list[str]:
    """Draw the tree; a name already told is not told twice."""
    drawing = _Drawing(quantities, units)
    drawing.branch(need, "", "")
    return drawing.out


def plain_why(need: Need, quantities: Mapping[str, Quantity], units: Units) -> dict[str, object]:
    """Give the same tree as plain data."""
    quantity = need.quantity
    return {
        "name": quantity.name,
        "value": quantity.value,
        "text": text_of(quantity, units),
        "formula": quantity.formula,
        "with_values": with_values(need, quantities, units),
        "from": where(quantity),
        "rank": quantity.rank,
        "instead_of": [
            {"rank": one.rank, "value": one.value, "text": text_of(one, units), "from": where(one)}
            for one in map(_of, quantity.over)
        ],
        "measured": quantity.measured,
        "planned": quantity.planned if quantity.measured else None,
        "needs": [plain_why(inner, quantities, units) for inner in need.needs],
    }


def where(quantity: Quantity) -> str:
    """Tell where a value is written: in the project, or in the stage whose formula or default it is."""
    if quantity.because:
        return quantity.because
    return "a default" if quantity.place is None else str(quantity.place)


def _said_by(quantity: Quantity) -> str:
    """Name where a value is written, and whose word it is, where that is not plain from its place."""
    whose = OF_RANK.get(quantity.rank)
    return f"{where(quantity)} ({whose})" if whose else where(quantity)


def _instead_of(quantity: Quantity, units: Units) -> str:
    """Tell what a value stands in the place of, where somebody said that too."""
    told = [f"{text_of(one, units)}, {_said_by(one)}" for one in map(_of, quantity.over) if one.rank != "default"]
    return f"; instead of {' and '.join(told)}" if told else ""


def _of(given: Given) -> Quantity:
    return Quantity(
        given.name, given.value, given.dim,
        place=given.place, written=given.written, rank=given.rank, because=given.because,
    )  # fmt: skip


def with_values(need: Need, quantities: Mapping[str, Quantity], units: Units) -> str | None:
    """Give the part of a formula that applies, with the values put in for the names."""
    if need.applies is None:
        return None

    def put(found: re.Match[str]) -> str:
        known = quantities.get(found[0])
        if known is None:
            return found[0]
        text = text_of(known, units)
        return f"({text})" if " " in text and known.dim == "length" else repr(text) if known.dim == "text" else text

    return _NAME.sub(put, need.applies)


class _Drawing(Struct):
    """A tree being drawn: what it reads from, the lines so far, and the names already told."""

    quantities: Mapping[str, Quantity]
    units: Units
    out: list[str] = []
    told: set[str] = set()

    def branch(self, need: Need, lead: str, under: str) -> None:
        """Draw one quantity and what it needs below it."""
        quantity = need.quantity
        value = text_of(quantity, self.units)
        if quantity.measured and quantity.planned is not None:
            value += f"  measured (planned {value_text(quantity.planned, quantity.dim, self.units)})"
        self.out.append(f"{lead}{quantity.name} = {value}   {_said_by(quantity)}{_instead_of(quantity, self.units)}")
        if quantity.formula is None or quantity.name in self.told:
            return
        self.told.add(quantity.name)
        pad = under + (DOWN if need.needs else SPACE)
        self.out.append(f"{pad} = {quantity.formula}")
        if quantity.measured:
            self.out.append(f"{pad}   (that is the plan; what was measured stands in its place)")
        else:
            self.out.append(f"{pad} = {with_values(need, self.quantities, self.units)}")
        for i, inner in enumerate(need.needs):
            last = i == len(need.needs) - 1
            self.branch(inner, under + (LAST if last else BRANCH), under + (SPACE if last else DOWN))


ELSEWHERE = {
    "price cost labour overhead margin profit fee fees tax": "guide price shows what it is made of",
    "buy shopping cut cutting strips cloth": "guide plan --cutting shows what is cut from what is bought",
    "hands_on time hours clock pace": "guide paces shows what each step takes, guide why pace STAGE/STEP what that "
    "rests on",
}
ONE_MADE = "This session makes one article: leave --make out."


class Asked(Struct, frozen=True):
    """What number or pace is asked about, and of what."""

    name: str = argument()
    place: str | None = argument(required=False, metavar="[PROJECT|SESSION|STAGE/STEP]")
    root: Path | None = argument(
        required=False, type=click.Path(file_okay=False, path_type=Path), metavar="[SESSIONS-FOLDER]"
    )
    make: int | None = option("Of a session that makes several: this one's sizes.", "N", type=click.IntRange(1))
    whom: str = option("A pace of sessions followed as a beginner.", None, "--for", type=click.Choice(["beginner"]))
    maker: str = maker()
    as_json: bool = option("The tree, or a pace's sessions, as JSON.", None, "--json")


@click.command(
    "why",
    epilog="\b\nExamples:\n  guide why zip_cut sessions/window-seat-cushion\n  guide why panel_width --json\n"
    "  guide why zip_cut SESSION --make 2\n  guide why pace quilt/cross",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Show the formula of NAME, the same with values in, and where each value comes from.

    NAME is a number's name, or what tables call it: zip_cut, "washed size".

    With a session's journal, measured values stand in the place of planned ones; of one that makes several, with
    --make and its number. A project with --make is its newest session.

    `guide why pace quilt/cross` shows what a step's pace rests on: which sessions, at which size, what was left out,
    and how far it leans on the starter pace.
    """
    name, place, make = said.name, said.place, said.make
    if name == "pace" and place is not None and not Path(place).exists():
        return _why_pace(place, said)
    if said.root is not None:
        raise WrongUse("A sessions folder goes with a pace: guide why pace quilt/cross SESSIONS-FOLDER.")
    from guide.show.model_plan import wanted_report

    at = plan_or_session(place) if make is None else read_session(session_path(place))
    units = at.plan.project.units
    names = _meant(name, at.plan)
    if said.as_json and len(names) > 1:
        raise WrongUse(f"{name} is {len(names)} numbers: {', '.join(names)}. With --json ask for one of them.")
    for one in names:
        plan, told = _of_make(at, one, make)
        need = tree(one, plan.quantities, at.language)
        if said.as_json:
            say_json(plain_why(need, plan.quantities, units))
            continue
        say("\n".join([*why_lines(need, plan.quantities, units), *told]))
        if planned_from(at.plan.project, one) and (wanted := wanted_report(at.plan.project)):
            say(f"Chosen to come near what is wanted: {wanted.says}. guide plan lists the choices.")
    return at.exit_code


def _why_pace(step: str, said: Asked) -> int:
    """Show what a step's pace rests on."""
    from guide.commands.paces_where import pace_evidence, pace_lines

    found, mine = pace_evidence(step, said.root or SESSIONS, said.maker, said.whom)
    return put_out(found, lambda: pace_lines(found, mine), as_json=said.as_json)


def _meant(name: str, plan: Plan) -> list[str]:
    """Give the number of that name, or those that tables call so: a width and a height share one label. WrongUse."""
    quantities, asked = plan.quantities, " ".join(name.lower().split())
    if name in quantities:
        return [name]
    called = {one: own.called for one, own in quantities.items() if own.called}

    def so(label: str) -> bool:
        return asked in {label.lower(), spoken.said(label, plan.project.words).lower()}

    found = [one for one, own in called.items() if so(own.text)] or [one for one, own in called.items() if so(own.row)]
    if not found:
        raise WrongUse(f"There is no number called {name}{_elsewhere(name, quantities)}.")
    return found


def _of_make(at: At, name: str, make: int | None) -> tuple[Plan, list[str]]:
    """Give the plan that a name is told from, and what is to be said of it. WrongUse for a make there is not."""
    several = at.plan.project.make
    if make is not None and make > several:
        raise WrongUse(f"This session makes {several}: --make goes from 1 to {several}." if several > 1 else ONE_MADE)
    makes = plans_by_make(at)
    if make is None:
        measured = ", ".join(f"--make {one}" for one in makes)
        return at.plan, [f"As planned; measured apart: {measured}."] if measured else []
    if several > 1 and name in depending("make", at.language):
        return at.plan, [f"{name} counts over all {several} makes: it is as planned."]
    return makes.get(make, at.plan), []


def _elsewhere(name: str, quantities: Collection[str]) -> str:
    """Say where a number of that kind is to be found: under a longer name, by another command, or by a near name."""
    told = next((command for words, command in ELSEWHERE.items() if name in words.split()), "")
    if told:
        return f"; {told}"
    longer = [known for known in quantities if known.startswith(f"{name}_")]
    if longer:
        return f"; there are {', '.join(longer)}"
    return did_you_mean(name, quantities) or "; guide plan --all lists them"
