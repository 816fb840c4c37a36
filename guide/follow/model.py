"""What is remembered at the machine between keys, and what one key leads to.

Keys are plain words, the same on the screen and in lines: one printable character ("a", "7", "/", "?"), or
`space enter escape backspace left right up down`. A pedal sends "space". `space` and `enter` are the
big key unless text is being typed.
"""

from collections.abc import Callable, Mapping
from typing import Any, Literal

import msgspec

from guide.plan.model import Plan
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
