"""Who else looks at a session that is followed: what it is told, and what it asks for."""

from collections.abc import Callable
from typing import Any, Protocol

from guide.follow.session import Session


class Onlooker(Protocol):
    """A page beside the machine. It never makes the session wait."""

    take: Callable[[Any], object]  # given each press, in whatever thread it came

    def tell(self, session: Session, rest: str = "") -> None:
        """Show what there is now."""

    def answer(self, press: Any, session: Session) -> None:
        """Let the session decide a press, and record it."""
