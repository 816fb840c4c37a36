"""The one table of keys: what a key does, the help line, the `?` card and the documentation all come from it."""

import msgspec

from guide.follow import counting, halting, looking, measuring, noting, relaying, righting, undoing
from guide.follow.model import BIG, Act
from guide.record.model import Record

_WORK = frozenset({"ready", "working", "paused", "trouble", "interrupted", "stopped"})
_ALWAYS = _WORK | {"closed"}
_OPEN = frozenset({"working"})


class Key(msgspec.Struct, frozen=True):
    """One key: what it is called on the help line, what the `?` card says, when it does something, and what."""

    letter: str
    word: str
    help: str
    act: Act
    when: frozenset[str] = _WORK  # what the record is doing
    takes_words: bool = False  # in lines, what is typed behind the letter answers its question


TABLE: tuple[Key, ...] = (
    Key(
        "space", "go on", "The big key (space, enter or a pedal): start, count a piece, finish.", counting.big, _ALWAYS
    ),
    Key("0-9", "how many", "A number before the big key counts that many at once.", counting.number, _OPEN),
    Key("a", "all done", "All the pieces of this step are done.", counting.all_done, _OPEN),
    Key("u", "undo", "Take back the last thing recorded.", undoing.undo, _ALWAYS),
    Key("p", "pause", "Pause the clock and make the table safe.", halting.pause, _OPEN | {"trouble", "interrupted"}),
    Key("n", "note", "Write a note at this step.", noting.note, takes_words=True),
    Key(
        "m",
        "measure",
        "Write down a size you measured: 13.25, 13 1/4, or left and right to nudge.",
        measuring.measure,
        takes_words=True,
    ),
    Key(
        "t",
        "trouble",
        "What goes wrong here, and what helps: counted as work, kept out of paces.",
        halting.trouble,
        _OPEN,
    ),
    Key("i", "interrupted", "Called away: the clock stops. Afterwards: minutes, then i.", halting.interrupted),
    Key("s", "skip", "Skip this step, with a reason.", halting.skip, _WORK - {"stopped"}),
    Key("b", "look back", "Look at the step before, without losing your place.", looking.back, _ALWAYS),
    Key("f", "look ahead", "Look at the next step, without losing your place.", looking.ahead, _ALWAYS),
    Key("w", "why", "Why it is done so, what to do if it went wrong, and every caution whole.", looking.why, _ALWAYS),
    Key(
        "d",
        "drawing",
        "The drawing large: both faces, the stack, what the letters stand for.",
        looking.drawing,
        _ALWAYS,
    ),
    Key(
        "z", "far", "From across the room: the title, one number, the place and the time, large.", looking.far, _ALWAYS
    ),
    Key("y", "change over", "Over to the other project of guide follow A B, and back.", halting.change_over, _ALWAYS),
    Key("x", "set right", "Set a time right: the last one's length, or when this one began.", righting.set_right),
    Key("h", "machine", "At another machine: its stitch, needle, feet and bobbin from now on.", noting.machine),
    Key("v", "photo", "Note the file of a photo, by its path in the project's folder.", noting.photo, takes_words=True),
    Key(
        "c",
        "layout",
        "Two blocks change places, one is spoilt, or a print ran out.",
        relaying.change,
        takes_words=True,
    ),
    Key(
        "g",
        "together",
        "Steps that go together: step by step, a press a block, or a press a step.",
        counting.next_way,
    ),
    Key("o", "over", "A wait is over before its time: it has dried, it holds.", counting.over),
    Key("l", "lock", "Lock the keys against sleeves and cats; l again unlocks.", looking.lock, _ALWAYS),
    Key("?", "keys", "Show all the keys.", looking.keys, _ALWAYS),
    Key("q", "stop", "Stop for now: make safe; everything is saved.", halting.stop, _ALWAYS),
)

_SHORT = ("space", "u", "p", "t", "w", "?", "m", "n", "q")
_ROWS = {key.letter: key for key in TABLE} | dict.fromkeys(
    "0123456789", next(one for one in TABLE if one.letter == "0-9")
)


def named(key: str) -> Key | None:
    """The row of a key that was pressed; None when it is no key of the table."""
    return _ROWS.get("space" if key in BIG else key)


def applies(key: Key, record: Record) -> bool:
    """Whether this key does something now."""
    return record.doing in key.when


def offered(*some: str | tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """Keys with their words, (letter, word), for a card: a letter with the table's word, or with one of its own."""
    return tuple((one, _ROWS[one].word) if isinstance(one, str) else one for one in some)


def big_word(record: Record) -> str:
    """What the big key does next, in two or three words."""
    if record.doing in {"ready", "closed"}:
        return "start" if record.doing == "ready" else "leave"
    return "next piece" if record.doing == "working" else "go on"


def help_line(record: Record, big: str = "") -> tuple[tuple[str, str], ...]:
    """Keys for the foot of the screen, the most needed first: (letter, word)."""
    now = [one for one in _SHORT if applies(_ROWS[one], record)]
    return offered(*((one, big or big_word(record)) if one == "space" else one for one in now))


def card() -> tuple[tuple[str, str], ...]:
    """Every key with its line of help, in the table's order."""
    return tuple((key.letter, key.help) for key in TABLE)
