"""`guide plan`: every number of a project, as a table, JSON or a page."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click
import msgspec

from guide.commands.common import columns, maker_option, opened, page_format, put_page, say, talk
from guide.commands.on_shelf import open_here
from guide.commands.planned import plan_of
from guide.commands.times import money_of, past_under, seen_of, tell, usual_steps, whose
from guide.errors import WrongUse
from guide.plan.learnt import Learnt
from guide.plan.model import Plan
from guide.read.places import Opened

if TYPE_CHECKING:
    from guide.commands.deadline import Asked
    from guide.commands.sessions import At
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
@click.option(
    "--page",
    type=click.Path(dir_okay=False),
    help="Write a page to print and keep (FILE.md: as Markdown); - for stdout.",
)
@click.option("--all", "everything", is_flag=True, help="List every number by name, with its formula.")
@click.option("--set", "changes", multiple=True, metavar="KEY=VALUE", help="Try another value, beside the project's.")
@click.option("--as-made", is_flag=True, help="Try what your measured panels and washes taught, beside the project.")
@click.option("--evening", metavar="LENGTH", help='How long you sew at a time, "2 hours": how many times it takes.')
@click.option("--by", metavar="DAY", help="With --evening: can it be done by this day, 2026-12-12? The chance.")
@click.option("--from", "start", metavar="DAY", help="With --by: the first evening; today when not said.")
@click.option("--on", metavar="DAYS", help="With --by: only on these days, as mon,wed,sat.")
@click.option("--rest", is_flag=True, help="How long the rest of the unfinished session takes.")
@click.option("--cutting", is_flag=True, help="The cutting alone: the order to cut in, strip by strip, and a sketch.")
@click.option(
    "--spare",
    type=click.IntRange(0, 100),
    default=0,
    metavar="N",
    help="Cut N squares more of each print, if it has them.",
)
@click.option("--with", "others", multiple=True, metavar="PROJECT", help="Plan this one too, from the same shelf.")
@maker_option()
@click.option("--open", "open_it", is_flag=True, help="Open the page that was written.")
def command(project: str | None, **options: Any) -> int:
    """Work out every number of PROJECT: sizes, cut list, layout, shopping, steps, time and cost.

    Times are your own where there are sessions, from the newest hundred; else starter paces.
    """
    from guide.commands.as_made import hint, learnt_for
    from guide.commands.deadline import asked, unfinished_session
    from guide.money.paces import learn

    wanted = Wanted(**options)
    if wanted.as_json and wanted.page == "-":
        raise WrongUse("--json and --page - both go to stdout; give the page a file.")
    asking = asked(wanted.evening, wanted.by, wanted.start, wanted.on)
    here = opened(project, texts=bool(wanted.page))
    if wanted.others or wanted.cutting:
        _cloth(here, wanted)
        return 0
    at = unfinished_session(here.folder) if wanted.rest else None
    root = here.folder.parent
    mine = whose(root, at.record.header.maker if at and at.record and at.record.header.maker else wanted.maker)
    tell(mine)
    past = past_under(root, mine)
    paces = learn(seen_of(past), maker=mine.maker)
    plan = plan_of(here, wanted.spare)
    learnt = learnt_for(past, plan)
    tried = _tried(here, plan, wanted, learnt)
    data = _report(tried or plan, paces, texts=bool(wanted.page))
    data["learnt"] = [msgspec.structs.asdict(one) | {"says": hint(one)} for one in learnt]
    if here.project.target is not None and tried is None:
        from guide.commands.target import choices_of

        data["backwards"] = choices_of(here)
    data |= _outlook(tried or plan, paces, asking, at)
    if wanted.as_json or wanted.page or tried is None:
        _show(data, wanted)
    else:
        from guide.show.beside import beside_lines

        names = " ".join((*wanted.changes, *(["as made"] if wanted.as_made and learnt else [])))
        say("\n".join([*beside_lines(_report(plan, paces), data, ("as it is", names)), *_added(data)]))
    if wanted.as_made and not learnt:
        talk("Nothing that was measured so far differs from the project.")
    return at.exit_code if at is not None else 0


class Wanted(msgspec.Struct, frozen=True):
    """What the options ask for."""

    page: str | None
    changes: tuple[str, ...]
    evening: str | None
    by: str | None
    start: str | None
    on: str | None
    as_json: bool
    everything: bool
    as_made: bool
    rest: bool
    cutting: bool
    spare: int
    others: tuple[str, ...]
    open_it: bool
    maker: str

    @property
    def more(self) -> bool:
        """Whether times, trials, pages or all numbers are asked for."""
        return any((self.page, self.changes, self.evening, self.everything, self.as_made, self.rest))


def _show(data: dict[str, Any], wanted: Wanted) -> None:
    """Print a plan's report as JSON or the table, or write its page."""
    if wanted.as_json:
        import json

        click.echo(json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False))
    if wanted.page:
        _page(data, wanted.page, open_it=wanted.open_it)
    if not (wanted.as_json or wanted.page):
        say("\n".join([*plan_text(data, everything=wanted.everything), *_added(data)]))


def _cloth(here: Opened, wanted: Wanted) -> None:
    """Show the cutting order of one project, or several projects and one shopping list.

    Raises WrongUse for options that would be left without effect.
    """
    if wanted.more or (wanted.cutting and wanted.as_json):
        raise WrongUse(
            "--cutting and --with show the cloth alone: leave out the options about times, trials and pages. "
            "The cutting order is in --json as it is."
        )
    if not wanted.others:
        from guide.show.cutting_lines import cutting_lines

        plan = plan_of(here, wanted.spare)
        say(
            "\n".join(
                [*cutting_lines(plan, columns()), *(f"▲ {one.text}" for one in plan.warnings if one.name == "spare")]
            )
        )
        return
    from guide.commands.together import plans_together, together_lines, together_report

    data = together_report(plans_together(here, wanted.others, wanted.spare))
    if wanted.as_json:
        import json

        click.echo(json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        say("\n".join(together_lines(data)))


def _report(plan: Plan, paces: "Paces", *, texts: bool = False) -> dict[str, Any]:
    """Report a plan at the maker's own paces."""
    from guide.show.report import report

    return report(plan, money=money_of(plan, paces), paces=usual_steps(plan, paces), texts=texts)


def _tried(here: Opened, plan: Plan, wanted: Wanted, found: Sequence[Learnt]) -> Plan | None:
    """Plan with other values tried, then with what was learnt; None when nothing is tried."""
    changes, learnt = wanted.changes, found if wanted.as_made else ()
    if not changes and not learnt:
        return None
    from guide.plan.learnt import as_made
    from guide.plan.make import make_plan

    other = open_here(here.path, changes)
    same = not changes and plan.layout is not None  # a layout that was kept fits only what it was laid for
    stacks = [list(block.stack) for block in plan.layout.blocks] if same and plan.layout else None
    return make_plan(as_made(other.project, learnt), other.language, None, stacks, wanted.spare)


def _outlook(plan: Plan, paces: "Paces", asking: "Asked | None", at: "At | None") -> dict[str, Any]:
    """What was asked beyond the plan: the rest of a session, and sittings up to a day."""
    from guide.commands.deadline import answered, left_dict
    from guide.money.forecast import forecast

    out: dict[str, Any] = {}
    record = None
    if at is not None:
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

    put_page(page, render_plan(data, page_format(page)))
    if open_it and page != "-":
        click.launch(page)


def plan_text(data: dict[str, object], *, everything: bool) -> list[str]:
    """Lay the table out for the terminal at hand."""
    from guide.show.plan_lines import plan_lines

    return plan_lines(data, columns(), everything=everything)
