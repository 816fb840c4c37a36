"""What the maker writes down beside the work: a note, a photo's file, a caution read."""

from pathlib import PurePosixPath
from typing import Any

from msgspec.structs import replace

from guide.follow.asking import ask, put_away, say
from guide.follow.model import Ask, Moment, Turn
from guide.follow.order import under_needle

PICTURES = frozenset({".jpg", ".jpeg", ".png", ".gif", ".webp"})


def note(at: Moment) -> Turn:
    """Ask for a note."""
    return ask(at, Ask("note", "text", "Note:", note_is))


def note_is(at: Moment, _question: Ask, answer: str) -> Turn:
    """Write the note; an empty one is none."""
    if not answer:
        return put_away(at, "Nothing noted.")
    return replace(put_away(at, "Noted."), event=at_step(at, {"what": "noted", "text": answer}))


def machine(at: Moment) -> Turn:
    """Go over to another machine: with two it is the other one, with more it is asked for."""
    others = [name for name in at.plan.machines if name != at.plan.machine]
    if not others:
        return say(at, "No other machine is known: machines.yaml in your folder names them (guide help own).")
    if len(others) == 1:
        return _at_machine(at, others[0])
    return ask(at, Ask("machine", "choose", "At which machine?", machine_is, tuple(others[:9])))


def machine_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write which machine was gone over to."""
    return _at_machine(at, question.choices[int(answer) - 1])


def _at_machine(at: Moment, name: str) -> Turn:
    text = f"From here on at the machine {name}."
    event = at_step(at, {"what": "noted", "text": text, "set": {"machine": name}})
    return replace(put_away(at, text), event=event)


def photo(at: Moment) -> Turn:
    """Ask for a photo's file."""
    return ask(at, Ask("photo", "text", "Photo's file, as it lies in the project's folder:", photo_is))


def photo_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the photo's path, when it is a picture's inside the project's folder."""
    if not answer:
        return put_away(at, "No photo noted.")
    if (wrong := wrong_path(answer)) is not None:
        return Turn(replace(at.desk, ask=question, said=wrong))
    return replace(put_away(at, "Photo noted."), event=at_step(at, {"what": "photo", "name": answer}))


def wrong_path(path: str) -> str | None:
    """What is wrong with a photo's path, or None; whether the file is there, its reader finds out."""
    parts = PurePosixPath(path).parts
    if "\\" in path or ":" in path or path.startswith(("/", "~")) or ".." in parts:
        return "Write the path inside the project's folder, like photos/front.jpg."
    if PurePosixPath(path).suffix.lower() not in PICTURES:
        return "Write a picture's file: jpg, png, gif or webp."
    return None


def caution_read(at: Moment, question: Ask, _answer: str) -> Turn:
    """Write that a caution was read; the step starts with the next press."""
    event = {"what": "acknowledged", "step": question.data["step"], "name": question.name}
    return replace(put_away(at, "Read. The big key starts the step."), event=event)


def at_step(at: Moment, event: dict[str, Any]) -> dict[str, Any]:
    """The event with the step under the needle, when there is one."""
    step = under_needle(at.plan, at.record)
    return event | {"step": step.key} if step else event
