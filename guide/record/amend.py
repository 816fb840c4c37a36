"""Corrections from a maker's words to the events that make them; for `x` while following and for `guide amend`.

Pure: a correction is checked against the record and comes back as the members of one event, to be appended.
"""

import re
from collections.abc import Callable
from typing import Any

from guide.errors import WrongUse
from guide.record.clock import clock_face, spoken, stamp
from guide.record.model import Lap, Reading, Record
from guide.record.moments import length_ms, moment_ms

Members = dict[str, Any]

WORDS = {
    "start TIME": "when the lap began: start 10:05, start -5 min",
    "end TIME": "when it ended: end 15:10, end 20 minutes ago",
    "took TIME": "how long it really was: took 7 min",
    "interrupted TIME": "take an interruption off it: interrupted 7 min",
    "not counted": "keep the lap, but out of the sums",
    "counted": "count it again",
    "split at TIME, N": "two laps, the first with N pieces: split at 10:30, 3",
    "join": "no press there: the next lap goes on with it",
    "pieces N": "how many pieces it finished: pieces 4",
    "void": "take the record out: the press never was",
    "void step": "take the whole step out, with all its times",
}
_COUNT = re.compile(r"\d{1,5}")


def correct(words: str, record: Record, of: int, now: Reading, why: str = "") -> Members:
    """Read a correction of the lap that record `of` ended (or of that record) as an event's members.

    words: one of `WORDS`. Raises WrongUse, in one sentence with what to write instead.
    """
    said = " ".join(words.lower().replace("−", "-").split())
    if said == "void":
        return {"what": "voided", "of": of, **_because(why)}
    for verb, make in _VERBS.items():
        if said == verb or said.startswith(f"{verb} "):
            return {"what": "amended", **make(said.removeprefix(verb).strip(), record, of, now), **_because(why)}
    raise WrongUse(f"“{words.strip()}” is no correction. There are: {'; '.join(WORDS)}.")


def move_note(of: int, step: str, why: str = "") -> Members:
    """Move a note, photo or measure to another step."""
    return {"what": "amended", "of": of, "set": {"step": step}, **_because(why)}


def right_measure(of: int, mm: float, why: str = "") -> Members:
    """Correct a measure."""
    return {"what": "amended", "of": of, "set": {"mm": mm}, **_because(why)}


def count_gap(of: int, why: str = "") -> Members:
    """Count the sleep a `gap` tells of, or a pause: the maker worked on meanwhile."""
    return {"what": "amended", "of": of, "set": {"counted": True}, **_because(why)}


def lap_ended_by(record: Record, of: int) -> Lap:
    """Find the lap a record ended. WrongUse when it ended none."""
    for step in record.steps.values():
        for lap in reversed(step.laps):
            if lap.end_n == of:
                return lap
    raise WrongUse(f"Record {of} ended no lap; give the number of a record that counted pieces or finished a step.")


def newest_lap(record: Record) -> Lap | None:
    """Give the lap that ended last: what a correction is about when nothing else is said."""
    laps = [step.laps[-1] for step in record.steps.values() if step.laps]
    return max(laps, key=lambda lap: lap.end_n, default=None)


def _because(why: str) -> Members:
    return {"why": why} if why else {}


def _start(said: str, record: Record, of: int, now: Reading) -> Members:
    lap = lap_ended_by(record, of)
    at = moment_ms(said, near=lap.start, now=now, offset=lap.offset)
    if lap.by_hand:
        _order(at, lap.end, lap, now)
        return {"of": of, "set": {"from": stamp(at)}}
    return {"of": lap.start_n, "set": {"at": stamp(_fits(at, lap.start_n, record, lap, now))}}


def _end(said: str, record: Record, of: int, now: Reading) -> Members:
    lap = lap_ended_by(record, of)
    at = moment_ms(said, near=lap.end, now=now, offset=lap.offset)
    if lap.by_hand:
        _order(lap.start, at, lap, now)
        return {"of": of, "set": {"to": stamp(at)}}
    return {"of": lap.end_n, "set": {"at": stamp(_fits(at, lap.end_n, record, lap, now))}}


def _fits(at: int, n: int, record: Record, about: Lap, now: Reading) -> int:
    """Check that no lap touching record n would end before it starts."""
    for step in record.steps.values():
        for lap in step.laps:
            if lap.end_n == n:
                _order(lap.start, at, lap, now)
            if lap.start_n == n and not lap.by_hand:
                _order(at, lap.end, lap, now)
    if at > now.wall:
        raise WrongUse(f"{clock_face(at, about.offset)} is still to come.")
    return at


def _order(start: int, end: int, lap: Lap, now: Reading) -> None:
    if end > now.wall:
        raise WrongUse(f"{clock_face(end, lap.offset)} is still to come.")
    if start > end:
        raise WrongUse(
            f"Then {lap.step} would end at {clock_face(end, lap.offset)}, before it starts at "
            f"{clock_face(start, lap.offset)}. Set the other end right first."
        )


def _took(said: str, record: Record, of: int, now: Reading) -> Members:
    del now
    lap_ended_by(record, of)
    return {"of": of, "ms": length_ms(said)}


def _interrupted(said: str, record: Record, of: int, now: Reading) -> Members:
    del now
    lap, ms = lap_ended_by(record, of), length_ms(said)
    if ms > lap.counted_ms:
        raise WrongUse(f"That lap has {spoken(lap.counted_ms)}; {spoken(ms)} can not come off it.")
    return {"of": of, "ms": lap.counted_ms - ms}


def _counts(counted: bool) -> Callable[[str, Record, int, Reading], Members]:
    def make(said: str, record: Record, of: int, now: Reading) -> Members:
        del said, now
        lap_ended_by(record, of)
        return {"of": of, "set": {"counted": counted}}

    return make


def _split(said: str, record: Record, of: int, now: Reading) -> Members:
    lap = lap_ended_by(record, of)
    when, _, pieces = said.removeprefix("at ").rpartition(",")
    if not when or not _COUNT.fullmatch(pieces.strip()):
        raise WrongUse("Write when, and how many pieces were done by then: split at 10:30, 3.")
    at = moment_ms(when, near=lap.start, now=now, offset=lap.offset)
    if not lap.start < at < lap.end:
        face = clock_face(lap.start, lap.offset), clock_face(lap.end, lap.offset)
        raise WrongUse(f"{clock_face(at, lap.offset)} is not inside that lap, {face[0]} to {face[1]}.")
    if int(pieces) > lap.pieces:
        raise WrongUse(f"That lap finished {lap.pieces} pieces; its first part can not have finished {pieces.strip()}.")
    return {"of": of, "set": {"split": {"at": stamp(at), "pieces": int(pieces)}}}


def _join(said: str, record: Record, of: int, now: Reading) -> Members:
    del said, now
    lap = lap_ended_by(record, of)
    step = record.step(lap.step)
    later = any(one.start_n == of for one in step.laps) or (record.current == lap.step and record.lap_start_n == of)
    if lap.by_hand or not later:
        raise WrongUse("No lap of the same step goes on from there, so there is nothing to join it with.")
    return {"of": of, "set": {"join": True}}


def _pieces(said: str, record: Record, of: int, now: Reading) -> Members:
    del now
    lap_ended_by(record, of)
    if not _COUNT.fullmatch(said):
        raise WrongUse("Write how many pieces it finished: pieces 4.")
    return {"of": of, "set": {"count": int(said)}}


def _void_step(said: str, record: Record, of: int, now: Reading) -> Members:
    del said, now
    return {"of": lap_ended_by(record, of).start_n, "set": {"out": True}}


_VERBS: dict[str, Callable[[str, Record, int, Reading], Members]] = {
    "start": _start,
    "end": _end,
    "took": _took,
    "interrupted": _interrupted,
    "not counted": _counts(False),
    "counted": _counts(True),
    "split": _split,
    "join": _join,
    "pieces": _pieces,
    "void step": _void_step,
}
