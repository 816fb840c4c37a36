"""The two template engines: HTML that escapes always, Markdown with its own escaping."""

import re
from functools import lru_cache
from typing import Any, Literal

from jinja2 import Environment, FunctionLoader, PackageLoader, StrictUndefined

from guide.read.plurals import plural
from guide.read.spoken import said
from guide.show.faces import back_words
from guide.show.pages.clean import clean, code_markdown, escape_markdown
from guide.show.report_cautions import caution, washing
from guide.show.words import minutes, unbroken

Format = Literal["html", "markdown"]
TAGS = re.compile(r"(\{[{%#].*?[}%#]\})", re.DOTALL)
OURS = re.compile(r"wadding(?: square)?", re.IGNORECASE)
PHRASES = re.compile(r"'[^']* [^']*'")  # inside a tag, what is said and no name


@lru_cache(maxsize=4)
def _engine(fmt: Format, words: str) -> Environment:
    shipped = PackageLoader("guide.show.pages")
    bare = Environment()  # noqa: S701 - only reads files

    def in_words(name: str) -> str:
        """A template's own words in the project's words, before any of the maker's are in it."""
        source = shipped.get_source(bare, name)[0]
        return source if words == "british" else "".join(_in_words(part, words) for part in TAGS.split(source))

    options: dict[str, Any] = {
        "loader": FunctionLoader(in_words),
        "undefined": StrictUndefined,
        "trim_blocks": True,
        "lstrip_blocks": True,
    }
    if fmt == "html":
        engine = Environment(autoescape=True, finalize=_html, **options)
    else:
        # Markdown is not HTML: every printed value goes through its own escaping instead.
        engine = Environment(autoescape=False, finalize=_markdown, **options)  # noqa: S701
    engine.filters["code"] = code_markdown
    engine.globals["caution"] = lambda name: caution(name, words)
    engine.globals["washing"] = washing
    engine.globals["back_words"] = back_words
    engine.filters["duration"] = minutes
    engine.filters["plural"] = plural
    engine.filters["spoken"] = lambda text: said(text, words)
    engine.filters["ours"] = lambda text: ours(text, words)
    engine.filters["number"] = "{:g}".format
    engine.filters["unbroken"] = unbroken
    return engine


def _html(value: Any) -> Any:
    """A printed value with its lengths held together; what is markup already stays."""
    return unbroken(value) if type(value) is str else value


def _markdown(value: Any) -> str:
    """A printed value escaped, its lengths held together."""
    return unbroken(escape_markdown(value))


def ours(text: str, words: str) -> str:
    """A thing's name in the project's words where the program gave it; a maker's own name stays as written."""
    return said(text, words) if OURS.fullmatch(text) else text


def _in_words(part: str, words: str) -> str:
    """A piece of a template in the project's words; inside a tag only its phrases."""
    if part.startswith("{"):
        return PHRASES.sub(lambda found: said(found[0], words), part)
    return said(part, words)


def render(name: str, fmt: Format, report: dict[str, Any], **more: Any) -> str:
    """Render a page from the report; whatever a maker wrote comes out as visible, harmless text."""
    template = _engine(fmt, report["project"]["words"]).get_template(f"{name}.{'html' if fmt == 'html' else 'md'}.j2")
    return clean(template.render(r=report, **({"pictures": {}} | more)))
