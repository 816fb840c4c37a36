"""How wide do words come out? Pages name no font file, so this is the widest that a reader's serif may be."""

import re
from collections.abc import Iterable
from html import unescape

# em of a bold letter in a wide serif, from memory; most faces are a quarter narrower.
_NARROW, _WIDE, _OTHER = 0.5, 1.2, 0.78
_CAPITAL = 0.95
_PLAIN = 0.88  # of a bold letter
_EQUAL = 0.67  # em of every letter of a typewriter's face, where there is no serif: 0.6, on a screen in whole pixels
_LABEL = re.compile(r'<text x="([^"]+)" y="([^"]+)" font-size="([^"]+)" text-anchor="(\w+)"([^>]*)>([^<]*)</text>')


def wide(text: str, size: float, *, bold: bool = False) -> float:
    """A text's width at most, in the measure of `size`, its height."""
    letters = sum(
        _NARROW if one in " .,:;'!|/()ijlt" else _WIDE if one in "mwMW≈×@%" or ord(one) > 0x2FF else
        _CAPITAL if one.isupper() else _OTHER
        for one in text
    )  # fmt: skip
    return size * max(letters * (1 if bold else _PLAIN), len(text) * _EQUAL)


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
