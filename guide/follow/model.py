"""What is remembered at the machine between keys, and what one key leads to.

Keys are plain words, the same on the screen and in lines: one printable character ("a", "7", "/", "?"), or
`space enter escape backspace left right up down`. A pedal sends "space". `space` and `enter` are the
big key unless text is being typed.
"""

from collections.abc import Callable, Mapping
from typing import Any, Literal

import msgspec
from msgspec.structs import replace

from guide.plan.model import Plan
from guide.read.spoken import unsafe
from guide.read.units import INCH
from guide.record.model import Event, Reading, Record

BIG = ("space", "enter")
Act = Callable[["Moment"], "Turn"]
Answer = Callable[["Moment", "Ask", str], "Turn"]


class Ask(msgspec.Struct, frozen=True):
    """A question on the desk: it takes the keys until it is answered or `escape` takes it away."""

    about: str  # its name: note measure trouble skip amend photo caution long_piece texts swap …
    kind: Literal["text", "measure", "choose", "confirm"]
    question: str
    answer: Answer  # what an answer leads to: the text typed, the number chosen ("" for none), or "yes"
    choices: tuple[str, ...] = ()  # choose: numbered from 1
    typed: str = ""
    name: str = ""  # measure: the quantity
    nudged_mm: float | None = None  # measure: the size the nudges stand at
    data: dict[str, Any] = {}
    own_words: Answer | None = None  # choose: a letter begins an answer in words, which leads to this
    optional: bool = False  # measure: it may be left without a size
    goes_on: bool = False  # any key but its own leaves it and does what it always does


class Desk(msgspec.Struct, frozen=True):
    """What is on the desk and need not survive a crash."""

    typed: str = ""  # a count being typed before the big key
    ask: Ask | None = None
    view: Literal["step", "look", "why", "keys", "back", "drawing"] = "step"  # back: the card of coming back
    look: str | None = None  # the step looked at (b, f), without leaving the open one
    far: bool = False  # read from across the room: few words, as large as they go
    locked: bool = False
    last_big_total: int | None = None  # clock reading of the last big key, for the bounce guard
    last_big_boot: str = ""
    said: str = ""  # one line of answer to the last key
    problem: str = ""  # a write that failed: shown until it is mended
    make: int = 1  # the make under the needle
    beginner: bool = False
    beside: str = ""  # the other project that is followed in this window
    beside_step: str = ""  # what can be worked on there now
    guard_ms: int = 400  # a big key this soon after the last is a bounce; 0 when keys come from a file
    told: str = ""  # what the big key has warned of: the same press again goes on
    slept_ms: int = 0  # the computer slept or stood still this long in the open lap: asked at the next key
    slept_n: int = 0  # the gap record that tells of it
    asked_n: int = 0  # the lap (its start) that the long-piece question was asked about
    changes: tuple[tuple[str, str, str], ...] = ()  # what the last measure changed: label, was, is


class Turn(msgspec.Struct, frozen=True):
    """What one key leads to: a changed desk, and at most one event to be saved before it is shown."""

    desk: Desk
    event: dict[str, Any] | None = None  # members of an Event: what, step, count …
    leave: bool = False  # stop following after the event is saved
    change: bool = False  # go over to the other project after it is saved


class Moment(msgspec.Struct, frozen=True):
    """All that a key is decided from: nothing else is looked at, so the same moment gives the same turn."""

    plan: Plan
    record: Record
    desk: Desk
    now: Reading
    key: str = ""
    undo: Event | None = None  # what the undo key would take back
    sitting_n: int = 0  # the record this sitting began with: undoing before it is asked about
    paces: Mapping[str, float] = {}  # the maker's own, s a piece, by step


# How a question on the desk takes keys: text, a size, one of a numbered list, or yes.

LONGEST = 500  # characters of a note: the line of a journal stays a line
NO_MEASURE = "none"
OWN_WORDS = "own words"  # no key of any keyboard: a line that is a reason to skip, whatever it begins with
_UNWRITTEN = unsafe()


def is_letter(key: str) -> bool:
    """Whether a key is one character that may stand in a text; joiners, which hold an emoji together, are."""
    return len(key) == 1 and not _UNWRITTEN.match(key)


def ask(at: Moment, question: Ask) -> Turn:
    """Put a question on the desk; nothing is written."""
    return Turn(replace(at.desk, ask=question, typed="", view="step", look=None, said=""))


def say(at: Moment, said: str) -> Turn:
    """Answer a key with a word; nothing is written, what is typed or asked stays."""
    return Turn(replace(at.desk, said=said))


def put_away(at: Moment, said: str = "", event: dict[str, Any] | None = None) -> Turn:
    """Take the question off the desk: answered by an event that is saved, or unanswered."""
    return Turn(replace(at.desk, ask=None, said=said), event)


def ask_again(at: Moment, question: Ask, answer: str, said: str) -> Turn:
    """Leave the question on the desk with what was typed, and say what is wrong with it."""
    return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))


def is_typing(question: Ask) -> bool:
    """Whether the big key's space is a letter now; a pedal is not to be stuck behind the size a step ends with."""
    return question.kind in {"text", "measure"} and (not question.optional or bool(question.typed))


def take(at: Moment, question: Ask, key: str) -> Turn | str:
    """Give a key to the question: the desk with the question as it stands, or the answer as text.

    An answer is the text typed, the number chosen ("" for none), or "yes".
    """
    if key == "escape":
        return NO_MEASURE if question.optional else put_away(at)
    if question.kind == "confirm":
        return _confirm(at, question, key)
    if question.kind == "choose":
        return _choose(at, question, key)
    if key == "enter" or (key == "space" and not is_typing(question)):
        return question.typed.strip()
    return still(at, _edited(at, question, key))


def still(at: Moment, question: Ask, said: str = "") -> Turn:
    """Leave the question on the desk as it stands now."""
    return Turn(replace(at.desk, ask=question, said=said))


def _confirm(at: Moment, question: Ask, key: str) -> Turn | str:
    if key in BIG:
        return "yes"
    if question.about != "caution" and key in {"y", "n"}:
        return "yes" if key == "y" else put_away(at)
    return still(at, question, "This first: the big key says yes, escape leaves it.")


def _choose(at: Moment, question: Ask, key: str) -> Turn | str:
    if key in BIG and "default" in question.data:
        return str(question.data["default"])
    if key.isdecimal() and 1 <= int(key) <= len(question.choices):
        return key
    if question.own_words and (key == OWN_WORDS or (is_letter(key) and not key.isdecimal())):
        said = "What is it, in your own words:" if question.about == "trouble" else "Why, in your own words:"
        begun = "" if key == OWN_WORDS else key
        words = Ask(f"{question.about}_words", "text", said, question.own_words, typed=begun, data=question.data)
        return still(at, words)
    if key in BIG:  # a foot on the pedal must not be stuck behind a question
        return put_away(at, "Left unanswered.")
    return still(at, question, f"Type a number from 1 to {len(question.choices)}.")


def _edited(at: Moment, question: Ask, key: str) -> Ask:
    """The question with one key more typed into it.

    The order decides what a key means: an arrow moves a size before it is a letter's name, = stands for “as planned”
    only where nothing is typed yet.
    """
    if question.kind == "measure" and key in {"left", "right", "up", "down"} and question.nudged_mm is not None:
        by = INCH / 8 if at.plan.project.units == "inch" else 5.0
        moved = question.nudged_mm + (by if key in {"right", "up"} else -by)
        data = question.data | {"touched": True}
        return replace(question, nudged_mm=moved, typed="", data=data) if moved > 0 else question
    if question.optional and key == "=" and not question.typed:
        return replace(question, data=question.data | {"touched": True})
    if key == "backspace":
        return replace(question, typed=question.typed[:-1])
    letter = " " if key == "space" else key
    if is_letter(letter) and len(question.typed) < LONGEST:
        return replace(question, typed=question.typed + letter)
    return question
