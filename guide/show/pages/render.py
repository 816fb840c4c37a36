"""The two template engines: HTML that escapes always, Markdown with its own escaping."""

import base64
import marshal
import os
import re
import sys
from contextlib import suppress
from functools import cache, lru_cache
from hashlib import sha256
from importlib.util import cache_from_source
from pathlib import Path
from typing import Any, Literal

from jinja2 import BytecodeCache, Environment, FunctionLoader, StrictUndefined, compiler
from jinja2.bccache import Bucket
from markupsafe import Markup

from guide.read.spoken import plural, said, spelt, unsafe
from guide.record.clock import time_text
from guide.show.model import Report
from guide.show.pages.illustrate import face_letters, stack_page, swatches
from guide.show.pictures.svg import DARK, LIGHT, PRINT, css
from guide.show.report_cautions import MAKE_SAFE, caution, left_safe, washing
from guide.show.words import unbroken

TYPE = Path(__file__).parent / "type"
WEIGHTS = {"regular": "400", "semibold": "600 700"}
WIDE = re.compile(r"--wide:([\d.]+)mm")
BESIDE = 96.0  # mm a picture may be wide to stand beside words on a sheet
Format = Literal["html", "markdown"]
TAGS = re.compile(r"(\{[{%#].*?[}%#]\})", re.DOTALL)
OURS = re.compile(r"wadding(?: square)?", re.IGNORECASE)
GAPS = re.compile(r"\n{3,}")
LOOSE = re.compile(r"(?m)^( *- .*)\n\n(?= *- )")  # items that several macros gave to one list
MODES = {  # what a session was that is no real making, said loud
    "rehearsal": "Played through on its own at the planned paces. Nobody sewed this; no time here was worked.",
    "practice": "Sewn as an exercise: the times are real, the piece is not for the record.",
}
WORKED_OUT = "Sizes are worked out from the project file; times marked as starter paces are estimates nobody timed."
HIDDEN = unsafe(but="\t\n", besides="\u200b\u2060")
ALWAYS = re.compile(r"([\\`*_{}\[\]|~$@])")
AT_THE_START = re.compile(r"^(#|[-+](?=\s|$|-)|=|\d{1,9}(?=[.)](?:\s|$)))")
LINKS = re.compile(r"(?i)(:)(?=//)|(?<=\bwww)(\.)")
PHRASES = re.compile(r"'[^']* [^']*'")  # inside a tag, what is said and no name


TEMPLATES = Path(__file__).parent / "templates"


class _Compiled(BytecodeCache):
    """Templates compiled once, kept where Python keeps its own compiled files of this package, as it does.

    Whoever may write there may write the program, so nothing more is trusted. Compiling costs a page as much as all
    the rest of it; where nothing can be kept, or what is kept is no use, that is all that happens.
    """

    def __init__(self, fmt: Format, words: str) -> None:
        self.variant = f"{fmt}{words}"  # a template's own words and constants are compiled into it

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        """Give the file of a template."""
        del filename
        return cache_from_source(TEMPLATES / f"{name.replace('.', '_')}.py", optimization=self.variant)

    def get_source_checksum(self, source: str) -> str:
        """Tell apart what is compiled, by which compiler, with which options."""
        by = [str(Path(one).stat().st_mtime_ns) for one in (compiler.__file__, __file__)]
        return sha256("\n".join((*by, source)).encode()).hexdigest()

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what is kept of this very template."""
        with suppress(OSError, ValueError, TypeError, EOFError):
            checksum, _, code = Path(bucket.key).read_bytes().partition(b"\n")
            if checksum == bucket.checksum.encode():
                bucket.code = marshal.loads(code)  # noqa: S302 - from the program's own folder

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep it, whole or not at all."""
        if sys.dont_write_bytecode:
            return
        place = Path(bucket.key)
        beside = place.with_name(f"{place.name}.{os.getpid()}")
        with suppress(OSError):
            place.parent.mkdir(exist_ok=True)
            try:
                beside.write_bytes(bucket.checksum.encode() + b"\n" + marshal.dumps(bucket.code))
                beside.replace(place)
            finally:
                beside.unlink(missing_ok=True)


@lru_cache(maxsize=4)
def _engine(fmt: Format, words: str) -> Environment:
    def in_words(name: str) -> str:
        """A template's own words in the project's words, before any of the maker's are in it."""
        source = (TEMPLATES / name).read_text("utf-8")
        return source if words == "british" else "".join(_in_words(part, words) for part in TAGS.split(source))

    html = fmt == "html"
    engine = Environment(
        autoescape=True,  # Markdown's values are escaped for what they are there, and are markup from then on
        finalize=_html if html else _markdown,
        loader=FunctionLoader(in_words),
        bytecode_cache=_Compiled(fmt, words),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    ours = (washing, left_safe, typeface, sheet_heads, sheet_head, swatches, face_letters, stack_page, css)
    engine.globals |= {one.__name__: one for one in ours}
    engine.globals |= {
        "html": html,
        "macros": "html.j2" if html else "markdown.j2",
        "lang": "en-GB" if words == "british" else "en-US",
        "caution": lambda name: caution(name, words),
        "MODES": MODES,
        "MAKE_SAFE": MAKE_SAFE,
        "WORKED_OUT": WORKED_OUT,
        "LIGHT": LIGHT,
        "DARK": DARK,
        "PRINT": PRINT,
    }
    engine.filters |= {
        "code": code_markdown,
        "duration": time_text,
        "plural": plural,
        "wide": lambda svg: float((WIDE.search(str(svg)) or ["", "0"])[1]) > BESIDE,
    }
    return engine


@cache
def typeface() -> Markup:
    """The pages' own typeface, to stand in a page: with it a page looks and breaks the same on every computer.

    Letters it does not hold, of other scripts, are the reader's system's. It is Inter cut down by `tests/typeface.py`;
    its licence, the SIL Open Font License 1.1, lies beside it.
    """
    rules = (
        f'@font-face {{ font-family: "Fraywork"; font-weight: {weight}; src: url("data:font/woff2;base64,'
        f'{base64.b64encode((TYPE / f"{name}.woff2").read_bytes()).decode()}") format("woff2"); }}'
        for name, weight in WEIGHTS.items()
    )
    return Markup("\n".join(rules))  # noqa: S704 - our own files


def sheet_heads(title: str, size: float = 11) -> Markup:
    """What stands on top of every sheet in print, `size` pt: its number of how many, the title; two lines fit."""
    said = f'"sheet " counter(page) " of " counter(pages) " · " {_css_text(title)}'
    room = f"margin-top: {2.5 * size + 15:g}pt"
    rule = f'@page {{ font: {size:g}pt "Fraywork", sans-serif; {room}; @top-left {{ content: {said}; }} }}'
    return Markup(rule)  # noqa: S704 - the title is escaped


def sheet_head(sheet: str, head: str) -> Markup:
    """What stands on the right on top of the sheets of a name."""
    return Markup(f"@page {sheet} {{ @top-right {{ content: {_css_text(head)}; }} }}")  # noqa: S704 - escaped


def _css_text(text: str) -> str:
    """A text as CSS reads it back, every character that is no plain letter or figure by its number."""
    plain = (one if one.isascii() and one.isalnum() else f"\\{ord(one):x} " for one in text)
    return f'"{"".join(plain)}"'


def _html(value: Any) -> Any:
    """A printed value with its lengths held together; what is markup already stays."""
    return unbroken(value) if type(value) is str else value


def _markdown(value: Any) -> Markup:
    """A printed value escaped, its lengths held together; what is escaped already stays."""
    return value if isinstance(value, Markup) else Markup(unbroken(escape_markdown(value)))  # noqa: S704


def ours(text: str, words: str) -> str:
    """A thing's name in the project's words where the program gave it; a maker's own name stays as written."""
    return said(text, words) if OURS.fullmatch(text) else text


def _in_words(part: str, words: str) -> str:
    """A piece of a template in the project's words; inside a tag only its phrases."""
    if part.startswith("{"):
        return PHRASES.sub(lambda found: said(found[0], words), part)
    return said(part, words)


def render(name: str, fmt: Format, report: Report | None, *, words: str = "british", **more: Any) -> str:
    """Render a page, of a report where there is one; whatever a maker wrote comes out as visible, harmless text."""
    engine = _engine(fmt, report.project.words if report else words)
    page = clean(engine.get_template(f"{name}.j2").render(r=report, **({"pictures": {}} | more)))
    return page if fmt == "html" else LOOSE.sub(r"\1\n", GAPS.sub("\n\n", page)).strip() + "\n"


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
