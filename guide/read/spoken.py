"""The trade's words as an American maker says them, and those beside numbers: 1 block, 12 blocks, 2 batches.

British is what is written, here and in the stage files.
What a maker wrote is never put through here, so a sentence is said in the project's words before names are in it.
"""

import re
from collections.abc import Sequence

# British → American, the trade's words; longer ones first so that they win.
AMERICAN = {
    "inner cushion": "pillow form", "cushion cover": "pillow cover",
    "cushions": "pillows", "cushion": "pillow", "wadding": "batting", "zips": "zippers", "zip": "zipper",
    "pads": "pillow forms", "pad": "pillow form", "tacking": "basting", "tacked": "basted", "tacks": "bastes",
    "tack": "baste", "unpicker": "seam ripper", "unpicked": "ripped out", "unpicking": "ripping out",
    "unpick": "rip out", "selvedges": "selvages", "selvedge": "selvage", "colour": "color", "colours": "colors",
    "coloured": "colored", "centre": "center", "centres": "centers", "metre": "meter", "metres": "meters",
    "centimetre": "centimeter", "centimetres": "centimeters", "neighbour": "neighbor", "neighbours": "neighbors",
    "neighbouring": "neighboring", "labour": "labor", "labours": "labors", "fibre": "fiber", "fibres": "fibers",
    "practise": "practice", "practised": "practiced",
}  # fmt: skip
_WORD = r"\b(" + "|".join(sorted(map(re.escape, AMERICAN), key=len, reverse=True)) + r")\b"


def said(text: str, words: str) -> str:
    """Say a text in the project's words."""
    return text if words == "british" else re.sub(_WORD, _american, text, flags=re.IGNORECASE)


def _american(found: re.Match[str]) -> str:
    word = AMERICAN[found[0].lower()]
    return word.capitalize() if found[0][0].isupper() else word


_ES = ("s", "x", "ch", "sh")
_FIRST = re.compile(r"^\w+")


def plural(noun: str, count: float = 2) -> str:
    """Give the word for so many: block, blocks, batches; a cloth, cloths."""
    if count == 1:
        return noun
    return f"{noun}es" if noun.endswith(_ES) else f"{noun}s"


def counted(count: int, noun: str) -> str:
    """Say how many there are of something: `1 block`, `12 blocks`, `2 batches`."""
    return f"{count:,} {plural(noun, count)}"


def percent(share: float, digits: int | None = None) -> str:
    """Say a share: `4 %`, `12.5 %`; to so many digits after the point where they are given."""
    return f"{share * 100:.4g} %" if digits is None else f"{share * 100:z.{digits}f} %"


def listed(words: Sequence[str]) -> str:
    """Put words in a row as they are said: `A`, `A and B`, `A, B and C`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def are(count: int) -> str:
    """Give the verb for so many: is, are."""
    return "is" if count == 1 else "are"


def labelled(label: str, text: str) -> str:
    """Give a label as it stands beside a figure: `bobbin to wind` beside 1; its noun is its first word."""
    return _FIRST.sub(lambda found: _singular(found[0]), label) if text == "1" else label


def _singular(word: str) -> str:
    if word.endswith(("sses", "xes", "ches", "shes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


# Which characters may not stand in a text: those that steer a terminal or an editor instead of being read.

# Controls, line ends of other kinds, what turns the direction of writing, and halves of characters.
_UNSAFE = "\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff"


def unsafe(*, but: str = "", besides: str = "") -> re.Pattern[str]:
    """Make the pattern of one unsafe character; `but` may stand here, `besides` may not stand here either."""
    return re.compile(f"(?![{re.escape(but)}])[{_UNSAFE}{besides}]" if but else f"[{_UNSAFE}{besides}]")


def spelt(found: re.Match[str]) -> str:
    """Spell a character as a backslash code, so that it is seen and does nothing."""
    return f"\\u{ord(found[0]):04x}"
