"""How a question on the desk takes keys: text, a size, one of a numbered list, or yes."""

from msgspec.structs import replace

from guide.follow.model import BIG, Answer, Ask, Moment, Turn
from guide.read.spoken import unsafe
from guide.read.units import INCH

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


def put_away(at: Moment, said: str = "") -> Turn:
    """Take the question off the desk unanswered."""
    return Turn(replace(at.desk, ask=None, said=said))


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
    return _still(at, _edited(at, question, key))


def _still(at: Moment, question: Ask, said: str = "") -> Turn:
    return Turn(replace(at.desk, ask=question, said=said))


def _confirm(at: Moment, question: Ask, key: str) -> Turn | str:
    if key in BIG:
        return "yes"
    if question.about != "caution" and key in {"y", "n"}:
        return "yes" if key == "y" else put_away(at)
    return _still(at, question, "This first: the big key says yes, escape leaves it.")


def _choose(at: Moment, question: Ask, key: str) -> Turn | str:
    if key in BIG and "default" in question.data:
        return str(question.data["default"])
    if key.isdecimal() and 1 <= int(key) <= len(question.choices):
        return key
    if question.own_words and (key == OWN_WORDS or (is_letter(key) and not key.isdecimal())):
        begun = "" if key == OWN_WORDS else key
        return ask_again(at, _in_words(question, question.own_words), begun, "")
    if key in BIG:  # a foot on the pedal must not be stuck behind a question
        return put_away(at, "Left unanswered.")
    return _still(at, question, f"Type a number from 1 to {len(question.choices)}.")


def _in_words(question: Ask, answer: Answer) -> Ask:
    words = "What is it, in your own words:" if question.about == "trouble" else "Why, in your own words:"
    return Ask(f"{question.about}_words", "text", words, answer, data=question.data)


def _edited(at: Moment, question: Ask, key: str) -> Ask:
    """The question with one key more typed into it."""
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
