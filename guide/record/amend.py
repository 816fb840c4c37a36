"""Corrections from a maker's words to the events that make them; for `x` while following and for `guide amend`.

Pure: a correction is checked against the record and comes back as the members of one event, to be tried and appended.
"""

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

import msgspec
from msgspec.structs import replace

from guide.errors import WrongUse
from guide.read.model import did_you_mean
from guide.read.spoken import counted
from guide.read.units import length_ms
from guide.record.clock import DAY_MS, LONGEST_MS, OLDEST_MS, clock_face, iso, local, moment_ms, stamp, time_text
from guide.record.fold import fold
from guide.record.lines import event_of
from guide.record.model import Event, Lap, Measure, Reading, Record

Members = dict[str, Any]

WORDS = {
    "start TIME": "when the lap began: start 10:05, start -5 min",
    "end TIME": "when it ended: end 15:10, end 20 minutes ago",
    "took TIME": "how long it really was: took 7 min",
    "interrupted TIME": "take an interruption off it: interrupted 7 min",
    "not counted": "keep the lap, but out of the sums",
    "counted": "count it again, in the paces too",
    "split at TIME, N": "two laps, the first with N pieces: split at 10:30, 3",
    "join": "no press there: the next lap goes on with it",
    "pieces N": "how many pieces it finished: pieces 4",
    "void": "take the record out: the press never was",
    "void step": "take the whole step out, with all its times",
}
_COUNT = re.compile(r"[0-9]{1,5}")


def correct(words: str, record: Record, of: int, now: Reading, why: str = "") -> Members:
    """Read a correction of the lap that record `of` ended (or of that record) as an event's members.

    words: one of `WORDS`. Raises WrongUse, in one sentence with what to write instead.
    """
    said = " ".join(words.lower().replace("−", "-").split())
    if said == "void":
        return {"what": "voided", "of": of, **_because(why)}
    for verb, make in _VERBS.items():
        if said == verb or said.startswith(f"{verb} "):
            at = _At(said.removeprefix(verb).strip(), record, of, lap_ended_by(record, of), now)
            return {"what": "amended", "of": of, **make(at), **_because(why)}
    raise WrongUse(f"“{words.strip()}” is no correction. There are: {'; '.join(WORDS)}.")


def move_note(of: int, step: str, record: Record, steps: Collection[str]) -> Members:
    """Move a note, photo or measure to another step; steps: the keys there are. WrongUse for anything else."""
    notes = {one.n for one in record.remarks if one.kind in {"noted", "photo"}}
    if of not in notes and not _measure(record, of):
        raise WrongUse(f"Record {of} is no note, photo or measure; only those can be moved to another step.")
    if step not in steps:
        raise WrongUse(
            f"There is no step {step} in this session{did_you_mean(step, steps)}; write it like quilt/cross."
        )
    return {"what": "amended", "of": of, "set": {"step": step}}


def right_measure(of: int, mm: float, record: Record) -> Members:
    """Correct a measure. WrongUse when the record is none."""
    measure_of(record, of)
    if mm <= 0:
        raise WrongUse("A size is more than nothing.")
    return {"what": "amended", "of": of, "set": {"mm": round(mm, 6)}}


def measure_of(record: Record, of: int) -> Measure:
    """Find the measure a record holds. WrongUse when it holds none."""
    found = _measure(record, of)
    if found is None:
        raise WrongUse(f"Record {of} is no measure, so there is no size in it to put right.")
    return found


def _measure(record: Record, of: int) -> Measure | None:
    return next((one for many in record.measures.values() for one in many if one.n == of), None)


def tried(events: Sequence[Event], record: Record, members: Members, now: Reading, pieces: Mapping[str, int]) -> Record:
    """Give the record as it would stand with a correction, before anything is written.

    record: as it stands; pieces: how many each step has. WrongUse when the correction could not be followed,
    would leave pieces without their times, or would count more pieces than there are.
    """
    _holds_nothing_up(events, record, members)
    fresh = event_of(len(events) + 1, members, now)
    after = fold([*events, fresh])
    if not any(fix.n == fresh.n for fix in after.corrections):
        mine = f"Record {fresh.n} "
        why = next((said.removeprefix(mine) for said in after.assumed if said.startswith(mine)), "changes nothing")
        raise WrongUse(f"That {why.removesuffix('; it was left out.')}. Nothing was changed.")
    known = {_subject(said) for said in record.assumed}
    for said in after.assumed:
        if said.startswith("Record ") and _subject(said) not in known:
            raise WrongUse(f"That cannot stand beside what follows it. {said} Nothing was changed.")
    for key, step in after.steps.items():
        most = pieces.get(key)
        if most is not None and step.pieces_done > max(most, record.step(key).pieces_done):
            raise WrongUse(
                f"Then {key} would have {counted(step.pieces_done, 'piece')} done, of {most}. Nothing was changed."
            )
    return after


def _subject(sentence: str) -> str:
    return sentence.partition(":")[0].partition(",")[0]


def _holds_nothing_up(events: Sequence[Event], record: Record, members: Members) -> None:
    """Refuse to take out the start of a step while times hang on it: they would be lost without a word.

    Raises WrongUse.
    """
    of = members["of"]
    if members["what"] != "voided" or not 1 <= of <= len(events) or events[of - 1].what != "step_started":
        return
    for lap in record.step(events[of - 1].step).laps:
        if lap.start_n == of and not lap.by_hand:
            raise WrongUse(
                f"The times of {lap.step} hang on record {of}, its start. To take the step out with all its times, "
                f"say “void step” of record {lap.end_n}. Nothing was changed."
            )


def lap_ended_by(record: Record, of: int) -> Lap:
    """Find the lap a record ended, whole when it was split or shared out. WrongUse when it ended none."""
    for step in record.steps.values():
        parts = [lap for lap in step.laps if lap.end_n == of]
        if parts:
            pieces = sum(lap.pieces for lap in parts)
            among = [record.step(key) for key in parts[0].shared] or [step]
            counted = sum(lap.counted_ms for one in among for lap in one.laps if lap.end_n == of)
            return replace(parts[0], end=parts[-1].end, pieces=pieces, counted_ms=counted)
    raise WrongUse(f"Record {of} ended no lap; give the number of a record that counted pieces or finished a step.")


def newest_lap(record: Record) -> Lap | None:
    """Give the lap that ended last: what a correction is about when nothing else is said."""
    laps = [lap for step in record.steps.values() for lap in step.laps[-2:] if not lap.between]
    lap = max(laps, key=lambda one: one.end_n, default=None)
    return lap_ended_by(record, lap.end_n) if lap and lap.shared else lap


def _because(why: str) -> Members:
    return {"why": why} if why else {}


class _At(msgspec.Struct, frozen=True):
    """What a correction is about: what is said after its verb, the record and the lap it ended, and the clocks."""

    said: str
    record: Record
    of: int
    lap: Lap
    now: Reading


def _start(at: _At) -> Members:
    """Say that it began at another time. Raises WrongUse long before the session was opened."""
    lap = at.lap
    begun = moment_ms(at.said, near=lap.start, now=at.now, offset=lap.start_offset)
    opened = at.record.sittings[0].start if at.record.sittings else begun
    if begun < opened - (OLDEST_MS if lap.by_hand else DAY_MS):  # times from paper may be older than the session
        before = "a year" if lap.by_hand else "a day"
        raise WrongUse(
            f"{_face(begun, lap)} is more than {before} before the session was opened, {_face(opened, lap)}. "
            "Write it like 10:05, or -5 min."
        )
    if lap.by_hand:
        _order(begun, lap.end, lap, at.now)
        return {"set": {"from": iso(begun, lap.start_offset)}}
    return {"of": lap.start_n, "set": {"at": stamp(_fits(begun, lap.start_n, at))}}


def _end(at: _At) -> Members:
    lap = at.lap
    ended = moment_ms(at.said, near=lap.end, now=at.now, offset=lap.offset)
    if lap.by_hand:
        _order(lap.start, ended, lap, at.now)
        return {"set": {"to": iso(ended, lap.offset)}}
    return {"set": {"at": stamp(_fits(ended, lap.end_n, at))}}


def _fits(wall: int, n: int, at: _At) -> int:
    """Check that no lap touching record n would end before it starts. Raises WrongUse for a time to come."""
    for lap in at.record.laps():
        if lap.end_n == n:
            _order(lap.start, wall, lap, at.now)
        if lap.start_n == n and not lap.by_hand:
            _order(wall, lap.end, lap, at.now)
    if wall > at.now.wall:
        raise WrongUse(f"{_face(wall, at.lap)} is still to come.")
    return wall


def _order(start: int, end: int, lap: Lap, now: Reading) -> None:
    """Check the two ends a lap would have. Raises WrongUse for two that cannot be."""
    if end > now.wall:
        raise WrongUse(f"{_face(end, lap)} is still to come.")
    if start > end:
        raise WrongUse(
            f"Then {lap.step} would end at {_face(end, lap)}, before it starts at {_face(start, lap)}. "
            "Set the other end right first."
        )
    longer = end - start > max(LONGEST_MS, lap.end - lap.start)  # one that stood overnight may be made shorter
    if longer:
        raise WrongUse(
            f"Then {lap.step} would go from {_face(start, lap)} to {_face(end, lap)}, "
            f"{time_text((end - start) / 1000)} at the table: is it a slip? Write the time like 10:05, or -5 min."
        )


def _face(wall: int, lap: Lap) -> str:
    """Say a time, with its day when that is not the lap's."""
    offset = lap.offset if wall > lap.start else lap.start_offset
    at = local(wall, offset)
    same = at.date() in {local(lap.start, lap.start_offset).date(), local(lap.end, lap.offset).date()}
    return clock_face(wall, offset) if same else f"{at:%Y-%m-%d %H:%M}"


def _took(at: _At) -> Members:
    """Say how long it really took. Raises WrongUse for longer than it lay between its ends."""
    lap, ms = at.lap, length_ms(at.said)
    if ms > max(lap.end - lap.start, lap.counted_ms):
        raise WrongUse(
            f"{lap.step} went from {_face(lap.start, lap)} to {_face(lap.end, lap)}; it cannot have taken "
            f"{time_text(ms / 1000)}. If it was begun earlier, put its start right: start {_face(lap.end - ms, lap)}."
        )
    return {"ms": ms}


def _interrupted(at: _At) -> Members:
    """Take an interruption off. Raises WrongUse for a longer one than the lap."""
    ms = length_ms(at.said)
    if ms > at.lap.counted_ms:
        raise WrongUse(
            f"That lap has {time_text(at.lap.counted_ms / 1000)}; {time_text(ms / 1000)} cannot come off it."
        )
    return {"ms": at.lap.counted_ms - ms}


def _split(at: _At) -> Members:
    """Make two laps of it. Raises WrongUse for a moment outside it, or more pieces than it has."""
    lap = at.lap
    when, _, pieces = at.said.removeprefix("at ").rpartition(",")
    if not when or not _COUNT.fullmatch(pieces.strip()):
        raise WrongUse("Write when, and how many pieces were done by then: split at 10:30, 3.")
    cut = moment_ms(when, near=lap.start, now=at.now, offset=lap.offset)
    if not lap.start < cut < lap.end:
        face = _face(lap.start, lap), _face(lap.end, lap)
        raise WrongUse(f"{_face(cut, lap)} is not inside that lap, {face[0]} to {face[1]}.")
    if int(pieces) > lap.pieces:
        whole = counted(lap.pieces, "piece")
        raise WrongUse(f"That lap finished {whole}; its first part cannot have finished {pieces.strip()}.")
    return {"set": {"split": {"at": stamp(cut), "pieces": int(pieces)}}}


def _join(at: _At) -> Members:
    """Say that no press was there. Raises WrongUse where no lap goes on from it."""
    record, lap, of = at.record, at.lap, at.of
    step = record.step(lap.step)
    later = any(one.start_n == of for one in step.laps) or (record.current == lap.step and record.lap_start_n == of)
    if lap.by_hand or not later:
        raise WrongUse("No lap of the same step goes on from there, so there is nothing to join it with.")
    return {"set": {"join": True}}


def _pieces(at: _At) -> Members:
    """Say how many pieces it finished. Raises WrongUse for what is no number."""
    if not _COUNT.fullmatch(at.said):
        raise WrongUse("Write how many pieces it finished: pieces 4.")
    return {"set": {"count": int(at.said)}}


_VERBS: dict[str, Callable[[_At], Members]] = {
    "start": _start,
    "end": _end,
    "took": _took,
    "interrupted": _interrupted,
    "not counted": lambda _: {"set": {"counted": False}},
    "counted": lambda _: {"set": {"counted": True}},
    "split": _split,
    "join": _join,
    "pieces": _pieces,
    "void step": lambda at: {"of": at.lap.start_n, "set": {"out": True}},
}
