"""Making a user's text harmless and visible before it reaches a page."""

import re
from typing import Any

HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060\u2066-\u2069\ufeff\ud800-\udfff]"
)
ALWAYS = re.compile(r"([\\`*_{}\[\]|~$@])")
AT_THE_START = re.compile(r"^(#|[-+](?=\s|$|-)|=|\d{1,9}(?=[.)](?:\s|$)))")
LINKS = re.compile(r"(?i)(:)(?=//)|(?<=\bwww)(\.)")


def clean(page: str) -> str:
    """A page with control and direction characters spelled out as backslash codes.

    Done once, on the finished page: what is put in is plain letters, in HTML and in Markdown alike.
    """
    return HIDDEN.sub(lambda found: f"\\u{ord(found[0]):04x}", page.replace("\r\n", "\n"))


class Marked(str):
    """Markdown that is already escaped."""

    __slots__ = ()


def code_markdown(text: str) -> str:
    """Something to be read letter by letter, as a formula: a span of code where it can be one."""
    return escape_markdown(text) if {"`", "|", "\n"} & set(text) else Marked(f"`{text}`")


def escape_markdown(value: Any) -> str:
    """Text as Markdown shows it, on one line, with every mark of the language escaped."""
    if isinstance(value, Marked):
        return value
    if value is None:
        return ""
    text = " ".join(str(value).split()) if "\n" in str(value) else str(value)
    text = ALWAYS.sub(r"\\\1", text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = LINKS.sub(lambda found: f"\\{found[0]}", text)
    return AT_THE_START.sub(lambda found: f"{found[0]}\\" if found[0].isdigit() else f"\\{found[0]}", text)
