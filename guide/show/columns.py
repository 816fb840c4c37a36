"""How wide is a text in a terminal? Tables and the screen count its columns here, not its letters."""

from functools import lru_cache

_FIRST_ODD = "\u0300"  # before it every character that is shown takes one column


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
