"""Keys that only look or guard, and never write: back, ahead, why, keys, lock."""

from msgspec.structs import replace

from guide.follow.asking import say
from guide.follow.model import Moment, Turn
from guide.follow.order import step_named, under_needle


def back(at: Moment) -> Turn:
    """Look at the step before the one looked at."""
    return _look(at, -1)


def ahead(at: Moment) -> Turn:
    """Look at the step after the one looked at."""
    return _look(at, 1)


def _look(at: Moment, by: int) -> Turn:
    here = under_needle(at.plan, at.record)
    seen = step_named(at.plan, at.desk.look) if at.desk.view == "look" else here
    steps = at.plan.steps
    if not steps:
        return Turn(at.desk)
    to = steps.index(seen) + by if seen else len(steps) + min(by, 0)
    if not 0 <= to < len(steps):
        said = "That is the first step." if to < 0 else "That is the last step."
        return say(at, said)
    if here is not None and steps[to].key == here.key:
        return Turn(replace(at.desk, view="step", look=None, said=""))
    return Turn(replace(at.desk, view="look", look=steps[to].key, said=""))


def why(at: Moment) -> Turn:
    """Show why it is done so, or put that away."""
    if at.desk.view == "why":
        return Turn(replace(at.desk, view="look" if at.desk.look else "step", said=""))
    look = at.desk.look if at.desk.view == "look" else None
    return Turn(replace(at.desk, view="why", look=look, said=""))


def drawing(at: Moment) -> Turn:
    """Show the step's drawing large, or put it away."""
    if at.desk.view == "drawing":
        return Turn(replace(at.desk, view="look" if at.desk.look else "step", said=""))
    look = at.desk.look if at.desk.view == "look" else None
    return Turn(replace(at.desk, view="drawing", look=look, said=""))


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


def put_away(at: Moment) -> Turn:
    """Escape: the step again, nothing typed, nothing said."""
    return Turn(replace(at.desk, view="step", look=None, typed="", said="", told=""))
