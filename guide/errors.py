"""What can go wrong, said once: one root error, and the exit code each kind ends with."""

from typing import ClassVar


class GuideError(Exception):
    """Root of every error a user can mend; its text is what they read.

    The text says what happened, what is safe, and what to do next.
    """

    exit_code: ClassVar[int] = 2


class WrongUse(GuideError):
    """The command was called in a way that cannot work (exit 2)."""


class NeedsMending(GuideError):
    """A project or stage file has mistakes; all of them are in the text, by place (exit 2)."""


class OpenElsewhere(GuideError):
    """The session is open in another window (exit 4)."""

    exit_code = 4


class JournalDamaged(GuideError):
    """A journal is damaged before its end; the good part can still be read (exit 5)."""

    exit_code = 5


class CannotWrite(GuideError):
    """The disk or the folder does not take what must be written (exit 6)."""

    exit_code = 6
