"""The trade's words as an American maker says them: British is what is written, here and in the stage files.

What a maker wrote is never put through here, so a sentence is said in the project's words before names are in it.
"""

import re

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
_WORD = re.compile(r"\b(" + "|".join(sorted(map(re.escape, AMERICAN), key=len, reverse=True)) + r")\b", re.IGNORECASE)


def said(text: str, words: str) -> str:
    """Say a text in the project's words."""
    return text if words == "british" else _WORD.sub(_american, text)


def _american(found: re.Match[str]) -> str:
    word = AMERICAN[found[0].lower()]
    return word.capitalize() if found[0][0].isupper() else word
