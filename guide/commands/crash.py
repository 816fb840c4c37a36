"""Our own bug: a report a maker can send on, and a word about their record."""

import os
import platform
import re
import sys
import tempfile
import traceback
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from guide import __version__, system
from guide.errors import GuideError
from guide.read.places import PROJECT_FILE, maker_folder
from guide.show.pages.write import write_whole

OF_BUYERS = frozenset({"order", "sell", "book", "export"})  # commands that read or are told buyers' names


def report(error: BaseException) -> str:
    """Write a crash report where the maker's own files are; give the sentence to show."""
    text = _without_homes(
        f"fraywork {__version__} · Python {platform.python_version()} · {system.NAME}\n"
        f"command: guide {' '.join(_asked())}\n\n{''.join(_told(error))}"
    )
    for folder in _folders():
        where = folder / f"crash-{os.getpid()}.txt"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            write_whole(where, text)
        except (OSError, GuideError):
            continue
        return (
            f"Something in fraywork itself went wrong: {error}\nWhat was saved before is safe in its journal. "
            f"The report is in {where}; send it on, and start the command again."
        )
    return f"Something in fraywork itself went wrong, and no report could be written:\n{text}"


def _asked() -> list[str]:
    """Give the command as it was typed; of the book's, whose words may be buyers' names, the command alone."""
    asked = sys.argv[1:]
    return [asked[0], "…"] if asked and asked[0] in OF_BUYERS else asked


def _told(error: BaseException) -> list[str]:
    """Say where it went wrong, and in what words; of the book's commands the kind alone, for the same reason."""
    if sys.argv[1:2] and sys.argv[1] in OF_BUYERS:
        return [*traceback.format_tb(error.__traceback__), type(error).__name__, "\n"]
    return traceback.format_exception(error)


def _folders() -> Iterator[Path]:
    """The maker's own folder, else one made for it; a report has no place among a maker's work."""
    with suppress(GuideError, OSError):
        asked = maker_folder(os.environ)
        own = asked.resolve()
        if (
            asked.is_absolute()
            and own != Path.cwd()
            and not any((folder / PROJECT_FILE).exists() for folder in (own, *own.parents))
        ):
            yield own
    with suppress(OSError):
        spare = Path(tempfile.gettempdir()).resolve()
        if spare != Path.cwd():
            yield Path(tempfile.mkdtemp(prefix="fraywork-", dir=spare))


def _without_homes(text: str) -> str:
    """Leave out of a text that is sent on whose home it comes from."""
    homes = [(os.environ.get("FRAYWORK_HOME", ""), "$FRAYWORK_HOME")]
    homes += [(home, "~") for home in system.homes(os.environ)]
    for home, name in homes:
        for path in {home, os.path.realpath(home)} if Path(home) != Path(Path(home).anchor) else ():
            if Path(path).is_absolute():
                text = re.sub(rf"{re.escape(path.rstrip('/' + os.sep))}(?![\w.-])", name, text)
    return text
