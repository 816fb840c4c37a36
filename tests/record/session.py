"""A session written with an invented clock, for tests: say what happens, let time go by, look at the record."""

from msgspec.structs import replace

from guide.record.fold import Folder, fold
from guide.record.lines import KINDS, event_of
from guide.record.model import Event, Record
from tests.fakes import FakeClock


class Session:
    """Events in memory. `run` takes seconds."""

    def __init__(self, *, opened: bool = True, day: int = 0):
        self.clock = FakeClock()
        self.clock.run(day * 86_400)
        self.events: list[Event] = []
        if opened:
            self.say("opened", format=1, mode="practice", project="project: Invented", stages={"cut": "stage: cut"})

    def say(self, what: str, **members) -> Event:
        later = what not in KINDS  # nobody writes it yet, and it may be read
        now = event_of(len(self.events) + 1, {"what": "noted" if later else what, **members}, self.clock.read())
        self.events.append(replace(now, what=what) if later else now)
        return self.events[-1]

    def start(self, step: str = "quilt/cross") -> Event:
        return self.say("step_started", step=step)

    def piece(self, count: int = 1, step: str = "quilt/cross", **more) -> Event:
        return self.say("piece_done", step=step, count=count, **more)

    def done(self, count: int = 1, step: str = "quilt/cross", **more) -> Event:
        return self.say("step_done", step=step, count=count, **more)

    def run(self, seconds: float) -> "Session":
        self.clock.run(seconds)
        return self

    @property
    def record(self) -> Record:
        return fold(self.events)

    def laps(self, step: str = "quilt/cross") -> list[tuple[int, int]]:
        """(pieces, counted seconds) of a step."""
        return [(lap.pieces, lap.counted_ms // 1000) for lap in self.record.step(step).laps]


def grown(events: list[Event]) -> Record:
    """The record as it is when events come one by one."""
    folder = Folder()
    for event in events:
        folder.add(event)
    return folder.record
