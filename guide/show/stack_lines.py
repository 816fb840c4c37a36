"""The stacks as they are laid: their words and tables, for a terminal, a page and Markdown alike; and the faces.

On either face prints are seen row by row. A cushion's back is a panel of its own: its rows and columns are counted with
its right sides up, which is how it is laid out, sewn from and seen on the cushion. A throw's other face is the panel
itself, turned like the page of a book.
"""

from guide.plan.model import Layout
from guide.plan.parts import Pile, Stack
from guide.read.spoken import counted, said
from guide.show.model import Report
from guide.show.table import Cell, Column, Table, lines, table

Rows = list[list[str]]


def face_rows(layout: Layout, layer: int) -> Rows:
    """The prints of one layer, row by row: the panel's front, or the back's own right side."""
    rows = [[""] * layout.across for _ in range(layout.down)]
    for block in layout.blocks:
        rows[block.row - 1][block.column - 1] = block.stack[layer]
    return rows


def back_rows(report: Report) -> Rows | None:
    """The back row by row as it is seen; None when it is one cloth, or nothing is laid."""
    if report.backing is not None:
        return face_rows(report.backing, 0)
    if report.layout is None or report.project.back != "none":
        return None
    return mirrored(face_rows(report.layout, -1))


def back_words(report: Report) -> str:
    """What the back is called and how it comes into sight; an envelope's two panels lie apart until they are joined."""
    how = ""
    if report.backing is not None:
        how = ", its two panels apart" if report.project.closure == "envelope" else ", a panel of its own"
    elif back_rows(report) is not None:
        how = ", turned like a page"
    return f"Back, as you see it{how}"


def mirrored(rows: Rows) -> Rows:
    """A face once the work is turned like a page: column c stands at across + 1 − c."""
    return [row[::-1] for row in rows]


WIDE = 60  # letters that a line of the map holds
FEW = 12  # kinds of stacks that a plan in a terminal lists


def stack_words(report: Report) -> list[str]:
    """How a stack's letters are read: which square is laid first, which way up, where the wadding goes."""
    found, project = report.stack_map, report.project
    if found is None:
        return []
    deep = len(found.stacks[0].laid)
    if deep == 1:
        order = "A stack is one square, its right side up."
    elif found.below:
        order = "Letters stand in the order of laying: the first is laid first, right side down; the last is the front."
    else:
        order = "Letters stand in the order of laying: the first is laid first, the last is the front."
    out = [order]
    if found.wadding:
        where = f"after {counted(found.below, 'square')}" if found.below else "first, under all squares"
        out.append(said(f"The wadding is laid {where}.", project.words))
    if any(pile.back for pile in found.piles):
        kept = ", ".join(f"{pile.letter} {pile.back}" for pile in found.piles if pile.back)
        out.append(f"Of the piles, for the back: {kept}.")
    if project.make > 1:
        out.append(f"How many is of all {project.make}, the places are of each.")
    return out


def stacks_table(report: Report) -> Table:
    """Equal stacks counted together, in the order of the piles they begin from."""
    found = report.stack_map
    columns = [
        Column[Stack]("Stack", lambda one: one.letters, style="big"),
        Column[Stack]("how many", lambda one: f"× {one.count}", number=True),
        Column[Stack]("where", lambda one: one.places_text),
    ]
    return table(columns, [found.stacks if found else ()], label="Stacks in laying order", css="stacks")


def piles_table(report: Report) -> Table:
    """How many squares of each print the piles must hold."""
    piles = report.stack_map.piles if report.stack_map else ()
    columns = [
        Column[Pile]("Pile", lambda one: Cell(f"{one.letter} {one.print}")),
        Column[Pile]("for stacks", lambda one: f"{one.stacks}", number=True),
        Column[Pile]("for the back", lambda one: f"{one.back}", number=True, shown=any(one.back for one in piles)),
        Column[Pile]("in all", lambda one: f"{one.total}", number=True, style="big"),
    ]
    return table(columns, [piles], label="Squares of each print", css="piles")


def place_tables(report: Report) -> list[Table]:
    """Row by row which stack lies where, so many columns at a time as a line holds."""
    found = report.stack_map
    if found is None:
        return []
    there = {at: one.letters for one in found.stacks for at in one.places}
    across, down = report.project.across, report.project.down
    short = all(len(letter) == 1 for one in found.stacks for letter in one.letters.split())
    told = {at: text.replace(" ", "") if short else text for at, text in there.items()}
    room = max(1, WIDE // (max(map(len, told.values())) + 1))

    def says(column: int) -> Column[int]:
        return Column(f"{column}", lambda row: told[row, column])

    return [
        table(
            [Column[int]("Row", lambda row: f"{row}"), *map(says, range(first, min(first + room, across + 1)))],
            [range(1, down + 1)],
            label=f"Stacks row by row, columns {first} to {min(first + room - 1, across)}",
            css="places",
        )
        for first in range(1, across + 1, room)
    ]


def stack_lines(report: Report, most: int | None = None) -> list[str]:
    """The stacks in a terminal; where they are of more than `most` kinds, where they are listed."""
    found = report.stack_map
    if found is None:
        return []
    if most is not None and len(found.stacks) > most:
        return [f"  {len(found.stacks)} kinds of stacks: guide layout lists them, in the order they are laid"]
    return ["", "Stacks", *(f"  {one}" for one in stack_words(report)), *lines(stacks_table(report))]
