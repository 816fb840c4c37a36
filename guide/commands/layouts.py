"""Layouts in a project's folder: the one in use, those kept before it, and one that was laid by hand and not kept."""

from collections.abc import Collection, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from guide.commands.common import talk
from guide.commands.sessions import kept_layout
from guide.errors import NeedsMending, WrongUse
from guide.plan.layout.faces import Cell, kept_from_dict, layout_to_dict, panel_of, wrong_layout
from guide.plan.model import Layout
from guide.read.model import Project
from guide.read.places import LAYOUT_FILE, UNKEPT_FILE, Opened, next_aside, read_text, set_aside, shown

if TYPE_CHECKING:
    from guide.follow.by_hand import Laid

_ROOM = "Its place is fixed: see that there is room and that it may be written there, then do it again."


def keep_layout(here: Opened, layout: Layout, kept: Collection[Cell]) -> str:
    """Write the layout the plan is to use, what stood there set aside first; say where. Raises CannotWrite."""
    from guide.show.pages.write import write_whole

    path = here.folder / LAYOUT_FILE
    text = as_text(layout, kept)
    if path.is_file() and (now := read_text(path)) != text:
        _set_aside(here.folder, now)
    write_whole(path, text, _ROOM)
    _drop(text, set_aside(here.folder).values())
    return f"Kept in {shown(path)}."


def as_text(layout: Layout, kept: Collection[Cell]) -> str:
    """A layout as its file has it."""
    return msgspec.json.format(msgspec.json.encode(layout_to_dict(layout, kept)), indent=1).decode() + "\n"


def _set_aside(folder: Path, text: str) -> None:
    """Write a layout as the last of those that were kept before. Raises CannotWrite."""
    from guide.show.pages.write import write_whole

    older = set_aside(folder)
    if not older or read_text(next(reversed(older.values()))) != text:
        write_whole(next_aside(folder), text, _ROOM)
        _drop(text, older.values())


def _drop(text: str, files: Iterable[Path]) -> None:
    """Take away copies of what now stands elsewhere; one that cannot be taken away does no harm."""
    for file in files:
        with suppress(OSError):
            if file.read_bytes() == text.encode():
                file.unlink()


def bring_back(here: Opened) -> None:
    """Use the layout kept before the one in use; after the first of all comes the last again.

    Raises WrongUse when there is none, NeedsMending when it does not fit the project, CannotWrite: nothing is changed
    then. What is in use is set aside before anything is written over it, and nothing set aside is taken away.
    """
    from guide.show.pages.write import write_whole

    path, older = here.folder / LAYOUT_FILE, set_aside(here.folder)
    texts = [read_text(file) for file in older.values()]
    now = read_text(path) if path.is_file() else None
    at = texts.index(now) if now in texts else len(texts)
    if not [text for text in texts if text != now]:
        raise WrongUse(f"No layout was kept before: none is set aside beside {shown(path)}.")
    kept_layout(here, [*older.values()][at - 1].name)
    if now is not None and now not in texts:
        _set_aside(here.folder, now)
    write_whole(path, texts[at - 1], _ROOM)
    talk("The layout kept before is used again; --before once more goes one further back, from the first to the last.")


def forget_layout(here: Opened) -> None:
    """Put the layout in use away, after those kept before. Raises CannotWrite."""
    from guide.show.pages.write import put_away

    path, older = here.folder / LAYOUT_FILE, set_aside(here.folder).values()
    if not path.is_file():
        talk("No layout is kept: it is laid as the project says.")
        return
    now = read_text(path)
    put_away(path, next_aside(here.folder))
    _drop(now, older)
    talk("The kept layout is put away; --before brings it back.")


def unkept(here: Opened, project: Project) -> "Laid | None":
    """What lay when the window was closed, not kept. Raises NeedsMending where it does not fit the project any more."""
    from guide.follow.by_hand import Laid

    path = here.folder / UNKEPT_FILE
    if not path.is_file():
        return None
    try:
        data = msgspec.json.decode(read_text(path))
        problems = wrong_layout(data, panel_of(project), empty=True)
    except msgspec.DecodeError as error:
        problems = [f"this is not JSON ({error})"]
    if problems:
        raise fits_no_more(here, problems)
    across = project.across or 0
    places = frozenset((row - 1) * across + column - 1 for row, column in kept_from_dict(data))
    return Laid(tuple(tuple(stack) for row in data["rows"] for stack in row), places)


def fits_no_more(here: Opened, problems: Iterable[str]) -> NeedsMending:
    """What is wrong with the panel that was not kept, and the mend."""
    told = "\n".join(f"{shown(here.folder / UNKEPT_FILE)}: {problem}" for problem in problems)
    return NeedsMending(f"{told}\nIt is a panel laid by hand, not kept yet: move the file away to lay by hand anew.")
