"""A project with what lies on the shelf for it: resolved when it is opened, kept with every session."""

import os
from collections.abc import Sequence
from pathlib import Path

import msgspec

from guide.commands.common import talk
from guide.read.places import Opened, open_project
from guide.read.project import with_shelf

SHELF = "shelf"  # the kind of text that a session keeps of it
KEPT_AS = "the shelf"  # and its name among them, which no file of a workflows folder has


def open_here(path: Path, changes: Sequence[str] = ()) -> Opened:
    """Open a project by its path, with what lies on the shelf for it where it asks. Raises WrongUse, NeedsMending.

    With `changes` it is another plan than what was promised to it: it is offered all that is free.
    """
    here = open_project(path, os.environ, changes)
    return on_shelf(here, anew=bool(changes)) if any(cloth.shelf for cloth in here.project.prints) else here


def on_shelf(here: Opened, *, anew: bool = False) -> Opened:
    """Give the project with its cloth from the shelf, for the prints that say so. Writes nothing.

    `anew`: as if nothing were promised to it yet.
    """
    from guide.book.file import read_book
    from guide.book.shelf import kept_text, shelf_for

    book, name = read_book(here.folder.parent), here.folder.resolve().name
    if anew:
        book.promises.pop(name, None)
    rows, says = shelf_for(book, here.project, name)
    for told in says:
        talk(told)
    here.language.beside[SHELF] = rows
    here.language.texts[KEPT_AS] = kept_text(rows)
    return msgspec.structs.replace(here, project=with_shelf(here.project, rows))
