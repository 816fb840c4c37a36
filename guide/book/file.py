"""The book's file beside the projects: read by anyone, written by one at a time, and only what fits."""

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from guide import __version__
from guide.book.kinds import DO
from guide.book.model import BOOK, FORMAT, MOST, Book, Cost, Counted, Entry, Flow, Sale, Unfit, need
from guide.errors import CannotWrite
from guide.record.corrections import newest_of, taken_out
from guide.record.journal import Appended, read_lines
from guide.record.lines import Damage
from guide.record.model import Reading
from guide.record.sessions import book_file

# Buyers' names that are forgotten: initials wherever one stands, alone or in a sentence.

_One = TypeVar("_One", Sale, Cost, Counted)


def initials(name: str) -> str:
    """Give what is kept of a buyer's name: `M. O.` of Mira Oak."""
    return " ".join(f"{word[0].upper()}." for word in name.split())


def forget(book: Book) -> None:
    """Put initials wherever a forgotten name stands in what the book comes to."""
    for one in (*book.offers.values(), *book.orders.values(), *book.articles.values(), *book.pieces.values()):
        for member in {"buyer", "title", "why", "place", "cloth", "said"} & set(one.__struct_fields__):
            setattr(one, member, hidden(getattr(one, member), book.forgotten))
    for article in book.articles.values():
        article.sale = _hidden_in(article.sale, ("buyer", "place"), book.forgotten) if article.sale else None
    book.sales = [_hidden_in(sale, ("buyer", "place"), book.forgotten) for sale in book.sales]
    book.costs = [_hidden_in(cost, ("text", "place"), book.forgotten) for cost in book.costs]
    book.counts = [_hidden_in(one, ("cloth",), book.forgotten) for one in book.counts]
    book.spent = [(on, hidden(cloth, book.forgotten), *sum_) for on, cloth, *sum_ in book.spent]
    flows: dict[str, Flow] = {}
    for cloth, flow in book.flows.items():  # two that go by one name now are one
        into = flows.setdefault(hidden(cloth, book.forgotten), Flow())
        for member in flow.__struct_fields__:
            setattr(into, member, getattr(into, member) + getattr(flow, member))
    book.flows = flows


def _hidden_in(one: _One, members: tuple[str, ...], forgotten: dict[str, str]) -> _One:
    return msgspec.structs.replace(one, **{member: hidden(getattr(one, member), forgotten) for member in members})


def hidden(value: Any, forgotten: dict[str, str]) -> Any:
    """Give a text, or texts in lists and mappings, with initials for the names that are forgotten."""
    if isinstance(value, str):
        for name, letters in forgotten.items():
            value = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", letters.replace("\\", r"\\"), value)
        return value
    if isinstance(value, list):
        return [hidden(one, forgotten) for one in value]
    if isinstance(value, dict):
        return {key: hidden(one, forgotten) for key, one in value.items()}
    return value


# Which lines of the book stand, once later ones have taken some back and corrected others.

_FIXED = frozenset({"begun", "recovered"})
_HEAD = frozenset({"n", "at", "offset", "awake", "total", "boot", "what", "of", "set", "format", "version", "file"})
MEMBERS = frozenset(Entry.__struct_fields__) - _HEAD  # what a correction may set


def standing(entries: Sequence[Entry], problems: dict[int, str]) -> list[Entry]:
    """Give the lines that stand, corrections applied; what is wrong with a correction goes among the problems."""
    fixes = [entry for entry in entries if entry.what in {"voided", "amended"}]
    if not fixes:
        return list(entries)
    for fix in fixes:
        if why := _wrong(fix, entries):
            problems[fix.n] = why
    dead = taken_out(fixes, problems)
    changed: dict[int, Entry] = {}
    for fix in fixes:
        if fix.what == "amended" and fix.n not in dead and fix.n not in problems:
            changed[fix.of] = _set(changed.get(fix.of, entries[fix.of - 1]), fix.set or {})
    live = (changed.get(entry.n, entry) for entry in entries if entry.n not in dead)
    return [entry for entry in live if entry.what not in {"voided", "amended"}]


def _wrong(fix: Entry, entries: Sequence[Entry]) -> str:
    """Say why a correction cannot be followed; nothing when it can."""
    if not 0 < fix.of < fix.n:
        return "corrects no earlier line"
    target = entries[fix.of - 1]
    if target.what in _FIXED:
        return f"corrects line {fix.of}, which no one wrote"
    if fix.what == "voided":
        return ""
    if target.what in {"voided", "amended"}:
        return f"amends line {fix.of}, itself a correction: amend the first line instead"
    if unknown := (fix.set or {}).keys() - MEMBERS:
        return f"sets {', '.join(sorted(unknown))}, which lines do not have"
    try:
        _set(target, fix.set or {})
    except (ValueError, TypeError):
        return f"sets something that cannot stand in line {fix.of}"
    return ""


def _set(target: Entry, changes: dict[str, Any]) -> Entry:
    return msgspec.convert({**msgspec.to_builtins(target), **changes}, Entry)


def undo_target(entries: Sequence[Entry]) -> int | None:
    """Give the newest line that stands and may be taken back; None when there is none."""
    return newest_of(entries, lambda entry: entry.what not in _FIXED)


def voided_by(entries: Sequence[Entry], n: int) -> int | None:
    """Give the line that took one back and stands; None where it is not taken back."""
    fixes = [entry for entry in entries if entry.what in {"voided", "amended"}]
    dead = taken_out(fixes)
    return next((fix.n for fix in fixes if fix.what == "voided" and fix.of == n and fix.n not in dead), None)


# The book as its lines leave it, folded from left to right. Any list is folded; nothing is changed.
#
# A line that cannot be followed (it cuts a piece that is not there) is left out, and told among the `problems`.


def fold(entries: Sequence[Entry]) -> Book:
    """Give the book of these lines, numbered from 1 without gaps."""
    book = Book(count=len(entries))
    for entry in standing(entries, book.problems):
        do = DO.get(entry.what)
        if do is None:
            book.unknown.append(entry)
            continue
        try:
            _reckoned(entry)
            do(book, entry)
        except Unfit as wrong:
            book.problems[entry.n] = str(wrong)
    if book.forgotten:
        forget(book)
    return book


def _reckoned(entry: Entry) -> None:
    """Let pass money that can be reckoned with, and days that there are. Raises Unfit."""
    told = (entry.amount, entry.deposit, entry.fee, entry.tax, entry.packing, entry.cost)
    for amount in (*told, *[take.amount for take in entry.takes]) if entry.takes else told:
        need(amount is None or (amount.is_finite() and -MOST <= amount <= MOST), "names a sum that is none")
    for day in (entry.on, entry.due, entry.until):
        need(not day or _is_day(day), f"names the day {day[:40]}, which is none")


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


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

    def add(self, *many: dict[str, Any] | Entry) -> list[Entry]:
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
