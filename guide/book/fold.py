"""The book as its lines leave it, folded from left to right. Any list is folded; nothing is changed.

A line that cannot be followed (it cuts a piece that is not there) is left out, and told among the `problems`.
"""

import re
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, TypeVar

import msgspec

from guide.book import sales_kinds, shelf_kinds
from guide.book.model import MOST, Book, Cost, Entry, Sale
from guide.book.unfit import Unfit, need
from guide.record.corrections import newest_of, taken_out

_One = TypeVar("_One", Sale, Cost)
_FIXED = frozenset({"begun", "recovered"})
_HEAD = frozenset({"n", "at", "offset", "awake", "total", "boot", "what", "of", "set", "format", "version", "file"})
MEMBERS = frozenset(Entry.__struct_fields__) - _HEAD  # what a correction may set


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
        _forget(book)
    return book


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


def voided_by(entries: Sequence[Entry], n: int) -> int | None:
    """Give the line that took one back and stands; None where it is not taken back."""
    fixes = [entry for entry in entries if entry.what in {"voided", "amended"}]
    dead = taken_out(fixes)
    return next((fix.n for fix in fixes if fix.what == "voided" and fix.of == n and fix.n not in dead), None)


def _begun(book: Book, entry: Entry) -> None:
    book.units, book.currency = entry.units or book.units, entry.currency or book.currency


def _recovered(book: Book, entry: Entry) -> None:
    """Nothing of it was ever in the book."""


def _forgotten(book: Book, entry: Entry) -> None:
    need(entry.buyer and entry.text, "names nobody to be forgotten")
    book.forgotten[entry.buyer] = entry.text


def initials(name: str) -> str:
    """Give what is kept of a buyer's name: `M. O.` of Mira Oak."""
    return " ".join(f"{word[0].upper()}." for word in name.split())


def _forget(book: Book) -> None:
    """Put initials wherever a forgotten name stands, alone or in a sentence."""
    for one in (*book.offers.values(), *book.orders.values(), *book.articles.values(), *book.pieces.values()):
        for member in {"buyer", "title", "why", "place", "cloth", "said"} & set(one.__struct_fields__):
            setattr(one, member, hidden(getattr(one, member), book.forgotten))
    for article in book.articles.values():
        article.sale = _hidden_in(article.sale, ("buyer", "place"), book.forgotten) if article.sale else None
    book.sales = [_hidden_in(sale, ("buyer", "place"), book.forgotten) for sale in book.sales]
    book.costs = [_hidden_in(cost, ("text", "place"), book.forgotten) for cost in book.costs]


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


DO: dict[str, Callable[[Book, Entry], None]] = {
    **shelf_kinds.DO,
    **sales_kinds.DO,
    "begun": _begun,
    "forgotten": _forgotten,
    "recovered": _recovered,
}
