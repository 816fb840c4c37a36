"""`guide plan`: every number of a project, as a table, JSON or a page."""

import os
import shutil
from pathlib import Path

import click

from guide.commands.common import opened, say, talk
from guide.commands.planned import plan_of
from guide.commands.times import money_of


@click.command(
    "plan",
    epilog="\b\nExamples:\n  guide plan sessions/window-seat-cushion\n  guide plan --json > plan.json\n"
    "  guide plan --set square=7in --set make=6\n  guide plan --page plan.html",
)
@click.argument("project", required=False)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON: mm, mm², s, and the texts.")
@click.option("--page", type=click.Path(dir_okay=False), help="Write a page to print and keep.")
@click.option("--all", "everything", is_flag=True, help="List every number by name, with its formula.")
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="Try another value, beside the project's.")
@click.option("--open", "open_it", is_flag=True, help="Open the page that was written.")
def command(
    project: str | None, page: str | None, changes: tuple[str, ...], *, as_json: bool, everything: bool, open_it: bool
) -> int:
    """Work out every number of PROJECT: sizes, cut list, layout, shopping, steps, time and cost."""
    from guide.plan.make import make_plan
    from guide.read.places import open_project
    from guide.show.report import report

    here = opened(project)
    plan = plan_of(here)
    if changes:
        other = open_project(here.path, os.environ, changes)
        tried = make_plan(other.project, other.language)
        money = money_of(tried, here.folder)
        if not as_json and not page:
            from guide.show.beside import beside_lines

            both = (report(plan, money=money_of(plan, here.folder)), report(tried, money=money))
            say("\n".join(beside_lines(*both, ("as it is", " ".join(changes)))))
            return 0
        plan = tried
    data = report(plan, money=money_of(plan, here.folder), texts=bool(page))
    if here.project.target is not None and not changes:
        from guide.commands.target import choices_of

        data["backwards"] = choices_of(here)
    if as_json:
        import json

        click.echo(json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False))
    elif page:
        from guide.show.pages import render_plan
        from guide.show.pages.write import write_page

        write_page(Path(page), render_plan(data))
        talk(f"Written: {page}")
        if open_it:
            click.launch(page)
    else:
        say("\n".join(plan_text(data, everything=everything)))
    return 0


def plan_text(data: dict[str, object], *, everything: bool) -> list[str]:
    """Lay the table out for the terminal at hand."""
    from guide.show.table import plan_lines

    return plan_lines(data, min(shutil.get_terminal_size((80, 24)).columns, 100), everything=everything)
