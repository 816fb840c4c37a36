"""`guide sheet`: paper for where there is no computer, and paper for a sold piece."""

import click

from guide.commands.common import PageTo, maker_option, opened, page_options, talk
from guide.commands.sessions import plan_of
from guide.commands.times import money_of, paces_from


@click.command(
    "sheet",
    epilog="\b\nExamples:\n  guide sheet sessions/window-seat-cushion\n  guide sheet --markdown -o -\n"
    '  guide sheet --tickets --fibre "100 % cotton" --maker "Ada"',
)
@click.argument("project", required=False)
@click.option("--tickets", is_flag=True, help="Swing ticket, care slip, photo and packing lists for a sold piece.")
@click.option("--fibre", default="", help="Fibre content to print on the care slip, as you know it.")
@click.option("--wadding-fibre", default="", help="The wadding's fibre content.")
@maker_option("Whose times, and who made it.")
@click.option("--priced", is_flag=True, help="Print the price on the ticket.")
@page_options
def command(
    project: str | None,
    *,
    tickets: bool,
    fibre: str,
    wadding_fibre: str,
    maker: str,
    priced: bool,
    to: PageTo,
) -> int:
    """Write a run sheet of PROJECT: every step by number, blanks for start and end, counts, measures.

    What is written on it is typed in afterwards: guide amend SESSION --enter "steps 12-18, 10:00 to 11:20, 9 blocks".
    """
    from guide.show.pages.plan import render_sheet
    from guide.show.pages.price import render_tickets
    from guide.show.report import report

    here = opened(project, texts=True)
    plan = plan_of(here)
    cost = money_of(plan, paces_from(here.folder.parent, maker))[1] if tickets and priced else None
    data = report(plan, cost=cost, texts=True)
    if not tickets:
        to.put(lambda fmt: render_sheet(data, fmt), here.folder / "sheet")
        return 0
    if cost and cost.unpriced:
        talk("No prices in the project: the price on the ticket is left to be written in.")
    elif cost and cost.left_out:
        talk("\n".join(cost.left_out))
    fibres = {"fibre": fibre, "wadding_fibre": wadding_fibre}
    to.put(lambda fmt: render_tickets(data, fmt, maker=maker, priced=priced, **fibres), here.folder / "tickets")
    return 0
