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

from guide.record.clock import wall_ms
from guide.record.lines import L, Line
from guide.record.model import CHANGE, Correction, Event, Many, Ms
from guide.record.originals import about, aspect_of, shown, stood, taken_back

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
        for text in _moments(changes):
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


def _moments(changes: dict[str, Any]) -> list[str]:
    split = changes.get("split") or {}
    given = [changes.get("at"), changes.get("from"), changes.get("to"), split.get("at")]
    return [text for text in given if text is not None]


def correctable(event: Event) -> bool:
    """Whether a maker may take the record out or set it right."""
    if event.what in _FIXED or event.what == "gap":
        return False
    ends_a_sitting = event.what == "paused" and event.why in {"stop", CHANGE}  # what came after was elsewhere
    return not ends_a_sitting and not (event.what == "resumed" and event.sitting)


def undo_target(events: Sequence[Event]) -> int | None:
    """The number of the newest live record that a maker's key wrote: what undo takes back. None: nothing."""
    return newest_of(events, lambda event: correctable(event) and event.what in _PRESSED)


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
