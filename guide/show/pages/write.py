"""The one door for what is written whole: there whole or not at all, and nothing of anybody's put out of its place.

A plain file is written beside its place and then put there, with the mode and owner it had; a link stays, and what it
leads to is written. Pipes and devices are written into as they are. Folders, disks and sockets are refused.
"""

import os
import stat
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from secrets import token_hex

from guide import system
from guide.errors import CannotWrite
from guide.read.places import is_layout

OURS = frozenset(
    {".jsonl", ".yaml", ".yml"}
)  # journals, projects, stages: never the target of something made from them
ELSEWHERE = "Choose another place with -o."
MOST_LINKS = 40  # followed one after another, as Linux does


def write_page(path: str | Path, text: str | Iterable[str]) -> Path:
    """Write a page, or anything made from a record, where a maker said. Raises CannotWrite.

    A journal, project, stage or layout file is never written over, whatever was asked.
    """
    target = Path(path)
    for one in (target, _at_the_end(target)):
        if one.suffix.lower() in OURS or is_layout(one.name):
            raise CannotWrite(
                f"{one} would be a journal, a project, a stage or a layout, and those are not written over; nothing "
                "was changed. Choose another name with -o."
            )
    return write_whole(target, text)


def write_whole(
    path: str | Path, text: str | Iterable[str], mend: str = f"Your session is safe in its journal. {ELSEWHERE}"
) -> Path:
    """Write a file, durable before it is in place, or stream into a pipe or device. Raises CannotWrite with `mend`."""
    target = Path(path)
    unread: list[OSError] = []  # what went wrong while the text was still being made: no fault of where it goes

    def parts() -> Iterator[str]:
        try:
            yield from [text] if isinstance(text, str) else text
        except OSError as problem:
            unread.append(problem)
            raise

    try:
        place = _at_the_end(target)
        there = _what_is(target)
        if there is not None and (_is_stream(there) or system.names_an_open_file(place)):
            _stream(target, place, parts())
        elif there is None or stat.S_ISREG(there.st_mode):
            _replace(place, there, parts())
        else:
            kind = "a folder" if stat.S_ISDIR(there.st_mode) else "no file that can be written"
            raise CannotWrite(f"{target} is {kind}. Nothing was changed. {mend}")
    except OSError as problem:
        if problem in unread:
            raise
        raise _refused(target, problem, mend) from problem
    return target


def write_bytes(path: Path, data: bytes) -> None:
    """Write a new file, a picture, in a folder that is made where it is missing. Raises CannotWrite."""
    try:
        path.parent.mkdir(exist_ok=True)
        _replace(path, None, [data])
    except OSError as problem:
        raise _refused(path, problem, ELSEWHERE) from problem


def put_away(path: Path, aside: Path) -> None:
    """Put a file aside under another name, when there is one. Raises CannotWrite."""
    try:
        with suppress(FileNotFoundError):
            path.replace(aside)
    except OSError as problem:
        raise CannotWrite(f"{path} cannot be put away: {problem.strerror}. It was left as it is.") from None


def _what_is(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except FileNotFoundError:
        return None


def _is_stream(there: os.stat_result) -> bool:
    return stat.S_ISFIFO(there.st_mode) or stat.S_ISCHR(there.st_mode)


def _at_the_end(path: Path) -> Path:
    """Follow links to where the file is, or is to be.

    The system's own links to open files (/dev/stdout, a shell's >(…)) are not names of files, and end the way.
    """
    with suppress(OSError):  # what cannot be followed is told when it is written
        for _ in range(MOST_LINKS):
            path = Path(os.path.realpath(path.parent)) / path.name
            if system.names_an_open_file(path) or not path.is_symlink():
                break
            path = path.parent / path.readlink()
    return path


def _stream(target: Path, place: Path, parts: Iterable[str]) -> None:
    """Write into what takes bytes as they come; one of our own open files through itself, so that its end is kept."""
    mine = system.own_open_file(place)
    for stream in (sys.stdout, sys.stderr):
        stream.flush()  # what was printed before comes before it
    handle = system.open_stream(target) if mine is None else os.dup(mine)
    with os.fdopen(handle, "w", encoding="utf-8", newline="") as page:
        page.writelines(parts)


def _replace(place: Path, there: os.stat_result | None, parts: Iterable[str | bytes]) -> None:
    """Put a plain file in its place, whole, with the mode of the one that stood there.

    Raises PermissionError where that one may not be written.
    """
    if there is not None and not os.access(place, os.W_OK):
        raise PermissionError(13, os.strerror(13))  # its folder would let it be replaced, but it is not to be written
    beside = place.parent / f".{place.name[:60]}-{token_hex(6)}"
    handle = system.open_plain(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    try:
        with os.fdopen(handle, "wb") as page:
            if there is not None:
                system.like(page.fileno(), there)
            page.writelines(part if isinstance(part, bytes) else part.encode() for part in parts)
            page.flush()
            system.sync(page.fileno())
        system.put_in_place(beside, place)
    finally:
        with suppress(OSError):
            beside.unlink()
    with suppress(OSError):  # the new name lasts where the system allows it
        system.sync_folder(place.parent)


def _refused(target: Path, problem: OSError, mend: str) -> CannotWrite:
    return CannotWrite(f"{target} could not be written ({problem.strerror or problem}). Nothing was changed. {mend}")
