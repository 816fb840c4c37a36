"""Lengths, weights and times: how people write them, and how they are shown."""

import re
from functools import lru_cache
from itertools import combinations
from math import gcd
from typing import Literal

import msgspec

from guide.errors import WrongUse
from guide.read.model import PaceTerm

# Lengths and weights as makers write and read them: one parser, one formatter.
#
# Inside a length is a float in mm, a weight one in g, a cloth's weight one in g/m². Inch = 25.4 mm, yard = 0.9144 m and
# pound = 453.59237 g exactly (international yard and pound agreement, 1959).

MM = 1.0
CM = 10.0
METRE = 1000.0
INCH = 25.4
FOOT = 304.8
YARD = 914.4

PER_UNIT = {"mm": MM, "cm": CM, "m": METRE, "in": INCH, "ft": FOOT, "yd": YARD}
_OTHER_SPELLINGS = {
    "inch": "in", "inches": "in", "ins": "in",
    "yard": "yd", "yards": "yd", "yds": "yd",
    "foot": "ft", "feet": "ft",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "millimetre": "mm", "millimetres": "mm", "centimetre": "cm", "centimetres": "cm",
}  # fmt: skip
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_NUMBER = r"(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9}|(?:\d{1,6}[ -])?\d{1,6}/\d{1,6})"
_LENGTH = re.compile(rf"({_NUMBER})\s*([a-z]+)", re.IGNORECASE | re.ASCII)
_BARE = re.compile(rf"-?{_NUMBER}", re.ASCII)
_COMMA = re.compile(r"(\d+),(\d+)(.*)", re.ASCII)
_DIGIT = re.compile("[1-9]")  # of what is not nothing: below nothing there is nothing to say
SAME_MM = 1e-3  # nearer than this two lengths are one
_LONGEST = 10_000_000.0  # 10 km: beyond any cloth, so a slip of the finger

Units = Literal["inch", "metric"]
POUND = 453.59237
_PER_WEIGHT = {"g": 1.0, "kg": 1000.0, "oz": POUND / 16, "lb": POUND}
_CLOTH_WEIGHT = re.compile(r"(\d{1,5}(?:\.\d{1,4})?)\s*(g|oz)\s*/\s*(m|yd)[2²]")


class BadLength(ValueError):
    """Text that is not a length; the message says what to write instead."""


@lru_cache(maxsize=4096)
def parse_length(text: str, bare: Units | None = None) -> float:
    """Read a length such as `6 in`, `6 1/2 in`, `6½ in`, `15 cm` or `0.5 yd`; gives mm.

    `bare` allows a number alone in the maker's own units (in, or cm), for what is typed at the machine;
    files never allow it. Raises BadLength.
    """
    plain = text.strip()
    for mark, digits in _VULGAR.items():
        plain = plain.replace(mark, f" {digits}")
    plain = re.sub(r"\s+", " ", plain).strip()
    if comma := _COMMA.fullmatch(plain):
        raise BadLength(f"{text!r} has a comma; write {comma[1]}.{comma[2]}{comma[3]}")
    if plain.endswith(('"', "″")):
        raise BadLength(f"{text!r}: write the unit in letters: {plain[:-1].strip()} in")
    if _BARE.fullmatch(plain):
        if bare is None:
            raise BadLength(f"{text!r} has no unit; write {plain} in or {plain} cm")
        plain += " in" if bare == "inch" else " cm"
    found = _LENGTH.fullmatch(plain)
    if not found:
        raise BadLength(f"{text!r} is not a length; write it like 6 in, 6 1/2 in or 15 cm")
    unit = found[2].lower()
    unit = _OTHER_SPELLINGS.get(unit, unit)
    if unit not in PER_UNIT:
        raise BadLength(f"{found[2]!r} is not a unit of length here; use mm, cm, m, in, ft or yd")
    mm = _number(found[1], text) * PER_UNIT[unit]
    if mm > _LONGEST:
        raise BadLength(f"{text!r} is longer than 10 km; check the number")
    return mm


def parse_weight(text: str) -> float:
    """Read a weight such as `5 kg` or `8 oz`; gives g. Raises ValueError."""
    found = re.fullmatch(r"(\d{1,6}(?:\.\d{1,4})?)\s*(kg|g|oz|lb)", text.strip())
    if not found:
        raise ValueError(f"{text!r} is not a weight; write it like 5 kg or 11 lb")
    return float(found[1]) * _PER_WEIGHT[found[2]]


def parse_cloth_weight(text: str) -> float:
    """Read a cloth's weight such as `150 g/m2` or `4.4 oz/yd2`; gives g/m². Raises ValueError."""
    found = _CLOTH_WEIGHT.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} is not what a cloth weighs; write it like 150 g/m2 or 4.4 oz/yd2")
    return float(found[1]) * _PER_WEIGHT[found[2]] / (PER_UNIT[found[3]] / METRE) ** 2


def show_weight(grams: float, units: Units) -> str:
    """Show a weight to three figures: g and kg, or oz and lb."""
    small, large = ("oz", "lb") if units == "inch" else ("g", "kg")
    unit = small if grams < _PER_WEIGHT[large] else large
    shown = float(f"{grams / _PER_WEIGHT[unit]:.3g}")
    return f"{'' if abs(shown * _PER_WEIGHT[unit] - grams) <= 1e-6 * grams else '≈ '}{shown:g} {unit}"


def _number(digits: str, text: str) -> float:
    """Read a number, decimal or with a fraction, to the nearest there is. Raises BadLength for a part of nothing."""
    whole, _, part = digits.replace("-", " ").rpartition(" ")
    above, _, below = part.partition("/")
    if not below:
        return float(part)
    if not int(below):
        raise BadLength(f"{text!r} divides by nothing; mend the fraction")
    return (int(whole or 0) * int(below) + int(above)) / int(below)


def part_text(parts: int, of: int) -> str:
    """Say a fraction in lowest terms; nothing is an empty text."""
    common = gcd(parts, of)
    return f"{parts // common}/{of // common}" if parts else ""


def show_length(mm: float, units: Units) -> str:
    """Show a length to 1/16 in or 1 mm, with ≈ where that is not exact.

    Inches: up to 10 yd as in, beyond that as yd. What is under 1/4 in and no sixteenth (a stitch) is
    shown in mm. Metric: mm under 1 cm, then cm, from 2 m on m, to 1 mm up to 10 m; only what a machine is set to
    has tenths.
    """
    said = _metric if units == "metric" else _inches
    shown = said("−" if mm < 0 else "", abs(mm))
    return shown if _DIGIT.search(shown) else shown.replace("−", "")


def _inches(sign: str, mm: float) -> str:
    if mm > 10 * YARD:
        return _decimal(sign, mm, "yd", 1)
    sixteenths = round(mm / INCH * 16)
    exact = abs(mm - sixteenths * INCH / 16) <= 1e-6 * max(mm, 1.0)
    set_in_mm = abs(mm * 20 - round(mm * 20)) < 1e-6  # 2.5 mm, 0.25 mm: a stitch or a thickness
    if not exact and set_in_mm and mm < INCH / 4:
        return _metric(sign, mm)
    whole, rest = divmod(sixteenths, 16)
    part = part_text(rest, 16)
    digits = f"{whole:,} {part}" if whole and part else part or f"{whole:,}"
    return f"{'' if exact else '≈ '}{sign}{digits} in"


def _metric(sign: str, mm: float) -> str:
    if mm >= 2 * METRE:
        return _decimal(sign, mm, "m", 1 if mm >= 10 * METRE else 3)
    if mm < CM:
        step = 20 if mm < INCH / 4 else 1  # 2.25 mm, 0.25 mm: a stitch or a thickness
        exact = abs(mm * step - round(mm * step)) <= 1e-6 * step
        shown = round(mm, 0 if mm >= 1 and not exact else 2)
        return f"{'' if exact else '≈ '}{sign}{shown:g} mm"
    whole = round(mm)
    exact = abs(mm - whole) <= 1e-6 * mm
    return f"{'' if exact else '≈ '}{sign}{whole / 10:,.1f}".removesuffix(".0") + " cm"


def _decimal(sign: str, mm: float, unit: str, places: int) -> str:
    shown = round(mm / PER_UNIT[unit], places)
    exact = abs(shown * PER_UNIT[unit] - mm) <= 1e-6 * mm
    return f"{'' if exact else '≈ '}{sign}{shown:,.{places}f}".rstrip("0").rstrip(".") + f" {unit}"


class Ruler(msgspec.Struct, frozen=True):
    """How a project's lengths are told: in its units, the square as the project wrote it, for so the ruler is set."""

    units: Units
    square_mm: float = 0.0
    square: str | None = None

    def told(self, mm: float) -> str:
        """Say a length."""
        return self.told_apart(mm)[0]

    def told_apart(self, *lengths: float) -> list[str]:
        """Say lengths that are held against each other."""
        texts = told_apart(self.units, *lengths)
        same = [self.square is not None and abs(mm - self.square_mm) < SAME_MM for mm in lengths]
        return [self.square or text if is_square else text for text, is_square in zip(texts, same, strict=True)]


INCHES = Ruler("inch")


def told_apart(units: Units, *lengths: float) -> list[str]:
    """Say lengths that are held against each other: finer by a place until the longer ones read longer too."""
    texts = [show_length(mm, units) for mm in lengths]
    unit = "in" if units == "inch" else "cm"
    for places in range(2, 6):
        read = [_read_off(text) for text in texts]
        pairs = combinations(zip(lengths, read, strict=True), 2)
        if all(abs(a - b) < SAME_MM or (c != d and (a < b) == (c < d)) for (a, c), (b, d) in pairs):
            break
        texts = [_decimal("−" if mm < 0 else "", abs(mm), unit, places) for mm in lengths]
    return texts


def _read_off(text: str) -> float:
    return parse_length(text.lstrip("≈ −").replace(",", "")) * (-1 if "−" in text else 1)


def show_thread(mm: float, units: Units) -> str:
    """Show thread in yards or metres to one place, as it is bought; under a tenth of one as any length."""
    unit = "yd" if units == "inch" else "m"
    return show_length(mm, units) if mm < PER_UNIT[unit] / 20 else _decimal("", mm, unit, 1)


# Times as people write them: `50 min`, `1 h 20`, `1:30`, `10:05`; and paces, `30 s per piece + 5 min per m`.
#
# What a file says has one form and is refused in others (ValueError, which its reader gives a place); what is typed at
# the machine or on the command line is read as it is said (WrongUse).

_TIMES = {
    "s": 1.0, "sec": 1.0, "seconds": 1.0, "min": 60.0, "minutes": 60.0,
    "h": 3600.0, "hour": 3600.0, "hours": 3600.0,
}  # fmt: skip
_DURATION = re.compile(r"(\d{1,6}(?:\.\d{1,4})?)\s*(s|sec|seconds|min|minutes|h|hour|hours)")
_SPAN = (  # made ready when one is read: few are
    r"(?:(\d+(?:\.\d+)?)\s*h(?:ours?|rs?)?)?\s*(?:(\d+(?:\.\d+)?)\s*(?:m|min|mins|minutes?|$))?\s*"
    r"(?:(\d+(?:\.\d+)?)\s*s(?:ec|ecs|econds?)?)?"
)
_MOST_MS = 10_000 * 3_600_000  # more than a year of hours: a slip of the finger
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
    found = re.fullmatch(_SPAN, said, re.ASCII)
    if not said or not found or not any(found.groups()):
        raise WrongUse(f"“{text.strip()}” is no length of time: write 7 min, 1 h 20 or 90 s.")
    hours, minutes, seconds = (float(part or 0) for part in found.groups())
    ms = (hours * 3600 + minutes * 60 + seconds) * 1000
    if ms > _MOST_MS:
        raise WrongUse(f"“{text.strip()}” is more than a year: write 7 min, 1 h 20 or 90 s.")
    return round(ms)


def minutes_ms(text: str) -> int | None:
    """Read `7`, `7 min` or `1:30` (minutes and seconds) as ms; None when it is no time."""
    found = re.fullmatch(r"(\d{1,4})(?:[:.](\d{1,2}))?(?:\s*min)?", text.strip(), re.ASCII)
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
    """Read one term of a pace. Raises ValueError when it is none."""
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
