"""`guide checklist`: a paced checklist to hand to someone."""

import click
from msgspec.structs import replace

from guide.commands.common import PageTo, maker_option, opened, page_options, talk
from guide.commands.sessions import plan_of
from guide.commands.times import paces_from
from guide.errors import WrongUse
from guide.money.hours import Hours
from guide.read.units import time_of_day_s


@click.command(
    "checklist",
    epilog="\b\nExamples:\n  guide checklist sessions/window-seat-cushion --for beginner --start 10:00\n"
    "  guide checklist --hours 4 --markdown -o -\n  guide checklist --until 17:00 --large --both-units --open",
)
@click.argument("project", required=False)
@click.option("--for", "whom", type=click.Choice(["beginner", "myself"]), default="beginner", show_default=True)
@click.option("--start", default="10:00", show_default=True, metavar="HH:MM", help="When the day begins.")
@click.option(
    "--pace", type=float, default=1.0, show_default=True, help="Moves a beginner's extra time: 0.5 halves it."
)
@click.option("--breaks", type=int, default=10, show_default=True, help="Minutes of break in every hour.")
@click.option("--hours", type=float, help="Hours at the table a day, breaks in them, the meal besides. [default: 6]")
@click.option("--until", metavar="HH:MM", help="When each day ends, instead of --hours.")
@click.option("--meal", type=int, default=45, show_default=True, help="Minutes for a meal after about three hours.")
@click.option("--large", is_flag=True, help="Large print.")
@click.option("--both-units", is_flag=True, help="Inches and centimetres side by side.")
@maker_option()
@page_options
def command(
    project: str | None,
    *,
    whom: str,
    start: str,
    pace: float,
    breaks: int,
    hours: float | None,
    until: str | None,
    meal: int,
    large: bool,
    both_units: bool,
    maker: str,
    to: PageTo,
) -> int:
    """Write a checklist of PROJECT with a time window for every step, breaks, a meal and waits.

    What does not fit into a day's hours goes on the next day at --start. Times come from your own paces where
    there are any, else from starter paces (estimates nobody timed), times each step's beginner factor.
    """
    from guide.money.checklist import beginner_factors, checklist_times
    from guide.money.forecast import forecast_steps, whose_times
    from guide.show.pages.checklist import render_checklist
    from guide.show.report import report

    kept = hours_of(start, breaks=breaks, hours=hours, until=until, meal=meal)
    if not 0 <= pace <= 10:
        raise WrongUse("--pace: write 0 to 10.")
    here = opened(project, texts=True)
    plan = plan_of(here)
    factors = beginner_factors(plan, pace) if whom == "beginner" else {}
    paces = paces_from(here.folder.parent, maker)
    rows = checklist_times(plan, paces, start, factors, kept)
    data = report(plan, rows=rows, beginner=whom == "beginner", texts=True)
    assert data.day is not None
    day = replace(data.day, rests_on=whose_times(paces, forecast_steps(plan, paces)))
    data = replace(data, day=day)
    if to.file != "-":
        talk(f"From {start} to {day.end_text or start}; times from {day.rests_on}.")
        if day.days > 1:
            talk(f"That is {day.days} days at these hours; --hours and --until say how long a day is.")
    to.put(lambda fmt: render_checklist(data, fmt, large=large, both_units=both_units), here.folder / "checklist")
    return 0


def hours_of(start: str, *, breaks: int, hours: float | None, until: str | None, meal: int) -> Hours:
    """Read the hours of a day from the options. Raises WrongUse."""
    begin = _clock_s("--start", start)
    if not 0 <= breaks <= 30:
        raise WrongUse("--breaks: write 0 to 30 minutes.")
    if not 0 <= meal <= 180:
        raise WrongUse("--meal: write 0 to 180 minutes.")
    if until is not None and hours is not None:
        raise WrongUse("Write --hours or --until, not both.")
    if until is not None:
        day_s = float(_clock_s("--until", until) - begin)
        if day_s < 3600:
            raise WrongUse(f"--until: {until} is not an hour after {start}.")
    else:
        least = 6.0 if hours is None else hours
        if not 1 <= least <= 14:
            raise WrongUse("--hours: write 1 to 14.")
        day_s = least * 3600 + (meal * 60 if least >= 5 else 0)
    return Hours(day_s, work_s=(60 - breaks) * 60.0, break_s=breaks * 60.0, meal_s=meal * 60.0)


def _clock_s(option: str, text: str) -> int:
    """Read a time of day typed as an option, s. Raises WrongUse, with the option, for what is none."""
    try:
        return time_of_day_s(text)
    except WrongUse as wrong:
        raise WrongUse(f"{option}: {wrong}") from None
