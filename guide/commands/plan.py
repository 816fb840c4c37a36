"""`guide plan`: every number of a project, as a table, JSON or a page."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click
import msgspec

from guide.commands.common import PageTo, columns, maker_option, opened, page_options, say, talk
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
    from guide.show.model import Report
    from guide.show.model_plan import Left, Sittings
    from guide.show.wanted import ChoiceReport


@click.command(
    "plan",
    epilog="\b\nExamples:\n  guide plan sessions/window-seat-cushion\n  guide plan --json > plan.json\n"
    "  guide plan --set square=7in --set make=6\n  guide plan --page plan.html\n"
    '  guide plan --set make=6 --by 2026-12-12 --evening "2 hours"\n  guide plan --as-made\n'
    "  guide plan --cutting --spare 2\n  guide plan sessions/one --with sessions/other",
)
@click.argument("project", required=False)
@click.option("--json", "as_json", is_flag=True, help="Everything as JSON: mm, mm², s, and the texts.")
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
@page_options
def command(project: str | None, **options: Any) -> int:
    """Work out every number of PROJECT: sizes, cut list, layout, shopping, steps, time and cost.

    Times are your own where there are sessions, from the newest hundred; else starter paces.
    """
    from guide.commands.as_made import hint, learnt_for
    from guide.commands.deadline import asked, unfinished_session
    from guide.money.paces import learn

    wanted = Wanted(**options)
    if wanted.as_json and wanted.to.file == "-":
        raise WrongUse("--json and --page - both go to stdout; give the page a file.")
    asking = asked(wanted.evening, wanted.by, wanted.start, wanted.on)
    here = opened(project, texts=bool(wanted.to))
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
    left, sittings = _outlook(tried or plan, paces, asking, at)
    data = msgspec.structs.replace(
        _report(tried or plan, paces, texts=bool(wanted.to)),
        learnt=tuple(msgspec.structs.replace(one, says=hint(one)) for one in learnt),
        backwards=_choices(here) if here.project.target is not None and tried is None else None,
        left=left,
        sittings=sittings,
    )
    if wanted.as_json or wanted.to or tried is None:
        _show(data, wanted, here)
    else:
        from guide.show.plan_lines import beside_lines

        names = " ".join((*wanted.changes, *(["as made"] if wanted.as_made and learnt else [])))
        say("\n".join([*beside_lines(_report(plan, paces), data, ("as it is", names)), *_added(data)]))
    if wanted.as_made and not learnt:
        talk("Nothing that was measured so far differs from the project.")
    return at.exit_code if at is not None else 0


class Wanted(msgspec.Struct, frozen=True):
    """What the options ask for."""

    to: PageTo
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
    maker: str

    @property
    def more(self) -> bool:
        """Whether times, trials, pages or all numbers are asked for."""
        return any((self.to, self.changes, self.evening, self.everything, self.as_made, self.rest))


def _choices(here: Opened) -> "tuple[ChoiceReport, ...]":
    from guide.commands.target import choices_of

    return choices_of(here)


def _show(data: "Report", wanted: Wanted, here: Opened) -> None:
    """Print a plan's report as JSON or the table, or write its page."""
    if wanted.as_json:
        import json

        from guide.show.report import plain_report

        click.echo(json.dumps(plain_report(data), ensure_ascii=False, indent=1, allow_nan=False))
    if wanted.to:
        from guide.show.pages.plan import render_plan

        to = msgspec.structs.replace(wanted.to, told=True)
        to.put(lambda fmt: render_plan(data, fmt), here.folder / "plan")
    if not (wanted.as_json or wanted.to):
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
    from guide.commands.together import plain_together, plans_together, together_lines, together_report

    data = together_report(plans_together(here, wanted.others, wanted.spare))
    if wanted.as_json:
        import json

        click.echo(json.dumps(plain_together(data), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        say("\n".join(together_lines(data)))


def _report(plan: Plan, paces: "Paces", *, texts: bool = False) -> "Report":
    """Report a plan at the maker's own paces."""
    from guide.show.report import report

    forecast, cost = money_of(plan, paces)
    return report(plan, forecast=forecast, cost=cost, paces=usual_steps(plan, paces), texts=texts)


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


def _outlook(
    plan: Plan, paces: "Paces", asking: "Asked | None", at: "At | None"
) -> "tuple[Left | None, Sittings | None]":
    """What was asked beyond the plan: the rest of a session, and sittings up to a day."""
    from guide.commands.deadline import answered, left_report
    from guide.money.forecast import forecast

    record = None
    if at is not None:
        plan, record = at.plan, at.record
    left = None if record is None else left_report(forecast(plan, paces, record=record))
    return left, None if asking is None else answered(asking, plan, paces, record)


def _added(data: "Report") -> list[str]:
    """The lines under the table: what past makings taught, what is left, and whether it can be done."""
    out = [f"› {one.says}" for one in data.learnt or ()]
    out += [one.says for one in (data.left, data.sittings) if one is not None]
    return ["", *out] if out else []


def plan_text(data: "Report", *, everything: bool) -> list[str]:
    """Lay the table out for the terminal at hand."""
    from guide.show.plan_lines import plan_lines

    return plan_lines(data, columns(), everything=everything)
