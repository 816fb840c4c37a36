"""The one table of keys: what a key does, the help line, the `?` card and the documentation all come from it."""

from functools import partial
from typing import Generic, Literal, TypeVar

import msgspec
from msgspec.structs import replace

from guide.follow import counting, halting, noting, relaying, righting
from guide.follow.model import BIG, Act, Desk, Moment, Turn, is_typing, put_away, say, take
from guide.follow.order import step_named, under_needle
from guide.record.model import Reading, Record

# Keys that only look or guard, and never write: back, ahead, why, keys, lock.


def look(at: Moment, by: int) -> Turn:
    """Look at the step before the one looked at, or after it."""
    here = under_needle(at.plan, at.record)
    seen = step_named(at.plan, at.desk.look) if at.desk.view == "look" else here
    steps = at.plan.steps
    if not steps:
        return Turn(at.desk)
    to = steps.index(seen) + by if seen else len(steps) + min(by, 0)
    if not 0 <= to < len(steps):
        return say(at, "That is the first step." if to < 0 else "That is the last step.")
    if here is not None and steps[to].key == here.key:
        return Turn(replace(at.desk, view="step", look=None, said=""))
    return Turn(replace(at.desk, view="look", look=steps[to].key, said=""))


def show(at: Moment, view: Literal["why", "drawing"]) -> Turn:
    """Show why it is done so, or the step's drawing large; or put that away."""
    if at.desk.view == view:
        return Turn(replace(at.desk, view="look" if at.desk.look else "step", said=""))
    return Turn(replace(at.desk, view=view, look=at.desk.look if at.desk.view == "look" else None, said=""))


def far(at: Moment) -> Turn:
    """Show what is read from across the room, and that alone; again: the whole step."""
    return Turn(replace(at.desk, far=not at.desk.far, view="step", look=None, said=""))


def keys(at: Moment) -> Turn:
    """Show all keys, or put them away."""
    return Turn(replace(at.desk, view="step" if at.desk.view == "keys" else "keys", said=""))


def lock(at: Moment) -> Turn:
    """Lock the keys, or unlock them."""
    said = "Unlocked." if at.desk.locked else "Locked: l unlocks."
    return Turn(replace(at.desk, locked=not at.desk.locked, said=said))


_WORK = frozenset({"ready", "working", "paused", "trouble", "interrupted", "stopped"})
_ALWAYS = _WORK | {"closed"}
_OPEN = frozenset({"working"})


Does = TypeVar("Does")


class Key(msgspec.Struct, Generic[Does], frozen=True):
    """One key: what it is called on the help line, what the `?` card says, when it does something, and what."""

    letter: str
    word: str
    help: str
    act: Does
    when: frozenset[str] = _WORK  # what the record is doing
    takes_words: bool = False  # in lines, what is typed behind the letter answers its question


_WHY, _DRAWING = partial(show, view="why"), partial(show, view="drawing")
TABLE: tuple[Key[Act], ...] = (
    Key(
        "space", "go on", "The big key (space, enter or a pedal): start, count a piece, finish.", counting.big, _ALWAYS
    ),
    Key("0-9", "how many", "A number before the big key counts that many at once.", counting.number, _OPEN),
    Key("a", "all done", "All the pieces of this step are done.", counting.all_done, _OPEN),
    Key("u", "undo", "Take back the last thing recorded.", righting.undo, _ALWAYS),
    Key("p", "pause", "Pause the clock and make the table safe.", halting.pause, _OPEN | {"trouble", "interrupted"}),
    Key("n", "note", "Write a note at this step.", noting.note, takes_words=True),
    Key(
        "m",
        "measure",
        "Write down a size you measured: 13.25, 13 1/4, or left and right to nudge.",
        noting.measure,
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
    Key("b", "look back", "Look at the step before, without losing your place.", partial(look, by=-1), _ALWAYS),
    Key("f", "look ahead", "Look at the next step, without losing your place.", partial(look, by=1), _ALWAYS),
    Key("w", "why", "Why it is done so, what to do if it went wrong, and every caution whole.", _WHY, _ALWAYS),
    Key("d", "drawing", "The drawing large: both faces, the stack, what the letters stand for.", _DRAWING, _ALWAYS),
    Key("z", "far", "From across the room: the title, one number, the place and the time, large.", far, _ALWAYS),
    Key("y", "change over", "Over to the other project of guide follow A B, and back.", halting.change_over, _ALWAYS),
    Key("x", "set right", "Set a time right: the last one's length, or when this one began.", righting.set_right),
    Key("h", "machine", "At another machine: its stitch, needle, feet and bobbin from now on.", noting.machine),
    Key("v", "photo", "Note the file of a photo, by its path in the project's folder.", noting.photo, takes_words=True),
    Key(
        "c", "layout", "Two blocks change places, one is spoilt, or a print ran out.", relaying.change, takes_words=True
    ),
    Key(
        "g", "together", "Steps that go together: step by step, a press a block, or a press a step.", counting.next_way
    ),
    Key("o", "over", "A wait is over before its time: it has dried, it holds.", counting.over),
    Key("l", "lock", "Lock the keys against sleeves and cats; l again unlocks.", lock, _ALWAYS),
    Key("?", "keys", "Show all the keys.", keys, _ALWAYS),
    Key("q", "stop", "Stop for now: make safe; everything is saved.", halting.stop, _ALWAYS),
)

_SHORT = ("space", "u", "p", "t", "w", "?", "m", "n", "q")
_ROWS = {key.letter: key for key in TABLE} | dict.fromkeys(
    "0123456789", next(one for one in TABLE if one.letter == "0-9")
)


def named(key: str) -> Key[Act] | None:
    """The row of a key that was pressed; None when it is no key of the table."""
    return _ROWS.get("space" if key in BIG else key)


def applies(key: Key[Act], record: Record) -> bool:
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


# What one key means now: the whole of following along, as one function of what it is given.
#
# Questions never swallow a key that moves the work on. When a piece took far too long, or the computer
# slept meanwhile, the key's own record is written first and the question comes after it, so what was
# pressed is safe whatever becomes of the question; the next big key leaves the question and counts.


def decide(at: Moment) -> Turn:
    """Give what a key leads to: a changed desk and at most one event. Reads nothing but its moment."""
    if swallowed(at.desk, at.key, at.now):
        return Turn(_pressed(at.desk, at.now))
    at = replace(at, desk=replace(at.desk, changes=()))
    if at.key in BIG and not _typing(at.desk):
        at = replace(at, desk=_pressed(at.desk, at.now))
    return righting.ask_after(at, _decide(at, at.key))


def _decide(at: Moment, key: str) -> Turn:
    if at.desk.locked:
        return lock(at) if key == "l" else say(at, "Locked: l unlocks.")
    question = at.desk.ask
    if question is not None and key == "q" and not writes(at.desk):
        return halting.stop(replace(at, desk=put_away(at).desk))
    if question is not None and (
        key in {"escape", *map(str, range(1, len(question.choices) + 1))} or not question.goes_on
    ):
        answer = take(at, question, key)
        return question.answer(at, question, answer) if isinstance(answer, str) else answer
    if question is not None:
        at = replace(at, desk=put_away(at).desk)
    return _key(at, key)


def _key(at: Moment, key: str) -> Turn:
    # What is typed for the big key stays until it is pressed; any other key wipes it, so that it never counts later.
    row = named(key)
    if at.record.doing == "closed" and key != "escape" and (row is None or "closed" not in row.when):
        return say(at, "This session is closed: q leaves, u opens it again.")
    if key == "backspace":
        return Turn(replace(at.desk, typed=at.desk.typed[:-1]))
    if row is None and key != "escape":
        said = f"{key} is no key here: ? shows them." if len(key) == 1 and key.isprintable() else at.desk.said
        return Turn(replace(at.desk, typed="", said=said))
    # Escape: the step again, nothing typed, nothing said.
    turn = row.act(at) if row else Turn(replace(at.desk, view="step", look=None, said="", told=""))
    keeps = row is not None and (key in BIG or key.isdecimal())  # a number that is typed for the big key
    return turn if keeps else replace(turn, desk=replace(turn.desk, typed=""))


def writes(desk: Desk) -> bool:
    """Whether a letter is written, and no key: its size is the maker's."""
    return desk.ask is not None and (desk.ask.kind in {"text", "measure"} or desk.ask.own_words is not None)


def _typing(desk: Desk) -> bool:
    return desk.ask is not None and is_typing(desk.ask)


def swallowed(desk: Desk, key: str, now: Reading) -> bool:
    """Whether a press of the big key is a bounce: a sleeve, a second contact of the pedal."""
    if key not in BIG or _typing(desk):
        return False
    if desk.last_big_total is None or desk.last_big_boot != now.boot:
        return False
    return 0 <= now.total - desk.last_big_total < desk.guard_ms


def _pressed(desk: Desk, now: Reading) -> Desk:
    return replace(desk, last_big_total=now.total, last_big_boot=now.boot)
