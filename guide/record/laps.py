"""Laps made from a stopwatch, or from times typed afterwards, with what corrections say of them.

The stopwatch reads no clock: it is handed the events at which it runs and halts, and says what had to be assumed.
"""

from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from guide.record.clock import SLACK_MS, Span, between, clock_face, in_proportion, offset_of, time_text, wall_ms
from guide.record.model import Event, Lap, Reading


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
        return f"{self.step or 'between two steps'}, {clock_face(self._wall, b.offset)} to {clock_face(wall, b.offset)}"


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
        said.append(f"{during}: the computer slept {time_text((span.asleep_ms - kept) / 1000)} of it; not counted.")
    if kept:
        said.append(f"{during}: {time_text(kept / 1000)} of sleep are counted, as you said.")
    if span.step_ms:
        way = "forward" if span.step_ms > 0 else "back"
        said.append(
            f"{during}: the clock was set {way} by {time_text(abs(span.step_ms) / 1000)}; the time counted is unhurt."
        )


def laps_of(watch: Stopwatch, event: Event, end: int, pieces: int, *, first: bool, extra: dict[str, Any]) -> list[Lap]:
    """Give the lap that ended at an event: none when nothing was in it, two when the maker split it.

    end: wall ms; pieces: those the lap finished; first: whether they hold the step's first piece.
    """
    if "ms" in extra and event.what != "interrupted":
        _set_length(watch, extra["ms"])
    if not pieces and not watch.ms:
        return []
    lap = Lap(
        step=watch.step,
        pieces=pieces,
        counted_ms=watch.ms,
        trouble_ms=watch.trouble_ms,
        first=first,
        start_n=watch.start_n,
        end_n=event.n,
        start=watch.start,
        end=end,
        offset=event.offset,
        counted=extra.get("counted", True),
        sure=extra.get("counted", False),
        make=event.make,
        shift=event.offset - watch.offset,
        sat=by_sitting(watch.parts),
    )
    return _split(lap, extra["split"]) if extra.get("split") else [lap]


def open_lap(watch: Stopwatch, event: Event, end: int, sitting: int) -> Lap | None:
    """Give the lap that runs still as it stands at an event (wall ms) of a sitting; None when nothing is in it."""
    ms, trouble_ms = watch.so_far(event, end)
    if not ms and not watch.joined:
        return None
    runs = {sitting: watch.parts.get(sitting, 0) + ms - watch.ms} if ms > watch.ms else {}
    return Lap(
        step=watch.step,
        pieces=watch.joined,
        counted_ms=ms,
        trouble_ms=trouble_ms,
        first=False,
        start_n=watch.start_n,
        end_n=0,
        start=watch.start,
        end=end,
        offset=event.offset,
        shift=event.offset - watch.offset,
        sat=by_sitting(watch.parts | runs),
    )


def _set_length(watch: Stopwatch, ms: int) -> None:
    """Give the lap the length the maker says it had."""
    more = max(ms, 0) - watch.ms
    if more < 0:
        watch.take_off(-more)
        return
    watch.ms += more
    latest = max(watch.parts, default=0)
    watch.parts[latest] = watch.parts.get(latest, 0) + more


def _split(lap: Lap, where: dict[str, Any]) -> list[Lap]:
    """Cut a lap in two at a moment, its time shared as the clock's; exact, nothing gained or lost."""
    lap = replace(lap, sat=())  # which sitting's time is which part's is the clock's to say
    at = min(max(wall_ms(where["at"]), lap.start), lap.end)
    length = lap.end - lap.start
    pieces = min(max(where["pieces"], 0), lap.pieces)
    ms = lap.counted_ms * (at - lap.start) // length if length else 0
    trouble = min(lap.trouble_ms * (at - lap.start) // length if length else 0, ms)
    rest = replace(
        lap,
        start=at,
        pieces=lap.pieces - pieces,
        counted_ms=lap.counted_ms - ms,
        trouble_ms=lap.trouble_ms - trouble,
        first=lap.first and not pieces,
        shift=0,
    )
    before = replace(lap, end=at, pieces=pieces, counted_ms=ms, trouble_ms=trouble, first=lap.first and pieces > 0)
    return [before, rest]


def shared_out(lap: Lap, usual: Mapping[str, int]) -> list[Lap]:
    """Share the lap of pieces that went through several steps at once out among them, by their usual times.

    Nothing is gained or lost, to the ms. Of a lap over more than one sitting the first steps have the first one's time.
    """
    weights = usual if any(usual.values()) else dict.fromkeys(usual, 1)
    clean, trouble = (in_proportion(ms, weights) for ms in (lap.counted_ms - lap.trouble_ms, lap.trouble_ms))
    left, out = dict(lap.sat), []
    for key in usual:
        bad = trouble.get(key, 0)
        ms = clean.get(key, 0) + bad
        sat = _first(left, ms) if left else ()
        out.append(replace(lap, step=key, counted_ms=ms, trouble_ms=bad, shared=tuple(usual), sat=sat))
    return out


def _first(left: dict[int, int], ms: int) -> tuple[tuple[int, int], ...]:
    """Take so many ms from what is left of the sittings, the earliest first; given where they are of several."""
    taken: dict[int, int] = {}
    for sitting in sorted(left):
        taken[sitting] = min(ms, left[sitting])
        left[sitting] -= taken[sitting]
        ms -= taken[sitting]
    return by_sitting({sitting: part for sitting, part in taken.items() if part})


def lap_by_hand(event: Event, at: int, *, first: bool, extra: dict[str, Any]) -> Lap | None:
    """Give the lap of times typed afterwards, at wall ms (`set`: from, to, less ms); None when they are no times."""
    typed = event.set or {}
    try:
        start, end = wall_ms(typed["from"]), wall_ms(typed["to"])
        less = int(typed.get("less", 0))
    except (KeyError, ValueError, TypeError):
        return None
    ms = max(end - start - max(less, 0), 0)
    from_offset, offset = (offset_of(typed[at], event.offset) for at in ("from", "to"))
    return Lap(
        step=event.step,
        pieces=event.count,
        counted_ms=max(extra.get("ms", ms), 0),
        trouble_ms=0,
        first=first and event.count > 0,
        start_n=event.n,
        end_n=event.n,
        start=start,
        end=end,
        offset=offset,
        counted=extra.get("counted", True),
        sure=extra.get("counted", False),
        by_hand=True,
        make=event.make,
        typed=at,
        shift=offset - from_offset,
    )


def shorten(lap: Lap, ms: int, parts: dict[int, int]) -> Lap:
    """A finished lap without so many ms (not more than it has); parts: what is left of it by sitting."""
    left = lap.counted_ms - ms
    sat = by_sitting(parts) if sum(parts.values()) == left else ()  # of a lap that was split they are both halves'
    return replace(lap, counted_ms=left, trouble_ms=min(lap.trouble_ms, left), sat=sat)


def by_sitting(parts: dict[int, int]) -> tuple[tuple[int, int], ...]:
    """Give the parts of a lap that went over more than one sitting; none where all of it is of one."""
    return tuple(sorted(parts.items())) if len(parts) > 1 else ()
