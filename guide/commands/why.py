"""`guide why`: where a number comes from."""

from collections.abc import Collection

import click

from guide.commands.common import say
from guide.commands.sessions import plan_or_session
from guide.errors import WrongUse

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
    ): "guide paces shows what each step takes, guide plan what they come to",
}


@click.command(
    "why",
    epilog="\b\nExamples:\n  guide why zip_cut sessions/window-seat-cushion\n  guide why panel_width --json",
)
@click.argument("name")
@click.argument("place", required=False, metavar="[PROJECT|SESSION]")
@click.option("--json", "as_json", is_flag=True, help="The tree as JSON.")
def command(name: str, place: str | None, *, as_json: bool) -> int:
    """Show the formula of NAME, the same with values in, and where each value comes from.

    With a session's journal, measured values stand in the place of planned ones, unless it made several.
    """
    from guide.plan.backwards import planned_from
    from guide.plan.graph import tree
    from guide.show.wanted import wanted_dict
    from guide.show.why import why_dict, why_lines

    at = plan_or_session(place)
    quantities = at.plan.quantities
    if name not in quantities:
        raise WrongUse(f"There is no number called {name}{_elsewhere(name, quantities)}.")
    need = tree(name, quantities, at.language)
    units = at.plan.project.units
    if as_json:
        import json

        click.echo(json.dumps(why_dict(need, quantities, units), ensure_ascii=False, indent=1))
    else:
        say("\n".join(why_lines(need, quantities, units)))
        if planned_from(at.plan.project, name) and (wanted := wanted_dict(at.plan.project)):
            say(f"Chosen to come near what is wanted: {wanted['says']}. guide plan lists the choices.")
    return at.exit_code


def _elsewhere(name: str, quantities: Collection[str]) -> str:
    """Say where a number of that kind is to be found: under a longer name, by another command, or by a near name."""
    from guide.read.problems import did_you_mean

    told = next((command for words, command in ELSEWHERE.items() if name in words), "")
    if told:
        return f"; {told}"
    longer = [known for known in quantities if known.startswith(f"{name}_")]
    if longer:
        return f"; there are {', '.join(longer)}"
    return did_you_mean(name, quantities) or "; guide plan --all lists them"
