"""`guide why`: where a number comes from."""

from collections.abc import Collection
from pathlib import Path

import click

from guide.commands.common import maker_option, say
from guide.commands.sessions import At, code_told, plan_or_session, plans_by_make, read_session, session_path
from guide.errors import WrongUse
from guide.plan.graph import depending, tree
from guide.plan.model import Plan
from guide.read.spoken import said

ELSEWHERE = {
    (
        "price",
        "cost",
        "labour",
        "overhead",
        "margin",
        "profit",
        "fee",
        "fees",
        "tax",
    ): "guide price shows what it is made of",
    (
        "buy",
        "shopping",
        "cut",
        "cutting",
        "strips",
        "cloth",
    ): "guide plan --cutting shows what is cut from what is bought",
    (
        "hands_on",
        "time",
        "hours",
        "clock",
        "pace",
    ): "guide paces shows what each step takes, guide why pace STAGE/STEP what that rests on",
}


ONE_MADE = "This session makes one article: leave --make out."


@click.command(
    "why",
    epilog="\b\nExamples:\n  guide why zip_cut sessions/window-seat-cushion\n  guide why panel_width --json\n"
    "  guide why zip_cut SESSION --make 2\n  guide why pace quilt/cross",
)
@click.argument("name")
@click.argument("place", required=False, metavar="[PROJECT|SESSION|STAGE/STEP]")
@click.argument("root", required=False, type=click.Path(file_okay=False), metavar="[SESSIONS-FOLDER]")
@click.option("--make", type=click.IntRange(1), metavar="N", help="Of a session that makes several: this one's sizes.")
@click.option("--for", "whom", type=click.Choice(["beginner"]), help="A pace of sessions followed as a beginner.")
@maker_option()
@click.option("--json", "as_json", is_flag=True, help="The tree, or a pace's sessions, as JSON.")
def command(
    name: str, place: str | None, root: str | None, *, make: int | None, whom: str | None, maker: str, as_json: bool
) -> int:
    """Show the formula of NAME, the same with values in, and where each value comes from.

    NAME is a number's name, or what tables call it: zip_cut, "washed size".

    With a session's journal, measured values stand in the place of planned ones; of one that makes several, with
    --make and its number. A project with --make is its newest session.

    `guide why pace quilt/cross` shows what a step's pace rests on: which sessions, at which size, what was left out,
    and how far it leans on the starter pace.
    """
    if name == "pace" and place is not None and not Path(place).exists():
        return _why_pace(place, root, maker, whom or "", as_json=as_json)
    if root is not None:
        raise WrongUse("A sessions folder goes with a pace: guide why pace quilt/cross SESSIONS-FOLDER.")
    from guide.plan.backwards import planned_from
    from guide.show.model_plan import wanted_report
    from guide.show.why import why_dict, why_lines

    at = plan_or_session(place) if make is None else read_session(session_path(place))
    units = at.plan.project.units
    names = _meant(name, at.plan)
    if as_json and len(names) > 1:
        raise WrongUse(f"{name} is {len(names)} numbers: {', '.join(names)}. With --json ask for one of them.")
    for one in names:
        plan, told = _of_make(at, one, make)
        need = tree(one, plan.quantities, at.language)
        if as_json:
            import json

            click.echo(json.dumps(why_dict(need, plan.quantities, units), ensure_ascii=False, indent=1))
            continue
        say("\n".join([*why_lines(need, plan.quantities, units), *told]))
        if planned_from(at.plan.project, one) and (wanted := wanted_report(at.plan.project)):
            say(f"Chosen to come near what is wanted: {wanted.says}. guide plan lists the choices.")
    return at.exit_code


def _why_pace(step: str, root: str | None, maker: str, whom: str, *, as_json: bool) -> int:
    """Show what a step's pace rests on."""
    from guide.commands.paces_where import pace_dict, pace_evidence, pace_lines

    found, mine = pace_evidence(step, root, maker, whom)
    if as_json:
        import json

        click.echo(json.dumps(pace_dict(found), ensure_ascii=False, indent=1))
    else:
        say("\n".join(pace_lines(found, mine)))
    return code_told()


def _meant(name: str, plan: Plan) -> list[str]:
    """Give the number of that name, or those that tables call so: a width and a height share one label. WrongUse."""
    quantities, asked = plan.quantities, " ".join(name.lower().split())
    if name in quantities:
        return [name]
    called = {one: own.called for one, own in quantities.items() if own.called}

    def so(label: str) -> bool:
        return asked in {label.lower(), said(label, plan.project.words).lower()}

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
    from guide.read.model import did_you_mean

    told = next((command for words, command in ELSEWHERE.items() if name in words), "")
    if told:
        return f"; {told}"
    longer = [known for known in quantities if known.startswith(f"{name}_")]
    if longer:
        return f"; there are {', '.join(longer)}"
    return did_you_mean(name, quantities) or "; guide plan --all lists them"
