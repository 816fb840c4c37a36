"""What one key means now: the whole of following along, as one function of what it is given.

Questions never swallow a key that moves the work on. When a piece took far too long, or the computer
slept meanwhile, the key's own record is written first and the question comes after it, so what was
pressed is safe whatever becomes of the question; the next big key leaves the question and counts.
"""

from collections.abc import Mapping

from msgspec.structs import replace

from guide.follow import forgotten, halting, looking
from guide.follow.asking import is_typing, put_away, say, take
from guide.follow.keys import named
from guide.follow.model import BIG, Ask, Desk, Moment, Turn
from guide.plan.model import Plan
from guide.record.model import Event, Reading, Record


def decide(
    plan: Plan,
    record: Record,
    desk: Desk,
    key: str,
    now: Reading,
    *,
    undo: Event | None = None,
    sitting_n: int = 0,
    paces: Mapping[str, float] | None = None,
) -> Turn:
    """Give what a key leads to: a changed desk and at most one event. Reads nothing but its arguments.

    `undo` is the record that `u` would take back, `sitting_n` the one this sitting began with;
    `paces` are the maker's own, s a piece, by step.
    """
    at = Moment(plan, record, replace(desk, changes=()), now, key, undo, sitting_n, paces or {})
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
    if question is not None and (key in {"escape", *question_keys(question)} or not question.goes_on):
        answer = take(at, question, key)
        return question.answer(at, question, answer) if isinstance(answer, str) else answer
    if question is not None:
        at = replace(at, desk=put_away(at).desk)
    return _key(at, key)


def question_keys(question: Ask) -> tuple[str, ...]:
    """The numbers that answer a question."""
    return tuple(str(number + 1) for number in range(len(question.choices)))


def _key(at: Moment, key: str) -> Turn:
    row = named(key)
    if at.record.doing == "closed" and key != "escape" and (row is None or "closed" not in row.when):
        return say(at, "This session is closed: q leaves, u opens it again.")
    if key == "backspace":
        return Turn(replace(at.desk, typed=at.desk.typed[:-1]))
    if row is None and key != "escape":
        said = f"{key} is no key here: ? shows them." if len(key) == 1 and key.isprintable() else at.desk.said
        return Turn(replace(at.desk, typed="", said=said))
    turn = row.act(at) if row else looking.put_away(at)
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
