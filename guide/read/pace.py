"""Paces as makers say them: `60 s per piece`, `30 s per piece + 5 min per m`, `3.2 s per snip`, `3 min`."""

import re

from guide.read.model import PaceTerm
from guide.read.shape import parse_duration

_TERM = re.compile(r"(?P<time>[\d.]+\s*[a-z]+)(?:\s+per\s+(?P<per>[a-z][a-z -]*))?")


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
