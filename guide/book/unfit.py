"""What cannot be done with the book as it stands."""

from guide.errors import GuideError


class Unfit(GuideError):
    """A line that the book as it stands has no room for; the text says why, after its number (exit 2)."""


def need(good: object, why: str) -> None:
    """Refuse a line unless something holds. Raises Unfit before anything is changed."""
    if not good:
        raise Unfit(why)
