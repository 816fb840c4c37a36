"""What does each part look like? One table, in dyes of our own that can be read on the ground the terminal has.

Each dye is from the 256 colours' cube, so it is the same in 256 and in true colour, and has 4.5 : 1 or more on dark
grounds or on light ones (WCAG 2). Where the ground is not known, and in 16 colours, which every terminal dyes as it
likes, text is the terminal's own, ranked by weight; only patches are coloured. Indigo against ochre is told apart by
every common kind of colour blindness, and nothing is said by colour alone.
"""

import re
from collections.abc import Mapping
from typing import Literal

from guide.plan.parts import letters
from guide.read.colours import grey, luminance, parts
from guide.read.model import Project

Depth = Literal["none", "sixteen", "many"]
Ground = Literal["dark", "light", ""]  # "": not known

DYES: dict[str, dict[Ground, str]] = {
    "indigo": {"dark": "#87afff", "light": "#5f00d7"},  # the thread: sewn, sizes
    "ochre": {"dark": "#ffaf5f", "light": "#875f00"},  # the needle, care
    "chalk": {"dark": "#b2b2b2", "light": "#5f5f5f"},  # marks ahead, words that step back
}
_SIXTEEN = {"patch.made": "ansiblue", "patch.here": "ansired"}  # patches only; their letters say the same
_ANSWER = re.compile(r"rgba?:([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})")
MOST_LETTERS = 26
FAINT = 0.3  # of black or white in the marks on a patch of a print's own colour
_EVEN = 0.179  # relative luminance at which black and white stand out alike

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


def table(depth: Depth, ground: Ground = "") -> dict[str, str]:
    """Every class with its style, as prompt_toolkit writes styles."""
    return {name: f"{_dye(name, dye, depth, ground)} {weight}".strip() for name, (dye, weight) in _TABLE.items()}


def _dye(name: str, dye: str, depth: Depth, ground: Ground) -> str:
    if depth == "many" and ground:
        return DYES[dye][ground] if dye else ""
    if name == "figure":
        return "underline"
    return _SIXTEEN.get(name, "") if depth != "none" else ""


def prints(colours: Mapping[str, str]) -> dict[str, str]:
    """Give the classes of each print's letter and fill, on the print's own colour; colours: #rrggbb by letter.

    Black or white stands on any colour at 4.5 : 1 or more (WCAG 2), whichever of them stands out further; the marks of
    a patch are fainter, so that its colour is what is seen.
    """
    return {
        f"{kind}.{ord(letter)}": style
        for letter, colour in colours.items()
        for kind, style in (
            ("print", f"bg:{colour} {_ink(colour)} bold"),
            ("fill", f"bg:{colour} {_mixed(colour, _ink(colour), FAINT)}"),
        )
    }


def _ink(colour: str) -> str:
    return "#ffffff" if luminance(*parts(colour)) < _EVEN else "#000000"


def _mixed(colour: str, other: str, share: float) -> str:
    """So much of another colour in a colour, part by part."""
    mixed = (one + share * (two - one) for one, two in zip(parts(colour), parts(other), strict=True))
    return "#" + "".join(f"{round(255 * part):02x}" for part in mixed)


def own_colours(project: Project) -> dict[str, str]:
    """The colours a project gives its prints, by letter; none of so many prints that two share their last letter."""
    signs = letters(project)
    return {signs[one.name]: one.colour for one in project.prints if one.colour and len(signs) <= MOST_LETTERS}


def greys() -> dict[str, str]:
    """The grey of each ten of lightness, by its figure: 0 black, 9 white."""
    return {str(ten): grey(10 * ten + 5) for ten in range(10)}


def true_colour(environ: Mapping[str, str]) -> bool:
    """Whether the terminal says that it shows every colour as it is asked for, and nothing else is wanted."""
    return environ.get("COLORTERM", "").lower() in {"truecolor", "24bit"} and not environ.get("NO_COLOR")


def depth_of(bits: str) -> Depth:
    """How many colours a terminal of prompt_toolkit's colour depth has."""
    return {"DEPTH_1_BIT": "none", "DEPTH_4_BIT": "sixteen"}.get(bits, "many")  # type: ignore[return-value]


def ground_of(answer: str) -> Ground:
    """Whether the ground a terminal tells of, as `rgb:1e1e/1e1e/1e1e` (OSC 11), is dark or light; "" for no colour."""
    found = _ANSWER.search(answer)
    if found is None:
        return ""
    red, green, blue = (int(part, 16) / (16 ** len(part) - 1) for part in found.groups())
    return "dark" if luminance(red, green, blue) < _EVEN else "light"
