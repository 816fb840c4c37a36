"""How do lines come onto prompt_toolkit's screen fast? A sheet of cells, written a fragment at a time.

A `Window` walks every letter in Python and registers a mouse handler for every cell; with lines that are laid
out already that is nine tenths of a repaint. `Container` must be inherited from: it is how prompt_toolkit
knows what it may draw.
"""

from collections.abc import Callable
from functools import lru_cache

from prompt_toolkit.data_structures import Point
from prompt_toolkit.layout import Container, Dimension, FormattedTextControl, Window
from prompt_toolkit.layout.mouse_handlers import MouseHandlers
from prompt_toolkit.layout.screen import Char, Screen, WritePosition

from guide.show.screen.layout import Page
from guide.show.screen.text import Fragment


@lru_cache(maxsize=2048)
def _cells_of(fragment: Fragment) -> tuple[Char, ...]:
    """A fragment as cells: a wide letter is followed by an empty cell, a combining one joins the one before it."""
    style, text = fragment
    cells: list[Char] = []
    for letter in text:
        cell = Char(letter, style)
        if cell.width == 0 and cells:
            cells[-1] = Char(cells[-1].char + letter, style)
            continue
        cells.append(cell)
        cells += [Char("", style)] * (cell.width - 1)
    return tuple(cells)


class Sheet(Container):
    """The whole screen. `drawn` gives the page of a size each time it is drawn; a window of no size has the focus."""

    def __init__(self, drawn: Callable[[int, int], Page]) -> None:
        self.drawn = drawn
        self.focus = Window(FormattedTextControl(focusable=True))

    def reset(self) -> None:
        """Nothing is remembered between drawings."""

    def preferred_width(self, max_available_width: int) -> Dimension:
        """All there is."""
        return Dimension.exact(max_available_width)

    def preferred_height(self, width: int, max_available_height: int) -> Dimension:  # noqa: ARG002 - its signature
        """All there is."""
        return Dimension.exact(max_available_height)

    def write_to_screen(  # noqa: PLR0917 - its signature
        self,
        screen: Screen,
        mouse_handlers: MouseHandlers,  # noqa: ARG002 - its signature
        write_position: WritePosition,
        parent_style: str,  # noqa: ARG002
        erase_bg: bool,  # noqa: ARG002
        z_index: int | None,  # noqa: ARG002
    ) -> None:
        """Write the page's lines, and set the cursor where the page says."""
        page = self.drawn(write_position.width, write_position.height)
        for y, line in enumerate(page.lines):
            row, x = screen.data_buffer[y], 0
            for fragment in line:
                if not fragment[0] and fragment[1].isspace():  # blank already
                    x += len(fragment[1])
                    continue
                cells = _cells_of(fragment)
                row.update(zip(range(x, x + len(cells)), cells, strict=True))
                x += len(cells)
        screen.width, screen.height = write_position.width, write_position.height
        screen.set_cursor_position(self.focus, Point(*page.cursor))
        screen.show_cursor = True

    def get_children(self) -> list[Container]:
        """The window that has the focus."""
        return [self.focus]
