"""How is what matters now set large? In dots of three by five: five rows tall, or three; words for across the room."""

import re
from functools import cache

from guide.show.screen.marks import Marks
from guide.show.screen.text import Line

# Three by five dots, our own; a row is a digit in octal, its bits the dots from the left.
_DOTS = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71317", "4": "55711", "5": "74717", "6": "74757", "7": "71122",
    "8": "75757", "9": "75717", "A": "25755", "B": "65656", "C": "34443", "D": "65556", "E": "74647", "F": "74644",
    "G": "34553", "H": "55755", "I": "72227", "J": "11153", "K": "55655", "L": "44447", "O": "25552", "P": "65644",
    "Q": "25573", "R": "65655", "S": "34216", "T": "72222", "U": "55557", "V": "55552", "X": "55255", "Y": "55222",
    "Z": "71247", "/": "11244", ":": "02020", ".": "00002", ",": "00024", "-": "00700", "'": "22000", " ": "00000",
    "≈": "03630", "×": "05250",
}  # fmt: skip
_WIDE = {
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#  #", "## #", "# ##", "#  #", "#  #"),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
}
_SIZE = re.compile(r"^(?P<about>[≈~]?) *(?P<whole>[0-9.:]*) *(?P<part>\d+/\d+)? *(?P<unit>\D{0,24})$")
TALL, LOW = 5, 3  # rows


@cache
def _glyph(letter: str) -> tuple[str, ...]:
    if letter in _WIDE:
        return _WIDE[letter]
    bits = [f"{int(row):03b}".replace("1", "#").replace("0", " ") for row in _DOTS[letter]]
    narrow = {".": 1, ":": 1, ",": 1, "'": 1}
    return tuple(row[1:2] if letter in narrow else row for row in bits)


def _dots(text: str) -> list[str]:
    """Five rows of dots for letters and digits, a blank column between them."""
    return [" ".join(rows) for rows in zip(*map(_glyph, text), strict=True)]


def _tall(text: str, block: str, wide: int) -> list[str]:
    """Each dot so many columns wide and one row high."""
    return ["".join((block[0] if dot == "#" else " ") * wide for dot in row) for row in _dots(text)]


def _low(text: str, block: str) -> list[str]:
    """Each dot one column wide and half a row high."""
    rows = [*_dots(text), ""]
    width = len(rows[0])
    return [
        "".join(
            block[0] if pair == "##" else block[1] if pair[0] == "#" else block[2] if pair[1] == "#" else " "
            for pair in (a + b for a, b in zip(rows[2 * row], rows[2 * row + 1].ljust(width), strict=True))
        )
        for row in range(LOW)
    ]


def large(text: str, room: int, marks: Marks, rows: int = TALL) -> list[Line] | None:
    """A size or a count such as `7 1/16 in`, `17.9 cm`, `0:41` in so many rows, its fraction as tall as its whole.

    None when it cannot be set in `room`, or the terminal has no blocks.
    """
    found = _SIZE.match(text.strip())
    if not marks.block or not found or not (found["whole"] or found["part"]):
        return None
    for narrow in (2, 1):  # columns a dot of the fraction is wide
        columns: list[list[str]] = []
        if found["about"]:
            columns.append(["", "", found["about"], "", ""][-rows:])
        for part, wide in ((found["whole"], 2), (found["part"], narrow)):
            if part and found["whole"] and part == found["part"]:  # 7 1/16 is never read as 71/16
                columns.append([" " * (wide + 1 if rows == TALL else 1)] * rows)
            if part:
                columns.append(_tall(part, marks.block, wide) if rows == TALL else _low(part, marks.block))
        if found["unit"]:
            columns.append([*[""] * (rows - 1), found["unit"].strip()])
        if lines := _set(columns, room):
            return lines
    return None


def _set(columns: list[list[str]], room: int) -> list[Line] | None:
    wide = [max(len(row) for row in column) for column in columns]
    if sum(wide) + 2 * (len(wide) - 1) > room:
        return None
    lines = zip(*([row.ljust(own) for row in column] for column, own in zip(columns, wide, strict=True)), strict=True)
    return [[("class:large", "  ".join(parts).rstrip())] for parts in lines]


def spelt(text: str, room: int, marks: Marks, most: int = 2) -> list[Line] | None:
    """Words in low letters, at most so many lines of them; None where they do not fit or have no such letters."""
    plain = "".join(letter for letter in text.upper() if letter in _DOTS or letter in _WIDE)
    lines: list[str] = []
    for word in plain.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and len(_dots(longer)[0]) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    if not marks.block or not lines or len(lines) > most or any(len(_dots(line)[0]) > room for line in lines):
        return None
    return [[("class:large", row.rstrip())] for line in lines for row in _low(line, marks.block)]
