"""Hand-written stand-ins for the world outside."""

from guide.record.model import Reading

NINE = 1_772_357_400_000  # 2026-03-01T09:30:00Z, an invented morning


class FakeClock:
    """A clock that moves only when told; seconds in, whole ms inside."""

    def __init__(self, wall: int = NINE, mono: int = 1_000_000, boot: str = "b1", offset: int = 60):
        self.wall, self.awake, self.total, self.boot, self.offset = wall, mono, mono, boot, offset

    def read(self) -> Reading:
        return Reading(wall=self.wall, offset=self.offset, awake=self.awake, total=self.total, boot=self.boot)

    def run(self, seconds: float) -> Reading:
        """Time goes by, the computer awake."""
        ms = round(seconds * 1000)
        self.wall += ms
        self.awake += ms
        self.total += ms
        return self.read()

    def suspend(self, seconds: float) -> Reading:
        """The computer sleeps."""
        ms = round(seconds * 1000)
        self.wall += ms
        self.total += ms
        return self.read()

    def step(self, seconds: float) -> Reading:
        """Someone sets the wall clock."""
        self.wall += round(seconds * 1000)
        return self.read()

    def zone(self, offset: int) -> Reading:
        """Summer time begins, or the maker travels."""
        self.offset = offset
        return self.read()

    def reboot(self, seconds: float = 60) -> Reading:
        """The computer restarts: new boot, steady clocks from nearly nothing."""
        self.wall += round(seconds * 1000)
        self.awake = self.total = 5_000
        self.boot += "x"
        return self.read()
