"""Which key of the terminal is which key of the table? The loader of key bindings; and what it says that is no key."""

import re
from collections.abc import Callable

from prompt_toolkit.input import Input
from prompt_toolkit.input.vt100_parser import Vt100Parser
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys

from guide.errors import WrongUse
from guide.follow.model import LONGEST, Desk, is_letter, is_typing

Press = Callable[[str], None]

_NAMED = {
    "enter": "enter",
    "escape": "escape",
    "backspace": "backspace",
    "left": "left",
    "right": "right",
    "up": "up",
    "down": "down",
    "pageup": "up",
    "pagedown": "down",
}


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


def listen(of: Input, told: Callable[[str], None]) -> bool:
    """Listen for the terminal's answers on an input; False where it has no stream of characters to take them from."""
    parser = getattr(of, "vt100_parser", None)
    if parser is not None:
        Answers(parser, told)
    return parser is not None


def takes_text(desk: Desk) -> bool:
    """Whether keys are text now."""
    return desk.ask is not None and desk.ask.kind in {"text", "measure"}


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
