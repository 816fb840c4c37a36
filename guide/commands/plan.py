"""`guide plan`: every number of a project, as a table, JSON or a page."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

import click
import msgspec
from msgspec import Struct

from guide.commands.ask import PAGES, PageTo, argument, asks, day_option, maker, option, sitting_length, weekdays
from guide.commands.common import columns, opened, put_out, say, say_json, talk
from guide.commands.sessions import At, open_here, plan_of
from guide.commands.times import Past, asked, money_of, past_under, seen_of, session_left, tell, usual_steps, whose
from guide.errors import GuideError, WrongUse
from guide.plan.graph import MADE_SMALLER, STEP_MM, Choice, best, chosen, wanted
from guide.plan.learnt import Learnt, Made, Pair, differs, drawn_pair, learn_draw_in, learn_shrinkage, percent
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.places import Opened
from guide.read.units import INCH, Units, show_length
from guide.show.model_plan import ChoiceReport, Left, Length, Sittings, size_text
from guide.show.report_numbers import bought_text

# The best few choices for a target size, as `guide plan` lists them: each with its miss and its cloth.


def choices_of(here: Opened) -> tuple[ChoiceReport, ...]:
    """List the choices; none when planning from the cloth on hand."""
    if here.project.target is None or "on_hand" in here.project.target:
        return ()
    found = best(here.project, here.language)
    out = [_choice(here, choice) for choice in found]
    if found[0].miss > min(choice.miss for choice in found):
        step = show_length(STEP_MM[here.project.units], here.project.units)
        why = f"Within {step} counts as equal: usual squares first, then fewer blocks (common practice)."
        out[0] = msgspec.structs.replace(out[0], why=why)
    return tuple(out)


def _choice(here: Opened, choice: Choice) -> ChoiceReport:
    """One choice; its size and its misses in the terms the size was asked in."""
    units, ease = here.project.units, wanted(here.project).ease
    try:
        plan = make_plan(chosen(here.project, choice), here.language)
        bought = [f"{bought_text(line)} {line.item}" for line in plan.shopping if line.counter == "cloth"]
        cloth = ", ".join(bought) or "cloth on hand is enough"
    except GuideError as error:
        cloth = str(error).split("\n")[0]
    miss = choice.miss_width if abs(choice.miss_width) >= abs(choice.miss_height) else choice.miss_height
    across, down = _missed(choice.miss_width, units), _missed(choice.miss_height, units)
    return ChoiceReport(
        across=choice.across,
        down=choice.down,
        square=Length(choice.square, "mm", show_length(choice.square, units)),
        width_mm=choice.width,
        height_mm=choice.height,
        size=size_text(choice.width + ease, choice.height + ease, units),
        miss=Length(miss, "mm", show_length(miss, units)),
        off_text=f"{across} both ways" if across == down else f"{across} across, {down} down",
        cloth=cloth,
    )


def _missed(mm: float, units: Units) -> str:
    """A miss on the tape measure, with its sign: nobody sees less than 1/16 in or 1 mm."""
    finest = INCH / 16 if units == "inch" else 1.0
    steps = round(mm / finest)
    return f"{'+' if steps > 0 else ''}{show_length(steps * finest, units)}" if steps else "nothing"


# What past makings measured, as pairs of before and after, and what the next project may take from them.

SIDES = ("width", "height")


def hint(one: Learnt) -> str:
    """What was seen, and what to write."""
    return f"As made: {one.says}. The project says {percent(one.given)}; to reckon with it write {one.write}"


def learnt_for(past: Iterable[Past], plan: Plan) -> tuple[Learnt, ...]:
    """What real sessions quilted alike (draw-in) and of the same prints (shrinkage) say unlike the project.

    A cover of cloth that was washed before it was cut tells nothing of what the cloth shrinks.
    """
    quilted: list[Made] = []
    washed: list[Made] = []
    for one in past:
        if one.plan is None or (one.record.header.mode or "real") != "real":
            continue
        made, its, mine = _made(one, one.plan), one.plan.project, plan.project
        if (its.quilting, its.wadding) == (mine.quilting, mine.wadding):
            quilted += made
        if not its.washed_first and {cloth.name for cloth in its.prints} == {cloth.name for cloth in mine.prints}:
            washed += made
    given = [float(plan.project.given[name].value or 0) for name in ("draw_in", "shrink_width", "shrink_length")]
    draw_in = learn_draw_in(quilted, given[0])
    found = (*((draw_in,) if draw_in else ()), *learn_shrinkage(washed, given[1], given[2]))
    return tuple(one for one in found if differs(one))


def _made(past: Past, plan: Plan) -> list[Made]:
    """Each make of a session that was measured at all."""
    out = []
    for make in range(1, plan.project.make + 1):
        measured = past.record.measured(make)
        drawn = {side: pair for side in SIDES if (pair := _drawn(plan, measured, side))}
        washed = [_washed(plan, measured, side, drawn.get(side)) for side in SIDES]
        if drawn or any(washed):
            out.append(Made(tuple(drawn.values()), *washed))
    return out


def _drawn(plan: Plan, measured: dict[str, float], side: str) -> Pair | None:
    name = f"panel_{side}"
    undrawn, seam = _undrawn(plan, side), plan.number("seam") or 0.0
    if name not in measured or undrawn <= 0:
        return None
    return drawn_pair(undrawn + 2 * seam, measured[name], seam)


def _washed(plan: Plan, measured: dict[str, float], side: str, drawn: Pair | None) -> Pair | None:
    """The face before washing is the measured one; where the panel was not measured, as it was planned."""
    name = f"washed_{side}"
    if name not in measured:
        return None
    before = drawn.after if drawn else _undrawn(plan, side) * (1 - (plan.number("draw_in") or 0.0))
    return Pair(before, measured[name]) if before > 0 else None


def _undrawn(plan: Plan, side: str) -> float:
    """The face as planned without draw-in; older journals' texts take none off it."""
    kept = 1 - (plan.number("draw_in") or 0.0) if MADE_SMALLER in plan.quantities else 1.0
    return (plan.number(f"face_{side}") or 0.0) / kept


if TYPE_CHECKING:
    from guide.commands.times import Asked
    from guide.money.model import Paces
    from guide.show.cutting_day import DayReport
    from guide.show.model import Report


class Wanted(Struct, frozen=True):
    """What the options ask for."""

    projects: tuple[str, ...] = argument(nargs=-1, metavar="[PROJECT]...")
    as_json: bool = option("Everything as JSON: mm, mm², s, and the texts.", None, "--json")
    everything: bool = option("List every number by name, with its formula.", None, "--all")
    changes: tuple[str, ...] = option("Try another value, beside the project's.", "KEY=VALUE", "--set")
    as_made: bool = option("Try what your measured panels and washes taught, beside the project.")
    evening: float | None = option(
        'How long you sew at a time, "2 hours": how many times it takes.', "LENGTH", reads=sitting_length
    )
    by: date | None = option(
        "With --evening: can it be done by this day, 2026-12-12? The chance.", "DAY", reads=day_option
    )
    start: date | None = option("With --by: the first evening; today when not said.", "DAY", "--from", reads=day_option)
    on: frozenset[int] | None = option("With --by: only on these days, as mon,wed,sat.", "DAYS", reads=weekdays)
    rest: bool = option("How long the rest of the unfinished session takes.")
    cutting: bool = option(
        "The cutting alone: the order, strip by strip, and a sketch; of several projects all on one day."
    )
    spare: int = option(
        "Cut N squares more of each print, if it has them.", "N", type=click.IntRange(0, 100), default=0
    )
    others: tuple[str, ...] = option(
        "Another word for naming it beside the first, until the next version.", "PROJECT", "--with"
    )
    maker: str = maker()
    to: PageTo = PAGES

    @property
    def trials(self) -> bool:
        """Whether times, trials or all numbers are asked for."""
        return any((self.changes, self.evening, self.everything, self.as_made, self.rest))


@click.command(
    "plan",
    epilog="\b\nExamples:\n  guide plan sessions/window-seat-cushion\n  guide plan --json > plan.json\n"
    "  guide plan --set square=7in --set make=6\n  guide plan --page plan.html\n"
    '  guide plan --set make=6 --by 2026-12-12 --evening "2 hours"\n  guide plan --as-made\n'
    "  guide plan --cutting --spare 2\n  guide plan sessions/one sessions/other\n"
    "  guide plan sessions/one sessions/other --cutting --page cutting-day.html",
)
@asks(Wanted)
def command(wanted: Wanted) -> int:
    """Work out every number of PROJECT: sizes, cut list, layout, shopping, steps, time and cost.

    Of several projects: what each cuts from one shelf, nothing spent twice, and one shopping list; with --cutting a
    sheet for one day, with boxes to tick, on which all are cut at once.

    Times are your own where there are sessions, from the newest hundred; else starter paces.
    """
    from guide.money.paces import learn

    if wanted.as_json and wanted.to.file == "-":
        raise WrongUse("--json and --page - both go to stdout; give the page a file.")
    asking = asked(wanted.evening, wanted.by, wanted.start, wanted.on)
    named = (*wanted.projects, *wanted.others)
    if len(named) > 1 or wanted.others or wanted.cutting:
        _cloth([opened(one) for one in (named if wanted.projects else (None, *named))], wanted)
        return 0
    here = opened(named[0] if named else None, texts=bool(wanted.to))
    at = session_left(here.folder) if wanted.rest else None
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
        backwards=choices_of(here) if here.project.target is not None and tried is None else None,
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


def _show(data: "Report", wanted: Wanted, here: Opened) -> None:
    """Print a plan's report as JSON or the table, or write its page."""
    if wanted.as_json:
        from guide.show.report import plain_report

        say_json(plain_report(data))
    if wanted.to:
        from guide.show.pages.plan import render_plan

        wanted.to.put(lambda fmt: render_plan(data, fmt), here.folder / "plan", told=True)
    if not (wanted.as_json or wanted.to):
        from guide.show.plan_lines import plan_lines

        own = {one.letter: one.colour for one in data.prints if one.colour}
        say("\n".join([*plan_lines(data, columns(), everything=wanted.everything), *_added(data)]), own)


def _cloth(asked: Sequence[Opened], wanted: Wanted) -> None:
    """Show the cutting order of one project, or several projects and one shopping list, or their cutting day.

    Raises WrongUse for options that would be left without effect.
    """
    day = wanted.cutting and len(asked) > 1
    if wanted.trials or (not day and (wanted.to or (wanted.cutting and wanted.as_json))):
        raise WrongUse(
            "--cutting and several projects show the cloth alone: leave out the options about times, trials and pages. "
            "The cutting order of one is in --json as it is; a cutting day of several has a page."
        )
    if len(asked) == 1:
        from guide.show.cutting_lines import cutting_lines

        plan = plan_of(asked[0], wanted.spare)
        spare = [f"▲ {one.text}" for one in plan.warnings if one.name == "spare"]
        say("\n".join([*cutting_lines(plan, columns()), *spare]))
        return
    from guide.commands import together

    if day:
        _day(together.day_together(asked, wanted.spare, wanted.maker), wanted, asked[0])
        return
    data = together.together_report(together.planned_in_turn(asked, wanted.spare))
    put_out(together.plain(data), lambda: together.together_lines(data), as_json=wanted.as_json)


def _day(data: "DayReport", wanted: Wanted, first: Opened) -> None:
    """Print a cutting day as lines or JSON, or write its page beside the projects."""
    from guide.show.cutting_day import day_lines
    from guide.show.pages.plan import render_day

    if wanted.as_json or not wanted.to:
        put_out(data, lambda: day_lines(data, columns()), as_json=wanted.as_json)
    if wanted.to:
        wanted.to.put(lambda fmt: render_day(data, fmt), first.folder.parent / "cutting-day", told=True)


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

    other = open_here(here.path, changes)
    same = not changes and plan.layout is not None  # a layout that was kept fits only what it was laid for
    stacks = [list(block.stack) for block in plan.layout.blocks] if same and plan.layout else None
    return make_plan(as_made(other.project, learnt), other.language, None, stacks, wanted.spare)


def _outlook(
    plan: Plan, paces: "Paces", asking: "Asked | None", at: "At | None"
) -> "tuple[Left | None, Sittings | None]":
    """What was asked beyond the plan: the rest of a session, and sittings up to a day."""
    from guide.commands.times import answered, left_report
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
