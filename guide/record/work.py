"""The work in hand while a record is folded: the open step, its stopwatch, and the laps that are finished."""

from msgspec.structs import replace

from guide.record.clock import between, clock_face, in_proportion, offset_of, passed_ms, time_text, wall_ms
from guide.record.corrections import Effective
from guide.record.laps import Stopwatch, lap_by_hand, laps_of, reading_of, shared_out, shorten, take_from
from guide.record.model import Doing, Event, Lap, Record, Remark, Sitting, StepRecord

HALTED = frozenset({"paused", "trouble", "interrupted", "stopped"})


def offset_told(event: Event) -> int:
    """Local time minus UTC where what a record tells of was, minutes: of one typed in afterwards, as it was typed."""
    return offset_of((event.set or {}).get("to"), event.offset) if event.by_hand else event.offset


def ended(sitting: Sitting, end: int, offset: int) -> Sitting:
    """Give a sitting its end (wall ms) and the offset there, minutes."""
    return replace(sitting, end=end, offset=offset, shift=offset - sitting.start_offset)


class Work:
    """A record being folded, and what must be remembered between two of its events."""

    def __init__(self, record: Record, found: Effective, events: list[Event]) -> None:
        """Begin a fold; events: all of them, corrections too."""
        self.record, self.events = record, events
        self.extras, self.moved, self.originals = found.extras, found.moved, found.originals
        self.watch = Stopwatch(found.moved, record.assumed)
        self.totals = [0]  # counted ms of finished laps, by sitting, counted from 1 (0: before any)
        self.before: Event | None = None  # the last event that says someone or something was there
        self.remark: tuple[int, Event] | None = None  # the trouble or interruption that goes on
        self.parts: dict[int, dict[int, int]] = {}  # by the record that ended a lap: its ms by sitting
        self.newest: tuple[str, ...] = ()  # the step of the last finished lap, or the steps it was shared out among
        self.idle = False  # between two steps, where that time counts: the stopwatch is of no step yet
        self._read: Event | None = None  # the event whose stamp was read last
        self._read_ms = 0

    def wall(self, event: Event) -> int:
        """When the event happened, wall ms, as set right."""
        if event is not self._read:  # asked several times of one event
            self._read, self._read_ms = event, self.stamped(event)
        return self._read_ms + self.moved.get(event.n, 0) if self.moved else self._read_ms

    def stamped(self, event: Event) -> int:
        """When the event was written, wall ms; a stamp that is none counts as the time of the one before."""
        try:
            return wall_ms(event.at)
        except (ValueError, TypeError):
            return self.stamped(self.before) if self.before and self.before is not event else 0

    def told(self, event: Event) -> int:
        """When what a note or a measure tells of was, wall ms: of one typed in afterwards, as it was typed."""
        try:
            return wall_ms((event.set or {})["to"]) if event.by_hand else self.wall(event)
        except (KeyError, ValueError, TypeError):
            return self.wall(event)

    def now(self, doing: Doing, event: Event, why: str = "") -> None:
        """Say what the maker is doing from this event on."""
        record = self.record
        record.doing = doing
        record.doing_why = why or event.why
        record.doing_since = reading_of(event, self.wall(event))

    def fixed(self, event: Event, name: str) -> object:
        """Give what corrections say of the event beyond its own members."""
        return self.extras.get(event.n, {}).get(name)

    def step(self, key: str) -> StepRecord:
        """Give the step's record, begun when there is none."""
        step = self.record.steps.get(key)
        if step is None:
            step = self.record.steps[key] = StepRecord(key)
            self.record.order.append(key)
        return step

    def sit(self, event: Event, number: int) -> None:
        """Begin a sitting; the one before ended with the last sign of life, or with the closing."""
        sittings, before = self.record.sittings, self.before
        if sittings and before and not self.record.closed:
            sittings[-1] = ended(sittings[-1], self.wall(before), before.offset)
        wall = self.wall(event)
        self.record.sitting = number
        self.record.sittings.append(Sitting(number, wall, wall, 0, event.offset))
        self.totals.append(0)

    def note(self, kind: str, event: Event, text: str, ms: int | None = None) -> int:
        """Keep a remark, of the step it names or else of the one that is open; gives its place in the list."""
        step = event.step or next((key for key, step in self.record.steps.items() if step.state == "open"), "")
        at = self.told(event), step, text, ms, offset_told(event), event.by_hand
        self.record.remarks.append(Remark(kind, event.n, *at))
        return len(self.record.remarks) - 1

    def end_remark(self, event: Event) -> None:
        """End the trouble or interruption that goes on, and say how long it was."""
        if self.remark is None:
            return
        index, since = self.remark
        span = between(reading_of(since, self.wall(since)), reading_of(event, self.wall(event)))
        remark = self.record.remarks[index]
        self.record.remarks[index] = replace(remark, ms=max(0, span.counted_ms + span.asleep_ms))
        self.remark = None

    def idle_from(self, event: Event) -> None:
        """Count from the end of a step on, where the maker counts that; never while something waits of itself."""
        at = reading_of(event, self.wall(event))
        self.idle = self.record.between and not any(
            not one.over and passed_ms(one.begun, at) < (one.planned_ms or 0) for one in self.record.waits
        )
        if self.idle:
            self.watch.reset("", at.wall, event)
            self.watch.go(event, at.wall)

    def end_idle(self, event: Event, key: str) -> None:
        """Put what was counted since the last step to the one that begins."""
        if not self.idle:
            return
        self.halt(event)
        newest, self.idle = self.newest, False
        laps = laps_of(self.watch, event, self.wall(event), 0, first=False, extra=self.extras.get(event.n, {}))
        laps = [replace(lap, step=key, between=True) for lap in laps]
        if (event.set or {}).get("between") is not False:  # worked at another project meanwhile
            self.step(key).laps += laps
            self.keep(laps, self.watch.parts)
        self.newest = newest

    def stop_idle(self) -> None:
        """Drop what was counted since the last step: no other begins in this sitting."""
        if self.idle:
            self.watch.reset()
            self.idle = False

    def halt(self, event: Event) -> None:
        """Let the stopwatch stand from this event on."""
        self.watch.halt(event, self.wall(event), len(self.totals) - 1)

    def wake(self, event: Event) -> None:
        """Go on working after a pause, a trouble or an interruption."""
        record = self.record
        if record.doing not in HALTED:
            return
        self.end_remark(event)
        if record.doing == "trouble":
            self.halt(event)
        if (record.current or self.idle) and not self.watch.running:
            self.watch.go(event, self.wall(event))
        self.now("working" if record.current else "ready", event)

    def up_to(self, before: Event) -> None:
        """Count the open lap up to the last sign of life: nobody knows what came after it."""
        if not self.watch.running:
            return
        self.halt(before)
        self.record.assumed.append(
            f"{self.watch.step}: stopped without a pause; counted up to the last sign of life at "
            f"{clock_face(self.wall(before), before.offset)} (record {before.n})."
        )

    def put_aside(self, event: Event) -> None:
        """Leave the open step, if there is one, with its unfinished lap kept."""
        if self.record.current is None:
            return
        self.end_lap(event, self.wall(event), 0)
        self.close_step(event)

    def close_step(self, event: Event) -> None:
        """Leave the open step, put aside unless it is over; the next one may start."""
        step = self.record.steps.get(self.record.current or "")
        if step and step.state == "open":
            step.state = "aside"
        self.record.current = None
        self.watch.reset()
        self.now("ready", event)

    def end_lap(self, event: Event, wall: int, pieces: int) -> None:
        """Finish the open lap with so many pieces."""
        watch = self.watch
        watch.halt(event, wall, len(self.totals) - 1)
        extra = self.extras.get(event.n, {}) if self.extras else {}
        if "ms" in extra:
            self.tell_length(event.n, watch.ms)
        done = pieces + watch.joined
        steps = {key: self.step(key) for key in (self.counted_with(event) if done else (watch.step,))}
        first = {key: one.pieces_done == watch.joined and done > 0 for key, one in steps.items()}
        laps = laps_of(watch, event, wall, done, first=any(first.values()), extra=extra)
        if len(steps) > 1:
            laps = [share for lap in laps for share in shared_out(lap, event.through or {})]
        for lap in laps:
            steps[lap.step].laps.append(lap if first[lap.step] or not lap.first else replace(lap, first=False))
        self.keep(laps, watch.parts)
        if done:
            self.count(event, pieces)

    def counted_with(self, event: Event) -> tuple[str, ...]:
        """Give the steps whose pieces a record of the open step counts: it alone, or all it says they went through."""
        through = event.through or {}
        return tuple(through) if self.watch.step in through else (self.watch.step,)

    def count(self, event: Event, pieces: int) -> None:
        """Count pieces of the open step, and of the steps they went through with it."""
        for key in self.counted_with(event):
            step = self.step(key)
            step.add(pieces)
            if step.started is None:
                step.started = self.watch.start

    def tell_length(self, n: int, ms: int) -> None:
        """Say in the correction of a lap's length how long it was: only the stopwatch knows."""
        for index, fix in enumerate(self.record.corrections):
            if fix.of == n and fix.what.endswith(": length") and not fix.was:
                self.record.corrections[index] = replace(fix, was=time_text(ms / 1000))
                return

    def keep(self, laps: list[Lap], parts: dict[int, int]) -> None:
        """Put the time of laps that a record finished to their sittings."""
        if not laps:
            return
        self.newest = laps[-1].shared or (laps[-1].step,)
        self.parts[laps[0].end_n] = parts
        if laps[0].counted:
            for sitting, ms in parts.items():
                self.totals[sitting] += ms

    def forget(self, lap: Lap, ms: int | None = None) -> None:
        """Take a lap's time, or so much of it, out of the sittings again."""
        parts = self.parts.get(lap.end_n, {})
        was = dict(parts)
        take_from(parts, lap.counted_ms if ms is None else ms)
        for sitting, before in was.items() if lap.counted else ():
            self.totals[sitting] -= before - parts[sitting]

    def take_off(self, event: Event, ms: int) -> int:
        """Take an interruption off the open lap, or off the last finished one; gives what could be taken."""
        watch, taken = self.watch, 0
        if self.record.current:
            trouble = self.record.doing == "trouble"
            running = watch.running
            self.halt(event)
            taken = watch.take_off(ms)
            if running:
                watch.go(event, self.wall(event), trouble=trouble)
        else:
            newest = {key: one.laps for key in self.newest if (one := self.record.steps.get(key)) and one.laps}
            by = {key: laps[-1].counted_ms for key, laps in newest.items()}
            taken = min(ms, sum(by.values()))
            for key, off in in_proportion(taken, by).items():
                lap = newest[key][-1]
                self.forget(lap, off)
                newest[key][-1] = shorten(lap, off, self.parts.get(lap.end_n, {}))
        if taken < ms:
            self.record.assumed.append(
                f"Record {event.n}: of {time_text(ms / 1000)} interrupted only {time_text(taken / 1000)} could be "
                "taken off."
            )
        return taken

    def written_in(self, event: Event) -> None:
        """Take in times typed afterwards; they belong to no sitting and leave the open lap alone."""
        if event.step == self.record.current and event.what == "step_done":
            before = self.before or event
            self.up_to(before)
            self.end_remark(before)
            self.put_aside(before)
        step, at = self.step(event.step), self.stamped(event)
        extra = self.extras.get(event.n, {})
        if "ms" in extra and (typed := lap_by_hand(event, at, first=False, extra={})):
            self.tell_length(event.n, typed.counted_ms)
        lap = lap_by_hand(event, at, first=step.pieces_done == 0, extra=extra)
        if lap is None:
            self.record.assumed.append(f"Record {event.n}: typed by hand without times; its pieces are counted.")
        else:
            step.laps.append(lap)
            step.started = lap.start if step.started is None else min(step.started, lap.start)
            self.newest = (step.key,)
        step.add(event.count)

    def out_of_turn(self, event: Event) -> None:
        """Count pieces of a step that was not open: without a time, and said."""
        step = self.step(event.step)
        step.add(event.count)
        if event.count:
            self.record.assumed.append(
                f"Record {event.n}: {event.count} counted of {event.step}, which was not open; no time is known."
            )
