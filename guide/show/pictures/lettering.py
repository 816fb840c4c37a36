"""How wide do words come out? Reckoned by the pages' own typeface; letters of other scripts are taken as very wide."""

import re
from collections.abc import Iterable
from html import unescape

# em of a bold letter, at least that of the typeface: `tests/show/test_pages_labels.py` holds a browser against it.
_NARROW, _WIDE, _OTHER, _SIGN = 0.4, 1.05, 0.7, 1.45
_CAPITAL = 0.82
NARROW = " .,:;'!|/()ijlt"
WIDE, USUAL = "mwMW@%æœÆŒŵŴ©½¼¾…—¤ďĲŉ", "≈≠≤≥−–‘’‚“”„"
_PLAIN = 0.97  # of a bold letter
LEAST = 3.7  # paper mm of the smallest letters in a drawing: 10.5 pt, and 16 pt in large print
_LABEL = re.compile(r'<text x="([^"]+)" y="([^"]+)" font-size="([^"]+)" text-anchor="(\w+)"([^>]*)>([^<]*)</text>')


def wide(text: str, size: float, *, bold: bool = False) -> float:
    """A text's width at most, in the measure of `size`, its height."""
    return size * sum(map(_em, text)) * (1 if bold else _PLAIN)


def _em(one: str) -> float:
    """A bold letter's width at most."""
    if one in NARROW:
        return _NARROW
    if one in WIDE:
        return _WIDE
    if ord(one) > 0x2FF and one not in USUAL:
        return _SIGN
    return _CAPITAL if one.isupper() else _OTHER


def fit(text: str, size: float, room: float) -> str:
    """A text cut to a width, with a sign."""
    if wide(text, size) <= room:
        return text
    while text and wide(f"{text}…", size) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"


def around(body: Iterable[str], box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """A box (left, top, right, foot) made large enough for every label of a drawing."""
    left, top, right, foot = box
    for x, y, size, anchor, more, text in (found for part in body for found in _LABEL.findall(part)):
        across, high = wide(unescape(text), float(size), bold="font-weight" in more), float(size)
        start = float(x) - {"start": 0.0, "middle": across / 2, "end": across}[anchor]
        left, right = min(left, start), max(right, start + across)
        top, foot = min(top, float(y) - high * 0.7), max(foot, float(y) + high * 0.7)
    return left, top, right, foot
