"""Times typed in from paper, many steps at a time: `12-18, 10:00 to 11:20, 9 blocks`."""

import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

import msgspec

from guide.errors import WrongUse
from guide.record.clock import local, stamp
from guide.record.model import Reading, Record
from guide.record.moments import length_ms, wall_of

_STEPS = re.compile(r"(\d{1,4})(?:\s*[-–]\s*(\d{1,4}))?")
_TIMES = re.compile(r"(\d{1,2})[:.](\d\d)\s*(?:to|until|-|–)\s*(\d{1,2})[:.](\d\d)")
_PIECES = re.compile(r"(\d{1,5})\s+([^\W\d]+)")
_LESS = re.compile(r"less\s+(.+)")
_DAY = re.compile(r"(?:on\s+)?(\d{4}-\d\d-\d\d)|(today)|(yesterday)")
_LONGEST = timedelta(hours=16)  # a longer stretch at the table is a slip of the pen


class Paced(msgspec.Struct, frozen=True):
    """A step as the run sheet numbers it (from 1): its pieces, what one is called, and one piece's pace."""

    key: str
    pieces: int
    piece: str
    pace_s: float
    waits_ms: int | None = None


class _Line(msgspec.Struct):
    numbers: list[int] = []
    times: tuple[int, int, int, int] | None = None
    pieces: tuple[int, str] | None = None
    less_ms: int = 0
    day: date | None = None


def enter(
    text: str, steps: Sequence[Paced], record: Record, now: Reading, offset_at: Callable[[int], int] | None = None
) -> list[dict[str, Any]]:
    """Read one line of a run sheet as the members of events, the time shared by pace, exact to the ms.

    text: step numbers, times and, when wanted, pieces, `less 10 min`, a day (default: today), by commas.
    offset_at: the maker's offset in minutes at a wall ms (default: as now). Raises WrongUse.
    """
    line = _read(text, now)
    if not line.numbers or line.times is None:
        raise WrongUse(f"“{text.strip()}”: write the steps' numbers and the times: 12-18, 10:00 to 11:20, 9 blocks.")
    chosen = [_step(number, steps) for number in line.numbers]
    counts = [_count(one, line.pieces, record) for one in chosen]
    if line.pieces and not any(_named(one, line.pieces[1]) for one in chosen):
        raise WrongUse(f"None of these steps counts {line.pieces[1]}; they count {_nouns(chosen)}.")
    start, end = _stretch(line, now, offset_at or (lambda _: now.offset))
    if line.less_ms >= end - start:
        raise WrongUse("More is taken off than the time there is.")
    weights = [max(one.pace_s, 0.001) * max(count, 1) for one, count in zip(chosen, counts, strict=True)]
    marks, off = _shared(end - start, weights), _shared(line.less_ms, weights)
    return [
        _members(one, count, record, (start + marks[i], start + marks[i + 1], off[i + 1] - off[i]))
        for i, (one, count) in enumerate(zip(chosen, counts, strict=True))
    ]


def _read(text: str, now: Reading) -> _Line:
    line = _Line()
    for part in filter(None, (part.strip().lower() for part in text.split(","))):
        if found := _STEPS.fullmatch(part):
            first, last = int(found[1]), int(found[2] or found[1])
            if last < first:
                raise WrongUse(f"{part}: the first step comes first: {last}-{first}.")
            line.numbers += range(first, last + 1)
        elif found := _TIMES.fullmatch(part):
            line.times = (int(found[1]), int(found[2]), int(found[3]), int(found[4]))
        elif found := _DAY.fullmatch(part):
            line.day = _day(found, now)
        elif found := _LESS.fullmatch(part):
            line.less_ms += length_ms(found[1])
        elif found := _PIECES.fullmatch(part):
            line.pieces = (int(found[1]), found[2])
        else:
            raise WrongUse(f"“{part}” is not understood: write 12-18, 10:00 to 11:20, 9 blocks, less 10 min.")
    if len(set(line.numbers)) < len(line.numbers):
        raise WrongUse("A step is named twice.")
    return line


def _day(found: re.Match[str], now: Reading) -> date:
    today = local(now.wall, now.offset).date()
    if not found[1]:
        return today if found[2] else today - timedelta(days=1)
    try:
        return date.fromisoformat(found[1])
    except ValueError:
        raise WrongUse(f"{found[1]} is no day of the calendar.") from None


def _step(number: int, steps: Sequence[Paced]) -> Paced:
    if not 1 <= number <= len(steps):
        raise WrongUse(f"There is no step {number}: the sheet goes from 1 to {len(steps)}.")
    return steps[number - 1]


def _named(step: Paced, noun: str) -> bool:
    return noun in {step.piece, f"{step.piece}s", f"{step.piece}es"}


def _nouns(steps: list[Paced]) -> str:
    return ", ".join(dict.fromkeys(f"{step.piece}s" for step in steps))


def _count(step: Paced, said: tuple[int, str] | None, record: Record) -> int:
    """Pieces this line finished of a step: those named, else all that are left."""
    done = record.step(step.key)
    left = max(step.pieces - done.pieces_done, 0)
    if done.state == "done" or (not left and step.pieces):
        raise WrongUse(f"{step.key} is done already; void it first if it was entered by mistake.")
    if said is None or not _named(step, said[1]):
        return left
    if not 1 <= said[0] <= left:
        raise WrongUse(f"{step.key} has {left} {step.piece}s left, not {said[0]}.")
    return said[0]


def _stretch(line: _Line, now: Reading, offset_at: Callable[[int], int]) -> tuple[int, int]:
    assert line.times is not None
    day = line.day or local(now.wall, now.offset).date()
    hour, minute, to_hour, to_minute = line.times
    try:
        start = datetime(day.year, day.month, day.day, hour, minute)  # noqa: DTZ001 - the maker's own clock
        end = datetime(day.year, day.month, day.day, to_hour, to_minute)  # noqa: DTZ001
    except ValueError:
        raise WrongUse("Hours go to 23 and minutes to 59.") from None
    if end <= start:
        end += timedelta(days=1)  # past midnight
    if end - start > _LONGEST:
        raise WrongUse(f"{start:%H:%M} to {end:%H:%M} is {(end - start).seconds // 3600} hours: is one of them a slip?")
    walls = [wall_of(at, offset_at(wall_of(at, now.offset))) for at in (start, end)]
    if walls[1] > now.wall:
        raise WrongUse(f"{end:%H:%M} is still to come; for another day add it: yesterday, or 2026-03-01.")
    return walls[0], walls[1]


def _shared(whole: int, weights: list[float]) -> list[int]:
    """Cut a length by weights: len + 1 marks from 0 to the whole, in whole ms, nothing lost."""
    marks, so_far, total = [0], 0.0, sum(weights)
    for weight in weights[:-1]:
        so_far += weight
        marks.append(min(round(whole * so_far / total), whole))
    return [*marks, whole]


def _members(step: Paced, count: int, record: Record, time: tuple[int, int, int]) -> dict[str, Any]:
    start, end, less = time
    finished = record.step(step.key).pieces_done + count >= step.pieces
    typed: dict[str, Any] = {"from": stamp(start), "to": stamp(end)}
    if less:
        typed["less"] = less
    members: dict[str, Any] = {"what": "step_done" if finished else "piece_done", "step": step.key, "by_hand": True}
    if count:
        members["count"] = count
    if finished and step.waits_ms:
        members["ms"] = step.waits_ms
    return {**members, "set": typed}
