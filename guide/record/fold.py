"""The record of a session, folded from its events from left to right.

`fold` for a whole file; `Folder` when events keep coming, so that one key does not fold everything again
(a correction does).
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Annotated, Any

import msgspec
from msgspec.structs import replace

from guide.read.kinds import KEPT_AS, in_use_text
from guide.record.clock import SLACK_MS, clock_face, time_text
from guide.record.corrections import effective, undo_target
from guide.record.laps import Stopwatch, open_lap, reading_of
from guide.record.model import WAYS, Event, Measure, Reading, Record, StepRecord, Wait
from guide.record.work import Work, ended, offset_told

# What is laid and what the cloth was cut for: a layout that changes half way moves squares, it does not uncut them.

Stacks = list[list[str]]
_MOST = 100_000  # squares of a print in a project


class Again(msgspec.Struct, frozen=True):
    """What is done once more for a block: its seams unpicked, squares cut, and the steps it goes through again."""

    block: str  # row and column, as they are said: 1,2
    steps: list[str] = []  # keys, in order
    cut: dict[str, Annotated[int, msgspec.Meta(ge=1, le=_MOST)]] = {}
    unpick: bool = False


class Laid(msgspec.Struct, frozen=True):
    """The stacks as they lie, row by row, those the cloth was cut for, and squares cut again since, by print.

    cut_for None: as they lie.
    """

    layout: Stacks | None
    cut_for: Stacks | None = None
    cut_again: dict[str, int] = {}
    again: list[Again] = []  # blocks that are made once more, in the order it was found out


def laid_of(record: Record) -> Laid:
    """Say what is laid and cut, as the record stands."""
    return Laid(record.layout, record.cut_for, record.cut_again, [*filter(None, map(_again, record.again))])


def laid_after(record: Record, layout: Stacks | None, said: Mapping[str, Any] | None) -> Laid:
    """Say the same once another layout is laid; said: what its record holds beside, `cut_again` by print.

    Until the first piece of the session is counted nothing is cut, and the cloth will be cut for the new layout.
    From then on the layout it was cut for stays, and only what the record says is cut again comes on top.
    """
    if not any(step.pieces_done for step in record.steps.values()):
        return Laid(layout, again=laid_of(record).again)
    cut_for = record.layout if record.cut_for is None and layout != record.layout else record.cut_for
    told = (said or {}).get("cut_again")
    again = Counter(record.cut_again)
    for name, count in told.items() if isinstance(told, dict) else ():
        again[name] += count if isinstance(count, int) and abs(count) <= _MOST else 0
    fresh = _again((said or {}).get("again"))
    return Laid(layout, cut_for, dict(+again), [*laid_of(record).again, *([fresh] if fresh else [])])


def at_machine(texts: dict[str, str], said: Mapping[str, Any] | None) -> dict[str, str]:
    """Give a session's texts once it went over to another machine, where its record says so: `machine`."""
    name = (said or {}).get("machine")
    return texts | {KEPT_AS: in_use_text(name)} if isinstance(name, str) and name else texts


def _again(told: object) -> Again | None:
    """Read what a record says is made again; None for anything that is no such thing."""
    try:
        return msgspec.convert(told, Again) if told is not None else None
    except msgspec.ValidationError:
        return None


def _opened(work: Work, event: Event) -> None:
    record = work.record
    record.project_text, record.stage_texts = event.project, dict(event.stages or {})
    record.layout = event.layout
    record.between = bool((event.set or {}).get("between"))
    work.sit(event, 1)
    work.now("ready", event)


def _texts(work: Work, event: Event) -> None:
    record, kept = work.record, work.record.stage_texts.get(KEPT_AS)
    record.project_text, record.stage_texts = event.project, dict(event.stages or {})
    if kept is not None:  # at which machine one sits no file says
        record.stage_texts[KEPT_AS] = kept
    if event.layout is not None:  # the changed project does not take the layout there was
        work.record.layout, work.record.cut_for, work.record.cut_again = event.layout, None, {}


def _laid(work: Work, event: Event) -> None:
    record = work.record
    laid = laid_after(record, event.layout, event.set)
    record.layout, record.cut_for, record.cut_again = laid.layout, laid.cut_for, laid.cut_again
    _make_again(work, event)
    if event.text:  # why it was laid again: a block is spoilt, a print ran out
        work.note("noted", event, event.text)


def _make_again(work: Work, event: Event) -> None:
    told = (event.set or {}).get("again")
    if isinstance(told, dict):
        work.record.again = [*work.record.again, told]


def _closed(work: Work, event: Event) -> None:
    last = (work.before or event) if event.by_hand else event  # what is typed in makes no sitting longer
    work.put_aside(last)
    work.stop_idle()
    work.end_remark(last)
    work.record.closed = True
    if work.record.sittings:
        work.record.sittings[-1] = replace(work.record.sittings[-1], end=work.wall(last))
    work.now("closed", event)


def _step_started(work: Work, event: Event) -> None:
    work.end_remark(event)
    work.put_aside(event)
    _begin(work, event, event.step)


def _begin(work: Work, event: Event, key: str) -> None:
    """Open a step, its stopwatch running."""
    step, wall = work.step(key), work.wall(event)
    work.end_idle(event, key)
    step.state, step.why, step.ended, step.ended_n = "open", "", None, 0
    if step.started is None:
        step.started = wall
    work.record.current = key
    work.watch.reset(key, wall, event)
    work.watch.go(event, wall)
    work.now("working", event)


def _piece_done(work: Work, event: Event) -> None:
    if event.by_hand:
        work.written_in(event)
        return
    if event.step != work.record.current:
        work.out_of_turn(event)
        return
    work.wake(event)
    if work.extras and work.fixed(event, "join"):
        work.count(event, event.count)
        work.watch.joined += event.count
        return
    wall = work.wall(event)
    work.end_lap(event, wall, event.count)
    if event.then:
        work.close_step(event)
        _begin(work, event, event.then)
    else:
        work.watch.reset(event.step, wall, event)
        work.watch.go(event, wall)


def _step_done(work: Work, event: Event) -> None:
    ended, mine = [work.step(event.step)], not event.by_hand and event.step == work.record.current
    if event.by_hand:
        work.written_in(event)
    elif event.step == work.record.current:
        ended = [work.step(key) for key in work.counted_with(event)]
        work.wake(event)
        work.end_lap(event, work.wall(event), event.count)
        work.close_step(event)
    else:
        work.out_of_turn(event)
    step, at = work.step(event.step), work.wall(event)
    for one in ended:
        one.state, one.ended, one.ended_n = "done", at, event.n
    if event.text:  # what was counted out and in
        work.note("noted", event, event.text)
    if event.by_hand and step.laps:
        step.ended = at = step.laps[-1].end
    if event.then and not event.by_hand:
        _begin(work, event, event.then)
    if event.ms is not None:
        begun = reading_of(event, at)
        if event.by_hand:  # the steady clocks are of the typing, not of the work
            begun = Reading(at, event.offset, 0, 0, "")
        work.record.waits.append(Wait(event.step, event.n, begun, planned_ms=event.ms))
    if mine and not event.then:
        work.idle_from(event)


def _step_skipped(work: Work, event: Event) -> None:
    step = work.step(event.step)
    if event.step == work.record.current:
        work.end_remark(event)
        work.put_aside(event)
        work.close_step(event)
        work.idle_from(event)
    step.state, step.why, step.ended, step.ended_n = "skipped", event.why, work.wall(event), event.n
    work.note("skipped", event, event.why or event.text)


def _paused(work: Work, event: Event) -> None:
    work.end_remark(event)
    if not work.fixed(event, "counted"):
        work.halt(event)
    work.now("stopped" if event.why == "stop" else "paused", event)


def _resumed(work: Work, event: Event) -> None:
    if event.sitting:
        _come_back(work, event)
    else:
        work.wake(event)


def _come_back(work: Work, event: Event) -> None:
    """Begin a sitting. What lies before it is not counted; an open lap ends with the last thing known."""
    record, before = work.record, work.before or event
    record.between = bool((event.set or {}).get("between"))
    work.stop_idle()
    work.up_to(before)
    work.end_remark(before)
    work.sit(event, event.sitting)
    if record.doing != "closed":
        work.now("paused" if record.current else "ready", event, "back")


def _trouble(work: Work, event: Event) -> None:
    work.end_remark(event)
    work.halt(event)
    if work.record.current:
        work.watch.go(event, work.wall(event), trouble=True)
    work.remark = (work.note("trouble", event, " ".join(filter(None, (event.why, event.text)))), event)
    work.now("trouble", event)


def _interrupted(work: Work, event: Event) -> None:
    if event.ms is not None:  # told afterwards: what goes on goes on
        taken = work.take_off(event, max(event.ms, 0))
        work.note("interrupted", event, event.text or event.why, taken)
        return
    work.end_remark(event)
    if not work.fixed(event, "counted"):
        work.halt(event)
    work.remark = (work.note("interrupted", event, event.text or event.why), event)
    work.now("interrupted", event)


def _waited(work: Work, event: Event) -> None:
    waits = work.record.waits
    for index in range(len(waits) - 1, -1, -1):
        if waits[index].step == event.step and not waits[index].over:
            waits[index] = replace(waits[index], over=True)
            return


def _measured(work: Work, event: Event) -> None:
    if event.mm is None:
        return
    first = work.originals.get(event.n)
    was = first.mm if first and first.mm != event.mm else None
    at = work.told(event), event.step, was, offset_told(event), event.by_hand
    found = Measure(event.name, event.mm, event.make, event.n, *at)
    work.record.measures.setdefault(event.name, []).append(found)


def _noted(work: Work, event: Event) -> None:
    work.note("noted", event, event.text)
    work.record.stage_texts = at_machine(work.record.stage_texts, event.set)
    work.record.cut_again = laid_after(work.record, work.record.layout, event.set).cut_again
    _make_again(work, event)


def _photo(work: Work, event: Event) -> None:
    work.note("photo", event, event.name or event.text)


def _acknowledged(work: Work, event: Event) -> None:
    work.record.acknowledged.append((event.name, work.record.sitting))
    work.note("acknowledged", event, event.name)


def _gap(work: Work, event: Event) -> None:
    ms = event.ms or 0
    before = work.before
    slept = event.total - before.total - event.awake + before.awake if before and before.boot == event.boot else None
    if work.fixed(event, "counted"):
        work.watch.slept_ms += ms if work.watch.running else 0
    elif slept is not None and slept < SLACK_MS and work.watch.running:
        work.record.assumed.append(
            f"{clock_face(work.wall(event), event.offset)}: the guide stood still for {time_text(ms / 1000)} while the "
            "computer was awake; that time is counted."
        )


def _alive(work: Work, event: Event) -> None:
    """Only its clock reading matters."""


def _way(work: Work, event: Event) -> None:
    work.record.way = event.name if event.name in WAYS else ""


def _recovered(work: Work, event: Event) -> None:
    work.record.assumed.append(f"A record that was cut off while being saved was set aside in {event.file}.")


def _amended(work: Work, event: Event) -> None:
    """Take a whole step out; every other correction is applied before folding."""
    target = next((one for one in work.events if one.n == event.of), event)
    key = target.step
    if key not in work.record.steps:
        return
    if work.record.current == key:
        work.watch.reset()
        work.close_step(event)
    for lap in work.record.steps[key].laps:
        work.forget(lap)
    work.record.steps[key] = StepRecord(key)
    work.record.waits[:] = [wait for wait in work.record.waits if wait.step != key]


KINDS: dict[str, Callable[[Work, Event], None]] = {  # each under its own name
    do.__name__[1:]: do
    for do in (
        _opened, _texts, _laid, _closed, _step_started, _piece_done, _step_done, _step_skipped, _paused, _resumed,
        _trouble, _interrupted, _waited, _measured, _noted, _photo, _acknowledged, _gap, _alive, _recovered, _amended,
        _way,
    )
}  # fmt: skip


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
        watch = Stopwatch({}, []) if work.idle else work.watch  # between two steps: counted once the next one begins
        record.lap_ms, record.lap_trouble_ms = watch.so_far(last, wall)
        record.lap_start_n = watch.start_n
        record.open_lap = open_lap(watch, last, wall, len(record.sittings))
        for index, sitting in enumerate(record.sittings):
            counted = work.totals[index + 1] + watch.parts.get(index + 1, 0)
            if index + 1 == len(record.sittings):
                counted += record.lap_ms - watch.ms  # what runs still
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
            f"{clock_face(self._work.wall(event), event.offset)}: clocks here went {way} by {time_text(abs(by) * 60)} "
            "(summer time or another zone); the time counted is unhurt."
        )
