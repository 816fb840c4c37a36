"""How is the one number that matters now set large? A fraction as a fraction."""

import re

from guide.show.screen.marks import Marks
from guide.show.screen.text import Line

ROWS = 5
# Three by five dots.
_DIGITS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ".": (" ", " ", " ", " ", "#"),
    ":": (" ", "#", " ", "#", " "),
    "-": ("   ", "   ", "###", "   ", "   "),
}
_SIZE = re.compile(r"^(?P<about>[≈~]?) *(?P<whole>[0-9.:]*) *(?:(?P<over>\d+)/(?P<under>\d+))? *(?P<unit>\D{0,24})$")


def _dots(text: str) -> list[str]:
    """Five rows of dots for a row of digits, a blank column between them."""
    return [" ".join(_DIGITS[character][row] for character in text) for row in range(ROWS)]


def _doubled(text: str, block: str) -> list[str]:
    """Whole numbers: each dot two columns wide and one row high."""
    return ["".join(block[0] * 2 if dot == "#" else "  " for dot in row) for row in _dots(text)]


def _halved(upper: str, lower: str, block: str) -> list[str]:
    """A fraction: numerator high and left, denominator low and right, in half rows, a stroke between them."""
    high, low = _dots(upper), _dots(lower)
    wide_high, wide_low, stroke = len(high[0]), len(low[0]), 3
    rows = []
    for row in range(2 * ROWS):
        top = high[row] if row < ROWS else " " * wide_high
        bottom = low[row - ROWS] if row >= ROWS else " " * wide_low
        slash = [" "] * stroke
        slash[stroke - 1 - row * stroke // (2 * ROWS)] = "#"
        rows.append(f"{top} {''.join(slash)} {bottom}")
    return [
        "".join(
            block[0] if (a, b) == ("#", "#") else block[1] if a == "#" else block[2] if b == "#" else " "
            for a, b in zip(rows[2 * row], rows[2 * row + 1], strict=True)
        )
        for row in range(ROWS)
    ]


def large(text: str, room: int, marks: Marks) -> list[Line] | None:
    """Five rows of a size or a count such as `7 1/16 in`, `17.9 cm`, `0:41`; None when it cannot be set in `room`."""
    found = _SIZE.match(text.strip())
    if not marks.block or not found or not (found["whole"] or found["over"]):
        return None
    columns: list[list[str]] = []
    if found["about"]:
        columns.append(["", "", found["about"], "", ""])
    if found["whole"]:
        columns.append(_doubled(found["whole"], marks.block))
    if found["over"]:
        columns.append(_halved(found["over"], found["under"], marks.block))
    if found["unit"]:
        columns.append(["", "", "", "", found["unit"].strip()])
    wide = [max(len(row) for row in column) for column in columns]
    if sum(wide) + 2 * (len(wide) - 1) > room:
        return None
    return [
        [
            (
                "class:large",
                "  ".join(column[row].ljust(own) for column, own in zip(columns, wide, strict=True)).rstrip(),
            )
        ]
        for row in range(ROWS)
    ]
