"""The two template engines: HTML that escapes always, Markdown with its own escaping; and the pictures pages share."""

import base64
import marshal
import os
import re
import sys
from collections.abc import Iterable
from contextlib import suppress
from functools import cache, lru_cache, partial
from hashlib import sha256
from importlib.util import cache_from_source
from pathlib import Path
from typing import Any, Literal

import msgspec
from jinja2 import BytecodeCache, Environment, FunctionLoader, StrictUndefined, compiler
from jinja2.bccache import Bucket
from markupsafe import Markup
from msgspec.structs import replace

from guide.plan.parts import EACH, StackMap
from guide.read.spoken import labelled, plural, said, spelt, unsafe
from guide.record.clock import time_text
from guide.show.cutting_lines import (
    FEW,
    back_rows,
    back_words,
    face_rows,
    piles_table,
    place_tables,
    stack_words,
    stacks_table,
)
from guide.show.model import Report, Setting
from guide.show.pictures.cloth import Look, looks
from guide.show.pictures.faces import AS_IT_IS, Seen, face, plain_back, stack_row, swatch
from guide.show.pictures.svg import DARK, LIGHT, PRINT, css
from guide.show.report_cautions import MAKE_SAFE, caution, left_safe, washing
from guide.show.report_numbers import number, words, zip_place
from guide.show.table import Table
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
    ours = (washing, left_safe, typeface, sheet_heads, sheet_head, css, swatches, face_letters)
    of_stacks = (stack_words, piles_table, stacks_table, stack_pictures, stacks_by_place)
    engine.globals |= {one.__name__: one for one in (*ours, *of_stacks)}
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


# The pictures that pages show, drawn from the report's own numbers.

SMALL = 5  # blocks a side, up to which a picture beside others has room for letters
MAP_WIDE, MAP_HIGH, MARGINS = 180.0, 205.0, 25.5  # paper mm of a map on its own sheet
TALL = 120.0  # paper mm of a face among words, at most


def figure_list(report: Report, pairs: Iterable[tuple[str, str]]) -> list[Setting]:
    """The large figures of a page with their labels; those there is nothing of are left out."""
    spoken = report.project.words
    return [Setting(said(labelled(label, text), spoken), text) for text, label in pairs if text.strip(" ×")]


def looks_of(report: Report) -> dict[str, Look]:
    """How the project's prints are drawn."""
    return looks([(p.name, p.letter, p.colour) for p in report.prints])


def safe(svg: str) -> Markup:
    """A finished picture: it escapes its own texts."""
    return Markup(svg)  # noqa: S704 - made of elements whose every attribute and text is escaped


def faces(
    report: Report,
    sides: tuple[str, str] = ("face_width", "face_height"),
    *,
    lettered: bool = True,
    seen: Seen = AS_IT_IS,
) -> dict[str, Markup]:
    """Front and back as they are seen, whichever the project has; `sides`: the quantities written beside them.

    A buyer's have no letters on the prints.
    """
    layout, project = report.layout, report.project
    pitch, seam = number(report, "pitch"), number(report, "seam")
    if layout is None or pitch is None or seam is None:
        return {}
    width, height = (words(report, side) for side in sides)
    looks = {name: replace(look, lettered=lettered) for name, look in looks_of(report).items()}
    draw = partial(face, looks=looks, pitch_mm=pitch, fringe_mm=seam, width_text=width, height_text=height)
    drawn = project.quilting in {"cross", "plus"} and not seen.heads  # a map is for the prints
    quilted = project.quilting if drawn else ""
    if not seen.heads:  # a tall panel is drawn so narrow that a sheet holds it
        seen = replace(seen, shown_mm=min(seen.shown_mm, MARGINS + max(20.0, TALL * layout.across / layout.down)))
    front = face_rows(layout, 0)
    out = {"front": safe(draw(front, title=face_words("Front", front), seen=replace(seen, quilted=quilted)))}
    rows, (after, upright) = back_rows(report), zip_place(report)
    if rows is None:
        at = None if after is None else after * pitch
        plain = _plain_back(report, looks, seam, (width, height), replace(seen, zip_after=at, zip_upright=upright))
        return out | ({"back": safe(plain)} if plain else {})
    if project.closure == "envelope":
        draw = partial(draw, height_text=f"2 × {len(rows) // 2} rows")
    through = quilted if project.back == "none" else ""
    turned = report.backing is None  # the back is no panel of its own: what became of the front's blocks is seen there
    moved, again = (
        frozenset((row, layout.across + 1 - column) for row, column in of if turned) for of in (seen.moved, seen.again)
    )
    behind = replace(
        seen,
        frayed=False,
        quilted=through,
        zip_after=after,
        zip_upright=upright,
        turned=turned,
        moved=moved,
        again=again,
    )
    return out | {"back": safe(draw(rows, title=face_words(back_words(report), rows), seen=behind))}


def maps(report: Report, wide_mm: float = MAP_WIDE) -> dict[str, Markup]:
    """The faces by their names, a sheet wide, to pin up; none of a panel whose letters fit on a small picture."""
    project = report.project
    if max(project.across, project.down) <= SMALL:
        return {}
    high = MAP_HIGH * wide_mm / MAP_WIDE
    wide = max(MARGINS + 40.0, min(wide_mm, MARGINS + high * project.across / max(1, project.down)))
    drawn = faces(report, seen=Seen(shown_mm=wide, heads=True))
    return {"front" if side == "front" else back_words(report).lower(): one for side, one in drawn.items()}


def _plain_back(report: Report, looks: dict[str, Look], seam: float, texts: tuple[str, str], seen: Seen) -> str:
    """The back where it is one cloth; nothing where it is none, or has no size."""
    wide, high = number(report, "face_width"), number(report, "face_height")
    look = looks.get(report.project.back_cloth or "")
    if look is None or wide is None or high is None:
        return ""
    title = f"{back_words(report)}, all of {look.name}."
    return plain_back(look, (wide, high), texts, fringe_mm=seam, title=title, seen=seen)


def face_words(name: str, rows: list[list[str]]) -> str:
    """The text alternative of a face: every row read out."""
    lines = "; ".join(f"row {number}: {', '.join(row)}" for number, row in enumerate(rows, 1))
    return f"{name}. {lines}."


def stack_pictures(found: StackMap, report: Report) -> dict[str, Markup]:
    """Each kind of stack by its letters, drawn layer by layer."""
    drawn = looks_of(report)
    return {
        one.letters: safe(
            stack_row(
                one.laid, drawn, below=found.below, wadding=found.wadding,
                title=f"Stack {one.letters}: {', then '.join(one.laid)}.",
            )
        )
        for one in found.stacks
    }  # fmt: skip


def stacks_by_place(found: StackMap, report: Report) -> list[Table]:
    """Which stack lies where, where the kinds are many."""
    many = len(found.stacks) > FEW or any(len(one.places) > EACH for one in found.stacks)
    return place_tables(report) if many else []


def swatches(report: Report) -> dict[str, Markup]:
    """A small piece of each print, by its letter, to stand in the legend."""
    return {look.letter: safe(swatch(look)) for look in looks_of(report).values()}


class Face(msgspec.Struct, frozen=True):
    """One face as letters, row by row, and which picture shows it."""

    name: str
    picture: str
    rows: list[list[str]]


def face_letters(report: Report) -> list[Face]:
    """Both faces, for pages with and without pictures."""
    letters = {p.name: p.letter for p in report.prints}
    front = face_rows(report.layout, 0) if report.layout else None
    sides = (("Front", "front", front), (back_words(report), "back", back_rows(report)))
    return [
        Face(name, picture, [[letters.get(one, one) for one in row] for row in rows or ()])
        for name, picture, rows in sides
        if rows is not None or (picture == "back" and report.project.back_cloth)
    ]
