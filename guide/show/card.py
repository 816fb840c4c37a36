"""What is a card? A title, lines, the keys of use: made once, painted on the screen and printed in lines."""

from typing import Literal

import msgspec

Parts = list[tuple[str, str]]  # (role, text): the screen has a style for each role, lines have none
Keys = tuple[tuple[str, str], ...]


class Row(msgspec.Struct, frozen=True):
    """A paragraph of a card: what it says, and what stands before it. One that says nothing is a blank line."""

    parts: Parts = []
    sign: Literal["", "caution", "safe", "good", "more"] = ""
    key: str = ""  # the key or the number that this is about
    share: float | None = None  # a wait: how much of it is over
    typed: str | None = None  # what is being typed, and nothing else
    nudged: bool = False  # the arrows move what is typed
    cautions: tuple[str, ...] = ()  # by name: the screen says as much of them as it has room for


class Card(msgspec.Struct, frozen=True):
    """A card that takes the place of the step: its title, one size that may be set large, its lines, its keys."""

    title: str
    rows: list[Row]
    keys: Keys = ()
    big: str = ""
    sign: Literal["", "done", "caution", "problem"] = ""  # of the title
    bare: bool = False  # it needs the whole screen: no head, no seam
    picture: Literal["", "whole", "step"] = ""  # looked at with it: the whole layout, or the step's own drawing
    spoken: list[Row] = []  # what lines say in the picture's place


BLANK = Row()


def row(text: str, role: str = "") -> Row:
    """A paragraph in one role."""
    return Row([(role, text)])


def led(lead: str, text: str) -> Row:
    """A paragraph that begins with a word to find it by."""
    return Row([("here", lead), ("", f" {text}")])


def apart(rows: list[Row]) -> list[Row]:
    """Rows with a blank line before them, if there are any."""
    return [BLANK, *rows] if rows else []
