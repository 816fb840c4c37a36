"""`guide sheet`: paper for where there is no computer, and paper for a sold piece."""

from pathlib import Path

import click

from guide.commands.common import maker_option, opened, page_format, talk
from guide.commands.planned import plan_of
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
@click.option("--markdown", is_flag=True, help="Markdown instead of a page; a FILE.md is that anyway.")
@click.option("-o", "--output", metavar="FILE", help="Write there; - for stdout.")
@click.option("--open", "open_it", is_flag=True, help="Open the page that was written.")
def command(
    project: str | None,
    *,
    tickets: bool,
    fibre: str,
    wadding_fibre: str,
    maker: str,
    priced: bool,
    markdown: bool,
    output: str | None,
    open_it: bool,
) -> int:
    """Write a run sheet of PROJECT: every step by number, blanks for start and end, counts, measures.

    What is written on it is typed in afterwards: guide amend SESSION --enter "steps 12-18, 10:00 to 11:20, 9 blocks".
    """
    from guide.show.pages.sheet import render_sheet
    from guide.show.pages.tickets import render_tickets
    from guide.show.pages.write import write_page
    from guide.show.report import report

    here = opened(project, texts=True)
    plan = plan_of(here)
    money = money_of(plan, paces_from(here.folder.parent, maker)) if tickets and priced else None
    data = report(plan, money=money, texts=True)
    fmt = page_format(output, markdown=markdown)
    if tickets:
        text = render_tickets(
            data, fmt,
            maker=maker, fibre=fibre, wadding_fibre=wadding_fibre, priced=priced,
        )  # fmt: skip
        if priced and data["cost"]["unpriced"]:
            talk("No prices in the project: the price on the ticket is left to be written in.")
        elif priced and data["cost"]["left_out"]:
            talk("\n".join(data["cost"]["left_out"]))
    else:
        text = render_sheet(data, fmt)
    if output == "-":
        click.echo(text)
        return 0
    name = ("tickets" if tickets else "sheet") + (".md" if fmt == "markdown" else ".html")
    out = Path(output) if output else here.folder / name
    write_page(out, text)
    click.echo(str(out))
    if open_it:
        click.launch(str(out))
    return 0
