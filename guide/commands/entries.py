"""What the commands of the book share: reading it, writing lines to it, and reading what is typed."""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import click

from guide.book.file import Writer, fold, read_entries, writing
from guide.book.model import Book, Entry, Period
from guide.commands.ask import day_option, today
from guide.commands.common import SESSIONS, clock, talk
from guide.commands.sessions import open_here, tell_damage
from guide.errors import NeedsMending, WrongUse
from guide.read.model import Project
from guide.read.places import PROJECT_FILE, read_text, shown
from guide.read.units import Units
from guide.record.sessions import book_file
from guide.show.report_cautions import Piece, caution, minding, washing

# What goes with a piece that leaves the house: how it is washed, and what to mind because of whom it is for.


def care_of(names: Iterable[str]) -> list[str]:
    """Say how pieces of these projects are washed and what to mind, the gravest first; of none, what holds of all."""
    found = _projects(names)
    words = found[0].words if found else "british"
    minds = [caution(name, words) for project in found for name in minding(project, ())]
    washed = [washing(project) for project in found] or [washing(Piece())]
    return list(dict.fromkeys([*minds, *washed, caution("fire", words)]))


def minds_of(name: str) -> list[str]:
    """Say what to mind because of whom pieces of a project are for; nothing where they are for anyone."""
    return [caution(one, project.words) for project in _projects([name]) for one in minding(project, ())]


def _projects(names: Iterable[str]) -> list[Project]:
    files = [SESSIONS / name / PROJECT_FILE for name in dict.fromkeys(names) if name]
    return [open_here(file).project for file in files if file.is_file()]


on_option = click.option(
    "--on", metavar="DAY", callback=lambda _ctx, _param, text: day(text),
    help="The day it happened, 2026-03-01; today when not said.",
)  # fmt: skip
ON: Any = lambda _, __: on_option  # noqa: E731 - as a field of what is asked
json_option = click.option("--json", "as_json", is_flag=True, help="All figures as JSON.")


def book_here() -> Book:
    """Read the book; damage is told, and its good part used."""
    entries, damage = read_entries(SESSIONS)
    if damage is not None:
        tell_damage(book_file(SESSIONS), damage)
    book = fold(entries)
    for n, why in book.problems.items():
        talk(f"{shown(book_file(SESSIONS))}:{n}: this line {why}; it was left out.")
    return book


@contextmanager
def book_open(*, begin: bool = False, **begun: str) -> Iterator[Writer]:
    """Open the book to write; to `begin` one, in the units and the currency given, where there is none.

    Raises WrongUse, CannotWrite, OpenElsewhere, JournalDamaged.
    """
    if not SESSIONS.is_dir():
        raise WrongUse(f"There is no folder {SESSIONS} here: the book lies beside its projects. Go where it is.")
    if not begin and not book_file(SESSIONS).exists():
        raise WrongUse('There is no book yet. It begins with: guide shelf add "moss check" "2 yd" --width 44in')
    if not book_file(SESSIONS).exists():
        begun = usual_here() | {name: text for name, text in begun.items() if text}
    with writing(SESSIONS, clock().read(), **begun) as writer:
        if writer.file.torn is not None:
            talk(f"A line that was cut off while it was being saved was set aside in {shown(writer.file.torn)}.")
        yield writer


def write_line(line: Entry, says: str) -> None:
    """Write one line into the book, and say what was done."""
    with book_open() as writer:
        writer.add(line)
    talk(says)


def usual_here() -> dict[str, str]:
    """Give the units and the currency that most projects here are written in, for a book that begins."""
    said: dict[str, list[str]] = {"units": [], "currency": []}
    for path in sorted(SESSIONS.glob(f"*/{PROJECT_FILE}")):
        try:
            text = read_text(path)
        except (NeedsMending, WrongUse):  # said where it is planned from
            continue
        for name, found in said.items():
            found.extend(re.findall(rf"(?m)^{name}: *(inch|metric|[A-Z]{{3}}\b)", text)[:1])
    return {name: max(values, key=values.count) for name, values in said.items() if values}


def day(on: str | None) -> str:
    """Give the day typed, or today. WrongUse for what is none, or is still to come."""
    given = day_option(on, "--on") if on is not None else today()
    if given > today():
        raise WrongUse(f"--on: {given} is still to come; it is {today()} now.")
    return given.isoformat()


def iso(day: date | None) -> str:
    """Give a day as the book writes it; "" for none."""
    return day.isoformat() if day else ""


def period_of(first: date | None, last: date | None) -> Period:
    """Give the days from one to another, either of them or none. WrongUse where no day lies between."""
    if first and last and first > last:
        raise WrongUse(f"--from {first} comes after --to {last}: no day lies between them.")
    return Period(iso(first), iso(last))


def units_of(text: str) -> Units:
    """Tell by a length typed in which units its maker thinks."""
    return "inch" if any(unit in text for unit in ("in", "yd", "ft", "yard", "foot", "feet")) else "metric"


def sessions_name(path: Path) -> str:
    """Name a journal, or a project's folder, as the book does: from the sessions' folder."""
    return path.resolve().relative_to(SESSIONS.resolve()).as_posix()
