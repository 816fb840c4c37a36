"""Papers for where there is no computer: `guide checklist`, to hand to someone, and `guide sheet`, to write on."""

import click
from msgspec import Struct
from msgspec.structs import replace

from guide.commands.ask import PAGES, PageTo, argument, asks, maker, option
from guide.commands.common import opened, talk
from guide.commands.sessions import plan_of
from guide.commands.times import money_of, paces_from
from guide.errors import WrongUse
from guide.money.hours import Hours
from guide.read.units import time_of_day_s


class Asked(Struct, frozen=True):
    """For whom a checklist is, how a day goes, and how it looks."""

    project: str | None = argument(required=False)
    whom: str = option(
        "", None, "--for", type=click.Choice(["beginner", "myself"]), default="beginner", show_default=True
    )
    start: str = option("When the day begins.", "HH:MM", default="10:00", show_default=True)
    pace: float = option("Moves a beginner's extra time: 0.5 halves it.", type=float, default=1.0, show_default=True)
    breaks: int = option("Minutes of break in every hour.", type=int, default=10, show_default=True)
    hours: float | None = option("Hours at the table a day, breaks in them, the meal besides. [default: 6]", type=float)
    until: str | None = option("When each day ends, instead of --hours.", "HH:MM")
    meal: int = option("Minutes for a meal after about three hours.", type=int, default=45, show_default=True)
    large: bool = option("Large print.")
    both_units: bool = option("Inches and centimetres side by side.")
    maker: str = maker()
    to: PageTo = PAGES


@click.command(
    "checklist",
    epilog="\b\nExamples:\n  guide checklist sessions/window-seat-cushion --for beginner --start 10:00\n"
    "  guide checklist --hours 4 --markdown -o -\n  guide checklist --until 17:00 --large --both-units --open",
)
@asks(Asked)
def command(said: Asked) -> None:
    """Write a checklist of PROJECT with a time window for every step, breaks, a meal and waits.

    What does not fit into a day's hours goes on the next day at --start. Times come from your own paces where
    there are any, else from starter paces (estimates nobody timed), times each step's beginner factor.
    """
    from guide.money.checklist import beginner_factors, checklist_times
    from guide.money.forecast import forecast_steps, whose_times
    from guide.show.pages.checklist import render_checklist
    from guide.show.report import report

    kept = hours_of(said)
    if not 0 <= said.pace <= 10:
        raise WrongUse("--pace: write 0 to 10.")
    here = opened(said.project, texts=True)
    plan = plan_of(here)
    factors = beginner_factors(plan, said.pace) if said.whom == "beginner" else {}
    paces = paces_from(here.folder.parent, said.maker)
    rows = checklist_times(plan, paces, said.start, factors, kept)
    data = report(plan, rows=rows, beginner=said.whom == "beginner", texts=True)
    assert data.day is not None
    day = replace(data.day, rests_on=whose_times(paces, forecast_steps(plan, paces)))
    data = replace(data, day=day)
    if said.to.file != "-":
        talk(f"From {said.start} to {day.end_text or said.start}; times from {day.rests_on}.")
        if day.days > 1:
            talk(f"That is {day.days} days at these hours; --hours and --until say how long a day is.")
    large, both = said.large, said.both_units
    said.to.put(lambda fmt: render_checklist(data, fmt, large=large, both_units=both), here.folder / "checklist")


def hours_of(said: Asked) -> Hours:
    """Read the hours of a day from the options. Raises WrongUse."""
    begin = _clock_s(said.start, "--start")
    if not 0 <= said.breaks <= 30:
        raise WrongUse("--breaks: write 0 to 30 minutes.")
    if not 0 <= said.meal <= 180:
        raise WrongUse("--meal: write 0 to 180 minutes.")
    if said.until is not None and said.hours is not None:
        raise WrongUse("Write --hours or --until, not both.")
    if said.until is not None:
        day_s = float(_clock_s(said.until, "--until") - begin)
        if day_s < 3600:
            raise WrongUse(f"--until: {said.until} is not an hour after {said.start}.")
    else:
        least = 6.0 if said.hours is None else said.hours
        if not 1 <= least <= 14:
            raise WrongUse("--hours: write 1 to 14.")
        day_s = least * 3600 + (said.meal * 60 if least >= 5 else 0)
    return Hours(day_s, work_s=(60 - said.breaks) * 60.0, break_s=said.breaks * 60.0, meal_s=said.meal * 60.0)


def _clock_s(text: str, option: str) -> int:
    """Read a time of day typed as an option, s. Raises WrongUse, with the option, for what is none."""
    try:
        return time_of_day_s(text)
    except WrongUse as wrong:
        raise WrongUse(f"{option}: {wrong}") from None


# A run sheet on paper, and paper for a sold piece.


class SheetAsked(Struct, frozen=True):
    """What is printed of a project on paper."""

    project: str | None = argument(required=False)
    tickets: bool = option("Swing ticket, care slip, photo and packing lists for a sold piece.")
    fibre: str = option("Fibre content to print on the care slip, as you know it.")
    wadding_fibre: str = option("The wadding's fibre content.")
    maker: str = maker("Whose times, and who made it.")
    priced: bool = option("Print the price on the ticket.")
    to: PageTo = PAGES


@click.command(
    "sheet",
    epilog="\b\nExamples:\n  guide sheet sessions/window-seat-cushion\n  guide sheet --markdown -o -\n"
    '  guide sheet --tickets --fibre "100 % cotton" --maker "Ada"',
)
@asks(SheetAsked)
def sheet_command(said: SheetAsked) -> int:
    """Write a run sheet of PROJECT: every step by number, blanks for start and end, counts, measures.

    What is written on it is typed in afterwards: guide amend SESSION --enter "steps 12-18, 10:00 to 11:20, 9 blocks".
    """
    from guide.show.pages.plan import render_sheet
    from guide.show.pages.price import render_tickets
    from guide.show.report import report

    here = opened(said.project, texts=True)
    plan = plan_of(here)
    cost = money_of(plan, paces_from(here.folder.parent, said.maker))[1] if said.tickets and said.priced else None
    data = report(plan, cost=cost, texts=True)
    if not said.tickets:
        said.to.put(lambda fmt: render_sheet(data, fmt), here.folder / "sheet")
        return 0
    if cost and cost.unpriced:
        talk("No prices in the project: the price on the ticket is left to be written in.")
    elif cost and cost.left_out:
        talk("\n".join(cost.left_out))
    told = {"maker": said.maker, "fibre": said.fibre, "wadding_fibre": said.wadding_fibre}
    said.to.put(lambda fmt: render_tickets(data, fmt, priced=said.priced, **told), here.folder / "tickets")
    return 0
