"""The full screen of a terminal: pages drawn into it and dyed for the ground it tells of; signals; leaving it once."""

import asyncio
import os
import signal
import sys
from collections.abc import Callable, Coroutine, Mapping
from contextlib import suppress
from functools import lru_cache

from prompt_toolkit.application import Application
from prompt_toolkit.data_structures import Point
from prompt_toolkit.input import Input
from prompt_toolkit.key_binding import KeyBindings
from prompt_toolkit.layout import Container, Dimension, FormattedTextControl, Layout
from prompt_toolkit.layout import Window as Pane
from prompt_toolkit.layout.mouse_handlers import MouseHandlers
from prompt_toolkit.layout.screen import Char, Screen, WritePosition
from prompt_toolkit.output import ColorDepth, Output
from prompt_toolkit.styles import Style

from guide import system
from guide.show.screen.bindings import ASK_GROUND, Ground, depth_of, ground_of, listen, prints, table
from guide.show.screen.parts import Page
from guide.show.screen.text import Fragment

# How do lines come onto prompt_toolkit's screen fast? A sheet of cells, written a fragment at a time.
#
# A `Window` walks every letter in Python and registers a mouse handler for every cell; with lines that are laid
# out already that is nine tenths of a repaint. `Container` must be inherited from: it is how prompt_toolkit
# knows what it may draw.


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
        self.focus = Pane(FormattedTextControl(focusable=True))

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


ESCAPE_S = 0.05  # how long an escape waits for the rest of a key: longer feels dead
_STOPPING = [number for number in system.STOPPING if number != signal.SIGINT]  # that one is a key here


class Window:
    """An application that draws `drawn` whenever it is asked to, its prints in the colours `own` gives by letter."""

    def __init__(
        self,
        drawn: Callable[[int, int], Page],
        bindings: KeyBindings,
        own: Callable[[], Mapping[str, str]],
        *,
        ground: Ground = "",
        true: bool = False,
        input_: Input | None = None,
        output: Output | None = None,
    ) -> None:
        self.draw, self.own, self.ground = drawn, own, ground
        sheet = Sheet(self._page)
        self.app: Application[int] = Application(
            Layout(sheet, focused_element=sheet.focus),
            key_bindings=bindings,
            full_screen=True,
            color_depth=ColorDepth.DEPTH_24_BIT if true else None,
            input=input_,
            output=output,
        )
        self.app.ttimeoutlen = ESCAPE_S
        self.dye()

    def dye(self) -> None:
        """Give the application its colours, for the ground and the prints that are known now."""
        depth = depth_of(self.app.color_depth.name)
        self.app.style = Style(list((table(depth, self.ground) | prints(self.own())).items()))

    def _page(self, width: int, height: int) -> Page:
        page: list[Page] = []
        self.guarded(lambda: page.append(self.draw(width, height)))
        return page[0] if page else Page([])

    def _ask_ground(self) -> None:
        """Ask the terminal for the colour of its ground; work goes on, and the answer dyes the screen when it comes."""
        app = self.app
        if self.ground or depth_of(app.color_depth.name) != "many" or not listen(app.input, self._ground_told):
            return
        app.output.write_raw(ASK_GROUND)
        app.output.flush()

    def _ground_told(self, answer: str) -> None:
        self.ground = ground_of(answer) or self.ground
        self.dye()
        self.app.invalidate()

    def guarded(self, act: Callable[[], None]) -> None:
        """Do it; what goes wrong ends the application, and is raised from there once the terminal is whole."""
        try:
            act()
        except Exception as bug:  # noqa: BLE001 — a traceback over the screen would hide what is saved; the caller reports it
            self._exit(exception=bug)

    def suspend(self) -> None:
        """Ctrl-Z: to the shell and back with `fg`."""
        self.guarded(self.app.suspend_to_background)

    def leave(self, code: int) -> None:
        """End the application with an exit code, once."""
        self._exit(result=code)

    def _exit(self, *, result: int = 0, exception: Exception | None = None) -> None:
        future = self.app.future
        if future is None or future.done():
            return
        if exception is not None:
            self.app.exit(exception=exception)
        else:
            self.app.exit(result=result)

    def before_run(self, signalled: Callable[[int], None], beside: Coroutine[None, None, None]) -> None:
        """Listen for signals, start what runs beside the keys, ask for the ground; called inside the running loop."""
        loop = asyncio.get_running_loop()
        for number in _STOPPING:
            with suppress(NotImplementedError, RuntimeError, ValueError):  # not on this system, or not the main thread
                loop.add_signal_handler(number, signalled, number)
        self.app.create_background_task(beside)
        self._ask_ground()

    def run(self, before: Callable[[], None], stop: Callable[[], None]) -> int | None:
        """Show it until it is left; None where the terminal was lost, after `stop`. Raises what went wrong inside."""
        try:
            return int(self.app.run(pre_run=before, set_exception_handler=False) or 0)
        except (EOFError, OSError):
            if not system.terminal_lost():
                raise
            stop()
            _no_more_output()
            return None


def _no_more_output() -> None:
    """Send what is still to be printed nowhere, so that leaving does not stumble over a closed window."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (sys.stdout, sys.stderr):
            os.dup2(nowhere, stream.fileno())
