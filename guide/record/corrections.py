"""What corrections make of a list of events: which are taken out, which are changed, and what they were.

Nothing is edited: `voided` takes a record out (voiding that one brings it back), `amended` says what a record
should have said. Later voids decide first, so one pass backwards settles them.

What `set` of an amended record may hold:
  any member of the record itself (step, mm, text, why, count, name, make …), and
  at: the time it happened (a start or an end) · counted: whether the lap it ended, the pause it began or the
  sleep it tells of counts · split: {at, pieces}: the lap it ended was two · join: true: it ended no lap, the
  next one goes on with it · out: true: take the step of that record out, all of it · from, to, less: times
  typed by hand.
The member `ms` of an amended record is the length of the lap the record ended, or of an interruption.
"""

from collections.abc import Callable, Container, Sequence
from typing import Any

import msgspec

from guide.read.spoken import counted
from guide.record.clock import local, offset_of, time_text, wall_ms
from guide.record.lines import L, Line
from guide.record.model import CHANGE, Correction, Event, Many, Ms

_FIXED = frozenset({"opened", "alive", "recovered"})  # nobody's key wrote them: nothing to take back
_OWN = frozenset({"counted", "split", "join", "out", "from", "to", "less", "at", "ms"})  # no members of the record
_KNOWN = "noted"  # stands for the kind of a record, which may be of a later version
_MEMBERS = frozenset(Event.__struct_fields__) - {"n", "at", "offset", "awake", "total", "boot", "what", "ms", "set"}


class Effective(msgspec.Struct):
    """The events as they stand, corrections applied."""

    events: Sequence[Event]  # live ones, in order, with their members set right; no voided, no amended
    moved: dict[int, int] = {}  # record → ms its time was moved by
    extras: dict[int, dict[str, Any]] = {}  # record → what its corrections say beyond its own members
    originals: dict[int, Event] = {}  # record → as it was written
    corrections: list[Correction] = []
    problems: list[str] = []


def effective(events: Sequence[Event]) -> Effective:
    """Apply all corrections to a list of events (numbered from 1 without gaps)."""
    fixes = [event for event in events if event.what in {"voided", "amended"}]
    if not fixes:
        return Effective(events)
    found = Effective(events)
    by_n = {event.n: event for event in events}
    ill = {fix.n: why for fix in fixes if (why := _wrong(fix, by_n))}
    dead = taken_out(fixes, ill)
    changed: dict[int, Event] = {}
    for fix in fixes:
        if fix.n in ill:
            found.problems.append(f"Record {fix.n} {ill[fix.n]}; it was left out.")
        elif fix.n not in dead:
            _apply(fix, by_n, changed, found)
    out = [
        changed.get(event.n, event)
        for event in events
        if event.n not in dead and (event.what not in {"voided", "amended"} or _takes_out(event, ill))
    ]
    found.events = out
    return found


def _takes_out(fix: Event, ill: dict[int, str]) -> bool:
    """An amended record that takes a whole step out acts at its own place among the events."""
    return fix.what == "amended" and fix.n not in ill and bool((fix.set or {}).get("out"))


def taken_out(fixes: Sequence[Line], ill: Container[int] = ()) -> set[int]:
    """Give the records that corrections take out: later ones decide first, so one that is taken out itself does not."""
    dead: set[int] = set()
    for fix in reversed(fixes):
        if fix.what == "voided" and fix.n not in dead and fix.n not in ill:
            dead.add(fix.of)
    return dead


def _wrong(fix: Event, by_n: dict[int, Event]) -> str:
    """Why a correction cannot be followed, in words; "" when it can."""
    target = by_n.get(fix.of)
    if target is None or fix.of >= fix.n:
        return "corrects no earlier record"
    if not (_dated(fix) and _dated(target)):
        return "has no time that can be read, or corrects one that has none"
    if not correctable(target) and not (fix.what == "amended" and (target.what == "gap" or _of_a_lap(fix, target))):
        return f"corrects record {fix.of}, which no one pressed"
    if fix.what == "voided":
        return ""
    if target.then and (fix.set or {}).get("join"):
        return f"joins record {fix.of} to the step begun with it, which is another"
    if target.what in {"voided", "amended"}:
        return f"amends record {fix.of}, itself a correction: amend the first record instead"
    return _unfit(fix, target)


def _of_a_lap(fix: Event, target: Event) -> bool:
    """Whether only the lap is meant that a stop or a last sign of life ended: its length, or that it is out."""
    said = fix.set or {}
    return target.what in {"paused", "alive"} and said.keys() <= {"ms", "counted"} and not said.get("counted")


def _dated(event: Event) -> bool:
    try:
        wall_ms(event.at)
    except (ValueError, TypeError):
        return False
    return True


def _unfit(fix: Event, target: Event) -> str:
    changes = fix.set or {}
    if unknown := changes.keys() - _OWN - _MEMBERS:
        return f"sets {', '.join(sorted(unknown))}, which records do not have"
    try:
        msgspec.convert(_values(changes), _Own)
        msgspec.convert({**msgspec.to_builtins(target), **_members(changes), "what": _KNOWN}, Event)
        for text in (*map(changes.get, ("at", "from", "to")), (changes.get("split") or {}).get("at")):
            if text is not None:
                wall_ms(text)
    except (ValueError, TypeError):
        return f"sets something that cannot stand in record {fix.of}"
    return ""


class _Split(msgspec.Struct):
    at: str
    pieces: Many


class _Own(msgspec.Struct, rename={"from_": "from"}):
    """The kinds of the extra members."""

    counted: bool = True
    split: _Split | None = None
    join: bool = False
    out: bool = False
    at: str = ""
    from_: str = ""
    to: str = ""
    less: Ms = 0
    ms: Ms = 0


def _values(changes: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in changes.items() if name in _OWN}


def _members(changes: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in changes.items() if name in _MEMBERS}


def correctable(event: Event) -> bool:
    """Whether a maker may take the record out or set it right."""
    if event.what in _FIXED or event.what == "gap":
        return False
    ends_a_sitting = event.what == "paused" and event.why in {"stop", CHANGE}  # what came after was elsewhere
    return not ends_a_sitting and not (event.what == "resumed" and event.sitting)


def undo_target(events: Sequence[Event]) -> int | None:
    """The number of the newest live record that a maker's key wrote: what undo takes back. None: nothing."""
    return newest_of(events, lambda event: correctable(event) and event.what in _PRESSED)


def newest_pressed(events: Sequence[Event]) -> int:
    """The number of the newest record that somebody's key or press wrote, voided or not; 0 where there is none."""
    return next((event.n for event in reversed(events) if event.what in _PRESSED or event.what == "voided"), 0)


def newest_of(events: Sequence[L], pressed: Callable[[L], bool]) -> int | None:
    """Give the number of the newest record not taken out that somebody wrote on purpose. None: there is none."""
    dead: set[int] = set()
    for event in reversed(events):
        if event.n in dead:
            continue
        if event.what == "voided":
            dead.add(event.of)
        elif pressed(event):
            return event.n
    return None


_PRESSED = frozenset(
    {"texts", "laid", "closed", "step_started", "piece_done", "step_done", "step_skipped", "paused", "resumed"}
    | {"measured", "noted", "photo", "acknowledged", "trouble", "interrupted", "waited", "amended", "way"}
)


def _apply(fix: Event, by_n: dict[int, Event], changed: dict[int, Event], found: Effective) -> None:
    target = changed.get(fix.of, by_n[fix.of])
    at = wall_ms(fix.at)
    if fix.what == "voided":
        found.corrections.append(
            Correction(fix.n, fix.of, at, "taken back", taken_back(target), "", fix.why, target.step, "taken back")
        )
        return
    found.originals.setdefault(fix.of, by_n[fix.of])
    changes = dict(fix.set or {})
    if fix.ms is not None:
        changes["ms"] = fix.ms
    extra = found.extras.setdefault(fix.of, {})
    for name, now in changes.items():
        was = stood(name, target, extra, found.moved.get(fix.of, 0))
        found.corrections.append(
            Correction(
                fix.n, fix.of, at, about(name, target), was, shown(name, now, target), fix.why,
                target.step, aspect_of(name, target), name == "mm",
            )
        )  # fmt: skip
    if "at" in changes:
        found.moved[fix.of] = wall_ms(changes["at"]) - wall_ms(by_n[fix.of].at)
    own = {name: changes[name] for name in changes if name in _OWN}
    extra.update(own)
    if own.keys() & {"split", "join"}:  # one lap is either split or joined: the last word holds
        extra.pop("join" if own.get("split") else "split", None)
    changed[fix.of] = msgspec.structs.replace(target, **_convert(changes, target))


def _convert(changes: dict[str, Any], target: Event) -> dict[str, Any]:
    whole = msgspec.convert({**msgspec.to_builtins(target), **_members(changes), "what": _KNOWN}, Event)
    new = {name: getattr(whole, name) for name in _members(changes)}
    if target.by_hand and (typed := {name: changes[name] for name in ("from", "to", "less") if name in changes}):
        new["set"] = {**(target.set or {}), **typed}
    if target.what == "interrupted" and "ms" in changes:
        new["ms"] = changes["ms"]
    return new


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
        return time_text(value / 1000)
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
