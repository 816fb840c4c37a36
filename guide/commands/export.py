"""`guide export`: sessions as rows for other programs."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import click
from msgspec import Struct

from guide.commands.common import SESSIONS, argument, asks, code_told, day_option, option, talk
from guide.commands.sessions import KeptPlans, session_path
from guide.plan.model import Plan
from guide.read.places import PROJECT_FILE
from guide.record.history import Named, Row, as_csv, as_json, records, rows
from guide.record.sessions import journals, sessions_below


class Asked(Struct, frozen=True):
    """What is exported, as what, and where to."""

    what: str | None = argument(required=False, metavar="[SESSION|PROJECT|all|book]")
    csv: bool = option("CSV (what you get when nothing is said).")
    json: bool = option("JSON instead.")
    first: date | None = option("Of the book: from this day on.", "DAY", "--from", reads=day_option)
    last: date | None = option("Of the book: up to this day.", "DAY", "--to", reads=day_option)
    output: str | None = option("Write there instead of to stdout (-).", "FILE", "-o", "--output")


@click.command(
    "export",
    epilog="\b\nExamples:\n  guide export all > times.csv\n  guide export sessions/window-seat-cushion --json\n"
    "  guide export sessions/window-seat-cushion/2026-03-01.jsonl -o laps.csv",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Export laps, measures, waits and remarks: exact starts and ends (ISO 8601), durations in ms, lengths in mm.

    Beside them, for a spreadsheet: the step's number and title, clock times as 2026-03-01 10:30:00, and the minutes
    of hands-on work, whose sum is the log's: laps that do not count have none.
    `book` exports the book for a bookkeeper: sales and returns, what was bought, costs; net, tax, fee, cost of goods.
    A cell that a spreadsheet could take for a formula gets an apostrophe before it.
    """
    if said.csv and said.json:
        raise click.UsageError("choose --csv or --json, not both")
    if said.what == "book":
        from guide.book.answers import LedgerRow, ledger
        from guide.commands.entries import book_here, period_of

        of_book = ledger(book_here(), period_of(said.first, said.last))
        _put(as_json(of_book) if said.json else as_csv(of_book, LedgerRow), said.output)
        return code_told()
    if said.first or said.last:
        raise click.UsageError("--from and --to are for the book: guide export book --from 2026-01-01")
    code, plans = 0, KeptPlans()

    def all_rows() -> Iterator[Row]:
        nonlocal code
        for path, record, unread in records(_paths(said.what)):
            if unread is not None:
                talk(unread.says)
                code = max(code, unread.exit_code)
            if record is not None:
                yield from rows(record, path.name, _named(plans.of(record)))

    _put((as_json if said.json else as_csv)(all_rows()), said.output)
    return code


def _put(text: Iterator[str], output: str | None) -> None:
    if output and output != "-":
        from guide.show.pages.write import write_page

        write_page(output, text)
        talk(f"Written: {output}")
    else:
        for part in text:
            click.echo(part, nl=False)


def _named(plan: Plan | None) -> dict[str, Named]:
    """What the steps of a plan are called, in the project's words."""
    if plan is None:
        return {}
    return {step.key: Named(number, step.title, step.stage_title) for number, step in enumerate(plan.steps, 1)}


def _paths(what: str | None) -> list[Path]:
    if what == "all":
        return list(sessions_below(SESSIONS))
    folder = None if what is None else Path(what).parent if Path(what).name == PROJECT_FILE else Path(what)
    if folder is not None and (folder / PROJECT_FILE).is_file():
        return journals(folder)
    return [session_path(what)]
