"""Which characters may not stand in a text: those that steer a terminal or an editor instead of being read."""

import re

# Controls, line ends of other kinds, what turns the direction of writing, and halves of characters.
_UNSAFE = "\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff"


def unsafe(*, but: str = "", besides: str = "") -> re.Pattern[str]:
    """Make the pattern of one unsafe character; `but` may stand here, `besides` may not stand here either."""
    return re.compile(f"(?![{re.escape(but)}])[{_UNSAFE}{besides}]" if but else f"[{_UNSAFE}{besides}]")


def spelt(found: re.Match[str]) -> str:
    """Spell a character as a backslash code, so that it is seen and does nothing."""
    return f"\\u{ord(found[0]):04x}"
