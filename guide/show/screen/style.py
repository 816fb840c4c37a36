"""What does each part look like? One table, in dyes of our own that read on black and on white alike.

A dye's relative luminance lies near 0.18, where contrast with black and with white is equal (4.6 : 1), so one
table serves light and dark terminals. Blue against ochre is told apart by every common kind of colour
blindness; and nothing is said by colour alone, so without colour nothing is lost.
"""

from typing import Literal

Depth = Literal["none", "sixteen", "many"]

DYES: dict[str, dict[Depth, str]] = {
    "indigo": {"many": "#5f5fff", "sixteen": "ansibrightblue", "none": ""},  # the thread: sewn, sizes
    "ochre": {"many": "#af5f00", "sixteen": "ansired", "none": ""},  # the needle, care
    "chalk": {"many": "#767676", "sixteen": "", "none": ""},  # marks ahead, words that step back
}

_TABLE: dict[str, tuple[str, str]] = {  # class: (dye, weight)
    "sewn": ("indigo", "bold"),
    "needle": ("ochre", "bold"),
    "ahead": ("chalk", ""),
    "here": ("", "bold"),
    "sewn.name": ("indigo", ""),
    "ahead.name": ("chalk", ""),
    "title": ("", "bold"),
    "figure": ("indigo", "bold"),
    "large": ("indigo", ""),
    "label": ("chalk", ""),
    "quiet": ("chalk", ""),
    "hint": ("", ""),
    "time": ("", "bold"),
    "caution": ("", ""),
    "caution.sign": ("ochre", "bold"),
    "cue": ("", "bold"),
    "said": ("indigo", "bold"),
    "good": ("indigo", "bold"),
    "problem": ("", "bold reverse"),
    "asked": ("", "bold reverse"),
    "key": ("", "bold"),
    "card": ("", "bold"),
    "patch": ("chalk", ""),
    "patch.edge": ("chalk", ""),
    "patch.made": ("indigo", ""),
    "patch.letter": ("", "bold"),
    "patch.here": ("ochre", "bold"),
}


def table(depth: Depth) -> dict[str, str]:
    """Every class with its style, as prompt_toolkit writes styles."""
    return {name: f"{DYES[dye][depth] if dye else ''} {weight}".strip() for name, (dye, weight) in _TABLE.items()}


def depth_of(bits: str) -> Depth:
    """How many colours a terminal of prompt_toolkit's colour depth has."""
    return {"DEPTH_1_BIT": "none", "DEPTH_4_BIT": "sixteen"}.get(bits, "many")  # type: ignore[return-value]
