"""Times, sizes and notes typed in from paper: `steps 12-18, 10:00 to 11:20, 9 blocks`."""

import re
from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

import msgspec

from guide.errors import WrongUse
from guide.read.spoken import counted, listed, plural
from guide.read.units import BadLength, length_ms, parse_length
from guide.record.clock import LONGEST_MS, OLDEST_MS, iso, local, wall_of
from guide.record.model import Reading, Record

_STEPS = re.compile(r"(?P<word>steps?\s+)?(?P<first>[0-9]{1,4})(?:\s*[-–]\s*(?P<last>[0-9]{1,4}))?")
_TIMES = re.compile(r"([0-9]{1,2})[:.]([0-9][0-9])\s*(?:to|until|-|–)\s*([0-9]{1,2})[:.]([0-9][0-9])")
_PIECES = re.compile(r"([0-9]{1,5})\s+([^\W\d]+)")
_COUNTED = re.compile(
    r"(?i)\b([0-9]{1,5})\s+(?:[^\W\d]+\s+)?out\s*,?\s*(?:and\s+)?([0-9]{1,5})\s+(?:back\s+)?in(?=\s*(?:,|$))"
)
_BLANK = re.compile(r"…|\.{2,}|_{2,}")
_LESS = re.compile(r"less\s+(.+)")
_DAY = re.compile(r"(?:on\s+)?([0-9]{4}-[0-9][0-9]-[0-9][0-9])|(today)|(yesterday)")
_NOTE = re.compile(r"(?:,\s*|^\s*)note\s*:\s*|\s+[-–—]\s+(?=[^\W\d])", re.IGNORECASE)
_PHOTO = re.compile(r"photo\s*:\s*(\S.*)", re.IGNORECASE)
_SIZE = re.compile(r"(?:([^\W\d][^0-9:]*?)\s*:?\s*)?([0-9½¼¾⅛⅜⅝⅞].*)")
_DECIMAL = re.compile(r"([0-9]),([0-9]+\s*(?:mm|cm|m|in|inch|inches|ft|yd)\b)", re.IGNORECASE)
_FORM = "steps 12-18, 10:00 to 11:20, 9 blocks, less 10 min, 20 1/4 in, note: words"
_LATELY = timedelta(days=45)
_LONGEST = timedelta(milliseconds=LONGEST_MS)


class Paced(msgspec.Struct, frozen=True):
    """A step as the run sheet numbers it (from 1): its pieces, what one is called, and one piece's pace.

    measure: the size it measures, once for each of `makes`; "" when it measures none. count_in: what must be back.
    """

    key: str
    pieces: int
    piece: str
    pace_s: float
    waits_ms: int | None = None
    measure: str = ""
    makes: int = 1
    count_in: str = ""


class _Line(msgspec.Struct):
    numbers: list[int] = []
    like_a_day: str = ""  # a run of steps, not called steps, that could be meant as a month and a day
    times: tuple[int, int, int, int] | None = None
    pieces: tuple[int, str] | None = None
    counted: tuple[int, int] | None = None  # out, and back in
    less_ms: int = 0
    day: date | None = None
    sizes: list[tuple[str, float]] = []  # what it was called on the sheet ("": not said), mm
    note: str = ""
    photos: list[str] = []  # names of files


def tells_times(text: str, now: Reading) -> bool:
    """Whether a line tells when something was worked, not only a size, a note or a photo. Raises WrongUse."""
    return _read(text, now).times is not None


def enter(
    text: str, steps: Sequence[Paced], record: Record, now: Reading, offset_at: Callable[[int], int] | None = None
) -> list[dict[str, Any]]:
    """Read one line of a run sheet as the members of events, the time shared by pace, exact to the ms.

    text: step numbers (`steps 12-18`; without the word where that is no day of late), times and, when wanted,
    pieces, `less 10 min`, a day (default: today), sizes with their unit (`panel width 20 1/4 in`), by commas;
    a photo (`photo: front.jpg`), last a note (`note: frays fast`). Pieces hold for every step of the line that has
    as many left; of the others what is left was done. What runs on its own between two steps is left out of the time
    that is shared, as far as it has room beside the steps at their paces. A step that counts something in wants both
    numbers, alike (`24 out, 24 in`). A size, a note or a photo alone needs no times.
    offset_at: the maker's offset in minutes at a wall ms (default: as now). Raises WrongUse.
    """
    line = _read(text, now)
    try:
        return _members_of(line, steps, record, now, offset_at or (lambda _: now.offset))
    except WrongUse as bad:
        if not line.like_a_day:
            raise
        raise WrongUse(f"{bad} {_as_steps(line.like_a_day)}") from None


def _members_of(
    line: _Line, steps: Sequence[Paced], record: Record, now: Reading, offset_at: Callable[[int], int]
) -> list[dict[str, Any]]:
    """Turn a line into the members of events.

    Raises WrongUse for what lacks its steps or times, or does not fit them.
    """
    # All is looked at before anything is made, so that of a line either all is written or nothing.
    told = line.sizes or line.note or line.photos
    if line.times is None and told and not (line.pieces or line.less_ms or line.day):
        return _forgotten(line, steps, record)
    if not line.numbers or line.times is None:
        raise WrongUse(f"write the steps' numbers and the times: {_FORM}.")
    chosen = [_step(number, steps) for number in line.numbers]
    counts = [_count(one, line.pieces, record) for one in chosen]
    if line.pieces and not any(_named(one, line.pieces[1]) for one in chosen):
        nouns = ", ".join(dict.fromkeys(plural(one.piece) for one in chosen))
        raise WrongUse(f"None of these steps counts {line.pieces[1]}; they count {nouns}.")
    _sane_day(line.day, record, now)
    start, end = _stretch(line, now, offset_at)
    if line.less_ms >= end - start:
        raise WrongUse("More is taken off than the time there is.")
    weights = [max(one.pace_s, 0.001) * max(count, 1) for one, count in zip(chosen, counts, strict=True)]
    finished = [_finishes(one, count, record) for one, count in zip(chosen, counts, strict=True)]
    waits = [one.waits_ms or 0 if done else 0 for one, done in zip(chosen, finished, strict=True)][:-1]
    # What runs on its own between two steps fills what is left of the line beside the hands at their pace; a time taken
    # off is meant for it first.
    room = end - start - line.less_ms - round(sum(weights) * 1000)
    waited = max(min(sum(waits) - line.less_ms, room), 0)
    marks, off = _shared(end - start - waited, weights), _shared(line.less_ms, weights)
    gaps = _shared(waited, waits) if waited else [0] * len(chosen)
    sizes = _sizes(line.sizes, chosen)
    _counted_in(line.counted, [one for one, done in zip(chosen, finished, strict=True) if done])

    def at(mark: int) -> str:
        return iso(start + mark, offset_at(start + mark))

    out: list[dict[str, Any]] = []
    for i, (one, count) in enumerate(zip(chosen, counts, strict=True)):
        begun, ended = at(marks[i] + gaps[i]), at(marks[i + 1] + gaps[i])
        typed = {"step": one.key, "by_hand": True, "set": {"to": ended}}
        if one.key in sizes:
            out.append(_measured(one, sizes[one.key], record) | typed)
        if i == 0:
            out += [said | typed for said in _remarks(line)]
        out.append(_members(one, count, record, (begun, ended, off[i + 1] - off[i]), line.counted))
    return out


def _forgotten(line: _Line, steps: Sequence[Paced], record: Record) -> list[dict[str, Any]]:
    """A size, a note or a photo that was not written when it was due; nobody says when it was."""
    chosen = [_step(number, steps) for number in line.numbers]
    measuring = chosen or list({one.measure: one for one in reversed(steps)}.values())
    sizes = _sizes(line.sizes, measuring)
    out = [_measured(one, sizes[one.key], record) for one in measuring if one.key in sizes]
    where = {"step": chosen[0].key} if chosen else {}
    return [one | {"by_hand": True} for one in (*out, *(said | where for said in _remarks(line)))]


def _measured(step: Paced, mm: float, record: Record) -> dict[str, Any]:
    make = {"make": _make(step, record)} if step.makes > 1 else {}
    return {"what": "measured", "step": step.key, "name": step.measure, "mm": mm, **make}


def _remarks(line: _Line) -> list[dict[str, Any]]:
    noted = [{"what": "noted", "text": line.note}] if line.note else []
    return [*({"what": "photo", "name": name} for name in line.photos), *noted]


def _read(text: str, now: Reading) -> _Line:
    """Read what a line says, part by part. Raises WrongUse for a part that is nothing, or said twice."""
    line, runs = _Line(), 0
    told, *notes = _NOTE.split(text, maxsplit=1)
    line.note = " ".join(notes).strip()
    for out, back in _COUNTED.findall(told):
        _once(line.counted, "counts")
        line.counted = (int(out), int(back))
    told = _COUNTED.sub("", told)
    for written in filter(None, (part.strip() for part in _DECIMAL.sub(r"\1.\2", told).split(","))):
        part = written.lower()
        # The order decides what a part is taken for: a photo's name may look like anything, a size like step numbers,
        # and a run of steps like a day; whatever is left over is refused, never dropped.
        if found := _PHOTO.fullmatch(written):
            line.photos.append(found[1])
        elif _BLANK.search(part):
            raise WrongUse(f"“{part}” is left open for your own times: write when you began and ended, 10:00 to 11:20.")
        elif size := _size(part):
            line.sizes.append(size)
        elif found := _STEPS.fullmatch(part):
            first, last = int(found["first"]), int(found["last"] or found["first"])
            if last < first:
                raise WrongUse(f"{part}: the first step comes first: {last}-{first}.")
            if found["last"] and not found["word"] and _near_day(first, last, now):
                line.like_a_day = part
            runs += 1
            line.numbers += range(first, last + 1)
        elif found := _TIMES.fullmatch(part):
            _once(line.times, "times")
            line.times = (int(found[1]), int(found[2]), int(found[3]), int(found[4]))
        elif found := _DAY.fullmatch(part):
            _once(line.day, "days")
            line.day = _day(found, now)
        elif found := _LESS.fullmatch(part):
            line.less_ms += length_ms(found[1])
        elif found := _PIECES.fullmatch(part):
            _once(line.pieces, "pieces")
            line.pieces = (int(found[1]), found[2])
        else:
            raise WrongUse(f"“{part}” is not understood: write {_FORM}.")
    if line.day is not None:
        line.like_a_day = ""
    if line.like_a_day and runs > 1:
        raise WrongUse(_as_steps(line.like_a_day))
    if len(set(line.numbers)) < len(line.numbers):
        raise WrongUse("A step is named twice.")
    return line


def _once(before: object, what: str) -> None:
    """Refuse what the line has said already: one of the two would be dropped. Raises WrongUse."""
    if before is not None:
        raise WrongUse(f"There are two {what} in it: write each in a line of its own.")


def _near_day(one: int, other: int, now: Reading) -> bool:
    """Whether two numbers could be meant as a day of the last weeks, month first or day first."""
    today = local(now.wall, now.offset).date()
    for month, day in ((one, other), (other, one)):
        for year in (today.year, today.year - 1):
            try:
                ago = today - date(year, month, day)
            except ValueError:
                continue
            if timedelta() <= ago <= _LATELY:
                return True
    return False


def _as_steps(run: str) -> str:
    """Say how a run of steps is told from a day."""
    first, last = re.split(r"\s*[-–]\s*", run)
    return f"({run} was read as steps {first} to {last}: write steps {run} for them, and a day in full, as 2026-03-01.)"


def _size(part: str) -> tuple[str, float] | None:
    """Read `20 1/4 in` or `panel width: 20 1/4 in`; None when it is no size."""
    found = _SIZE.fullmatch(part)
    if found is None:
        return None
    try:
        return found[1] or "", parse_length(found[2])
    except BadLength:
        return None


def _sizes(said: list[tuple[str, float]], chosen: list[Paced]) -> dict[str, float]:
    """Give each size to the step that measures it: by name, else to the only one there is.

    Raises WrongUse for one that none or several measure.
    """
    out: dict[str, float] = {}
    measuring = [one for one in chosen if one.measure]
    for words, mm in said:
        fits = [one for one in measuring if words in {"", "measure", "measured"} or _called(one) == words]
        if not fits:
            names = listed([_called(one) for one in measuring]) or "nothing"
            raise WrongUse(f"These steps measure {names}{f', not {words}' if words else ''}.")
        if len(fits) > 1:
            raise WrongUse(f"Which size is it? Write {' or '.join(f'{_called(one)} 20 in' for one in fits)}.")
        if fits[0].key in out or mm <= 0:
            raise WrongUse(f"{_called(fits[0])} is said twice." if mm > 0 else "A size is more than nothing.")
        out[fits[0].key] = round(mm, 6)
    return out


def _called(step: Paced) -> str:
    return step.measure.replace("_", " ")


def _make(step: Paced, record: Record) -> int:
    """The first make whose size is not written yet, else the last."""
    known = {one.make or 1 for one in record.measures.get(step.measure, [])}
    return next((make for make in range(1, step.makes + 1) if make not in known), step.makes)


def _day(found: re.Match[str], now: Reading) -> date:
    """Read a day. Raises WrongUse for none of the calendar."""
    today = local(now.wall, now.offset).date()
    if not found[1]:
        return today if found[2] else today - timedelta(days=1)
    try:
        return date.fromisoformat(found[1])
    except ValueError:
        raise WrongUse(f"{found[1]} is no day of the calendar.") from None


def _sane_day(day: date | None, record: Record, now: Reading) -> None:
    """Refuse a day to come, and one of more than a year before the session was opened. Raises WrongUse."""
    if day is None:
        return
    if day > local(now.wall, now.offset).date():
        raise WrongUse(f"{day} is still to come: write yesterday, or the day like 2026-03-01.")
    opened = record.sittings[0].start if record.sittings else now.wall
    if day < local(min(opened, now.wall) - OLDEST_MS, now.offset).date():
        raise WrongUse(
            f"{day} is more than a year before this session was opened: is the year a slip? "
            "Write yesterday, or the day like 2026-03-01."
        )


def _step(number: int, steps: Sequence[Paced]) -> Paced:
    """Find a step by its number. Raises WrongUse for one that is not on the sheet."""
    if not 1 <= number <= len(steps):
        raise WrongUse(f"There is no step {number}: the sheet goes from 1 to {len(steps)}.")
    return steps[number - 1]


def _named(step: Paced, noun: str) -> bool:
    return noun in {step.piece, plural(step.piece)}


def _count(step: Paced, said: tuple[int, str] | None, record: Record) -> int:
    """Pieces this line finished of a step: as many as said when it has them, else all that are left.

    Raises WrongUse for more, and for a step that is done.
    """
    done = record.step(step.key)
    left = max(step.pieces - done.pieces_done, 0)
    if done.state == "done" or (not left and step.pieces):
        raise WrongUse(f"{step.key} is done already; void it first if it was entered by mistake.")
    if said is None:
        return left
    if not _named(step, said[1]):
        return min(said[0], left)
    if not 1 <= said[0] <= left:
        raise WrongUse(f"{step.key} has {counted(left, step.piece)} left, not {said[0]}.")
    return said[0]


def _stretch(line: _Line, now: Reading, offset_at: Callable[[int], int]) -> tuple[int, int]:
    """Give the two ends of the times, wall ms. Raises WrongUse for what is no time, is to come or is too long."""
    assert line.times is not None
    day = line.day or local(now.wall, now.offset).date()
    hour, minute, to_hour, to_minute = line.times
    try:
        start = datetime(day.year, day.month, day.day, hour, minute)  # noqa: DTZ001 - the maker's own clock
        end = datetime(day.year, day.month, day.day, to_hour, to_minute)  # noqa: DTZ001
    except ValueError:
        raise WrongUse("Hours go to 23 and minutes to 59.") from None
    if end <= start and day < date.max:
        end += timedelta(days=1)  # past midnight
    if end - start > _LONGEST:
        raise WrongUse(f"{start:%H:%M} to {end:%H:%M} is {(end - start).seconds // 3600} hours: is one of them a slip?")
    try:
        walls = [wall_of(at, offset_at(wall_of(at, now.offset))) for at in (start, end)]
    except (ValueError, OverflowError):
        raise WrongUse(f"{day.year} is no year of a session: is it a slip?") from None
    if walls[1] > now.wall:
        raise WrongUse(f"{end:%H:%M} is still to come; for another day add it: yesterday, or 2026-03-01.")
    return walls[0], walls[1]


def _shared(whole: int, weights: Sequence[float]) -> list[int]:
    """Cut a length by weights: len + 1 marks from 0 to the whole, in whole ms, nothing lost."""
    marks, so_far, total = [0], 0.0, sum(weights)
    for weight in weights[:-1]:
        so_far += weight
        marks.append(min(round(whole * so_far / total), whole))
    return [*marks, whole]


def _finishes(step: Paced, count: int, record: Record) -> bool:
    return record.step(step.key).pieces_done + count >= step.pieces


def _counted_in(counted: tuple[int, int] | None, finished: list[Paced]) -> None:
    """Refuse to finish a step that counts something in without both its numbers, and with one short.

    Raises WrongUse.
    """
    what = next((one.count_in for one in finished if one.count_in), "")
    if not what and counted is not None:
        raise WrongUse("None of these steps is finished by counting something in: leave out and in away.")
    if what and counted is None:
        raise WrongUse(f"How many {what} were counted out, and how many are back in? Write both, as 24 out, 24 in.")
    if counted is not None and counted[0] != counted[1]:
        out, back = counted
        said = f"{out - back} short" if out > back else f"{back - out} more than went out"
        raise WrongUse(f"{said}: look through the piece and over the floor, and count again.")


def _members(
    step: Paced, count: int, record: Record, time: tuple[str, str, int], counted: tuple[int, int] | None
) -> dict[str, Any]:
    start, end, less = time
    more: dict[str, Any] = {"count": count}
    if finished := _finishes(step, count, record):
        more |= {"ms": step.waits_ms, "text": "{} out, {} in".format(*counted) if step.count_in and counted else ""}
    return {
        "what": "step_done" if finished else "piece_done",
        "step": step.key,
        "by_hand": True,
        **{name: value for name, value in more.items() if value},
        "set": {"from": start, "to": end} | ({"less": less} if less else {}),
    }
