"""What does the hand do here? A step's own picture in characters, with its lengths, where a map says less."""

import re
from functools import lru_cache
from itertools import pairwise

import msgspec

from guide.plan.model import Layout, Plan, Step
from guide.read.stage_keys import map_of
from guide.show.scene import Scene, say
from guide.show.screen.text import STITCHED, Fragment, Line, Marks, clip, wrap
from guide.show.table import clean
from guide.show.words import text_of

# Where in the panel am I? Patches with a letter and a shade for each print, the current one outlined double.

At = tuple[int, int]
Pair = tuple[At, At]  # two neighbours, the upper or left one first
EMPTY = "."  # where nothing lies


class Panel(msgspec.Struct, frozen=True):
    """A panel with its right sides up (0-based): rows of letters, which patches are made, what is under the needle.

    That is a patch, or a seam: the pairs of patches it joins. `apart` are pairs that are not joined, `held` is a patch
    taken up. Neighbours with the same print are marked, or those that `met` names.
    """

    rows: tuple[tuple[str, ...], ...]
    made: frozenset[At] = frozenset()
    here: At | None = None
    seam: tuple[Pair, ...] = ()
    apart: tuple[Pair, ...] = ()
    back: bool = False
    held: At | None = None
    met: tuple[Pair, ...] | None = None

    @property
    def alike(self) -> tuple[Pair, ...]:
        """Neighbours with the same print, or what else is marked."""
        return _alike(self.rows) if self.met is None else self.met

    @property
    def down(self) -> int:
        """How many rows of blocks."""
        return len(self.rows)

    @property
    def across(self) -> int:
        """How many blocks in a row."""
        return len(self.rows[0]) if self.rows else 0


@lru_cache(maxsize=64)  # the needle goes on, the prints lie as they lay
def _alike(rows: tuple[tuple[str, ...], ...]) -> tuple[Pair, ...]:
    beside = [
        ((y, x), (y, x + 1)) for y, row in enumerate(rows) for x in range(len(row) - 1) if row[x] == row[x + 1] != EMPTY
    ]
    under = [
        ((y, x), (y + 1, x))
        for y, (row, other) in enumerate(pairwise(rows))
        for x, (one, below) in enumerate(zip(row, other, strict=True))
        if one == below != EMPTY
    ]
    return tuple(sorted(beside + under))


class _Cut(msgspec.Struct, frozen=True):
    """The part of a panel that is drawn: first row and column, how many of each."""

    top: int
    left: int
    down: int
    across: int


def shade(letter: str, marks: Marks) -> str:
    """The shade that goes with a print's letter: the seventh print begins again, its letter tells it apart."""
    if not letter.isalpha():  # a figure of lightness, or nothing
        return " "
    return marks.shades[(ord(letter[:1] or "A") - ord("A")) % len(marks.shades)]


def lettered(letter: str) -> str:
    """The style of a print's letter: on the print's own colour, where it says one and the terminal shows it truly."""
    return f"class:patch.letter class:print.{ord(letter[:1] or 'A')}"


def print_sign(letter: str, name: str, marks: Marks) -> Line:
    """A print's letter in its shade, and its name."""
    fill = shade(letter[-1:], marks)
    style = f"class:patch.made class:fill.{ord(letter[-1:] or 'A')}" if marks.dyed else "class:patch.made"
    return [(style, fill), (lettered(letter[-1:]), letter), (style, fill), ("", f" {clean(name)}")]


def _around(here: int | None, of: int, room: int) -> int:
    if of <= room or here is None:
        return 0
    return min(max(0, here - room // 2), of - room)


def _cut(panel: Panel, across: int, down: int) -> _Cut:
    row, column = panel.here or (panel.seam[0][0] if panel.seam else (0, 0))
    across, down = min(across, panel.across), min(down, panel.down)
    return _Cut(_around(row, panel.down, down), _around(column, panel.across, across), down, across)


def _patch_style(panel: Panel, at: At) -> str:
    if at == panel.held:
        return "class:asked"
    if at == panel.here:
        return "class:patch.here"
    return "class:patch.made" if at in panel.made else "class:patch"


def _frame(across: int, down: int, wide: int, high: int, marks: Marks) -> list[list[Line]]:
    """The cells of an empty grid, each with its style: patches `wide` by `high` inside thin lines."""
    flat_, upright = marks.thin[0], marks.thin[1]
    corners = marks.thin[2:]
    grid = []
    for y in range(down * (high + 1) + 1):
        edge = 0 if y == 0 else 2 if y == down * (high + 1) else 1
        row = []
        for x in range(across * (wide + 1) + 1):
            side = 0 if x == 0 else 2 if x == across * (wide + 1) else 1
            on_line, on_post = y % (high + 1) == 0, x % (wide + 1) == 0
            mark = " "
            if on_line and on_post:
                mark = (corners[0:3], corners[3:6], corners[6:9])[edge][side]
            elif on_line:
                mark = flat_
            elif on_post:
                mark = upright
            row.append([("class:patch.edge", mark)])
        grid.append(row)
    return grid


def _outline(grid: list[list[Line]], corner: At, size: At, marks: Marks) -> None:
    (y, x), (high, wide) = corner, size
    flat_, upright, corners = marks.double[0], marks.double[1], marks.double[2:]
    style = "class:patch.here"
    for step in range(wide + 2):
        grid[y][x + step] = [(style, flat_)]
        grid[y + high + 1][x + step] = [(style, flat_)]
    for step in range(high + 2):
        grid[y + step][x] = [(style, upright)]
        grid[y + step][x + wide + 1] = [(style, upright)]
    for mark, (down, right) in zip(corners, ((0, 0), (0, wide + 1), (high + 1, 0), (high + 1, wide + 1)), strict=True):
        grid[y + down][x + right] = [(style, mark)]


def _joined(row: list[Line]) -> Line:
    """Neighbours of one style become one fragment."""
    out: Line = []
    for cell in row:
        for style, text in cell:
            if out and out[-1][0] == style:
                out[-1] = (style, out[-1][1] + text)
            else:
                out.append((style, text))
    return out


def _drawn(panel: Panel, cut: _Cut, wide: int, high: int, marks: Marks) -> list[Line]:
    grid = _frame(cut.across, cut.down, wide, high, marks)
    for row in range(cut.down):
        for column in range(cut.across):
            at = (cut.top + row, cut.left + column)
            letter, style = panel.rows[at[0]][at[1]], _patch_style(panel, at)
            fill = shade(letter, marks) if at in panel.made else " "
            y, x = row * (high + 1) + 1, column * (wide + 1) + 1
            cloth = f"{style} class:fill.{ord(letter)}" if marks.dyed and at in panel.made else style
            for down in range(high):
                for right in range(wide):
                    grid[y + down][x + right] = [(cloth, fill)]
            middle_y, middle_x = y + high // 2, x + wide // 2
            plain = at not in {panel.here, panel.held}
            dyed = lettered(letter) if plain else f"{style} {lettered(letter).split()[1]}"
            grid[middle_y][middle_x] = [(dyed, letter)]
            if wide > 3 and at in panel.made:  # room for air round the letter
                grid[middle_y][middle_x - 1] = grid[middle_y][middle_x + 1] = [(cloth, " ")]
            if at not in panel.made and letter != EMPTY:  # faintly: which shade it will have
                grid[middle_y][middle_x - 1] = [("class:patch", shade(letter, marks))]
    if panel.here is not None:
        row, column = panel.here[0] - cut.top, panel.here[1] - cut.left
        _outline(grid, (row * (high + 1), column * (wide + 1)), (high, wide), marks)
    _stitches(grid, panel.apart, cut, (high, wide), ("class:patch.edge", marks.apart))
    _stitches(grid, panel.alike, cut, (high, wide), ("class:caution.sign", marks.alike))
    _stitches(grid, panel.seam, cut, (high, wide), ("class:patch.here", marks.double))
    return [_joined(row) for row in grid]


def _stitches(grid: list[list[Line]], pairs: tuple[Pair, ...], cut: _Cut, size: At, drawn: Fragment) -> None:
    """Draw the edge between the patches of each pair in a style and its two marks, where it lies in the picture."""
    high, wide = size
    style, marks = drawn
    for first, second in pairs:
        row, column = second[0] - cut.top, second[1] - cut.left
        if not (0 <= first[0] - cut.top < cut.down and 0 <= first[1] - cut.left < cut.across):
            continue
        if not (row < cut.down and column < cut.across):
            continue
        y, x = row * (high + 1), column * (wide + 1)
        if first[0] == second[0]:
            for step in range(high + 2):
                grid[y + step][x] = [(style, marks[1])]
        else:
            for step in range(wide + 2):
                grid[y][x + step] = [(style, marks[0])]


@lru_cache(maxsize=64)  # rooms of several sizes have the same part of it
def _letters(panel: Panel, cut: _Cut, marks: Marks) -> list[Line]:
    """Too many blocks for outlines: letters alone, the current one between posts, a seam between what it joins."""
    posts = _posts(panel, marks)
    alike = {at for pair in panel.alike for at in pair}
    lines = []
    for row in range(cut.top, cut.top + cut.down):
        line: Line = []
        for column in range(cut.left, cut.left + cut.across):
            at = (row, column)
            letter = panel.rows[row][column]
            style = "class:asked" if at in alike else _patch_style(panel, at)
            if marks.dyed and style != "class:asked":
                style = lettered(letter)
            if at in posts:
                line += [("class:patch.here", posts[at]), (style, letter)]
            elif line and line[-1][0] == style != "class:asked" and not marks.dyed:  # a blank is of no colour
                line[-1] = (style, f"{line[-1][1]} {letter}")
            else:
                line += [("", " "), (style, letter)]
        end = (row, cut.left + cut.across)
        lines.append([*line, ("class:patch.here", posts[end]) if end in posts else ("", " ")])
    return lines


def _posts(panel: Panel, marks: Marks) -> dict[At, str]:
    """What stands before the letter at a place: a post beside a block or a seam, corners round a seam between rows."""
    upright, corners = marks.double[1], marks.double[2:]
    if panel.here is not None:
        row, column = panel.here
        return {(row, column): upright, (row, column + 1): upright}
    level = [(first, second) for first, second in panel.seam if first[0] != second[0]]
    posts = {second: upright for first, second in panel.seam if first[0] == second[0]}
    if level:
        (top, left), (_, right), (foot, _) = level[0][0], level[-1][0], level[0][1]
        places = ((top, left), (top, right + 1), (foot, left), (foot, right + 1))
        posts |= dict(zip(places, corners, strict=True))
    return posts


@lru_cache(maxsize=64)  # a second later it is the same panel
def draw(panel: Panel, width: int, height: int, marks: Marks) -> list[Line]:
    """The panel in at most `width` by `height` cells, as large as it goes: outlines, letters, a window of them."""
    if not panel.rows or width < 5 or height < 3:
        return []
    for wide, high in ((7, 3), (5, 1), (3, 1)):
        if panel.across * (wide + 1) + 1 <= width and panel.down * (high + 1) + 1 <= height:
            return _drawn(panel, _cut(panel, panel.across, panel.down), wide, high, marks)
    if panel.across * 2 + 1 <= width and panel.down <= height:
        return _letters(panel, _cut(panel, panel.across, panel.down), marks)
    return _letters(panel, _cut(panel, (width - 1) // 2, height), marks)


# Which seam of a panel is under the needle? The patches it joins, two by two, in the order seams are sewn.

Seam = tuple[Pair, ...]


class Sewn(msgspec.Struct, frozen=True):
    """How a panel is sewn: in rows of so many squares, or columns of them when upright; 0-based everywhere."""

    rows: int
    squares: int
    upright: bool = False
    parted: int = 0  # after so many rows it stays in two parts: for a zip, or as two panels


def front(plan: Plan) -> Sewn:
    """The front: rows first, then rows to rows."""
    return Sewn(plan.project.down, plan.project.across)


def back(plan: Plan, backing: Layout) -> Sewn:
    """A back of single squares: the same, in columns where its zip runs down it."""
    along, after = plan.quantities.get("zip_along"), plan.number("zip_after")
    upright = along is not None and along.value == "column"
    rows, squares = (backing.across, backing.down) if upright else (backing.down, backing.across)
    parted = rows // 2 if plan.project.closure == "envelope" else 0
    if after is not None:
        parted = round(after)
    return Sewn(rows, squares, upright, parted)


def in_hand(sewn: Sewn, step: Step, done: int, makes: int) -> Seam:
    """The seam after so many that are done, make after make; none when the step's pieces are not the panel's seams."""
    if step.piece != "seam" or done >= step.pieces:
        return ()
    short = sewn.rows * (sewn.squares - 1)
    if step.pieces == short * makes:
        row, place = divmod(done % short, sewn.squares - 1)
        return _turned(sewn, (((row, place), (row, place + 1)),))
    between = [row for row in range(sewn.rows - 1) if row + 1 != sewn.parted]
    return _long(sewn, between[done % len(between)]) if step.pieces == len(between) * makes else ()


def parting(sewn: Sewn) -> Seam:
    """The patches on either side of where a panel stays in two parts."""
    return _long(sewn, sewn.parted - 1) if sewn.parted else ()


def _long(sewn: Sewn, row: int) -> Seam:
    return _turned(sewn, tuple(((row, place), (row + 1, place)) for place in range(sewn.squares)))


def _turned(sewn: Sewn, seam: Seam) -> Seam:
    return tuple((first[::-1], second[::-1]) for first, second in seam) if sewn.upright else seam


Drawn = list[tuple[str, str]]  # rows: what is drawn, and what is said of it; lines say the words alone
CUT = ("snips", "snips_outer")  # pictures of how deep to snip


def sketch(scene: Scene, step: Step) -> Drawn:
    """The step's picture, row by row; nothing where none helps, or where its lengths do not apply."""
    picture = "zip" if step.piece == "zip" else map_of(step.picture)  # pressed open for it, no seams are
    cuts = picture not in CUT or any(name == "cut_depth" for name, _ in step.shows)  # rolling off lint cuts nothing
    rows = _SKETCHES.get(picture, []) if cuts else []
    sizes = {name: _size(scene, name) for _, said in rows for name in _NAMED.findall(said)}
    signs = str.maketrans(_signs(STITCHED), _signs(scene.marks))
    shown = rows if all(sizes.values()) else []
    return [(drawn.translate(signs), say(scene, said.format(**sizes))) for drawn, said in shown]


def _signs(marks: Marks) -> str:
    """The signs that pictures are drawn with."""
    return "".join((marks.sewn, marks.ahead, marks.thin, marks.double, marks.apart[1], marks.left, marks.right))


def sketched(scene: Scene, step: Step, width: int, height: int) -> list[Line]:
    """The picture with its words behind it, in this room; nothing where it does not fit."""
    rows, lines = sketch(scene, step), []
    wide = max((len(drawn) for drawn, _ in rows), default=0)
    for drawn, said in rows:
        told = wrap(said, max(width - wide - 2, 1)) or [""]
        first: Line = [("class:patch.made", drawn.ljust(wide)), ("class:label", f"  {told[0]}")]
        lines += [first, *([("", " " * (wide + 2)), ("class:label", more)] for more in told[1:])]
    fits = rows and len(lines) <= height and width >= wide + 12
    return [clip(line, width) for line in lines] if fits else []


def _size(scene: Scene, name: str) -> str:
    """A number of the plan in the maker's units; "" where it does not apply."""
    quantity = scene.plan.quantities.get(name)
    return text_of(quantity, scene.plan.project.units) if quantity is not None and quantity.value is not None else ""


_NAMED = re.compile(r"\{(\w+)\}")
_SKETCHES: dict[str, Drawn] = {  # in the signs of a terminal that knows them all; {lengths} by their names
    "zip": [
        ("━━━━┄┄┄┄┄┄┄┄┄━━━━", "sewn {zip_ends} at each end"),
        ("", "tacked {zip_tack} between"),
        ("│┆┆┆┆┆[=]┆┆┆┆┆┆┆│", "zip {zip_cut}, slider in"),
        ("", "opening {zip_opening}"),
        ("", "marked {zip_stop_gap} from its ends"),
    ],
    "envelope": [
        ("┌───────────┐", "1 the under panel first"),
        ("│     1     │────┐", "{envelope_length} long, {envelope_width} wide"),
        ("└───────────┘  2 │", "2 laid last: it shows"),
        ("     └───────────┘", "the opening across"),
    ],
    "seam": [
        ("─────────────────", "both edges up"),
        ("  ━━━━━━━━━━━━━", "{seam} from the edge"),
        ("", "{free_end} unsewn at each end"),
    ],
    "snips": [
        ("│ │ │ │ │ │ │ │ │", "{cut_depth} deep"),
        ("│ │ │ │ │ │ │ │ │", "{snip_every} apart, by eye"),
        ("━━━━━━━━━━━━━━━━━", "to the stitching, no further"),
    ],
    "snips_outer": [
        ("│ │ │ │   /", "a slit, to {corner_slit} of the turn"),
        ("═════════╗", "snips {cut_depth} deep"),
        ("         ║ ─", "along every edge"),
    ],
    "outer": [
        ("┌───────────────┐", "the edges stay outside"),
        ("│ ╔═══════════╗ │", "{seam} from the edge"),
        ("│ ║           ║ │", "{outer_seam} in all"),
        ("│ ╚═══════════╝ │", "needle down at each turn"),
        ("└───────────────┘", ""),
    ],
    "press": [
        ("▸ ▸ ▸ ▸", "first row: to the right"),
        ("◂ ◂ ◂ ◂", "next row: to the left"),
        ("", "so that they nest"),
    ],
}
