"""`guide help`: the documentation, page by page, as it lies in `guide/docs`; `guide words`: the trade's words."""

import re
import sys
import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

import click

from guide.commands.common import clean_lines, columns, say
from guide.read.model import did_you_mean
from guide.read.spoken import said
from guide.show.table import heading, lines, of_texts

DOCS = Path(__file__).parent.parent / "docs"
ORDER = (
    "project",
    "layout",
    "machine",
    "beside",
    "record",
    "paper",
    "book",
    "times",
    "class",
    "computers",
    "own",
    "stages",
    "formulas",
    "commands",
)  # of a maker's work
_MARKS = re.compile(r"\*\*|`")
BESIDE = 10  # characters of a table's first column, up to which the rest stands beside it


@click.command("help", epilog="\b\nExamples:\n  guide help\n  guide help machine\n  guide help plan")
@click.argument("topic", required=False)
@click.pass_context
def command(ctx: click.Context, topic: str | None) -> None:
    """Show a page of the documentation, or what a command can do; with no TOPIC, list the pages."""
    titles = topics()
    group = ctx.find_root().command
    assert isinstance(group, click.Group)
    if topic is None:
        say("\n".join(lines(of_texts(("", ""), titles.items()), indent=0)))
    elif topic in titles:
        _show("\n".join(page_lines(topic, columns())))
    elif found := group.get_command(ctx, topic):
        with click.Context(found, ctx.find_root(), info_name=topic) as of_it:
            say(found.get_help(of_it))
    else:
        near = did_you_mean(topic, [*titles, *group.list_commands(ctx)])
        raise click.UsageError(f"there is no page {topic}{near or '; guide help lists them'}")


def _show(text: str) -> None:
    """Show a long text a screenful at a time where somebody sits at a terminal."""
    text = clean_lines(text)
    if sys.stdin.isatty() and sys.stdout.isatty():
        click.echo_via_pager(text)
    else:
        click.echo(text)


@click.command("words", epilog="\b\nExamples:\n  guide words\n  guide words wadding")
@click.argument("word", required=False)
def words_command(word: str | None) -> None:
    """List the words used here, what they mean, and the American word where it differs."""
    from guide.show.report_day import GLOSSARY

    american = {g.word: said(g.word, "american") for g in GLOSSARY}
    if word is not None and word.lower() not in {*american, *american.values()}:
        raise click.UsageError(f"{word} is not in the list{did_you_mean(word, [g.word for g in GLOSSARY])}")
    rows = []
    for entry in GLOSSARY:
        theirs = american[entry.word]
        if word is None or word.lower() in {entry.word, theirs}:
            rows.append((entry.word, entry.means + (f"  (American: {theirs})" if theirs != entry.word else "")))
    say("\n".join(lines(of_texts(("", ""), rows), indent=0)))


def topics() -> dict[str, str]:
    """Give every page's title by its name."""
    return {name: _text(name).split("\n")[0].removeprefix("# ") for name in ORDER}


def page_lines(name: str, width: int) -> list[str]:
    """Lay a page out: headings stitched, paragraphs filled, tables row by row, what is typed as it is."""
    out: list[str] = []
    for kind, rows in _parts(_text(name)):
        if kind == "typed":
            out += [f"    {line}" for line in rows]
        elif kind == "heading":
            out += [part for line in rows for part in _heading(line.lstrip("# "), width)]
        elif kind == "table":
            out += _table([_cells(line) for line in rows if not line.startswith("|---")], width)
        elif kind == "text":
            out += _filled(rows, width)
        elif kind == "gap" and out and out[-1]:
            out.append("")
    return out


def _heading(title: str, width: int) -> list[str]:
    stitched = heading(title, width)
    return [stitched] if len(stitched) <= width else textwrap.wrap(title, width)


def _text(name: str) -> str:
    return (DOCS / f"{name}.md").read_text(encoding="utf-8").strip()


def _parts(text: str) -> Iterator[tuple[str, list[str]]]:
    """Tell a page's parts apart: heading, text, table, typed, or the gap between two."""
    fenced = False

    def kind(line: str) -> str:
        nonlocal fenced
        if line.startswith("```"):
            fenced = not fenced
            return "fence"
        if fenced or line.startswith("    "):
            return "typed"
        if line.startswith("<!--"):
            return "note"
        return {"#": "heading", "|": "table", "": "gap"}.get(line[:1], "text")

    for part, rows in groupby(text.split("\n"), kind):
        yield part, [line.removeprefix("    ") if part == "typed" and not fenced else line for line in rows]


def _filled(lines: Sequence[str], width: int) -> list[str]:
    """Fill paragraphs, and the items of a list each on its own."""
    out: list[str] = []
    for item in re.split(r"\n(?=- )", "\n".join(lines)):
        text = _MARKS.sub("", re.sub(r"\n *", " ", item))
        # Choices that no line holds are parted between them, not within a word.
        text = re.sub(rf"\S{{{width - 1},}}", lambda long: long[0].replace("|", "| "), text)
        out += textwrap.wrap(text, width, subsequent_indent="  " if text.startswith("- ") else "")
    return out


def _cells(line: str) -> list[str]:
    return [_MARKS.sub("", cell).replace("\\|", "|").strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]


def _table(rows: Sequence[Sequence[str]], width: int) -> list[str]:
    """Lay a table out for any width: what a row is about, what it says, and the other columns by their heads."""
    head, *rest = rows
    longest = max(len(row[0]) for row in rest)
    indent = " " * (longest + 2 if longest <= BESIDE else 4)
    out: list[str] = []
    for first, *middle, last in rest:
        besides = [f"{name}: {cell}" if name else cell for name, cell in zip(head[1:-1], middle, strict=True) if cell]
        beside = longest <= BESIDE
        out += [] if beside else textwrap.wrap(first, width)
        start = f"{first:<{len(indent)}}" if beside else indent
        out += textwrap.wrap(last or "-", width, initial_indent=start, subsequent_indent=indent)
        out += textwrap.wrap("; ".join(besides), width, initial_indent=indent, subsequent_indent=indent)
    return out
