"""Times as a maker says them: `10:05`, `20 minutes ago`, `-5 min`, `1 h 20`."""

import re
from datetime import date, datetime, timedelta

from guide.errors import WrongUse
from guide.record.clock import local, wall_ms
from guide.record.model import Reading

DAY_MS = 86_400_000
LONGEST_MS = 16 * 3_600_000  # a longer stretch at the table is a slip of the pen
OLDEST_MS = 366 * DAY_MS  # before the session was opened: paper of years ago belongs to another session
_CLOCK = re.compile(r"(?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2})[:.](\d\d)(?:[:.](\d\d))?", re.ASCII)
_AGO = re.compile(r"(.+?)\s+ago")
_SHIFT = re.compile(r"([+\-−])\s*(.+)")
_LENGTH = re.compile(
    r"(?:(\d+(?:\.\d+)?)\s*h(?:ours?|rs?)?)?\s*(?:(\d+(?:\.\d+)?)\s*(?:m|min|mins|minutes?|$))?\s*"
    r"(?:(\d+(?:\.\d+)?)\s*s(?:ec|ecs|econds?)?)?",
    re.ASCII,
)
_MOST_MS = 10_000 * 3_600_000  # more than a year of hours: a slip of the finger


def day_of(wall: int, offset: int) -> int:
    """Give the maker's own calendar day of a moment (wall ms) as an ordinal, counted from 1970."""
    return (wall + offset * 60_000) // DAY_MS


def length_ms(text: str) -> int:
    """Read a length of time: `7`, `7 min`, `1 h 20`, `90 s`; a bare number is minutes. WrongUse otherwise."""
    said = text.strip().lower()
    found = _LENGTH.fullmatch(said)
    if not said or not found or not any(found.groups()):
        raise WrongUse(f"“{text.strip()}” is no length of time: write 7 min, 1 h 20 or 90 s.")
    hours, minutes, seconds = (float(part or 0) for part in found.groups())
    ms = (hours * 3600 + minutes * 60 + seconds) * 1000
    if ms > _MOST_MS:
        raise WrongUse(f"“{text.strip()}” is more than a year: write 7 min, 1 h 20 or 90 s.")
    return round(ms)


def moment_ms(text: str, *, near: int, now: Reading, offset: int) -> int:
    """Read a moment as wall ms.

    near: what stands now; a time of day means the one closest to it, `-5 min` is counted from it.
    offset: of the maker's clock then. WrongUse, with what to write, for anything else.
    """
    said = text.strip()
    if ago := _AGO.fullmatch(said):
        return now.wall - length_ms(ago[1])
    if shift := _SHIFT.fullmatch(said):
        return near + length_ms(shift[2]) * (1 if shift[1] == "+" else -1)
    found = _CLOCK.fullmatch(said)
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
