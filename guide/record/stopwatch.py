"""The stopwatch of the open lap: runs, halts, and says what had to be assumed about the clocks.

It reads no clock; it is handed the events at which it was started and stopped.
"""

from guide.record.clock import SLACK_MS, Span, between, clock_face, spoken
from guide.record.model import Event, Reading


def reading_of(event: Event, wall: int) -> Reading:
    """Give the clocks at an event."""
    return Reading(wall=wall, offset=event.offset, awake=event.awake, total=event.total, boot=event.boot)


class Stopwatch:
    """Hands-on time of one lap, by sitting, trouble apart.

    moved: records whose time the maker set right, and by how many ms.
    """

    def __init__(self, moved: dict[int, int], said: list[str]) -> None:
        self.moved = moved
        self.said = said
        self.reset()

    def reset(self, step: str = "", start: int = 0, event: Event | None = None) -> None:
        """Begin a new lap of a step at an event (wall ms), standing still; nothing given: no lap."""
        self.step, self.start = step, start
        self.start_n, self.offset = (event.n, event.offset) if event else (0, 0)
        self.ms = self.trouble_ms = 0
        self.joined = 0  # pieces of earlier laps that this one goes on with
        self.parts: dict[int, int] = {}  # sitting → ms
        self._since: Event | None = None
        self._wall = 0
        self._trouble = False
        self.slept_ms = 0  # sleep the maker wants counted

    @property
    def running(self) -> bool:
        """Whether time is being counted."""
        return self._since is not None

    def go(self, event: Event, wall: int, *, trouble: bool = False) -> None:
        """Run from this event on."""
        self._since, self._wall, self._trouble = event, wall, trouble

    def halt(self, event: Event, wall: int, sitting: int) -> None:
        """Stand still from this event on; harmless when standing."""
        if self._since is None:
            return
        ms = self._counted(event, wall, self.said)
        self._since = None
        self.ms += ms
        self.parts[sitting] = self.parts.get(sitting, 0) + ms
        if self._trouble:
            self.trouble_ms += ms

    def so_far(self, event: Event, wall: int) -> tuple[int, int]:
        """(hands-on ms, of that in trouble) up to an event, going on afterwards."""
        if self._since is None:
            return self.ms, self.trouble_ms
        ms = self._counted(event, wall, [])
        return self.ms + ms, self.trouble_ms + (ms if self._trouble else 0)

    def take_off(self, ms: int) -> int:
        """Take so much off what was counted, never below zero; gives what could be taken."""
        taken = min(ms, self.ms)
        self.ms -= taken
        self.trouble_ms = min(self.trouble_ms, self.ms)
        take_from(self.parts, taken)
        return taken

    def _counted(self, b: Event, wall: int, said: list[str]) -> int:
        a = self._since
        assert a is not None
        awake, total = b.awake - a.awake, b.total - a.total
        step = wall - self._wall - total
        usual = a.boot == b.boot and awake >= 0 and -SLACK_MS < step < SLACK_MS > total - awake
        if usual and a.boot and not self.moved:
            return awake
        return self._closer(a, b, wall, said)

    def _closer(self, a: Event, b: Event, wall: int, said: list[str]) -> int:
        """Count a stretch in which the computer slept, a clock was set or the maker set a time right."""
        early, late = self.moved.get(a.n, 0), self.moved.get(b.n, 0)
        span = between(reading_of(a, self._wall - early), reading_of(b, wall - late))
        asleep = span.asleep_ms
        kept = min(self.slept_ms, asleep)
        self.slept_ms = 0 if said is self.said else self.slept_ms
        # Sleep is taken to have come last, so an end moved earlier cuts the sleep off first.
        whole = span.counted_ms + asleep - early + late
        ms = min(span.counted_ms + kept - early + max(late, 0), whole)
        if ms < 0:
            said.append(f"{self._during(b, wall)}: the end is set before the start; counted as nothing.")
        _tell(span, kept, self._during(b, wall), said)
        return max(ms, 0)

    def _during(self, b: Event, wall: int) -> str:
        return f"{self.step}, {clock_face(self._wall, b.offset)} to {clock_face(wall, b.offset)}"


def take_from(parts: dict[int, int], ms: int) -> None:
    """Take ms off the parts of a lap, the latest sitting first."""
    for sitting in sorted(parts, reverse=True):
        taken = min(ms, parts[sitting])
        parts[sitting] -= taken
        ms -= taken


def _tell(span: Span, kept: int, during: str, said: list[str]) -> None:
    if not span.same_boot:
        said.append(f"{during}: the computer restarted, so this time is the wall clock's and not verified.")
    if span.asleep_ms > kept:
        said.append(f"{during}: the computer slept {spoken(span.asleep_ms - kept)} of it; not counted.")
    if kept:
        said.append(f"{during}: {spoken(kept)} of sleep are counted, as you said.")
    if span.step_ms:
        way = "forward" if span.step_ms > 0 else "back"
        said.append(f"{during}: the clock was set {way} by {spoken(abs(span.step_ms))}; the time counted is unhurt.")
