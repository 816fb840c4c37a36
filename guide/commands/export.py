"""`guide export`: sessions as rows for other programs."""

from collections.abc import Iterator
from pathlib import Path

import click

from guide.commands.common import SESSIONS, talk
from guide.commands.planned import KeptPlans
from guide.commands.sessions import session_path
from guide.plan.model import Plan
from guide.read.places import PROJECT_FILE
from guide.record.export import Named, Row, as_csv, as_json, rows
from guide.record.history import records
from guide.record.sessions import journals, sessions_below


@click.command(
    "export",
    epilog="\b\nExamples:\n  guide export all > times.csv\n  guide export sessions/window-seat-cushion --json\n"
    "  guide export sessions/window-seat-cushion/2026-03-01.jsonl -o laps.csv",
)
@click.argument("what", required=False, metavar="[SESSION|PROJECT|all]")
@click.option("--csv", "csv_", is_flag=True, help="CSV (what you get when nothing is said).")
@click.option("--json", "json_", is_flag=True, help="JSON instead.")
@click.option("-o", "--output", metavar="FILE", help="Write there instead of to stdout (-).")
def command(what: str | None, output: str | None, *, csv_: bool, json_: bool) -> int:
    """Export laps, measures, waits and remarks: exact starts and ends (ISO 8601), durations in ms, lengths in mm.

    Beside them, for a spreadsheet: the step's number and title, clock times as 2026-03-01 10:30:00, and the minutes
    of hands-on work, whose sum is the log's: laps that do not count have none.
    A cell that a spreadsheet could take for a formula gets an apostrophe before it.
    """
    if csv_ and json_:
        raise click.UsageError("choose --csv or --json, not both")
    code, plans = 0, KeptPlans()

    def all_rows() -> Iterator[Row]:
        nonlocal code
        for path, record, unread in records(_paths(what)):
            if unread is not None:
                talk(unread.says)
                code = max(code, unread.exit_code)
            if record is not None:
                yield from rows(record, path.name, _named(plans.of(record)))

    text = (as_json if json_ else as_csv)(all_rows())
    if output and output != "-":
        from guide.show.pages.write import write_page

        write_page(output, text)
        talk(f"Written: {output}")
    else:
        for part in text:
            click.echo(part, nl=False)
    return code


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
