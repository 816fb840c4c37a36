"""What several commands share: finding the project or session meant, and printing text safely."""

import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from guide.read.model import mend
from guide.read.places import Opened, find_project, shown
from guide.show.table import cells, clean, true_colour

if TYPE_CHECKING:
    from guide.record.clock import LocalClock


SESSIONS = Path("sessions")


def clean_lines(text: str) -> str:
    """Clean a text of several lines."""
    return "\n".join(clean(line) for line in text.split("\n"))


def say(text: str = "", own: Mapping[str, str] | None = None) -> None:
    """Print data to stdout, cleaned.

    `own`: colours of prints by letter, #rrggbb, in which maps stand where a terminal shows colours truly.
    """
    text = clean_lines(text)
    if own and sys.stdout.isatty() and true_colour(os.environ):
        from guide.show.plan_lines import painted

        text = painted(text, own)
    click.echo(text)


def say_json(data: object) -> None:
    """Print plain data, or structs, as JSON to stdout."""
    import json

    click.echo(json.dumps(msgspec.to_builtins(data), ensure_ascii=False, indent=1, allow_nan=False))


TOLD = "guide.damage"  # by this command so far: the exit code by sentence


def code_told() -> int:
    """Give what this command ends with when sessions are what it shows: 5 where it had to tell of damage."""
    context = click.get_current_context(silent=True)
    return max(context.meta.get(TOLD, {}).values(), default=0) if context else 0


def put_out(data: object, lines: Callable[[], Iterable[str]], *, as_json: bool) -> int:
    """Print figures as JSON, or in lines; give what the command ends with."""
    if as_json:
        say_json(data)
    else:
        say("\n".join(lines()))
    return code_told()


def talk(text: str) -> None:
    """Say something to the person, to stderr, cleaned; on a terminal, which breaks words, in lines of its width."""
    lines = clean_lines(text).split("\n")
    if sys.stderr.isatty():
        from guide.show.screen.text import wrap

        room = _room()
        lines = [row for line in lines for row in (wrap(line, room) if cells(line) > room else [line])]
    click.echo("\n".join(lines), err=True)


def columns() -> int:
    """Tell how wide tables and pages may be printed: as the terminal at hand is, up to 100 columns."""
    return min(_room(), 100)


def _room() -> int:
    """Tell how wide the terminal is: what COLUMNS says, else what stdout leads to, else 80 columns."""
    try:
        said = int(os.environ.get("COLUMNS", ""))
    except ValueError:
        said = 0
    with suppress(AttributeError, ValueError, OSError):  # closed, or no terminal
        said = said if said > 0 else os.get_terminal_size(sys.__stdout__.fileno()).columns  # type: ignore[union-attr]
    return said if said > 0 else 80


def clock() -> "LocalClock":
    """Give the clock the program was started with; the computer's own when it was given none."""
    from guide.record.clock import SystemClock

    given: LocalClock | None = click.get_current_context().obj
    return SystemClock() if given is None else given


def opened(given: str | None, *, texts: bool = False) -> Opened:
    """Open the project meant; with none given, say which one it is.

    `texts`: the steps' words will be printed, so they are checked too before anything begins. Raises NeedsMending
    with all that is wrong in them.
    """
    path = find_project(given, SESSIONS)
    if given is None:
        talk(f"Project: {shown(path.parent)}")
    from guide.commands.sessions import open_here

    here = open_here(path)
    if texts and here.language.judge != "exponents":  # shipped stages alone are judged by the tests
        from guide.read.template import check_texts

        if problems := check_texts(here.language):
            raise mend(problems, {stage.file: stage.text for stage in here.language.stages})
    return here


def stitches(values: Sequence[float], most: int = 24) -> str:
    """Lay a number over time out as one row of stitches, the newest so many, in the signs that stdout can show."""
    from guide.show.screen.text import marks_for, trend

    return trend(values[-most:], marks_for(sys.stdout.encoding))
