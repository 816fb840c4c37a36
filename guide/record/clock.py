"""What the clocks say, what lies between two readings of them, moments as a maker says them, and shown times.

Shown alone a time is rounded to the nearest whole unit, halves up; in a table to its total. The one place that reads
the hour; everything else is handed a `Reading`. The steady clocks are in `guide/system.py`.
"""

import re
import time
from collections.abc import Hashable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import Protocol, TypeVar

import msgspec

from guide import system
from guide.errors import WrongUse
from guide.read.units import length_ms
from guide.record.model import Reading

Name = TypeVar("Name", bound=Hashable)

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)
YEARS = frozenset(range(1000, 3000))  # of a session: beyond them a time beside a date may be none
SHORT_MS = 90_000  # a time below is said in seconds: 80 s said as 1 min would be a quarter off
SLACK_MS = 1000  # clocks are read one after another and set softly: less than this is no sleep and no jump


class Clock(Protocol):
    """Whatever gives clock readings."""

    def read(self) -> Reading:
        """Read all clocks at once."""


class LocalClock(Clock, Protocol):
    """A clock that also knows the zone it hangs in."""

    def offset_at(self, wall: int) -> int:
        """Give local time minus UTC at a moment, minutes: summer time and winter time differ."""


class Span(msgspec.Struct, frozen=True):
    """What lies between two readings, in whole ms.

    counted_ms: time the computer was awake (when not the same boot: the wall clock's, not verified).
    step_ms: how far the wall clock was set in between, forward positive; None when it cannot be known.
    """

    counted_ms: int
    asleep_ms: int
    step_ms: int | None
    same_boot: bool


def between(a: Reading, b: Reading) -> Span:
    """Tell awake time, sleep and a set clock apart.

    Two readings belong to one boot when their boot names are the same (or both unknown, and the clocks
    agree) and no clock that cannot be set ran backwards.
    """
    wall, total, awake = b.wall - a.wall, b.total - a.total, b.awake - a.awake
    same = a.boot == b.boot and awake >= 0 and total >= 0
    # Without a boot's name only the clocks can tell: over a restart the wall clock runs on and the steady one does not.
    if same and not a.boot:
        same = abs(wall - total) < 5 * SLACK_MS
    if not same:
        return Span(max(0, wall), 0, None, same_boot=False)
    asleep, step = total - awake, wall - total
    return Span(
        awake,
        asleep if asleep >= SLACK_MS else 0,
        step if abs(step) >= SLACK_MS else 0,
        same_boot=True,
    )


def stamp(wall: int) -> str:
    """Write wall ms as `2026-03-01T09:30:00.120Z`."""
    days, ms = divmod(wall, 86_400_000)
    clock = (ms // 3_600_000, ms // 60_000 % 60, ms // 1000 % 60, ms % 1000)
    return _date(days) + "T%02d:%02d:%02d.%03dZ" % clock  # noqa: UP031 - half the time of an f-string, for every record


@lru_cache(maxsize=4)
def _date(days: int) -> str:
    return (_EPOCH + timedelta(days)).date().isoformat()


def wall_ms(at: str) -> int:
    """Read a stamp (any ISO 8601 moment; without a zone it is UTC) as ms since 1970.

    ValueError when it is none, or of none of our YEARS.
    """
    moment = datetime.fromisoformat(at)
    if moment.year not in YEARS:
        raise ValueError(f"{moment.year} is no year of a session")
    try:
        return (moment - _EPOCH) // _MS
    except TypeError:  # no zone
        return (moment.replace(tzinfo=UTC) - _EPOCH) // _MS


def offset_of(at: object, otherwise: int) -> int:
    """Read the offset of a moment written with one, minutes; one in UTC (…Z), or none at all, says nothing of it."""
    try:
        there = datetime.fromisoformat(str(at)).utcoffset()
    except ValueError:
        return otherwise
    return otherwise if there is None or str(at).endswith("Z") else there // timedelta(minutes=1)


def local(wall: int, offset: int) -> datetime:
    """Give the moment as the maker's clock showed it: a time without zone, to be shown only."""
    return (_EPOCH + (wall + offset * 60_000) * _MS).replace(tzinfo=None)


def passed_ms(since: Reading, now: Reading) -> int:
    """Time between two readings: by the clock that sleep does not stop, across a boot by the wall clock."""
    span = between(since, now)
    return span.counted_ms + span.asleep_ms


class SystemClock:
    """The computer's own clocks."""

    def __init__(self) -> None:
        self._boot = system.boot()

    def read(self) -> Reading:
        """Read all clocks at once: wall, one that stops in sleep, one that does not."""
        wall = time.time_ns() // 1_000_000
        awake, total = system.steady_ms()
        return Reading(wall=wall, offset=self.offset_at(wall), awake=awake, total=total, boot=self._boot)

    def offset_at(self, wall: int) -> int:
        """Give the computer's zone at a moment: local time minus UTC, minutes."""
        try:
            return (time.localtime(wall // 1000).tm_gmtoff or 0) // 60
        except (OSError, OverflowError):  # a moment that a system knows no zone for, as Windows before 1970
            return -time.timezone // 60


# How a time is shown: a length as it is said, a counted one to the second, a time of day; and its day.


def time_text(seconds: float, *, in_minutes: bool = False) -> str:
    """Say a length of time: 40 s, 12 min, 1 h 05; in minutes however short it is: under 1 min."""
    if not in_minutes and round(seconds * 1000) < SHORT_MS:
        return f"{nearest(seconds)} s"
    hours, rest = divmod(nearest(seconds, 60), 60)
    return f"{hours} h {rest:02d}" if hours else f"{rest or 'under 1'} min"


def exact_text(seconds: float, *, tenths: bool = False) -> str:
    """Say a counted time to the second: 0:41, 12:36, 1:02:05; with `tenths` what is under ten seconds as 4.2 s."""
    if tenths and seconds < 10:
        return f"{seconds:.1f} s"
    minutes, left = divmod(nearest(seconds), 60)
    hours, rest = divmod(minutes, 60)
    return f"{hours}:{rest:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def clock_face(wall: int, offset: int) -> str:
    """Give the time as the maker's clock showed it: `10:41`."""
    return f"{local(wall, offset):%H:%M}"


def day_text(day: date) -> str:
    """Say a day: 1 March 2026."""
    return f"{day.day} {day:%B %Y}"


def iso(wall: int, offset: int) -> str:
    """Write a moment as the maker's clock showed it, with its offset: 2026-03-01T10:30:00.120+01:00."""
    hours, minutes = divmod(abs(offset), 60)
    there = stamp(wall + offset * 60_000).removesuffix("Z")
    return f"{there}{'-' if offset < 0 else '+'}{hours:02d}:{minutes:02d}"


def nearest(seconds: float, unit_s: int = 1) -> int:
    """Give a time in whole seconds or, with a unit of 60, minutes; from its whole ms, so that equal sums stay equal."""
    ms, unit_ms = round(seconds * 1000), unit_s * 1000
    return (2 * ms + unit_ms) // (2 * unit_ms)


def shared_out(parts: Sequence[int], unit: int, total: int | None = None) -> list[int]:
    """Round parts to whole units that sum to their rounded total, or to the `total` of units that is shown for them.

    By largest remainders (Hamilton's method of apportionment, 1792): every part down, then those that lost most get
    one each until the total is met; the earlier of equals first.
    """
    if not parts:
        return []
    whole = (2 * sum(parts) + unit) // (2 * unit) if total is None else total
    each, odd = divmod(whole - sum(part // unit for part in parts), len(parts))
    first = sorted(range(len(parts)), key=lambda i: -(parts[i] % unit))[:odd]
    return [part // unit + each + (i in first) for i, part in enumerate(parts)]


def in_proportion(ms: int, by: Mapping[Name, int]) -> dict[Name, int]:
    """Share ms in the proportion of weights, nothing lost; all to the last where there are no weights."""
    whole, so_far, given = sum(by.values()), 0, 0
    out: dict[Name, int] = {}
    for place, (name, weight) in enumerate(by.items(), 1):
        so_far += weight
        upto = ms * so_far // whole if whole else ms * (place == len(by))
        if upto > given:
            out[name], given = upto - given, upto
    return out


DAY_MS = 86_400_000
LONGEST_MS = 16 * 3_600_000  # a longer stretch at the table is a slip of the pen
OLDEST_MS = 366 * DAY_MS  # before the session was opened: paper of years ago belongs to another session
_CLOCK = r"(?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2})[:.](\d\d)(?:[:.](\d\d))?"  # made ready when one is read: few are


def day_of(wall: int, offset: int) -> int:
    """Give the maker's own calendar day of a moment (wall ms) as an ordinal, counted from 1970."""
    return (wall + offset * 60_000) // DAY_MS


def moment_ms(text: str, *, near: int, now: Reading, offset: int) -> int:
    """Read a moment as wall ms.

    near: what stands now; a time of day means the one closest to it, `-5 min` is counted from it.
    offset: of the maker's clock then. WrongUse, with what to write, for anything else.
    """
    said = text.strip()
    if ago := re.fullmatch(r"(.+?)\s+ago", said):
        return now.wall - length_ms(ago[1])
    if shift := re.fullmatch(r"([+\-−])\s*(.+)", said):
        return near + length_ms(shift[2]) * (1 if shift[1] == "+" else -1)
    found = re.fullmatch(_CLOCK, said, re.ASCII)
    if not found:
        raise WrongUse(f"“{said}” is no time: write 10:05, 2026-03-01 10:05, 20 minutes ago or -5 min.")
    day, hour, minute, second = found.groups()
    try:
        that_day = date.fromisoformat(day) if day else local(near, offset).date()
        at = datetime(that_day.year, that_day.month, that_day.day, int(hour), int(minute), int(second or 0))  # noqa: DTZ001
        wall = wall_of(at, offset)
    except (ValueError, OverflowError):
        raise WrongUse(f"“{said}” is no time of a day.") from None
    if wall < 0:
        raise WrongUse(f"“{said}” lies before 1970: is the year a slip? Write it like 2026-03-01 10:05.")
    return wall if day else min((wall - DAY_MS, wall, wall + DAY_MS), key=lambda one: abs(one - near))


def wall_of(at: datetime, offset: int) -> int:
    """Give the wall ms of a time on the maker's clock (without zone)."""
    return wall_ms(f"{at - timedelta(minutes=offset):%Y-%m-%dT%H:%M:%S}Z")


def week_of(day: str) -> str:
    """Name the week that a day, 2026-03-01, lies in: 2026-W09, from Monday (ISO 8601)."""
    year, week, _ = date.fromisoformat(day).isocalendar()
    return f"{year}-W{week:02d}"


def weeks_between(first: str, last: str) -> list[str]:
    """Name all weeks from one to another, those without work too."""
    out, monday = [first], date.fromisoformat(f"{first}-1")
    while out[-1] < last:
        monday += timedelta(weeks=1)
        out.append(week_of(f"{monday}"))
    return out
