"""Where in the panel am I? Patches with a letter and a shade for each print, the current one outlined double."""

from functools import lru_cache
from itertools import pairwise

import msgspec

from guide.show.columns import clean
from guide.show.screen.marks import Marks
from guide.show.screen.text import Fragment, Line

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
    _seam(grid, panel.apart, cut, (high, wide), ("class:patch.edge", marks.apart))
    _seam(grid, panel.alike, cut, (high, wide), ("class:caution.sign", marks.alike))
    _seam(grid, panel.seam, cut, (high, wide), ("class:patch.here", marks.double))
    return [_joined(row) for row in grid]


def _seam(grid: list[list[Line]], pairs: tuple[Pair, ...], cut: _Cut, size: At, drawn: Fragment) -> None:
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
