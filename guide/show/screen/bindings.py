"""Which key of the terminal is which key of the table? The loader of key bindings; and what it says that is no key."""

import re
from collections.abc import Callable, Mapping
from typing import Literal

from prompt_toolkit.input import Input
from prompt_toolkit.input.vt100_parser import Vt100Parser
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys

from guide.errors import WrongUse
from guide.follow.model import LONGEST, Desk, is_letter, is_typing
from guide.plan.layout.faces import EVEN, grey, ink, luminance, parts

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
