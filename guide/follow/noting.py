"""What the maker writes down beside the work: a note, a photo's file, a caution read."""

from pathlib import PurePosixPath
from typing import Any

from msgspec.structs import replace

from guide.follow.asking import ask, put_away
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
