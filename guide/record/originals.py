"""A correction in words: what it is about, what stood there, what stands there now."""

from typing import Any

from guide.record.clock import local, spoken, wall_ms
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
_ENDS = frozenset({"piece_done", "step_done"})
_UNCOUNTED = frozenset({"paused", "interrupted", "gap"})  # what does not count unless it is said to


def about(name: str, target: Event) -> str:
    """Say what a correction is about: `quilt/cross: end`, `panel_width`."""
    if name == "mm":
        return target.name
    subject = target.name if target.what == "measured" else target.step or target.what
    if name == "at":
        aspect = "end" if target.what in _ENDS else "start" if target.what == "step_started" else "time"
    else:
        aspect = _ASPECTS.get(name, name)
    return f"{subject}: {aspect}"


def taken_back(target: Event) -> str:
    """Say what a voided record was: `piece_done quilt/cross`, `noted pale side up`."""
    about_it = target.step or target.name or target.text or target.why
    if target.what == "noted":
        about_it = target.text
    if target.what in {"voided", "amended"}:
        about_it = f"of record {target.of}"
    return f"{target.what} {about_it}".strip()


def stood(name: str, target: Event, extra: dict[str, Any], moved_ms: int) -> str:
    """Say what stood there before: in the record, or by an earlier correction of it (`extra`, `moved_ms`)."""
    if name == "at":
        return _clock(wall_ms(target.at) + moved_ms, target.offset)
    if name in extra:
        return shown(name, extra[name], target)
    if target.by_hand and name in (target.set or {}):
        return shown(name, (target.set or {})[name], target)
    if name == "counted":
        return "no" if target.what in _UNCOUNTED else "yes"
    if name == "ms":
        return shown(name, target.ms, target) if target.what == "interrupted" else ""
    return shown(name, getattr(target, name, None), target)


def shown(name: str, value: Any, target: Event) -> str:
    """Show one value of a correction as a maker reads it."""
    if value is None:
        return ""
    if name in {"at", "from", "to"}:
        return _clock(wall_ms(value), target.offset)
    if name in {"ms", "less"}:
        return spoken(value)
    if name == "mm":
        return f"{value:g} mm"
    if name == "split":
        return f"at {_clock(wall_ms(value['at']), target.offset)}, {value['pieces']} pieces by then"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _clock(wall: int, offset: int) -> str:
    return f"{local(wall, offset):%H:%M:%S}"
