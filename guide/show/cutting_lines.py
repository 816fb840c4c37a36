"""The cutting in plain lines: a short line a cloth for the table, the numbered order with its sketch to cut by."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

import msgspec

from guide.plan.cutting.count import cutting_order, runs
from guide.plan.model import CutCloth, CutStrip, Cutting, Layout, Plan
from guide.plan.parts import WADDING, Pile, Stack, letter, ruler_of, sold_mm, washed_first
from guide.plan.shopping import gives_of
from guide.read.spoken import counted, said
from guide.read.units import INCHES, Ruler
from guide.show.model import Report
from guide.show.model_plan import CutPiece, CuttingReport, OrderRow
from guide.show.report_numbers import gives_report, ready_report
from guide.show.table import Cell, Column, Table, lines, table

# The cutting drawn in plain text: one band for strips that give the same, cuts dotted, what is left as points.

_DEEPEST = 6  # lines for one strip
_LABEL = 18  # characters beside the drawing


def sketch(cutting: Cutting, columns: int = 60, ruler: Ruler = INCHES) -> list[str]:
    """Lines no wider than `columns`: letters are parts, points are left over, dotted lines are cuts.

    A strip stands for all that give the same; its numbers and the ruler's setting are beside it.
    """
    names = list(dict.fromkeys(p.part for cloth in cutting.cloths for p in cloth.placements))
    letters = {name: letter(at) for at, name in enumerate(names)}
    wide = max(columns - _LABEL, 10)
    lines = [cutting.material[:columns]]
    for (head, *drawn), alike in groupby(tuple(_cloth(cloth, letters, wide, ruler)) for cloth in cutting.cloths):
        count = len(list(alike))
        lines += ["", f"{head}, {count} alike" if count > 1 else head, *drawn]
    lines += ["", *(f"{sign} {name}" for name, sign in letters.items())]
    return [line[:columns].rstrip() for line in lines]


def _cloth(cloth: CutCloth, letters: dict[str, str], wide: int, ruler: Ruler) -> Iterator[str]:
    where = "from the bolt" if cloth.bought else "on hand"
    ways = ", strips along the grain" if cloth.along else ""
    yield f"{where}: {ruler.told(cloth.width_mm)} by {ruler.told(cloth.length_mm)}{ways}"
    for run in _identical(cloth):
        yield "┄" * wide
        numbers = f"{run[0].number}" if len(run) == 1 else f"{run[0].number}-{run[-1].number}"
        label = f"  {numbers}  {ruler.told(run[0].setting)}"
        for line in _band(run[0], letters, wide):
            yield line + label
            label = ""
    yield "┄" * wide


def _identical(cloth: CutCloth) -> Iterator[list[CutStrip]]:
    """Strips that give the same, run by run; a last short one stands by itself."""
    for run in runs(cloth):
        yield from (list(same) for _, same in groupby(run, key=lambda strip: len(strip.lying)))


def _band(strip: CutStrip, letters: dict[str, str], wide: int) -> list[str]:
    """A strip's parts in so many characters; a character is twice as high as it is wide."""
    per_column = strip.area.right / wide
    deep = min(max(round(strip.setting / per_column / 2), 1), _DEEPEST)
    per_line = strip.setting / deep
    canvas = [["·"] * wide for _ in range(deep)]
    for one in strip.lying:
        left, right = (round(x / per_column) for x in (one.area.left, one.area.right))
        low, high = (round((y - strip.area.low) / per_line) for y in (one.area.low, one.area.high))
        _patch(canvas, letters[one.part], range(left, max(right, left + 1)), range(low, max(high, low + 1)))
    return ["".join(line) for line in canvas]


def _patch(canvas: Sequence[list[str]], sign: str, across: range, down: range) -> None:
    for line in canvas[down.start : down.stop]:
        for x in across[: max(len(canvas[0]) - across.start, 0)]:
            line[x] = "┊" if x == across.start else " "
    middle = min((down.start + down.stop - 1) // 2, len(canvas) - 1)
    at = min((across.start + across.stop) // 2, len(canvas[0]) - len(sign))
    canvas[middle][at : at + len(sign)] = sign


def order_report(cutting: Cutting, ruler: Ruler) -> tuple[OrderRow, ...]:
    """The cutting order of one material for a report: each strip as numbers, and as a person is told it."""
    rows = (msgspec.convert(row | {"ruler_text": "", "text": ""}, OrderRow) for row in cutting_order(cutting))
    return tuple(
        msgspec.structs.replace(row, ruler_text=ruler.told(row.ruler_mm), text=_told([row], ruler)) for row in rows
    )


def short_rows(report: Report) -> list[tuple[str, str]]:
    """Name and line of every cloth that is cut, and of the squares that lie ready; a name stands once."""
    project = report.project
    ready = {one.material: one.says for one in report.ready}
    rows: list[tuple[str, str]] = []
    for one in report.cutting:
        lines = _short_lines(one, project.words)
        lines += [ready.pop(one.material)] if one.material in ready else []
        lines += [f"left over would still give {one.gives.text}"] if one.gives.text else []
        name = material_words(one.material, project.words)
        rows += zip([name, *[""] * len(lines)], lines, strict=False)
    return [*rows, *ready.items()]


def _short_lines(one: CuttingReport, words: str) -> list[str]:
    """One material of a report, a line a cloth: which cloth, its strips, and what comes from them."""
    found = []
    for rows in _by_cloth(one.order):
        cloth = one.cloths[rows[0].cloth - 1]
        size = "" if cloth.bought else f", {cloth.width_text} × {cloth.length_text}"
        strips = Counter((row.ruler_text, row.along) for row in rows)
        pieces: Counter[str] = Counter()
        for part in (part for row in rows for part in row.cut):
            pieces[part.part] += part.count
        cut = ", ".join(
            f"{_counted(count, 'strip')} of {ruler}{' along the grain' if along else ''}"
            for (ruler, along), count in strips.items()
        )
        given = ", ".join(_counted(count, name) for name, count in pieces.items())
        found.append((rows[0], [f"{size}: {cut}; {given}"]))
    return [said(where + line, words) for where, (line,) in _once(found)]


def cutting_lines(plan: Plan, columns: int = 72) -> list[str]:
    """Every material's numbered order, with a sketch of each cloth and what is left over.

    The lines stand as a cutter comes to them: what lies there, what is straightened, the cuts, what is left.
    """
    ruler, words = ruler_of(plan.project), plan.project.words
    ready = {one.material: one.says for one in ready_report(plan)}
    out: list[str] = []
    for one in plan.cutting:
        name = material_words(one.material, words)
        found: list[tuple[OrderRow, list[str]]] = []
        for rows in _by_cloth(order_report(one, ruler)):
            cloth = one.cloths[rows[0].cloth - 1]
            size = f"{ruler.told(cloth.width_mm)} wide, {ruler.told(cloth.length_mm)} long"
            washed = cloth.bought and washed_first(plan.project, one.material)
            lines = [f"{', washed' if washed else ''}: {size}"]
            if washed:
                off = ruler.told(sold_mm(plan.project, one.material, cloth.length_mm))
                lines.append(f"  it takes {off} off the bolt before washing")
            if cloth.bought and (start := cloth.placements[0].y_mm) > 0:
                lines.append(f"  straighten the end first; {ruler.told(start)} is allowed for it")
            if cloth.trim_mm:
                allowed = ruler.told(cloth.trim_mm)
                lines.append(f"  straighten one side and one end first; {allowed} is allowed for each")
            lines += [f"  {_told(list(run), ruler)}" for _, run in groupby(rows, key=_looks)]
            found.append((rows[0], lines))
        lines = [line for where, (head, *more) in _once(found) for line in (f", {where}{head}", *more)]
        left = ", ".join(f"{ruler.told(r.width_mm)} × {ruler.told(r.height_mm)}" for r in one.left_over)
        lines += [f"  {ready.pop(one.material)}"] if one.material in ready else []
        lines += [f"  left over, large enough to use: {left}"] if left else []
        gives = gives_report(gives_of(plan, one), one.material, plan).text
        lines += [f"  what is left over would still give {gives}"] if gives else []
        lines += ["", *(f"  {line}".rstrip() for line in sketch(one, columns - 2, ruler)[2:]), ""]
        out += [(name if line.startswith(",") else "") + said(line, words) for line in lines]
    return [*out, *(f"{name}: {says}" for name, says in ready.items())]


def _looks(row: OrderRow) -> tuple[object, ...]:
    return round(row.ruler_mm, 3), row.cut


def material_words(material: str, words: str) -> str:
    """A material as it is called: wadding in the project's words, what a maker named as they wrote it."""
    return said(material, words) if material == WADDING else material


def _by_cloth(order: Sequence[OrderRow]) -> list[list[OrderRow]]:
    return [list(rows) for _, rows in groupby(order, key=lambda row: row.cloth)]


def _once(found: Sequence[tuple[OrderRow, list[str]]]) -> Iterator[tuple[str, list[str]]]:
    """Say where each cloth is from, before its lines; pieces on hand that are cut alike, one after another, once."""
    for (bought, told), alike in groupby(found, key=lambda one: (one[0].bought and one[0].cloth, one[1])):
        pieces = [row.cloth for row, _ in alike]
        each = f"each of pieces {pieces[0]} to {pieces[-1]}" if len(pieces) > 1 else f"piece {pieces[0]}"
        yield "from the bolt" if bought else f"from {each} on hand", told


def _told(run: Sequence[OrderRow], ruler: Ruler) -> str:
    """`strips 1 to 2: ruler at 6 in, cut across; from each 7 squares`."""
    first, last = run[0], run[-1]
    strips = f"strip {first.strip}" if first is last else f"strips {first.strip} to {last.strip}"
    way = "along the grain" if first.along else "across"
    pieces = ", ".join(_counted(part.count, part.part) + _size(part, first.ruler_mm, ruler) for part in first.cut)
    return (
        f"{strips}: ruler at {ruler.told(first.ruler_mm)}, cut {way}; from {'it' if first is last else 'each'} {pieces}"
    )


def _size(part: CutPiece, ruler_mm: float, ruler: Ruler) -> str:
    """A part's size, unless it is a square of the strip's own setting."""
    sides = (part.width_mm, part.height_mm)
    if all(abs(side - ruler_mm) < 1e-3 for side in sides):
        return ""
    along, through = (ruler.told(side) for side in sides)
    return f" (ruler at {along})" if abs(sides[1] - ruler_mm) < 1e-3 else f" ({along} × {through})"


def _counted(count: int, name: str) -> str:
    return counted(count, name) if count == 1 or name[-1].isalpha() else f"{count} × {name}"


# The stacks as they are laid: their words and tables, for a terminal, a page and Markdown alike; and the faces.
#
# On either face prints are seen row by row. A cushion's back is a panel of its own: its rows and columns are counted
# with its right sides up, which is how it is laid out, sewn from and seen on the cushion. A throw's other face is the
# panel itself, turned like the page of a book.

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
