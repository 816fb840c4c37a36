"""What is a card? The middle of the screen and nothing else: a title, lines, the keys of use."""

import msgspec

from guide.show.screen.text import Line, flat, paragraph

Keys = tuple[tuple[str, str], ...]


class Card(msgspec.Struct, frozen=True):
    """A card: its title, one size or time that may be set large, its lines, and the keys of use."""

    title: str
    lines: list[Line]
    keys: Keys = ()
    big: str = ""
    style: str = "class:title"
    cursor: int | None = None  # the line that is typed in
    bare: bool = False  # it needs the whole screen: no head, no seam


def wrapped(room: int, *texts: str, style: str = "") -> list[Line]:
    """Paragraphs one under another; an empty one is none."""
    return [row for text in texts if text for row in paragraph(text, room, style)]


def led(lead: str, text: str, room: int) -> list[Line]:
    """A paragraph that begins with a word to find it by."""
    rows = paragraph(f"{lead} {text}", room)
    return [[("class:here", lead), ("", flat(rows[0])[len(lead) :])], *rows[1:]] if rows else []
