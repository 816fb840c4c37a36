"""One table, for a terminal, a page and Markdown alike: its columns are declared once, its cells are worked out once.

`lines` lays one out for a terminal; the macros `table` in `pages/templates/html.j2` and `markdown.j2` do for pages.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, Generic, TypeVar

import msgspec

from guide.read.spoken import said, spelt, unsafe

# What does a text take up in a terminal, and can it do harm there? Columns are counted here, not letters.

_FIRST_ODD = "\u0300"  # before it every character that is shown takes one column
_CONTROL = unsafe()
STITCH = "━ "


def clean(text: str) -> str:
    """Text that cannot steer a terminal: controls and direction marks are written out, a tab is a space."""
    return _CONTROL.sub(spelt, text.replace("\t", " "))


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


def clip(text: str, room: int) -> str:
    """As much of the text as `room` columns take, with … where it does not end."""
    if cells(text) <= room:
        return text
    while cells(text) > room - 1:
        text = text[:-1]
    return f"{text.rstrip()}…"


def heading(title: str, width: int) -> str:
    """Give a heading with a line of stitches to its right."""
    return f"{title} {STITCH * max(3, min(20, (width - cells(title) - 2) // 2))}".rstrip()


Thing = TypeVar("Thing")


class Note(msgspec.Struct, frozen=True):
    """What is said beside a cell in small letters, `strong` first.

    `under`: on a line of its own; `off`: marked as not as planned; `on`: it goes on with the cell's sentence.
    """

    text: str
    strong: str = ""
    under: bool = False
    off: bool = False
    on: bool = False


class Cell(msgspec.Struct, frozen=True):
    """A text, what is said beside it, and how it stands on a page.

    `style` is the whole cell's: big, soft; `mark` the text's: code, struck, good, off. A moment has its `iso`, and
    `day` where that must be told. `boxes`: how many to tick on a page.
    """

    text: str
    notes: tuple[Note, ...] = ()
    style: str = ""
    mark: str = ""
    iso: str = ""
    day: str = ""
    boxes: int = 0


class Column(msgspec.Struct, Generic[Thing], frozen=True):
    """What stands above a column, and what it says of a thing; all there is to it, in one place.

    `number`: set to the right. `style`: of its cells that have none. `least` and `gap`: characters it is at least
    wide in a terminal, and blanks before it. `shown`: False leaves it out.
    """

    head: str
    says: Callable[[Thing], Cell | str]
    number: bool = False
    style: str = ""
    least: int = 0
    gap: int = 2
    shown: bool = True


class Row(msgspec.Struct, frozen=True):
    """Cells, one a column; `sums`: what stands above or below the rows it adds up."""

    cells: tuple[Cell, ...]
    sums: bool = False


class Table(msgspec.Struct, frozen=True):
    """Groups of rows under heads; the column `names` says what a row is about.

    `label`: what a screen reader calls it. `css`: its class on a page.
    """

    columns: tuple[Column[Any], ...]
    groups: tuple[tuple[Row, ...], ...]
    label: str = ""
    caption: str = ""
    names: int = 0
    css: str = ""


def table(
    columns: Sequence[Column[Thing]],
    groups: Iterable[Iterable[Thing]],
    *,
    words: str = "british",
    sums: Callable[[Thing], bool] = lambda _: False,
    label: str = "",
    caption: str = "",
    names: int = 0,
    css: str = "",
) -> Table:
    """Ask every column of every thing. Heads and caption are ours, and said in the project's `words`.

    `groups`: things that stand together, group by group; `sums`: whether a thing adds up others.
    """
    shown = [column for column in columns if column.shown]

    def cell(column: Column[Thing], thing: Thing) -> Cell:
        told = column.says(thing)
        if isinstance(told, str):
            return Cell(told, style=column.style)
        return told if told.style or not column.style else msgspec.structs.replace(told, style=column.style)

    def row(thing: Thing) -> Row:
        return Row(tuple(cell(column, thing) for column in shown), sums=sums(thing))

    return Table(
        tuple(msgspec.structs.replace(one, head=said(one.head, words)) for one in shown),
        tuple(tuple(row(thing) for thing in group) for group in groups),
        said(label or caption, words),
        said(caption, words),
        names,
        css,
    )


def lines(one: Table, indent: int = 2, *, heads: bool = False) -> list[str]:
    """Lay a table out for a terminal: each column as wide as its widest cell, numbers to the right."""
    rows = [[cell.text for cell in row.cells] for group in one.groups for row in group]
    rows = [[column.head for column in one.columns], *rows] if heads else rows
    last = len(one.columns) - 1
    widths = [  # nothing is filled up after the last column
        max(column.least, *(cells(row[place]) for row in rows)) if rows and (column.number or place < last) else 0
        for place, column in enumerate(one.columns)
    ]

    def line(row: Sequence[str]) -> str:
        out = ""
        for place, (text, column, width) in enumerate(zip(row, one.columns, widths, strict=True)):
            gap = " " * (indent if place == 0 else column.gap)
            out += gap + (" " * (width - cells(text)) + text if column.number else fill(text, width) if width else text)
        return out.rstrip()

    return [line(row) for row in rows]


def of_texts(
    heads: Sequence[str], rows: Iterable[Sequence[str | Cell]], *, label: str = "", numbers: bool = False, css: str = ""
) -> Table:
    """A table of texts that are there already, each under its head; `numbers`: all but the first column are."""

    def says(place: int) -> Callable[[Sequence[str | Cell]], str | Cell]:
        return lambda row: row[place]

    columns = [Column(head, says(place), number=numbers and place > 0) for place, head in enumerate(heads)]
    return table(columns, [rows], label=label, css=css)


def headed(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lay texts out for a terminal, each column under its head, from the edge."""
    return lines(of_texts(heads, rows), indent=0, heads=True)


def pairs(rows: Iterable[tuple[str, str]]) -> list[str]:
    """Lay out for a terminal what things are called and what is said of each."""
    columns = [Column[tuple[str, str]]("", lambda row: row[0]), Column[tuple[str, str]]("", lambda row: row[1], gap=3)]
    return lines(table(columns, [rows]))


def beside(heads: tuple[str, str], rows: Iterable[tuple[str, str, str]], *, least: int = 0) -> list[str]:
    """Lay two sides out, label by label, for a terminal; a row that differs is marked. `least`: sums, to the right."""
    columns = [
        Column[tuple[str, str, str]]("", lambda row: "›" if row[1] != row[2] else " "),
        Column[tuple[str, str, str]]("", lambda row: row[0], gap=1),
        Column[tuple[str, str, str]](heads[0], lambda row: row[1], number=least > 0, least=least),
        Column[tuple[str, str, str]](heads[1], lambda row: row[2], gap=3),
    ]
    return lines(table(columns, [rows]), indent=0, heads=True)


def true_colour(environ: Mapping[str, str]) -> bool:
    """Whether the terminal says that it shows every colour as it is asked for, and nothing else is wanted."""
    return environ.get("COLORTERM", "").lower() in {"truecolor", "24bit"} and not environ.get("NO_COLOR")
