"""Which key of the terminal is which key of the table? The loader of key bindings."""

from collections.abc import Callable

from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys

from guide.errors import WrongUse
from guide.follow.asking import LONGEST, is_letter, is_typing
from guide.follow.model import Desk

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
