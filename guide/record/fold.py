"""The record of a session, folded from its events from left to right.

`fold` for a whole file; `Folder` when events keep coming, so that one key does not fold everything again
(a correction does).
"""

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from guide.record.clock import clock_face, spoken
from guide.record.corrections import effective, undo_target
from guide.record.kinds import KINDS
from guide.record.laps import open_lap, reading_of
from guide.record.model import Event, Record
from guide.record.work import Work, ended

__all__ = ["Folder", "fold", "undo_target"]

_NOBODY = Event(0, "1970-01-01T00:00:00.000Z", 0, 0, 0, "", "opened")


def fold(events: Sequence[Event]) -> Record:
    """Give the record of a session's events. Any list is folded, however ill-formed; nothing is changed."""
    return Folder(events).record


class Folder:
    """A record that grows with its events. `record` is updated in place, and made anew by a correction."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self.events = list(events)
        self._again()

    def add(self, event: Event) -> None:
        """Take in the next event."""
        self.events.append(event)
        if event.what in {"voided", "amended"} or len(self.events) == 1:
            self._again()
        else:
            self._take(event)
            self._settle()

    def _again(self) -> None:
        found = effective(self.events)
        self.record = Record(
            self.events[0] if self.events else _NOBODY, corrections=found.corrections, assumed=found.problems
        )
        self._work = Work(self.record, found, self.events)
        self._offset = self.record.header.offset
        for event in found.events:
            self._take(event)
        self._settle()

    def _take(self, event: Event) -> None:
        if event.offset != self._offset and not event.by_hand:
            self._zone(event)
        do = KINDS.get(event.what)
        if do is not None:
            do(self._work, event)
        else:
            self.record.unknown.append(event)
        if event.what not in {"recovered", "amended"} and not event.by_hand:  # those are written later
            self._work.before = event

    def _settle(self) -> None:
        """Bring what depends on the newest event up to it."""
        record, work = self.record, self._work
        record.count = len(self.events)
        last = work.before
        if last is None:
            return
        wall = work.wall(last)
        record.last = reading_of(last, work.stamped(last))
        record.lap_ms, record.lap_trouble_ms = work.watch.so_far(last, wall)
        record.lap_start_n = work.watch.start_n
        record.open_lap = open_lap(work.watch, last, wall, len(record.sittings))
        for index, sitting in enumerate(record.sittings):
            counted = work.totals[index + 1] + work.watch.parts.get(index + 1, 0)
            if index + 1 == len(record.sittings):
                counted += record.lap_ms - work.watch.ms  # what runs still
                now = ended(sitting, sitting.end if record.closed else wall, last.offset)
                record.sittings[index] = replace(now, counted_ms=counted)
            elif counted != sitting.counted_ms:
                record.sittings[index] = replace(sitting, counted_ms=counted)

    def _zone(self, event: Event) -> None:
        by, self._offset = event.offset - self._offset, event.offset
        if not self._work.watch.running:
            return
        way = "forward" if by > 0 else "back"
        self.record.assumed.append(
            f"{clock_face(self._work.wall(event), event.offset)}: clocks here went {way} by {spoken(abs(by) * 60_000)} "
            "(summer time or another zone); the time counted is unhurt."
        )
