"""`guide why`: where a number comes from."""

import click

from guide.commands.common import say
from guide.commands.sessions import plan_or_session
from guide.errors import WrongUse


@click.command(
    "why",
    epilog="\b\nExamples:\n  guide why zip_cut sessions/window-seat-cushion\n  guide why panel_width --json",
)
@click.argument("name")
@click.argument("place", required=False, metavar="[PROJECT|SESSION]")
@click.option("--json", "as_json", is_flag=True, help="The tree as JSON.")
def command(name: str, place: str | None, *, as_json: bool) -> int:
    """Show the formula of NAME, the same with values in, and where each value comes from.

    With a session's journal, measured values stand in the place of planned ones.
    """
    from guide.plan.graph import tree
    from guide.read.problems import did_you_mean
    from guide.show.why import why_dict, why_lines

    at = plan_or_session(place)
    quantities = at.plan.quantities
    if name not in quantities:
        near = did_you_mean(name, quantities) or "; guide plan --all lists them"
        raise WrongUse(f"There is no number called {name}{near}.")
    need = tree(name, quantities, at.language)
    units = at.plan.project.units
    if as_json:
        import json

        click.echo(json.dumps(why_dict(need, quantities, units), ensure_ascii=False, indent=1))
    else:
        say("\n".join(why_lines(need, quantities, units)))
    return at.exit_code
