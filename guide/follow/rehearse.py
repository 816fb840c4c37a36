"""A session played through on its own: an invented clock, the starter paces, the very same core and journal."""

from msgspec.structs import replace

from guide.follow.ahead import waits
from guide.follow.counting import unmeasured
from guide.follow.model import Moment
from guide.follow.order import left_of, next_step, open_step
from guide.follow.session import Session
from guide.plan.model import Step
from guide.record.model import Reading

BETWEEN_MS = 2_000  # from a done card to the next start: on the clock, in no step
STUCK = 50  # presses that write nothing, in a row: the rehearsal would never end


class InventedClock:
    """A clock that stands still until it is told to run."""

    def __init__(self, wall: int, offset: int = 0, boot: str = "rehearsal") -> None:
        self._wall, self._offset, self._boot = wall, offset, boot
        self._run = 0

    def read(self) -> Reading:
        """Read the invented clocks."""
        return Reading(self._wall + self._run, self._offset, self._run, self._run, self._boot)

    def run(self, ms: int) -> None:
        """Let time pass."""
        self._run += ms


def rehearse(session: Session, clock: InventedClock) -> None:
    """Press the keys of a whole session until it is closed.

    The clock runs by each piece's starter pace, and by each wait after its step; a step that measures is
    answered as planned. Raises RuntimeError when the session comes to no end (our own mistake).
    """
    session.desk = replace(session.desk, guard_ms=0)  # nobody's sleeve is there, and a step may take no time at all
    idle, count = 0, session.record.count
    while not session.left:
        _play(session, clock)
        idle = idle + 1 if session.record.count == count else 0
        count = session.record.count
        if idle > STUCK:
            raise RuntimeError(f"the rehearsal stands still: {session.desk.problem or session.desk.said}")


def _play(session: Session, clock: InventedClock) -> None:
    """Do the next thing that a maker would do."""
    step = open_step(session.plan, session.record)
    if session.desk.ask is not None or step is None or session.record.doing != "working":
        _between_steps(session, clock)
    else:
        _work(session, clock, step)


def _between_steps(session: Session, clock: InventedClock) -> None:
    now = clock.read()
    running = [one for one in waits(session.plan, session.record, now) if not one.over]
    wait = max((one.left_ms for one in running), default=0)
    clock.run(max(wait, BETWEEN_MS if next_step(session.plan, session.record) else 0))
    session.press("space")


def _work(session: Session, clock: InventedClock, step: Step) -> None:
    """Work the open step on to its next press; the pieces' times add up to the step's, to the ms."""
    done = session.record.step(step.key).pieces_done
    now_done = done + 1 if step.count == "each" else step.pieces
    clock.run(_by(step, now_done) - _by(step, done))
    while _to_measure(session, clock, step):
        session.press("m")
        session.press("enter")
    session.press("space")
    if session.desk.ask is not None and session.desk.ask.about == "count_in":
        for key in ("0", "space", "0", "enter"):  # nobody pinned anything
            session.press(key)


def _by(step: Step, pieces: int) -> int:
    """Starter time of so many pieces, ms from the step's start."""
    return round(pieces * step.pace_s * 1000)


def _to_measure(session: Session, clock: InventedClock, step: Step) -> bool:
    at = Moment(session.plan, session.record, session.desk, clock.read())
    count = 1 if step.count == "each" else left_of(step, session.record)
    return unmeasured(at, step, count) is not None
