"""Times as people write them: `50 min`, `1 h 20`, `1:30`, `10:05`; and paces, `30 s per piece + 5 min per m`.

What a file says has one form and is refused in others (ValueError, which its reader gives a place); what is typed at
the machine or on the command line is read as it is said (WrongUse).
"""

import re

from guide.errors import WrongUse
from guide.read.model import PaceTerm

_TIMES = {
    "s": 1.0, "sec": 1.0, "seconds": 1.0, "min": 60.0, "minutes": 60.0,
    "h": 3600.0, "hour": 3600.0, "hours": 3600.0,
}  # fmt: skip
_DURATION = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)\s*(s|sec|seconds|min|minutes|h|hour|hours)")
_LENGTH = re.compile(
    r"(?:(\d+(?:\.\d+)?)\s*h(?:ours?|rs?)?)?\s*(?:(\d+(?:\.\d+)?)\s*(?:m|min|mins|minutes?|$))?\s*"
    r"(?:(\d+(?:\.\d+)?)\s*s(?:ec|ecs|econds?)?)?",
    re.ASCII,
)
_MOST_MS = 10_000 * 3_600_000  # more than a year of hours: a slip of the finger
_MINUTES = re.compile(r"(\d{1,4})(?:[:.](\d{1,2}))?(?:\s*min)?", re.ASCII)
_TERM = re.compile(r"(?P<time>[\d.]+\s*[a-z]+)(?:\s+per\s+(?P<per>[a-z][a-z -]*))?")


def parse_duration(text: str) -> float:
    """Read `50 min`, `20 s` or `1.5 hour` to seconds. Raises ValueError."""
    found = _DURATION.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} is not a time; write it like 50 min or 20 s")
    return float(found[1]) * _TIMES[found[2]]


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


def minutes_ms(text: str) -> int | None:
    """Read `7`, `7 min` or `1:30` (minutes and seconds) as ms; None when it is no time."""
    found = _MINUTES.fullmatch(text.strip())
    if not found or int(found[2] or 0) > 59:
        return None
    return (int(found[1]) * 60 + int(found[2] or 0)) * 1000


def time_of_day_s(text: str) -> int:
    """Read a time of day, `10:00`, as seconds after midnight. WrongUse otherwise."""
    if not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", text):
        raise WrongUse(f"{text!r} is not a time of day; write it like 10:00.")
    hour, minute = text.split(":")
    return int(hour) * 3600 + int(minute) * 60


def parse_pace(text: str) -> tuple[PaceTerm, ...]:
    """Read a pace. Raises ValueError with what to write instead."""
    return tuple(_term(term.strip(), text) for term in text.split("+"))


def _term(term: str, text: str) -> PaceTerm:
    found = _TERM.fullmatch(term)
    if not found:
        raise ValueError(f"{text!r} is not a pace; write it like 60 s per piece, 5 min per m, or 3 min")
    seconds = parse_duration(found["time"])
    per = (found["per"] or "").strip()
    if not per:
        return PaceTerm(seconds, "step")
    if per == "piece":
        return PaceTerm(seconds, "piece")
    return PaceTerm(seconds, "m", "m") if per in {"m", "metre"} else PaceTerm(seconds, "effort", per)


def pace_seconds(terms: tuple[PaceTerm, ...], pieces: int, effort: float | None) -> float:
    """Work out a whole step at its starter pace, s; `effort` is one piece's, m or a count."""
    each = {"step": 1.0, "piece": float(pieces), "m": pieces * (effort or 0.0), "effort": pieces * (effort or 0.0)}
    return sum(term.seconds * each[term.per] for term in terms)
