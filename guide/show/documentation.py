"""The pages of the program's documentation, which lie in `guide/docs`, as lines for a terminal."""

import re
import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

import msgspec

from guide.show.table import heading

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


def topics() -> dict[str, str]:
    """Give every page's title by its name."""
    return {name: _text(name).split("\n")[0].removeprefix("# ") for name in ORDER}


def page_lines(name: str, width: int) -> list[str]:
    """Lay a page out: headings stitched, paragraphs filled, tables row by row, what is typed as it is."""
    out: list[str] = []
    for kind, lines in _parts(_text(name)):
        if kind == "typed":
            out += [f"    {line}" for line in lines]
        elif kind == "heading":
            out += [part for line in lines for part in _heading(line.lstrip("# "), width)]
        elif kind == "table":
            out += _table([_cells(line) for line in lines if not line.startswith("|---")], width)
        elif kind == "text":
            out += _filled(lines, width)
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

    for part, lines in groupby(text.split("\n"), kind):
        yield part, [line.removeprefix("    ") if part == "typed" and not fenced else line for line in lines]


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


# The trade's words as this guide uses them [common practice, no source].


class Word(msgspec.Struct, frozen=True):
    """A word and what it means; its American word, where it differs, is in `guide.read.spoken`."""

    word: str
    means: str


GLOSSARY: tuple[Word, ...] = (
    Word("above, below", "the layers of a block over and under its wadding"),
    Word("back", "a cushion's other side, which holds its closure"),
    Word("back-stitch", "a few stitches back over the last ones, so that a seam holds"),
    Word("block", "a stack of squares quilted as one"),
    Word("cloth", "any yardage, patterned or plain"),
    Word(
        "kind of cloth",
        "what a print is made of, such as denim: how heavy, how thick squeezed, how it frays and shrinks",
    ),
    Word("closure", "how an opening shuts: a zip, or an envelope of two panels that overlap"),
    Word("crossing", "where four blocks meet and two seams cross"),
    Word("face", "what shows inside the outer seam"),
    Word("fringe", "the edges left up beside a raw-edge seam; they fray when snipped and washed"),
    Word("free end", "the bit at each end of a raw-edge seam that is left unsewn, so that the next seam can cross it"),
    Word("front", "the quilted panel of a cushion"),
    Word("make", "one finished article: make 6 is six of them"),
    Word("nest", "to lay seams pressed opposite ways against each other"),
    Word("opening", "where the pad goes in"),
    Word("pace", "time per piece, per metre or per step"),
    Word("pad", "the inner cushion"),
    Word("panel", "rows of blocks joined"),
    Word("piece", "what a step is counted in: a block, a seam, a strip"),
    Word("pitch", "one block from seam to seam, before quilting draws it in"),
    Word("press", "to put the iron down and lift it, without pushing"),
    Word("print", "a patterned cloth"),
    Word("project", "one file that says what is made, of what and for whom"),
    Word("raw-edge seam", "a seam sewn wrong sides together, its edges left up on the front"),
    Word("rehearsal", "a session that plays itself through at the starter paces; it counts for nothing"),
    Word("row", "blocks joined side by side"),
    Word("selvedge", "the woven edge of a cloth, which does not fray"),
    Word("session", "one making of a project, kept in one journal file, over any number of sittings"),
    Word("slider", "the part of a zip that is pulled"),
    Word("snip", "a short cut into an edge, up to the stitching and never through it"),
    Word("square", "a piece of cloth cut to size"),
    Word("stack", "the squares of one block, front face first"),
    Word("tack", "long stitches that are taken out again"),
    Word("throw", "a cover that shows both faces and has no closure"),
    Word("unpicker", "a small forked blade for taking stitches out"),
    Word("wadding", "the soft layer inside a block"),
    Word("walking foot", "a machine foot that feeds the upper layers too"),
    Word("zip", "a closure with teeth and a slider"),
)
