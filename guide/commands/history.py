"""`guide history`: what all sessions come to; `guide export`: sessions as rows for other programs."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec
from msgspec import Struct

from guide.commands.ask import PAGES, ROOT, PageTo, argument, asks, day_option, option
from guide.commands.common import SESSIONS, code_told, put_out, say, say_json, stitches, talk
from guide.commands.sessions import KeptPlans, session_path
from guide.errors import WrongUse
from guide.plan.model import Plan
from guide.read.places import PROJECT_FILE
from guide.read.spoken import plural
from guide.record.clock import time_text, weeks_between
from guide.record.history import History, Named, Row, Total, as_csv, as_json, history, records
from guide.record.history import rows as rows_of
from guide.record.model import Record
from guide.record.sessions import journals, sessions_below
from guide.show.table import Column, Table, lines, table
from guide.show.words import minutes_each, named_steps

if TYPE_CHECKING:
    from guide.money.evidence import Audited

ALL = ("project", "stage", "step", "day", "maker", "trouble")
FEW = 3  # weeks that are too few to see how they go


class Asked(Struct, frozen=True):
    """Which sessions are added up, by what."""

    root: Path = ROOT
    by: tuple[str, ...] = option(
        "Only totals by project, stage, step, day, week, maker or trouble.", "WHAT",
        type=click.Choice(["project", "stage", "step", "day", "week", "maker", "trouble"]),
    )  # fmt: skip
    rehearsals: bool = option("Count rehearsals too (their times are nobody's).")
    audit: bool = option("Hold each finished making against its forecast of then.")
    as_json: bool = option("All figures as JSON, ms.", None, "--json")
    to: PageTo = PAGES


@click.command(
    "history",
    epilog="\b\nExamples:\n  guide history\n  guide history --by day\n  guide history --json\n  guide history --audit\n"
    "  guide history --page history.html",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Add up all sessions: time by project, stage, step, day, maker and trouble, and which are still open.

    A page has the hours by week as a chart, with all totals beside.

    With --audit: was each making inside what its maker's times said before it? Four in five should be.
    """
    if said.audit:
        if said.to:
            raise WrongUse("--audit is a table: a page is of the totals.")
        return _audit(said.root, as_json=said.as_json)
    names, by = Names(), said.by
    told = history(
        sessions_below(said.root, rehearsed=said.rehearsals),
        modes=("real", "practice", "rehearsal") if said.rehearsals else ("real", "practice"),
        titles=None if (said.as_json and not said.to) or (by and "step" not in by) else names.titles,
    )
    if said.as_json:
        data = msgspec.to_builtins(told, enc_hook=str)
        del data["by_title"]  # for people: programs go by the keys
        say_json(data)
    if said.to:
        from guide.show.pages.papers import history_page

        named = _named(told, by or ALL, names.numbered())
        said.to.put(lambda fmt: history_page(told, named, fmt), said.root / "history", told=said.as_json)
    elif not said.as_json:
        say("\n".join(history_lines(told, by or ALL, names.numbered())))
    for unread in told.unread:
        talk(unread.says)
    return max((unread.exit_code for unread in told.unread), default=0)


def _audit(root: Path, *, as_json: bool) -> int:
    """Hold every maker's newest makings against their forecasts."""
    from guide.commands.times import everybody, past_of
    from guide.money.evidence import audit

    told: list[Audited] = []
    for whom in ("", "beginner"):
        for maker in everybody(root, whom=whom):
            past = (one for one in past_of(root, maker) if one.record.header.whom == whom)
            told += audit((one.record, one.plan) for one in past)
    told.sort(key=lambda one: (one.session, one.maker))
    data = {"makings": told, "within": sum(one.within for one in told), "of": len(told)}
    return put_out(data, lambda: _audit_lines(told), as_json=as_json)


def _audit_lines(told: "list[Audited]") -> list[str]:
    from guide.money.evidence import Audited, audit_says
    from guide.money.model import LEVEL

    if not told:
        return ["No making is finished yet, so no forecast has come to anything."]
    columns = [
        Column[Audited]("begun", lambda one: f"{date(1970, 1, 1) + timedelta(one.day)}"),
        Column[Audited]("what", lambda one: one.title),
        Column[Audited]("whose", lambda one: one.maker, shown=any(one.maker for one in told)),
        Column[Audited]("said", lambda one: time_text(one.forecast.likely), number=True),
        Column[Audited]("80 %", lambda one: f"{time_text(one.forecast.low)} to {time_text(one.forecast.high)}"),
        Column[Audited]("took", lambda one: time_text(one.actual_s), number=True),
        Column[Audited]("", lambda one: "" if one.within else "▲ outside"),
    ]
    rows = lines(table(columns, [told]), heads=True)
    missed = sum(one.within for one in told) < LEVEL * len(told)
    more = ", and where days miss it they are taken to differ more" if missed else ""
    return [f"{audit_says(told)}; four in five is what is promised{more}.", "", *rows]


class Names:
    """The steps' names, from the plans the sessions keep."""

    def __init__(self) -> None:
        self._plans = KeptPlans()
        self._named: dict[int, dict[str, str]] = {}  # by plan

    def titles(self, record: Record) -> dict[str, str]:
        """Give the titles of one session's steps by key; none where its words are no longer understood."""
        plan = self._plans.of(record)
        if plan is None:
            return {}
        named = self._named.setdefault(id(plan), named_steps(plan))
        return {key: name.partition(" ")[2] for key, name in named.items()}

    def numbered(self) -> dict[str, str] | None:
        """Give number and title by key; None when the plans number their steps differently."""
        of: dict[str, str] = {}
        for named in self._named.values():
            if any(of.setdefault(key, name) != name for key, name in named.items()):
                return None
        return of if len(set(of.values())) == len(of) else None


def history_lines(told: History, by: tuple[str, ...], numbered: Mapping[str, str] | None) -> list[str]:
    """Lay the totals out for the terminal; numbered: steps by key, None where only their titles are alike."""
    if not told.sessions:
        return ["No session yet. Begin one with: guide follow PROJECT"]
    out = [
        f"open: {one.path}  ({one.title}, since {one.day}, {time_text(one.total.counted_ms / 1000)} so far)"
        for one in told.open
    ]
    out += [f"nothing begun yet: {one.path}  ({one.title}; guide follow goes on with it)" for one in told.looked_at]
    out += [
        f"{one.first} and {one.second} both say they were worked for {time_text(one.ms / 1000)}: counted once by maker"
        for one in told.twice
    ]
    for name, totals in _named(told, by, numbered).items():
        out += ["", f"by {name}"] if totals else []
        times = minutes_each([total.counted_ms / 1000 for total in totals.values()])
        rows = [(called, time.text, total) for (called, total), time in zip(totals.items(), times, strict=True)]
        out += lines(_table(rows, "time" if name == "trouble" else "piece"))
        out += _week_by_week(told) if name in {"day", "week"} and not ("day" in by and name == "week") else []
    return out


def _named(told: History, by: tuple[str, ...], numbered: Mapping[str, str] | None) -> dict[str, dict[str, Total]]:
    """Give the totals asked for, by the names that people call them by."""
    out: dict[str, dict[str, Total]] = {}
    for what in by:
        totals: dict[str, Total] = getattr(told, f"by_{what}")
        if what == "step":
            totals = told.by_title if numbered is None else told.by_step
        of = numbered or {} if what == "step" else {}
        out[what] = {of.get(key, key) or "nobody named": total for key, total in totals.items()}
    return out


def _week_by_week(told: History) -> list[str]:
    """Lay the hours of the weeks out in one row of stitches, where there are weeks enough to see how they go."""
    if len(told.by_week) < FEW:
        return []
    first, last = min(told.by_week), max(told.by_week)
    ms = [told.by_week[one].counted_ms if one in told.by_week else 0 for one in weeks_between(first, last)]
    ends = f"{time_text(ms[0] / 1000)} in {first}, {time_text(ms[-1] / 1000)} in {last}"
    return ["", f"  week by week  {stitches(ms)}  {ends}, {time_text(max(ms) / 1000)} at most"]


_Row = tuple[str, str, Total]


def _table(rows: list[_Row], what: str) -> Table:
    """A name, its time, its pieces (or whatever is counted) and its sessions."""
    columns = [
        Column[_Row]("", lambda row: row[0]),
        Column[_Row]("", lambda row: row[1], number=True, least=7, gap=5),
        Column[_Row]("", lambda row: f"{row[2].pieces}", number=True, least=7, gap=1),
        Column[_Row]("", lambda row: plural(what, row[2].pieces), least=6, gap=1),
        Column[_Row]("", lambda row: f"{row[2].sessions}", number=True, least=4, gap=1),
        Column[_Row]("", lambda row: plural("session", row[2].sessions), gap=1),
    ]
    return table(columns, [rows])


# Sessions as rows.


class ExportAsked(Struct, frozen=True):
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
@asks(ExportAsked)
def export_command(said: ExportAsked) -> int:
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
                yield from rows_of(record, path.name, _steps_named(plans.of(record)))

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


def _steps_named(plan: Plan | None) -> dict[str, Named]:
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
