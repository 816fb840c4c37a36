"""Writing a page so that it is there whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path
from tempfile import mkstemp

from guide.errors import CannotWrite


def write_page(path: str | Path, text: str) -> Path:
    """Write a page beside its place, make it durable, then put it in place. Raises CannotWrite."""
    target = Path(path)
    try:
        handle, beside = mkstemp(dir=target.parent, prefix=f".{target.name[:60]}-")
    except OSError as problem:
        raise _refused(target, problem) from problem
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as page:
            page.write(text)
            page.flush()
            os.fsync(page.fileno())
        Path(beside).chmod(0o644)
        Path(beside).replace(target)
    except OSError as problem:
        with suppress(OSError):
            Path(beside).unlink()
        raise _refused(target, problem) from problem
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
