"""Which lines of the book stand, once later ones have taken some back and corrected others."""

from collections.abc import Sequence
from typing import Any

import msgspec

from guide.book.model import Entry
from guide.record.corrections import newest_of, taken_out

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
