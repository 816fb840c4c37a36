"""The board of a class at work: what has been reached, and the plan of all that is left.

A tutor's hands are full, so only milestones are pressed. A press says that everything up to it is done; what a seat has
begun by the plan stays where it is, and the rest is placed anew. None of it is a pace: nothing here is learnt from.
"""

from collections.abc import Iterator, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from guide.read.model import grouped
from guide.read.spoken import listed
from guide.record.clock import between, wall_ms
from guide.record.corrections import effective
from guide.record.model import Event, Reading
from guide.teach.model import EPS, Task
from guide.teach.placing import Placing
from guide.teach.plan import Planned

LONG_WAIT_S = 600.0
_REACHED = {
    "stack": "stacked", "quilt": "quilted", "join": "joined", "snip": "snipped", "back": "back made",
    "closure": "zip in", "safety": "felt over", "envelope": "envelope made", "assemble": "closed",
}  # fmt: skip


class Milestone(msgspec.Struct, frozen=True):
    """Something that a tutor sees from across the room: its name, and the seat's tasks that it ends."""

    name: str
    tasks: tuple[int, ...]


class Board(msgspec.Struct, frozen=True):
    """What the journal says: milestones by seat with the s at which they were pressed, who left, who came late."""

    reached: dict[int, dict[str, float]] = {}
    gone: dict[int, float] = {}
    late: dict[int, float] = {}  # until when nobody sat there, s
    paused: bool = False
    closed: bool = False


def milestones(tasks: Sequence[Task]) -> list[Milestone]:
    """The milestones of one seat: the end of each stage, and the back before it is shut."""
    found: dict[str, list[int]] = {}
    for i, task in enumerate(tasks):
        stage, _, step = task.key.partition("/")
        if not step:
            continue  # the practice block
        part = "back" if stage == "closure" and step in {"back_rows", "back_press", "back_join"} else stage
        found.setdefault(part, []).append(i)
    envelope = any(task.key.startswith("closure/envelope") for task in tasks)
    return [
        Milestone(_REACHED["envelope"] if part == "closure" and envelope else _REACHED.get(part, part), tuple(mine))
        for part, mine in found.items()
    ]


def board_of(events: Sequence[Event]) -> Board:
    """Fold a board's journal. Undone records count for nothing."""
    reached: dict[int, dict[str, float]] = {}
    gone: dict[int, float] = {}
    late: dict[int, float] = {}
    paused = closed = False
    for event in effective(events).events:
        at = at_s(events, event)
        match event.what:
            case "step_done":
                reached.setdefault(event.make, {})[event.name] = at
            case "step_skipped":
                gone[event.make] = at
            case "interrupted":
                late[event.make] = (event.ms or 0) / 1000
            case "paused" | "resumed":
                paused = event.what == "paused"
            case "closed":
                closed = True
    return Board(reached, gone, late, paused, closed)


def at_s(events: Sequence[Event], event: Event) -> float:
    """When a record was written, s from when the board was begun; no set clock makes it run backwards."""
    return max((wall_ms(event.at) - wall_ms(events[0].at)) / 1000, 0.0)


def now_s(events: Sequence[Event], now: Reading) -> float:
    """How long the class runs, s: by the clock that nobody sets, as long as the computer was not restarted."""
    first = events[0]
    then = Reading(wall=wall_ms(first.at), offset=first.offset, awake=first.awake, total=first.total, boot=first.boot)
    span = between(then, now)
    return (span.counted_ms + span.asleep_ms) / 1000


def undoable(events: Sequence[Event]) -> Event | None:
    """The newest live record that a key wrote."""
    live = effective(events).events
    return next(
        (one for one in reversed(live) if one.what in {"step_done", "step_skipped", "interrupted", "paused"}), None
    )


def reached(planned: Planned, board: Board, seat: int) -> set[str]:
    """The milestones a seat has come to, by name: those pressed, and all that they stand on; `seat` from 1."""
    done, ops = _done(planned, board), planned.room.ops
    there = {task for i in done if ops[i].seat == seat - 1 and not ops[i].is_nod for task in ops[i].of}
    return {one.name for one in milestones(planned.works[seat - 1]) if there.issuperset(one.tasks)}


def next_milestone(planned: Planned, board: Board, seat: int) -> Milestone | None:
    """The milestone a seat comes to next, by the plan; `seat` from 1."""
    behind = reached(planned, board, seat)
    left = [one for one in milestones(planned.works[seat - 1]) if one.name not in behind]
    return min(left, key=lambda one: ends_at(planned, seat, one), default=None)


def ends_at(planned: Planned, seat: int, milestone: Milestone) -> float:
    """When a milestone is reached by the plan, s."""
    room, plan = planned.room, planned.schedule
    mine = set(milestone.tasks)
    ends = (
        plan.ends[i] for i, op in enumerate(room.ops) if op.seat == seat - 1 and not op.is_nod and mine & set(op.of)
    )
    return max(ends, default=0.0)


def after(planned: Planned, events: Sequence[Event], since: int = 1) -> Planned:
    """The plan after the newest record, from that after so many records."""
    for n in range(since + 1, len(events) + 1):
        planned = replanned(planned, board_of(events[:n]), at_s(events, events[n - 1]))
    return planned


def replanned(planned: Planned, board: Board, now: float) -> Planned:
    """Keep what is done or begun, place the rest anew: in the first plan's order or as people do, as it ends sooner."""
    order = planned.order or planned.schedule.starts
    found = []
    for place in (_in_order, _as_they_come):
        placing, left = _kept(planned, board, now)
        place(placing, left, board, order)
        found.append(placing.done())
    schedule = min(found, key=lambda one: one.cost)
    plan = replace(planned.plan, ends_s=schedule.end, waiting_s=schedule.cost[1])
    return replace(planned, schedule=schedule, plan=plan, order=order)


def _kept(planned: Planned, board: Board, now: float) -> tuple[Placing, set[int]]:
    """A schedule with what is done or begun in it, and what is left to place."""
    room, plan = planned.room, planned.schedule
    done = _done(planned, board)
    placing = Placing(room, plan.machines, plan.slots, room.calendar(plan.slots))
    placing.now = now
    kept: set[int] = set()
    for i in sorted(range(len(room.ops)), key=lambda i: (plan.starts[i], i)):
        until = done.get(i)
        if until is not None:
            placing.keep(i, plan, min(plan.ends[i], max(until, plan.starts[i])))
            kept.add(i)
        elif _begun(i, planned, board, placing, kept=kept, now=now):
            op = room.ops[i]
            # The last of a milestone that was not pressed goes on until it is.
            last = any(one.tasks[-1] in op.of for one in milestones(planned.works[op.seat]))
            going_on = not op.is_nod and plan.ends[i] < now and last
            placing.keep(i, plan, max(plan.ends[i], now) if going_on else plan.ends[i])
            kept.add(i)
    left = set(range(len(room.ops))) - kept
    for i in list(left):
        if room.ops[i].seat + 1 in board.gone:  # who has gone home does no more
            placing.starts[i] = placing.ends[i] = board.gone[room.ops[i].seat + 1]
            left.discard(i)
    return placing, left


def _done(planned: Planned, board: Board) -> dict[int, float]:
    """The operations that are done, with the s by which they were: all that a pressed milestone ends or stands on."""
    out: dict[int, float] = {}
    # A tutor presses what is seen, and not every milestone: whatever a pressed one stands on was done by then.
    ops = planned.room.ops
    for seat, reached in board.reached.items():
        if not 1 <= seat <= len(planned.works):
            continue
        by_name = {one.name: one for one in milestones(planned.works[seat - 1])}
        for name, at in reached.items():
            mine = set(by_name[name].tasks) if name in by_name else set()
            # An operation that ends with these tasks is done when they are.
            ways = [i for i, op in enumerate(ops) if op.seat == seat - 1 and op.of[-1] in mine]
            while ways:
                i = ways.pop()
                if i not in out or at < out[i]:
                    out[i] = at
                    ways += [need for need, _ in ops[i].needs]
    return out


def _begun(i: int, planned: Planned, board: Board, placing: Placing, *, kept: set[int], now: float) -> bool:
    """Whether a seat has begun this by the plan, all that it needs being done before."""
    op, plan = planned.room.ops[i], planned.schedule
    start = plan.starts[i]
    # Each refusal is another reason why a plan alone does not tell: gone, late, still waiting, busy, the machine taken.
    if plan.ends[i] <= start and op.work_s:  # it was left out while its seat had gone
        return False
    if start >= now or board.gone.get(op.seat + 1, now) < start or board.late.get(op.seat + 1, 0.0) > start:
        return False
    if any(need not in kept or placing.ends[need] + wait > start + EPS for need, wait in op.needs):
        return False
    if any(b > start + EPS and a < plan.ends[i] - EPS for a, b in placing.seats[op.seat]):
        return False
    if op.station == placing.room.kept and op.station:
        return placing.free[placing.machines[op.seat]][0] <= start + EPS
    return True


def _in_order(placing: Placing, left: set[int], board: Board, order: Sequence[float]) -> None:
    """Place what is left in an order, each once what it needs is placed."""
    waiting, missing = sorted(left, key=lambda i: (order[i], i)), set(left)
    while waiting:
        at = next(n for n, i in enumerate(waiting) if not any(need in missing for need, _ in placing.room.ops[i].needs))
        i = waiting.pop(at)
        missing.discard(i)
        _place(placing, i, board)


def _as_they_come(placing: Placing, left: set[int], board: Board, order: Sequence[float]) -> None:
    """Place what is left as people go on: whoever is there first begins, and of two the sooner in an order."""
    ops, kept, missing = placing.room.ops, placing.room.kept, set(left)
    at = [busy[-1][1] if busy else 0.0 for busy in placing.seats]
    while missing:
        best = (float("inf"), 0.0, -1)
        for i in missing:
            op = ops[i]
            if any(need in missing for need, _ in op.needs):
                continue
            start = max(placing.earliest(i), at[op.seat], board.late.get(op.seat + 1, 0.0))
            if op.station:
                units = (
                    [placing.free[placing.machines[op.seat]][0]]
                    if op.station == kept
                    else [busy[-1][1] if busy else 0.0 for busy in placing.stations[op.station]]
                )
                start = max(start, min(units))
            best = min(best, (start, order[i], i))
        i = best[2]
        missing.discard(i)
        _place(placing, i, board)
        at[ops[i].seat] = max(at[ops[i].seat], placing.ends[i])


def _place(placing: Placing, i: int, board: Board) -> None:
    """Place one operation, not before its seat is there."""
    now = placing.now
    placing.now = max(now, board.late.get(placing.room.ops[i].seat + 1, 0.0))
    placing.place(i)
    placing.now = now


def speaks(planned: Planned, board: Board, now: float, closing: float) -> list[str]:
    """What a tutor is told: who waits longer than ten minutes from now, and in one line who will not be ready."""
    # By the plan as it stands, not by the first: who caught up again is not warned of.
    room, plan = planned.room, planned.schedule
    calendar = room.calendar(plan.slots)
    out = []
    late: dict[int, str] = {}
    for seat in range(1, room.seats + 1):
        if seat in board.gone:
            continue
        mine = sorted((plan.starts[i], plan.ends[i], i) for i, op in enumerate(room.ops) if op.seat == seat - 1)
        coming = next(((a, i) for a, _, i in mine if a > now), None)
        busy = any(a <= now < b for a, b, _ in mine)
        if coming and not busy and (idle := calendar.work_between(now, coming[0])) > LONG_WAIT_S:
            what = room.ops[coming[1]]
            task = planned.works[seat - 1][what.of[0]]
            why = f" for the {what.station}" if what.station else ""
            out.append(f"seat {seat} waits {idle / 60:.0f} min{why}; then: {task.title}")
        if mine and mine[-1][1] > closing:
            ends = {one.name: ends_at(planned, seat, one) for one in milestones(planned.works[seat - 1])}
            there = [name for name, end in ends.items() if end <= closing]
            late[seat] = max(there, key=ends.__getitem__, default="no milestone")
    return [*out, *_late(late, room.seats - len(board.gone))]


def _late(late: Mapping[int, str], here: int) -> Iterator[str]:
    """One line for all who will not be ready, by how far they get; `here`: how many seats have not gone."""

    def seats(some: Sequence[int]) -> str:
        return f"seat{'s' * (len(some) > 1)} {listed([str(one) for one in some])}"

    if not late:
        return
    alike = grouped(late, late.__getitem__)
    who = "nobody will be ready" if len(late) == here > 1 else f"{seats(list(late))} will not be ready"
    if len(alike) == 1:
        yield f"{who}: {next(iter(alike))} by the end"
    else:
        yield f"{who}; by the end: {'; '.join(f'{seats(some)} {far}' for far, some in alike.items())}"
