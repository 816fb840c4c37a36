"""The book as its lines leave it, folded from left to right. Any list is folded; nothing is changed.

A line that cannot be followed (it cuts a piece that is not there) is left out, and told among the `problems`.
"""

from collections.abc import Callable, Sequence
from datetime import date

from guide.book import sales_kinds, shelf_kinds
from guide.book.model import MOST, Book, Entry
from guide.book.names import forget
from guide.book.standing import standing
from guide.book.unfit import Unfit, need


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
        if amount is not None and not (amount.is_finite() and -MOST <= amount <= MOST):
            raise Unfit("names a sum that is none")
    for day in (entry.on, entry.due, entry.until):
        if day and not _is_day(day):
            raise Unfit(f"names the day {day[:40]}, which is none")


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _begun(book: Book, entry: Entry) -> None:
    book.units, book.currency = entry.units or book.units, entry.currency or book.currency


def _recovered(book: Book, entry: Entry) -> None:
    """Nothing of it was ever in the book."""


def _forgotten(book: Book, entry: Entry) -> None:
    need(entry.buyer and entry.text, "names nobody to be forgotten")
    book.forgotten[entry.buyer] = entry.text


DO: dict[str, Callable[[Book, Entry], None]] = {
    **shelf_kinds.DO,
    **sales_kinds.DO,
    "begun": _begun,
    "forgotten": _forgotten,
    "recovered": _recovered,
}
