"""`guide plan`: every number of a project, as a table, JSON or a page."""

import os
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import msgspec

from guide.commands.common import opened, say, talk
from guide.commands.planned import plan_of
from guide.commands.times import money_of, past_under, seen_of, usual_steps
from guide.errors import WrongUse
from guide.plan.learnt import Learnt
from guide.plan.model import Plan
from guide.read.places import Opened

if TYPE_CHECKING:
    from guide.commands.deadline import Asked
    from guide.money.model import Paces


@click.command(
    "plan",
    epilog="\b\nExamples:\n  guide plan sessions/window-seat-cushion\n  guide plan --json > plan.json\n"
    "  guide plan --set square=7in --set make=6\n  guide plan --page plan.html\n"
    '  guide plan --set make=6 --by 2026-12-12 --evening "2 hours"\n  guide plan --as-made\n'
    "  guide plan --cutting --spare 2\n  guide plan sessions/one --with sessions/other",
)
@click.argument("project", required=False)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON: mm, mm², s, and the texts.")
@click.option("--page", type=click.Path(dir_okay=False), help="Write a page to print and keep.")
@click.option("--all", "everything", is_flag=True, help="List every number by name, with its formula.")
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="Try another value, beside the project's.")
@click.option("--as-made", is_flag=True, help="Try what your measured panels and washes taught, beside the project.")
@click.option("--evening", metavar="LENGTH", help='How long you sew at a time, "2 hours": how many times it takes.')
@click.option("--by", metavar="DAY", help="With --evening: can it be done by this day, 2026-12-12? The chance.")
@click.option("--from", "start", metavar="DAY", help="With --by: the first evening; today when not said.")
@click.option("--on", metavar="DAYS", help="With --by: only on these days, as mon,wed,sat.")
@click.option("--rest", is_flag=True, help="How long the rest of the unfinished session takes.")
@click.option("--cutting", is_flag=True, help="The cutting alone: the order to cut in, strip by strip, and a sketch.")
@click.option("--spare", type=click.IntRange(0, 100), default=0, metavar="N", help="Cut N squares more of each print.")
@click.option("--with", "others", multiple=True, metavar="PROJECT", help="Plan this one too, from the same stash.")
@click.option("--open", "open_it", is_flag=True, help="Open the page that was written.")
def command(
    project: str | None,
    *,
    page: str | None,
    changes: tuple[str, ...],
    evening: str | None,
    by: str | None,
    start: str | None,
    on: str | None,
    as_json: bool,
    everything: bool,
    as_made: bool,
    rest: bool,
    cutting: bool,
    spare: int,
    others: tuple[str, ...],
    open_it: bool,
) -> int:
    """Work out every number of PROJECT: sizes, cut list, layout, shopping, steps, time and cost.

    Times are your own where there are sessions, from the newest hundred; else starter paces.
    """
    from guide.commands.as_made import hint, learnt_for
    from guide.commands.deadline import asked
    from guide.money.paces import learn

    asking = asked(evening, by, start, on)
    here = opened(project, texts=bool(page))
    if others or cutting:
        _alone(cutting=cutting, as_json=as_json, apart=any((page, changes, asking, everything, as_made, rest)))
        _cloth(here, others, spare, as_json=as_json)
        return 0
    past = past_under(here.folder.parent)
    paces = learn(seen_of(past))
    plan = plan_of(here, spare)
    learnt = learnt_for(past, plan)
    tried = _tried(here, plan, changes, learnt if as_made else (), spare)
    names = " ".join((*changes, *(["as made"] if as_made and learnt else [])))
    data = _report(tried or plan, paces, texts=bool(page))
    data["learnt"] = [msgspec.structs.asdict(one) | {"says": hint(one)} for one in learnt]
    if here.project.target is not None and tried is None:
        from guide.commands.target import choices_of

        data["backwards"] = choices_of(here)
    data |= _outlook(here, tried or plan, paces, asking, rest=rest)
    if as_json:
        import json

        click.echo(json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False))
    elif page:
        _page(data, page, open_it=open_it)
    elif tried is not None:
        from guide.show.beside import beside_lines

        both = (_report(plan, paces), data)
        say("\n".join([*beside_lines(*both, ("as it is", names)), *_added(data)]))
    else:
        say("\n".join([*plan_text(data, everything=everything), *_added(data)]))
    if as_made and not learnt:
        talk("Nothing that was measured so far differs from the project.")
    return 0


def _alone(*, cutting: bool, as_json: bool, apart: bool) -> None:
    """Refuse options that would be left without effect."""
    if apart or (cutting and as_json):
        raise WrongUse(
            "--cutting and --with show the cloth alone: leave out the options about times, trials and pages. "
            "The cutting order is in --json as it is."
        )


def _cloth(here: Opened, others: Sequence[str], spare: int, *, as_json: bool) -> None:
    """Show the cutting order of one project, or several projects and one shopping list."""
    if not others:
        from guide.show.cutting_lines import cutting_lines

        say("\n".join(cutting_lines(plan_of(here, spare), _columns())))
        return
    from guide.commands.together import plans_together, together_lines, together_report

    data = together_report(plans_together(here, others, spare))
    if as_json:
        import json

        click.echo(json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        say("\n".join(together_lines(data)))


def _report(plan: Plan, paces: "Paces", *, texts: bool = False) -> dict[str, Any]:
    """Report a plan at the maker's own paces."""
    from guide.show.report import report

    return report(plan, money=money_of(plan, paces), paces=usual_steps(plan, paces), texts=texts)


def _tried(here: Opened, plan: Plan, changes: Sequence[str], learnt: Sequence[Learnt], spare: int) -> Plan | None:
    """Plan with other values tried, then with what was learnt; None when nothing is tried."""
    if not changes and not learnt:
        return None
    from guide.plan.learnt import as_made
    from guide.plan.make import make_plan
    from guide.read.places import open_project

    other = open_project(here.path, os.environ, changes)
    same = not changes and plan.layout is not None  # a layout that was kept fits only what it was laid for
    stacks = [list(block.stack) for block in plan.layout.blocks] if same and plan.layout else None
    return make_plan(as_made(other.project, learnt), other.language, None, stacks, spare)


def _outlook(here: Opened, plan: Plan, paces: "Paces", asking: "Asked | None", *, rest: bool) -> dict[str, Any]:
    """What was asked beyond the plan: the rest of a session, and sittings up to a day."""
    from guide.commands.deadline import answered, left_dict, unfinished_session
    from guide.money.forecast import forecast

    out: dict[str, Any] = {}
    record = None
    if rest:
        at = unfinished_session(here.folder)
        plan, record = at.plan, at.record
        out["left"] = left_dict(forecast(plan, paces, record=record))
    if asking is not None:
        out["sittings"] = answered(asking, plan, paces, record)
    return out


def _added(data: dict[str, Any]) -> list[str]:
    """The lines under the table: what past makings taught, what is left, and whether it can be done."""
    out = [f"› {one['says']}" for one in data["learnt"]]
    out += [data[name]["says"] for name in ("left", "sittings") if name in data]
    return ["", *out] if out else []


def _page(data: dict[str, Any], page: str, *, open_it: bool) -> None:
    from guide.show.pages import render_plan
    from guide.show.pages.write import write_page

    write_page(Path(page), render_plan(data))
    talk(f"Written: {page}")
    if open_it:
        click.launch(page)


def plan_text(data: dict[str, object], *, everything: bool) -> list[str]:
    """Lay the table out for the terminal at hand."""
    from guide.show.table import plan_lines

    return plan_lines(data, _columns(), everything=everything)


def _columns() -> int:
    return min(shutil.get_terminal_size((80, 24)).columns, 100)
