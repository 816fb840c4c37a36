"""How is text laid out in cells? Lines are lists of (style, text); widths are terminal columns."""

from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby

from wcwidth import wcwidth

from guide.show.columns import cells, clean
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
