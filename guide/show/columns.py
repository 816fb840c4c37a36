"""What does a text take up in a terminal, and can it do harm there? Columns are counted here, not letters."""

from functools import lru_cache

from guide.read.spoken import spelt, unsafe

_FIRST_ODD = "\u0300"  # before it every character that is shown takes one column
_CONTROL = unsafe()
STITCH = "━ "


def clean(text: str) -> str:
    """Text that cannot steer a terminal: controls and direction marks are written out, a tab is a space."""
    return _CONTROL.sub(spelt, text.replace("\t", " "))


@lru_cache(maxsize=4096)
def cells(text: str) -> int:
    """Columns that clean text takes up, counted a character at a time, as terminals draw."""
    if max(text, default="") < _FIRST_ODD:
        return len(text)
    from wcwidth import wcwidth  # noqa: PLC0415 - its tables take a while to read, and most texts do without

    return sum(max(0, wcwidth(character)) for character in text)


def fill(text: str, room: int) -> str:
    """The text with blanks after it, up to `room` columns."""
    return text + " " * (room - cells(text))


def clip(text: str, room: int) -> str:
    """As much of the text as `room` columns take, with … where it does not end."""
    if cells(text) <= room:
        return text
    while cells(text) > room - 1:
        text = text[:-1]
    return f"{text.rstrip()}…"


def heading(title: str, width: int) -> str:
    """Give a heading with a line of stitches to its right."""
    return f"{title} {STITCH * max(3, min(20, (width - cells(title) - 2) // 2))}".rstrip()
