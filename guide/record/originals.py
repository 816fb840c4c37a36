"""A correction in words: what it is about, what stood there, what stands there now."""

from typing import Any

from guide.read.plurals import counted
from guide.record.clock import local, offset_of, spoken, wall_ms
from guide.record.model import Event

_ASPECTS = {
    "ms": "length",
    "counted": "counted",
    "count": "pieces",
    "step": "step",
    "text": "words",
    "why": "reason",
    "split": "split",
    "join": "joined with the next",
    "out": "taken out whole",
    "from": "start",
    "to": "end",
    "less": "breaks",
}
_UNTOUCHED = {"split": "one lap", "join": "no", "out": "no"}
_ENDS = frozenset({"piece_done", "step_done"})
_UNCOUNTED = frozenset({"paused", "interrupted", "gap"})  # what does not count unless it is said to


_TAKEN_BACK = {
    "step_started": "the start",
    "piece_done": "a count",
    "step_done": "the finish",
    "step_skipped": "skipping it",
    "paused": "a pause",
    "resumed": "going on",
    "measured": "a measure",
    "noted": "a note",
    "photo": "a photo",
    "acknowledged": "a caution that was read",
    "trouble": "trouble",
    "interrupted": "an interruption",
    "waited": "the end of a wait",
    "way": "another way of working",
    "closed": "closing the session",
    "texts": "taking the changed files",
    "laid": "a layout",
    "amended": "a correction",
    "voided": "taking a record back",
}


def aspect_of(name: str, target: Event) -> str:
    """Say which side of a record a correction is about: `end`, `length`, `panel_width`."""
    if name == "mm":
        return target.name
    if name == "at":
        return "end" if target.what in _ENDS else "start" if target.what == "step_started" else "time"
    return _ASPECTS.get(name, name)


def about(name: str, target: Event) -> str:
    """Say what a correction is about: `quilt/cross: end`, `panel_width`."""
    if name == "mm":
        return target.name
    subject = target.name if target.what == "measured" else target.step or target.what
    return f"{subject}: {aspect_of(name, target)}"


def taken_back(target: Event) -> str:
    """Say what a voided record was: `a count, 3 pieces`, `a note: pale side up`."""
    kind = _TAKEN_BACK.get(target.what, target.what)
    if target.what in {"voided", "amended"}:
        return f"{kind} (record {target.of})"
    if target.count:
        return f"{kind}, {counted(target.count, 'piece')}"
    words = target.text if target.what == "noted" else target.name.replace("_", " ") or target.why
    return f"{kind}: {words}" if words else kind


def stood(name: str, target: Event, extra: dict[str, Any], moved_ms: int) -> str:
    """Say what stood there before: in the record, or by an earlier correction of it (`extra`, `moved_ms`)."""
    if name == "at":
        return _clock(wall_ms(target.at) + moved_ms, target)
    if name in extra:
        return shown(name, extra[name], target)
    if target.by_hand and name in (target.set or {}):
        return shown(name, (target.set or {})[name], target)
    if name == "counted":
        return "no" if target.what in _UNCOUNTED else "yes"
    if name in _UNTOUCHED:
        return _UNTOUCHED[name]
    if name == "ms":  # of a lap only the stopwatch knows
        return shown(name, target.ms, target) if target.what == "interrupted" else ""
    return shown(name, getattr(target, name, None), target)


def shown(name: str, value: Any, target: Event) -> str:
    """Show one value of a correction as a maker reads it."""
    if value is None:
        return ""
    if name in {"at", "from", "to"}:
        return _clock(wall_ms(value), target, offset_of(value, target.offset))
    if name in {"ms", "less"}:
        return spoken(value)
    if name == "mm":
        return f"{value:.6f}".rstrip("0").rstrip(".") + " mm"
    if name == "split":
        return f"at {_clock(wall_ms(value['at']), target)}, pieces by then: {value['pieces']}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _clock(wall: int, target: Event, offset: int | None = None) -> str:
    """Give a time as the maker's clock showed it, with its day when the record was written on another."""
    offset = target.offset if offset is None else offset
    at, written = local(wall, offset), local(wall_ms(target.at), offset)
    return f"{at:%H:%M:%S}" if at.date() == written.date() else f"{at:%Y-%m-%d %H:%M:%S}"
