"""A press, or a photo, that comes from a page beside the machine: taken by the session, or refused and told why.

A page sees the work a moment late. It says what it saw, and what has moved on since takes no press of it: that would
count twice, or on another step.
"""

from collections.abc import Callable
from typing import Any, Protocol

from msgspec.structs import replace

from guide.follow.keys import swallowed, writes
from guide.follow.model import Desk
from guide.follow.order import step_named, under_needle
from guide.follow.session import Session

UNSAVED = "A record is not saved yet: see to it at the computer."
OTHER = "The other project is at the machine now: the photo was not kept. Look, and take it again."
UNKEPT = "The photo could not be kept, and nothing was noted: see to it at the computer."
LOCKED = "The keys are locked at the computer."
ASKED = "Asked at the computer: answer there."


def why_not(desk: Desk) -> str:
    """Why no press may be taken now, or ""; what is typed at the computer is finished there."""
    if desk.problem:
        return UNSAVED
    if desk.locked:
        return LOCKED
    return ASKED if writes(desk) else ""


def press(session: Session, key: str, by: str, *, of: int, newest: int, moves: int) -> str:
    """Take a press of the page `by`; gives why it was not taken, or "".

    What the page showed: the session `of` this mark, its newest record that a key had written, the keys so far.
    """
    if (of, newest, moves) != (session.mark, session.newest, session.moves):
        return "Too late: the work had gone on. Look, and press again."
    if why := UNSAVED if session.unsaved else why_not(session.desk):
        return why
    bounce = swallowed(session.desk, key, session.clock.read())
    session.press(key, by)
    return "Too soon after the last press: not counted." if bounce else ""


def note_photo(session: Session, name: str, step: str, by: str, *, of: int) -> str:
    """Note a photo that lies beside the journal at the step it was taken at; gives why it could not be, or ""."""
    if of != session.mark:
        return OTHER
    if session.unsaved:
        return UNSAVED
    here = step_named(session.plan, step) or under_needle(session.plan, session.record)
    event = {"what": "photo", "name": name, "by": by} | ({"step": here.key} if here else {})
    session.moves += 1
    if not session.keep(event, session.clock.read()):
        return UNKEPT  # why it was refused stands at the computer: a page is told no place on its disk
    session.desk = replace(session.desk, said="Photo noted.")
    return ""


# Who else looks at a session that is followed: what it is told, and what it asks for.


class Onlooker(Protocol):
    """A page beside the machine. It never makes the session wait."""

    take: Callable[[Any], object]  # given each press, in whatever thread it came

    def tell(self, session: Session, rest: str = "") -> None:
        """Show what there is now."""

    def answer(self, press: Any, session: Session) -> None:
        """Let the session decide a press, and record it."""
