"""The one table of keys: bindings, the help line, the `?` card and the documentation all come from it."""

import re

import msgspec

from guide.record.model import Record

BIG = ("space", "enter")

_ALWAYS = frozenset({"ready", "working", "paused", "trouble", "interrupted", "stopped"})
_OPEN = frozenset({"working"})
_HALTED = frozenset({"paused", "trouble", "interrupted", "stopped"})
_UNWRITTEN = re.compile(  # controls, line ends, what turns the direction of writing, halves of characters
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)


def is_letter(key: str) -> bool:
    """Whether a key is one character that may stand in a text; joiners, which hold an emoji together, are."""
    return len(key) == 1 and not _UNWRITTEN.match(key)


class Key(msgspec.Struct, frozen=True):
    """One key: what it is called on the help line, what the `?` card says, when it does something."""

    key: str
    word: str
    help: str
    when: frozenset[str] = _ALWAYS  # what the record is doing


TABLE: tuple[Key, ...] = (
    Key("space", "go on", "The big key (space, enter or a pedal): start, count a piece, finish."),
    Key("0-9", "how many", "A number before the big key counts that many at once.", _OPEN),
    Key("a", "all done", "All the pieces of this step are done.", _OPEN),
    Key("u", "undo", "Take back the last thing recorded.", _ALWAYS | {"closed"}),
    Key("p", "pause", "Pause the clock and make the table safe.", _OPEN | {"trouble", "interrupted"}),
    Key("n", "note", "Write a note at this step."),
    Key("m", "measure", "Write down a size you measured: 13.25, 13 1/4, or left and right to nudge."),
    Key("t", "trouble", "Bobbin, thread, needle, unpicking: counted as work, kept out of paces.", _OPEN),
    Key("i", "interrupted", "Called away: the clock stops. Afterwards: minutes, then i."),
    Key("s", "skip", "Skip this step, with a reason.", _ALWAYS - {"stopped"}),
    Key("b", "look back", "Look at the step before, without losing your place."),
    Key("f", "look ahead", "Look at the next step, without losing your place."),
    Key("w", "why", "Why it is done so, what to do if it went wrong, and every caution whole."),
    Key("x", "set right", "Set a time right: the last one's length, or when this one began."),
    Key("v", "photo", "Note the file of a photo, by its path in the project's folder."),
    Key("c", "change layout", "Two blocks change places, one is spoilt, or a print ran out."),
    Key("g", "together", "Steps that go together: step by step, or one block through all of them."),
    Key("o", "over", "A wait is over before its time: it has dried, it holds."),
    Key("l", "lock", "Lock the keys against sleeves and cats; l again unlocks."),
    Key("?", "keys", "Show all the keys."),
    Key("q", "stop", "Stop for now: make safe; everything is saved."),
)

_SHORT = ("space", "u", "p", "t", "w", "?", "m", "n", "q")


def applies(key: Key, record: Record) -> bool:
    """Whether this key does something now."""
    return record.doing in key.when


def big_word(record: Record) -> str:
    """What the big key does next, in two or three words."""
    if record.doing == "ready":
        return "start"
    if record.doing == "closed":
        return "leave"
    return "go on" if record.doing in _HALTED else "next piece"


def help_line(record: Record, big: str = "") -> tuple[tuple[str, str], ...]:
    """Keys for the foot of the screen, the most needed first: (key, word)."""
    named = {key.key: key for key in TABLE}
    return tuple(
        (short, (big or big_word(record)) if short == "space" else named[short].word)
        for short in _SHORT
        if applies(named[short], record)
    )


def card() -> tuple[tuple[str, str], ...]:
    """Every key with its line of help, in the table's order."""
    return tuple((key.key, key.help) for key in TABLE)
