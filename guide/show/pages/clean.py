"""Making a user's text harmless and visible before it reaches a page."""

import re
from typing import Any

from markupsafe import Markup

from guide.read.unsafe import spelt, unsafe

HIDDEN = unsafe(but="\t\n", besides="\u200b\u2060")
ALWAYS = re.compile(r"([\\`*_{}\[\]|~$@])")
AT_THE_START = re.compile(r"^(#|[-+](?=\s|$|-)|=|\d{1,9}(?=[.)](?:\s|$)))")
LINKS = re.compile(r"(?i)(:)(?=//)|(?<=\bwww)(\.)")


def clean(page: str) -> str:
    """A page with control and direction characters spelled out as backslash codes.

    Done once, on the finished page: what is put in is plain letters, in HTML and in Markdown alike.
    """
    return HIDDEN.sub(spelt, page.replace("\r\n", "\n"))


def code_markdown(text: str) -> str:
    """Something to be read letter by letter, as a formula: a span of code where it can be one."""
    return escape_markdown(text) if {"`", "|", "\n"} & set(text) else Markup(f"`{text}`")  # noqa: S704


def escape_markdown(value: Any) -> str:
    """Text as Markdown shows it, on one line, with every mark of the language escaped."""
    if value is None:
        return ""
    text = " ".join(str(value).split()) if "\n" in str(value) else str(value)
    text = ALWAYS.sub(r"\\\1", text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = LINKS.sub(lambda found: f"\\{found[0]}", text)
    return AT_THE_START.sub(lambda found: f"{found[0]}\\" if found[0].isdigit() else f"\\{found[0]}", text)
