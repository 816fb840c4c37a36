"""What several commands share: finding the project or session meant, and printing text safely."""

import os
import re
from collections.abc import Mapping
from pathlib import Path

import click

from guide.errors import GuideError
from guide.read.lengths import BadLength, parse_length
from guide.read.places import Opened, find_project, open_project, shown

SESSIONS = Path("sessions")
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def clean(text: str) -> str:
    """Show control characters as what they are, so that no text can play with the terminal."""
    return _CONTROL.sub(lambda found: f"\\u{ord(found[0]):04x}", text.replace("\t", " "))


def clean_lines(text: str) -> str:
    """Clean a text of several lines."""
    return "\n".join(clean(line) for line in text.split("\n"))


def say(text: str = "") -> None:
    """Print data to stdout, cleaned."""
    click.echo(clean_lines(text))


def talk(text: str) -> None:
    """Say something to the person, to stderr, cleaned."""
    click.echo(clean_lines(text), err=True)


def opened(given: str | None, environ: Mapping[str, str] = os.environ) -> Opened:
    """Open the project meant; with none given, say which one it is."""
    path = find_project(given, SESSIONS)
    if given is None:
        talk(f"Project: {shown(path.parent)}")
    return open_project(path, environ)


def length_option(text: str, option: str) -> float:
    """Read a length typed as an option, mm."""
    try:
        return parse_length(text)
    except BadLength as error:
        raise click.UsageError(f"{option}: {error}") from None


__all__ = ["GuideError", "clean", "clean_lines", "length_option", "opened", "say", "talk"]
