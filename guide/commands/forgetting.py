"""Forgetting a buyer: initials in all that is read, and, after a question, in the book's own bytes."""

from pathlib import Path
from typing import Any

import click
import msgspec

from guide import system
from guide.book.file import book_file, fold, hidden, read_entries
from guide.book.model import BOOK, Entry
from guide.commands.common import talk
from guide.commands.entries import book_open
from guide.errors import CannotWrite, JournalDamaged, WrongUse
from guide.read.places import shown
from guide.record.journal import describe
from guide.record.lines import encode
from guide.show.pages.write import write_whole

WORDS = ("buyer", "text", "why", "title", "place", "project", "cloth", "offer", "set")  # where a name can stand


def forget_name(name: str, letters: str) -> None:
    """Write that a name is forgotten, unless it is already. WrongUse where no line has it."""
    with book_open() as writer:
        if name in writer.book.forgotten:
            return
        if not any(name in str(msgspec.to_builtins(entry)) for entry in writer.file.events):
            raise WrongUse(f"Nobody called {name} is in the book.")
        writer.add({"what": "forgotten", "buyer": name, "text": letters})


def without(entries: list[Entry], name: str, letters: str) -> list[Entry]:
    """Give the lines with initials for a name; what tells that it was forgotten has them too."""
    return [
        msgspec.structs.replace(entry, **{member: hidden(getattr(entry, member), {name: letters}) for member in WORDS})
        for entry in entries
    ]


def rewrite_book(root: Path, name: str, *, sure: bool) -> int:
    """Write the book anew without a name; compare what both come to; put it in the place of the old one.

    The lines keep their numbers, moments and kinds. JournalDamaged or CannotWrite leave the old one as it is.
    """
    path = book_file(root)
    with book_open() as writer:  # nobody writes meanwhile
        entries, damage = read_entries(root)
        if damage is not None:
            raise JournalDamaged(describe(shown(path), damage))
        letters = writer.book.forgotten[name]
        new = without(entries, name, letters)
        data = b"".join(encode(entry) for entry in new)
        if BOOK.scan(data).events != new or not _same(entries, new):
            raise CannotWrite(f"{shown(path)} was left as it is: written anew it would not come to the same.")
        aside = sorted(path.parent.glob(f"{path.name}.torn-*"))
        if not sure and not click.confirm(_question(path, name, aside), default=False, err=True):
            talk("Left as it is.")
            return 0
        beside = path.with_name(f".{path.name}.new")
        write_whole(beside, data.decode())
        system.put_in_place(beside, path)
        system.sync_folder(path.parent)
    for torn in aside:
        torn.unlink()
    talk(
        f"{name} is out of {shown(path)}. Copies stay where they are: backups, synced folders, versions kept by the "
        "system, pages and papers already written or printed, and blocks of the disk until they are written over."
    )
    return 0


def _same(old: list[Entry], new: list[Entry]) -> bool:
    """Whether both fold to the same book, names apart."""
    one, other = fold(old), fold(new)
    one.forgotten, other.forgotten = {}, {}
    return bool(_facts(one) == _facts(other))


def _facts(book: Any) -> Any:
    return msgspec.json.encode(msgspec.structs.asdict(book) | {"unknown": len(book.unknown)}, enc_hook=str)


def _question(path: Path, name: str, aside: list[Path]) -> str:
    torn = f" Lines cut off and set aside are deleted with it ({len(aside)})." if aside else ""
    return f"Delete the bytes of {shown(path)} that say {name}? They cannot be brought back.{torn}"
