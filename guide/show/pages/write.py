"""Writing a page so that it is there whole or not at all."""

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from tempfile import mkstemp

from guide.errors import CannotWrite

OURS = frozenset(
    {".jsonl", ".yaml", ".yml"}
)  # journals, projects, stages: never the target of something made from them
LAYOUT = "layout.json"


def write_page(path: str | Path, text: str | Iterable[str]) -> Path:
    """Write a page, or anything made from a record, to a file of its own. Raises CannotWrite.

    A journal, project, stage or layout file is never written over, whatever was asked.
    """
    target = Path(path)
    if target.suffix.lower() in OURS or target.name == LAYOUT:
        raise CannotWrite(
            f"{target} would be a journal, a project, a stage or a layout, and those are not written over; nothing "
            "was changed. Choose another name with -o."
        )
    return write_whole(target, text)


def write_whole(path: str | Path, text: str | Iterable[str]) -> Path:
    """Write a file beside its place, make it durable, then put it in place. Raises CannotWrite."""
    target = Path(path)
    try:
        handle, beside = mkstemp(dir=target.parent, prefix=f".{target.name[:60]}-")
    except OSError as problem:
        raise _refused(target, problem) from problem
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as page:
            page.writelines([text] if isinstance(text, str) else text)
            page.flush()
            os.fsync(page.fileno())
        Path(beside).chmod(0o644)
        Path(beside).replace(target)
    except OSError as problem:
        raise _refused(target, problem) from problem
    finally:
        with suppress(OSError):
            Path(beside).unlink()
    _settle(target.parent)
    return target


def _settle(folder: Path) -> None:
    """Make the new name durable where the system allows it."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refused(target: Path, problem: OSError) -> CannotWrite:
    return CannotWrite(
        f"{target} could not be written ({problem.strerror or problem}). Nothing was changed; "
        "your session is safe in its journal. Choose another place with -o."
    )
