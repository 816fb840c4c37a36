"""The book's file beside the projects: read by anyone, written by one at a time, and only what fits."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from guide import __version__
from guide.book.fold import fold
from guide.book.model import BOOK, FORMAT, Book, Entry
from guide.book.unfit import Unfit
from guide.errors import CannotWrite
from guide.record.journal import Appended, read_lines
from guide.record.lines import Damage
from guide.record.model import Reading
from guide.record.sessions import book_file

__all__ = ["Writer", "book_file", "read_book", "read_entries", "writing"]


def read_entries(root: Path | str) -> tuple[list[Entry], Damage | None]:
    """Read the book's good part and what stops it; no lines where there is no book. NeedsMending for a newer format."""
    path = book_file(root)
    if not path.exists() and not path.is_symlink():
        return [], None
    found = read_lines(path, BOOK)
    return found.events, found.damage


def read_book(root: Path | str) -> Book:
    """Read the book as it stands; an empty one where there is none."""
    return fold(read_entries(root)[0])


class Writer:
    """The book, open for writing: `book` is what it holds."""

    def __init__(self, file: Appended[Entry], reading: Reading) -> None:
        """Take over an open file; made by `writing`."""
        self.file, self.reading = file, reading
        self.book = fold(file.events)

    @property
    def next(self) -> int:
        """The number of the next line."""
        return len(self.file.events) + 1

    def add(self, *many: dict[str, Any]) -> list[Entry]:
        """Write lines, all or none. Unfit, with nothing written, for one that the book has no room for."""
        events = self.file.events
        new: list[Entry] = []
        for members in many:
            try:
                new.append(BOOK.written(len(events) + len(new) + 1, members, self.reading)[0])
            except ValueError as bad:
                raise Unfit(f"The book cannot hold that: {bad}. Nothing was written.") from bad
        book = fold([*events, *new])
        for n, why in book.problems.items():
            if n in self.book.problems:
                continue
            if n > len(events):
                raise Unfit(f"This {why}. Nothing was written.")
            raise Unfit(
                f"Line {n} rests on it: it {why}. Take that back first: guide book undo {n}. Nothing was written."
            )
        self.file.append_all(many, self.reading)
        self.book = book
        return new


@contextmanager
def writing(root: Path | str, reading: Reading, **begun: str) -> Iterator[Writer]:
    """Open the book to write, or begin one with what is given (units, currency).

    Raises OpenElsewhere, JournalDamaged, NeedsMending or CannotWrite, as a session's journal does.
    """
    path = book_file(root)
    first = {"what": "begun", "format": FORMAT, "version": __version__, **begun}
    file: Appended[Entry] | None = None
    if not path.exists() and not path.is_symlink():
        try:
            file = Appended[Entry].create(path, BOOK.written(1, first, reading)[1], BOOK)
        except CannotWrite:
            if not path.exists():  # else another was quicker: it is opened
                raise
    file = file or Appended[Entry].open(path, reading, BOOK)
    try:
        if not file.events:  # a crash left it empty
            file.append(first, reading)
        yield Writer(file, reading)
    finally:
        file.close()
