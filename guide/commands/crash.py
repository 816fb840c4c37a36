"""Our own bug: a report a maker can send on, and a word about their record."""

import os
import platform
import sys
import traceback
from pathlib import Path

from guide import __version__
from guide.read.places import maker_folder


def report(error: BaseException) -> str:
    """Write a crash report where the maker's own files are; give the sentence to show."""
    text = (
        f"fraywork {__version__} · Python {platform.python_version()} · {sys.platform}\n"
        f"command: guide {' '.join(sys.argv[1:])}\n\n{''.join(traceback.format_exception(error))}"
    )
    name = f"crash-{os.getpid()}.txt"
    for folder in (maker_folder(os.environ), Path.cwd()):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8")
        except OSError:
            continue
        where = folder / name
        return (
            f"Something in fraywork itself went wrong: {error}\nWhat was saved before is safe in its journal. "
            f"The report is in {where}; send it on, and start the command again."
        )
    return f"Something in fraywork itself went wrong, and no report could be written:\n{text}"
