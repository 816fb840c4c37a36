"""The full screen of a terminal: pages drawn into it and dyed for the ground it tells of; signals; leaving it once."""

import asyncio
import os
import re
import signal
import sys
from collections.abc import Callable, Coroutine, Mapping
from contextlib import suppress
from functools import lru_cache
from typing import Literal

from prompt_toolkit.application import Application
from prompt_toolkit.data_structures import Point
from prompt_toolkit.input.vt100_parser import Vt100Parser
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.layout import Container, Dimension, FormattedTextControl, Layout
from prompt_toolkit.layout import Window as Pane
from prompt_toolkit.layout.mouse_handlers import MouseHandlers
from prompt_toolkit.layout.screen import Char, Screen, WritePosition
from prompt_toolkit.output import ColorDepth
from prompt_toolkit.styles import Style

from guide import system
from guide.errors import WrongUse
from guide.follow.model import LONGEST, Desk, is_letter, is_typing
from guide.plan.layout.faces import EVEN, grey, ink, luminance, parts
from guide.show.scene import takes_text
from guide.show.screen.parts import Page
from guide.show.screen.text import Fragment

# Which key of the terminal is which key of the table? The loader of key bindings; and what it says that is no key.

# What does each part look like? One table, in dyes of our own that can be read on the ground the terminal has.
#
# Each dye is from the 256 colours' cube, so it is the same in 256 and in true colour, and has 4.5 : 1 or more on dark
# grounds or on light ones (WCAG 2). Where the ground is not known, and in 16 colours, which every terminal dyes as it
# likes, text is the terminal's own, ranked by weight; only patches are coloured. Indigo against ochre is told apart by
# every common kind of colour blindness, and nothing is said by colour alone.

Depth = Literal["none", "sixteen", "many"]
Ground = Literal["dark", "light", ""]  # "": not known

DYES: dict[str, dict[Ground, str]] = {
    "indigo": {"dark": "#87afff", "light": "#5f00d7"},  # the thread: sewn, sizes
    "ochre": {"dark": "#ffaf5f", "light": "#875f00"},  # the needle, care
    "chalk": {"dark": "#b2b2b2", "light": "#5f5f5f"},  # marks ahead, words that step back
}
_SIXTEEN = {"patch.made": "ansiblue", "patch.here": "ansired"}  # patches only; their letters say the same
_ANSWER = re.compile(r"rgba?:([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})/([0-9a-fA-F]{1,4})")
FAINT = 0.3  # of black or white in the marks on a patch of a print's own colour

_TABLE: dict[str, tuple[str, str]] = {  # class: (dye, weight)
    "sewn": ("indigo", "bold"),
    "needle": ("ochre", "bold"),
    "ahead": ("chalk", ""),
    "here": ("", "bold"),
    "sewn.name": ("indigo", ""),
    "ahead.name": ("chalk", ""),
    "title": ("", "bold"),
    "figure": ("indigo", "bold"),
    "large": ("indigo", ""),
    "label": ("chalk", ""),
    "quiet": ("chalk", ""),
    "hint": ("", ""),
    "time": ("", "bold"),
    "caution": ("", ""),
    "caution.sign": ("ochre", "bold"),
    "cue": ("", "bold"),
    "said": ("indigo", "bold"),
    "good": ("indigo", "bold"),
    "problem": ("", "bold reverse"),
    "asked": ("", "bold reverse"),
    "key": ("", "bold"),
    "card": ("", "bold"),
    "patch": ("chalk", ""),
    "patch.edge": ("chalk", ""),
    "patch.made": ("indigo", ""),
    "patch.letter": ("", "bold"),
    "patch.here": ("ochre", "bold"),
}


def table(depth: Depth, ground: Ground = "") -> dict[str, str]:
    """Every class with its style, as prompt_toolkit writes styles."""
    return {name: f"{_dye(name, dye, depth, ground)} {weight}".strip() for name, (dye, weight) in _TABLE.items()}


def _dye(name: str, dye: str, depth: Depth, ground: Ground) -> str:
    if depth == "many" and ground:
        return DYES[dye][ground] if dye else ""
    if name == "figure":
        return "underline"
    return _SIXTEEN.get(name, "") if depth != "none" else ""


def prints(colours: Mapping[str, str]) -> dict[str, str]:
    """Give the classes of each print's letter and fill, on the print's own colour; colours: #rrggbb by letter.

    Black or white stands on any colour at 4.5 : 1 or more (WCAG 2), whichever of them stands out further; the marks of
    a patch are fainter, so that its colour is what is seen.
    """
    return {
        f"{kind}.{ord(letter)}": style
        for letter, colour in colours.items()
        for kind, style in (
            ("print", f"bg:{colour} {ink(colour)} bold"),
            ("fill", f"bg:{colour} {_mixed(colour, ink(colour), FAINT)}"),
        )
    }


def _mixed(colour: str, other: str, share: float) -> str:
    """So much of another colour in a colour, part by part."""
    mixed = (one + share * (two - one) for one, two in zip(parts(colour), parts(other), strict=True))
    return "#" + "".join(f"{round(255 * part):02x}" for part in mixed)


def greys() -> dict[str, str]:
    """The grey of each ten of lightness, by its figure: 0 black, 9 white."""
    return {str(ten): grey(10 * ten + 5) for ten in range(10)}


def depth_of(bits: str) -> Depth:
    """How many colours a terminal of prompt_toolkit's colour depth has."""
    return {"DEPTH_1_BIT": "none", "DEPTH_4_BIT": "sixteen"}.get(bits, "many")  # type: ignore[return-value]


def ground_of(answer: str) -> Ground:
    """Whether the ground a terminal tells of, as `rgb:1e1e/1e1e/1e1e` (OSC 11), is dark or light; "" for no colour."""
    found = _ANSWER.search(answer)
    if found is None:
        return ""
    red, green, blue = (int(part, 16) / (16 ** len(part) - 1) for part in found.groups())
    return "dark" if luminance(red, green, blue) < EVEN else "light"


Press = Callable[[str], None]

_NAMED = {name: name for name in ("enter", "escape", "backspace", "left", "right", "up", "down")}
_NAMED |= {"pageup": "up", "pagedown": "down"}


ASK_GROUND = "\x1b]11;?\x1b\\"  # OSC 11: what colour is the ground?
_TOLD = re.compile(r"\x1b\]11;([^\x07\x1b]{0,32})(?:\x07|\x1b\\)")
_BEGUN = re.compile(r"\x1b(?:\](?:1(?:1(?:;[^\x07\x1b]{0,32}\x1b?)?)?)?)?$")


class Answers:
    """Takes what the terminal answers out of what is typed, whenever it comes and in however many parts.

    It stands between an input and its parser. An escape that nothing follows is given on with the parser's flush; an
    answer whose escape came so much earlier is known by its beginning still.
    """

    def __init__(self, parser: Vt100Parser, told: Callable[[str], None]) -> None:
        self.told, self.held, self.parted = told, "", False
        self._feed, self._flush = parser.feed, parser.flush
        parser.feed, parser.flush = self.feed, self.flush  # type: ignore[method-assign]

    def feed(self, data: str) -> None:
        """Take in characters: an answer is told, the beginning of one is held back, all else is typed."""
        if self.parted and data.startswith("]"):
            self.held = "\x1b"
        whole, begun = self.held + data, len(self.held) == 1 and self.parted
        for answer in _TOLD.findall(whole):
            self.told(answer)
        left = _TOLD.sub("", whole)
        found = _BEGUN.search(left)
        self.held = found[0] if found else ""
        typed = left.removesuffix(self.held) if self.held else left
        self.parted = begun and bool(self.held)
        self._feed(typed[1:] if begun and typed == whole else typed)

    def flush(self) -> None:
        """Nothing more has come for a while: an escape was a key."""
        if self.held == "\x1b":
            self.held, self.parted = "", True
            self._feed("\x1b")
        self._flush()


def plain_key(data: str) -> str | None:
    """The table's word for one printable character; None for anything else."""
    if data == " ":
        return "space"
    return data if is_letter(data) else None


def pasted(text: str) -> list[str]:
    """Pasted text as keys: one line of it, controls left out; line ends are blanks, so that nothing is sent."""
    line = " ".join(text.split())[:LONGEST]
    return [key for key in (plain_key(character) for character in line) if key]


def load(
    press: Press, stop: Callable[[], None], suspend: Callable[[], None], desk: Callable[[], Desk], pedal: str | None
) -> KeyBindings:
    """Bind the keys. `pedal` is the key a foot pedal sends, as `f13`, `pagedown` or one character.

    Raises WrongUse when the pedal's key has no such name.
    """
    bound = KeyBindings()

    @bound.add(Keys.Any)
    def any_key(event: KeyPressEvent) -> None:
        key = plain_key(event.data)
        if key is not None:
            press(key)

    @bound.add(Keys.BracketedPaste)
    def paste(event: KeyPressEvent) -> None:
        if takes_text(desk()):
            for key in pasted(event.data):
                press(key)

    def name(of: str, key: str) -> None:
        @bound.add(of)
        def named(_event: KeyPressEvent) -> None:
            press(key)

    for of, key in _NAMED.items():
        name(of, key)
    for of, act in (("c-c", stop), ("<sigint>", stop), ("c-z", suspend)):
        bound.add(of)(lambda _event, act=act: act())
    if pedal:
        _bind_pedal(bound, pedal, press, desk)
    return bound


def pedal_key(pedal: str) -> str:
    """The key a pedal sends, as prompt_toolkit names it; WrongUse when there is none of that name.

    Worth asking before a session is opened.
    """
    letter = plain_key(pedal)
    wanted = " " if letter == "space" else letter or pedal.strip().lower()
    try:
        KeyBindings().add(wanted)(lambda _event: None)
    except ValueError:
        raise WrongUse(
            f"--pedal {pedal!r} is no key; write one character, or a name like f13, pagedown, c-b or enter"
        ) from None
    return wanted


def _bind_pedal(bound: KeyBindings, pedal: str, press: Press, desk: Callable[[], Desk]) -> None:
    """A pedal is the big key; while text is typed it is a letter like any other, or nothing."""
    letter = plain_key(pedal)

    @bound.add(pedal_key(pedal))
    def pressed(_event: KeyPressEvent) -> None:
        question = desk().ask
        if question is None or not is_typing(question):  # behind the size a step ends with it goes on
            press("space")
        elif letter:
            press(letter)


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
    ) -> None:
        self.draw, self.own, self.ground = drawn, own, ground
        sheet = Sheet(self._page)
        self.app: Application[int] = Application(
            Layout(sheet, focused_element=sheet.focus),
            key_bindings=bindings,
            full_screen=True,
            color_depth=ColorDepth.DEPTH_24_BIT if true else None,
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
        app, parser = self.app, getattr(self.app.input, "vt100_parser", None)  # none: no stream to take an answer from
        if self.ground or depth_of(app.color_depth.name) != "many" or parser is None:
            return
        Answers(parser, self._ground_told)
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
            self.fail(bug)

    def fail(self, bug: Exception) -> None:
        """End the application with what went wrong, which `run` then raises."""
        if self._runs():
            self.app.exit(exception=bug)

    def suspend(self) -> None:
        """Ctrl-Z: to the shell and back with `fg`."""
        self.guarded(self.app.suspend_to_background)

    def leave(self, code: int) -> None:
        """End the application with an exit code, once."""
        if self._runs():
            self.app.exit(result=code)

    def _runs(self) -> bool:
        future = self.app.future
        return future is not None and not future.done()

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
