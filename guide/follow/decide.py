"""What one key means now: the whole of following along, as one function of what it is given.

Questions never swallow a key that moves the work on. When a piece took far too long, or the computer
slept meanwhile, the key's own record is written first and the question comes after it, so what was
pressed is safe whatever becomes of the question; the next big key leaves the question and counts.
"""

from collections.abc import Callable

from msgspec.structs import replace

from guide.follow import (
    coming_back,
    counting,
    forgotten,
    halting,
    looking,
    measuring,
    noting,
    righting,
    swapping,
    undoing,
    waiting,
)
from guide.follow.asking import ANYTHING_ELSE_GOES_ON, AT_END, is_typing, put_away, say, take
from guide.follow.keys import BIG
from guide.follow.model import Ask, Desk, Moment, Turn
from guide.plan.model import Plan
from guide.record.model import Event, Reading, Record

MOST_DIGITS = 4

_LETTERS: dict[str, Callable[[Moment], Turn]] = {
    "a": counting.all_done,
    "u": undoing.undo,
    "p": halting.pause,
    "n": noting.note,
    "m": measuring.measure,
    "t": halting.trouble,
    "i": halting.interrupted,
    "s": halting.skip,
    "b": looking.back,
    "f": looking.ahead,
    "w": looking.why,
    "x": righting.set_right,
    "v": noting.photo,
    "c": swapping.change,
    "g": counting.toggle_together,
    "l": looking.lock,
    "?": looking.keys,
    "o": waiting.over,
    "q": halting.stop,
    "escape": looking.put_away,
}

_ANSWERS: dict[str, Callable[[Moment, Ask, str], Turn]] = {
    "note": lambda at, _ask, answer: noting.note_is(at, answer),
    "photo": noting.photo_is,
    "caution": lambda at, ask, _answer: noting.caution_read(at, ask),
    "measure": measuring.measured,
    AT_END: counting.measured_or_done,
    "measure_which": measuring.measure_which,
    "trouble": lambda at, _ask, answer: halting.trouble_is(at, answer),
    "skip": halting.skip_because,
    "skip_words": halting.skip_in_words,
    "undo": lambda at, _ask, _answer: undoing.undo_confirmed(at),
    "waited": waiting.over_is,
    "held": counting.held_is,
    "swap": swapping.change_is,
    "amend": righting.which_way,
    "amend_length": righting.length_is,
    "amend_start": righting.start_is,
    "amend_words": righting.words_are,
    "long_piece": forgotten.long_piece_was,
    "sleep": forgotten.sleep_was,
    "texts": coming_back.texts_are,
}

_WHEN_CLOSED = frozenset({"u", "b", "f", "w", "?", "q", "l", "escape", *BIG})


def decide(
    plan: Plan, record: Record, desk: Desk, key: str, now: Reading, *, undo: Event | None = None, sitting_n: int = 0
) -> Turn:
    """Give what a key leads to: a changed desk and at most one event. Reads nothing but its arguments.

    `undo` is the record that `u` would take back, `sitting_n` the one this sitting began with.
    """
    at = Moment(plan, record, replace(desk, changes=()), now, undo, sitting_n)
    if swallowed(desk, key, now):
        return Turn(_pressed(desk, now))
    if key in BIG and not _typing(desk):
        at = replace(at, desk=_pressed(at.desk, now))
    turn = _decide(at, key)
    return forgotten.ask_after(at, turn)


def _decide(at: Moment, key: str) -> Turn:
    if at.desk.locked:
        return looking.lock(at) if key == "l" else say(at, "Locked: l unlocks.")
    question = at.desk.ask
    if question is not None and key == "q" and not writes(at.desk):
        return halting.stop(replace(at, desk=put_away(at).desk))
    if question is not None and (key in {"escape", *question_keys(question)} or not _goes_on(question)):
        answer = take(at, question, key)
        return _ANSWERS[question.about](at, question, answer) if isinstance(answer, str) else answer
    if question is not None:
        at = replace(at, desk=put_away(at).desk)
    return _key(at, key)


def question_keys(question: Ask) -> tuple[str, ...]:
    """The numbers that answer a question."""
    return tuple(str(number + 1) for number in range(len(question.choices)))


def _goes_on(question: Ask) -> bool:
    return question.about in ANYTHING_ELSE_GOES_ON


def _key(at: Moment, key: str) -> Turn:
    if at.record.doing == "closed" and key not in _WHEN_CLOSED:
        return say(at, "This session is closed: q leaves, u opens it again.")
    if key in BIG:
        return counting.big(at)
    if len(key) == 1 and key in "0123456789":
        typed = (at.desk.typed + key).lstrip("0")[:MOST_DIGITS]
        return Turn(replace(at.desk, typed=typed, said=""))
    if key == "backspace":
        return Turn(replace(at.desk, typed=at.desk.typed[:-1]))
    act = _LETTERS.get(key)
    if act is None:
        said = f"{key} is no key here: ? shows them." if len(key) == 1 and key.isprintable() else at.desk.said
        return Turn(replace(at.desk, typed="", said=said))
    turn = act(at)
    return replace(turn, desk=replace(turn.desk, typed=""))


def writes(desk: Desk) -> bool:
    """Whether a letter is written, and no key: its size is the maker's."""
    return desk.ask is not None and (desk.ask.kind in {"text", "measure"} or desk.ask.about == "skip")


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
