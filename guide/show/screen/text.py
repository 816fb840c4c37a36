"""How is text laid out in cells? Lines are lists of (style, text); widths are terminal columns."""

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from itertools import groupby

import msgspec
from wcwidth import wcwidth

from guide.show.table import cells, clean
from guide.show.words import NO_BREAK, unbroken

Fragment = tuple[str, str]
Line = list[Fragment]


def line(*fragments: Fragment | str) -> Line:
    """A line of fragments; bare text is in the plain style."""
    return [part if isinstance(part, tuple) else ("", part) for part in fragments]


def length(of: Line) -> int:
    """Columns a line takes up."""
    return sum(cells(text) for _, text in of)


def flat(of: Line) -> str:
    """A line without its styles, no blanks at its end."""
    return "".join(text for _, text in of).rstrip()


def _cut(text: str, room: int) -> str:
    taken = 0
    for index, character in enumerate(text):
        taken += max(0, wcwidth(character))
        if taken > room:
            return text[:index]
    return text


def clip(of: Line, room: int, more: str = "") -> Line:
    """A line cut to `room` columns; `more` marks the cut."""
    if length(of) <= room:
        return of
    left, short = max(0, room - cells(more)), []
    for style, text in of:
        part = _cut(text, left)
        short.append((style, part))
        left -= cells(part)
        if part != text:
            break
    last = short[-1][0] if short else ""
    return [*short, (last, _cut(more, room))]


def pad(of: Line, room: int) -> Line:
    """A line of exactly `room` columns."""
    short = clip(of, room)
    blank = room - length(short)
    return [*short, ("", " " * blank)] if blank else short


def indent(lines: Iterable[Line], by: int) -> list[Line]:
    """Lines moved `by` columns to the right; an empty line stays empty."""
    return [[("", " " * by), *of] if of else [] for of in lines]


def ends(left: Line, right: Line, room: int) -> Line:
    """One line with something at either end; the left gives way when room is short."""
    spare = room - length(right)
    if spare < 2:
        return clip(left, room)
    return [*pad(left, spare - 1), ("", " "), *right]


def beside(left: list[Line], right: list[Line], width: int, gap: int = 2) -> list[Line]:
    """Two columns: the left one `width` wide, the right one after a gap."""
    rows = max(len(left), len(right))
    return [
        [*pad(left[row] if row < len(left) else [], width), ("", " " * gap), *right[row]]
        if row < len(right)
        else left[row]
        for row in range(rows)
    ]


def _long_word(word: str, room: int) -> list[str]:
    parts = []
    while cells(word) > room:
        head = _cut(word, room) or word[:1]
        parts.append(head)
        word = word[len(head) :]
    return [*parts, word]


def wrap(text: str, room: int) -> list[str]:
    """Clean text broken at blanks into lines of at most `room` columns; line ends in the text are kept.

    A length is not broken: `7 1/16 in` stays on one line.
    """
    return list(_broken(text, max(1, room)))


@lru_cache(maxsize=512)  # a second later it is the same text
def _broken(text: str, room: int) -> tuple[str, ...]:
    lines: list[str] = []
    for paragraph in text.split("\n"):
        row = ""
        for whole in filter(None, unbroken(clean(paragraph)).split(" ")):
            for word in _long_word(whole, room):
                if row and cells(row) + 1 + cells(word) > room:
                    lines.append(row)
                    row = word
                else:
                    row = f"{row} {word}" if row else word
        lines.append(row)
    while lines and not lines[-1]:
        lines.pop()
    return tuple(row.replace(NO_BREAK, " ") for row in lines)


def signed(lines: list[Line], at_most: int, room: int, sign: str) -> list[Line]:
    """At most so many lines; the last of them ends in a sign when there are more."""
    if len(lines) <= at_most:
        return lines
    kept = lines[: max(0, at_most)]
    if kept:
        style = kept[-1][-1][0] if kept[-1] else ""
        kept[-1] = [*_trimmed(clip(kept[-1], room - cells(sign))), (style, sign)]
    return kept


def _trimmed(of: Line) -> Line:
    """A line without blanks at its end."""
    while of and not of[-1][1].strip():
        of = of[:-1]
    return [*of[:-1], (of[-1][0], of[-1][1].rstrip())] if of else of


def paragraph(text: str, room: int, style: str = "", at_most: int | None = None, more: str = "…") -> list[Line]:
    """Wrapped text in one style, at most so many lines; the last shows that there is more."""
    lines: list[Line] = [[(style, row)] if row else [] for row in wrap(text, room)]
    return lines if at_most is None else signed(lines, at_most, room, f" {more}")


def wrapped(of: Line, room: int) -> list[Line]:
    """A line broken into lines of at most `room` columns, each letter in its own style."""
    styles = iter([style for style, text in of for letter in clean(text) if not letter.isspace()])
    rows: list[Line] = []
    style = ""
    for text in wrap("".join(text for _, text in of), room):
        letters = [(style := style if letter == " " else next(styles), letter) for letter in text]
        rows.append([(one, "".join(letter for _, letter in some)) for one, some in groupby(letters, lambda at: at[0])])
    return rows


# Which characters is the seam drawn with? Two alphabets: our own, and one for terminals that know only ASCII.


class Marks(msgspec.Struct, frozen=True):
    """The signs of the screen. Every one has a meaning that the words beside it say as well."""

    sewn: str
    needle: str
    ahead: str
    knot: str
    caution: str
    loops: tuple[str, str, str, str]  # a wait that fills
    shades: tuple[str, ...]  # prints told apart beside their letters
    left: str  # nudges
    right: str
    dot: str
    more: str
    thin: str  # corners and edges of a patch: ─│┌┬┐├┼┤└┴┘
    double: str  # the current patch: ═║╔╗╚╝
    apart: str  # an edge that is not sewn: ┄┆
    alike: str  # an edge where a print meets itself
    heights: str  # stitches lying lower and higher
    block: str  # large figures: full, upper and lower half; "" when there are none
    dyed: bool = False  # the terminal shows a print's own colour truly, and some print has one


_SIGNS = {  # ours, and in ASCII
    "sewn": ("━", "="),
    "needle": ("⟩", ">"),
    "ahead": ("┄", "-"),
    "knot": ("●", "*"),
    "caution": ("▲", "!"),
    "loops": (("◔", "◑", "◕", "●"), ("1/4", "1/2", "3/4", "done")),
    "shades": (("░", "▒", "▓", "╱", "┊", "╳"), (".", ":", "#", "/", "|", "x")),
    "left": ("◂", "<"),
    "right": ("▸", ">"),
    "dot": ("·", "/"),
    "more": ("…", "..."),
    "thin": ("─│┌┬┐├┼┤└┴┘", "-|+++++++++"),
    "double": ("═║╔╗╚╝", "=#++++"),
    "apart": ("┄┆", "~:"),
    "alike": ("××", "xx"),
    "heights": ("⎽⎼─⎻⎺", "_.-'\""),
    "block": ("█▀▄", ""),
}
STITCHED, ASCII = (msgspec.convert({name: both[at] for name, both in _SIGNS.items()}, Marks) for at in (0, 1))


def marks_for(encoding: str | None) -> Marks:
    """The alphabet a terminal of this encoding can show."""
    try:
        "".join(map(str, msgspec.structs.astuple(STITCHED))).encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return ASCII
    return STITCHED


_ASCII_WORDS = str.maketrans("≈×−–—·’‘“”…⟩", "~x---/''\"\".>")


def plain_letters(text: str) -> str:
    """Text for a terminal that knows only ASCII, letter for letter: what has no likeness is a question mark."""
    return text.translate(_ASCII_WORDS).encode("ascii", "replace").decode("ascii")


# How is what matters now set large? In dots of three by five: five rows tall, or three; words for across the room.

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


# How far is it? Progress is a running stitch: sewn, the needle, the marked line ahead.


class Stretch(msgspec.Struct, frozen=True):
    """A named part of the seam: a stage, so much of it done (0 to 1), and whether the needle is in it."""

    name: str
    done: float
    share: float = 1.0  # how much of the line it may have
    here: bool = False


def _sewn(stitches: int, needle: bool, of: int, marks: Marks) -> list[Fragment]:
    parts: list[Fragment] = []
    if stitches:
        parts.append(("class:sewn", f"{marks.sewn} " * stitches))
    ahead = of - stitches
    if needle and ahead > 0:
        parts.append(("class:needle", f"{marks.needle} "))
        ahead -= 1
    if ahead > 0:
        parts.append(("class:ahead", f"{marks.ahead} " * ahead))
    return parts


def pieces(done: int, of: int, room: int, marks: Marks, *, needle: bool = True) -> Line:
    """A row of stitches, one a piece when they fit, else each standing for several; a knot ends a finished row.

    A row that is not finished never looks finished: at least one marked stitch is left.
    """
    most = max(2, (room - 1) // 2)  # a knot at the end
    stitches = min(of, most)
    sewn = done if of <= most else min(stitches - 1, done * stitches // max(1, of))
    if done >= of:
        return [*_sewn(stitches, False, stitches, marks), ("class:sewn", marks.knot)]
    return _sewn(sewn, needle, stitches, marks)


def _rooms(stretches: list[Stretch], room: int) -> list[int]:
    """Columns for each stretch, two a stitch: its name and a gap, and of what is left a share by its steps."""
    least = [(cells(part.name) + 3) // 2 for part in stretches]
    spare, shares = max(0, room // 2 - sum(least)), sum(part.share for part in stretches) or 1.0
    ends = [round(spare * sum(part.share for part in stretches[: index + 1]) / shares) for index in range(len(least))]
    return [2 * (own + end - start) for own, start, end in zip(least, [0, *ends], ends, strict=False)]


def _window(stretches: list[Stretch], room: int) -> tuple[list[Stretch], bool, bool]:
    """The stretches round the needle that fit, and whether some are left out before and after."""
    here = next((index for index, part in enumerate(stretches) if part.here), 0)
    first, last = here, here + 1
    while True:
        for low, high in ((first, last + 1), (first - 1, last)):
            if low < 0 or high > len(stretches):
                continue
            if sum(cells(part.name) + 4 for part in stretches[low:high]) <= room - 4:
                first, last = low, high
                break
        else:
            return stretches[first:last], first > 0, last < len(stretches)


def stages(stretches: list[Stretch], room: int, marks: Marks) -> tuple[Line, Line]:
    """The whole seam, and under it the stages' names where they begin; a window round the needle when narrow."""
    if not stretches:
        return [], []
    kept, before, after = stretches, False, False
    if sum((cells(part.name) + 3) // 2 * 2 for part in stretches) > room:
        kept, before, after = _window(stretches, room)
    inner = room - 2 * before - 2 * after
    thread: Line = [("class:quiet", f"{marks.more[:1]} ")] if before else []
    names: Line = [("", "  ")] if before else []
    for part, wide in zip(kept, _rooms(kept, inner), strict=True):
        stitches = max(1, wide // 2)
        whole = part.done >= 1.0
        sewn = stitches if whole else min(stitches - 1, int(part.done * stitches))
        thread += _sewn(sewn, part.here and not whole, stitches, marks)
        style = "class:here" if part.here else "class:sewn.name" if whole else "class:ahead.name"
        names += clip([(style, part.name)], wide - 1)
        names.append(("", " " * (wide - min(wide - 1, cells(part.name)))))
    if after:
        thread.append(("class:quiet", marks.more[:1]))
    return thread, names


def trend(values: Sequence[float], marks: Marks) -> str:
    """A number over time as one row of stitches, the newest last: the more, the higher a stitch lies."""
    least, top = min(values), max(values)
    height = (len(marks.heights) - 1) / (top - least) if top > least else 0.0
    return "".join(marks.heights[round((one - least) * height)] for one in values)


def loop(share: float, marks: Marks) -> str:
    """A wait as a loop that fills by quarters; whole only when it is over."""
    if share >= 1.0:
        return marks.loops[3]
    return marks.loops[min(2, max(0, int(share * 4)))]
