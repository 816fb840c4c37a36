"""Placing operations one after another, each as early as seat, station, tutor and hours let it: a schedule.

Serial schedule generation over a list of priorities (a standard way of project scheduling under limited resources):
every operation goes into the earliest room that is left, so no operation could begin earlier without moving another.
"""

from bisect import bisect_left, insort
from collections.abc import Callable, Mapping, Sequence
from heapq import heapify, heappop, heappush

import msgspec

from guide.teach.model import CHANGE_S, EPS, FOREVER, NOD_S, TUTOR_SHARE, Calendar, Task

# The work of a class as operations: what is done in one go, what it waits for, and what it is done at.


class Op:
    """One operation of a seat. `needs` are (operation, s to wait after it)."""

    __slots__ = ("demo", "is_nod", "needs", "of", "seat", "segments", "station", "tail", "then", "wait_s", "work_s")

    def __init__(self, seat: int, segments: list[tuple[int, float]], station: str = "") -> None:
        self.seat = seat
        self.segments = segments
        self.station = station
        self.needs: list[tuple[int, float]] = []
        self.then: list[int] = []  # the operations that need it
        self.of: list[int] = []  # the seat's tasks in it, one a segment; a nod's is the task it lets go on
        self.wait_s = 0.0
        self.is_nod = False
        self.demo: int | None = None
        self.tail = 0.0  # work and waits after it on the longest way
        self.work_s = sum(pieces * piece for pieces, piece in segments)


def operations(seats: Sequence[Sequence[Task]], scarce: frozenset[str]) -> list[Op]:
    """Make operations of every seat's tasks; those at no scarce station that follow each other alone become one."""
    ops: list[Op] = []
    for seat, tasks in enumerate(seats):
        _of_seat(seat, tasks, scarce, ops)
    for i, op in enumerate(ops):
        for need, _ in op.needs:
            ops[need].then.append(i)
    for op in reversed(ops):  # needs stand before what needs them
        after = (ops[i].tail + ops[i].work_s for i in op.then)
        op.tail = op.wait_s + max(after, default=0.0)
    return ops


def _of_seat(seat: int, tasks: Sequence[Task], scarce: frozenset[str], ops: list[Op]) -> None:
    wanted = [0] * len(tasks)
    for task in tasks:
        for need in task.needs:
            wanted[need] += 1
    # Fewer operations are searched sooner: steps that nothing else waits for between them are done in one go.
    at: dict[int, int] = {}  # the operation that ends with a task
    for i, task in enumerate(tasks):
        station = task.station if task.station in scarce else ""
        only = task.needs[0] if len(task.needs) == 1 else None
        if (
            only is not None
            and wanted[only] == 1
            and not (station or task.nod or task.demo is not None)
            and not (ops[at[only]].station or tasks[only].wait_s)
            and ops[at[only]].of[-1] == only
            and task.key.partition("/")[0] == tasks[only].key.partition("/")[0]  # a milestone lies between stages
        ):
            op = ops[at[only]]
            op.segments.append((task.pieces, task.piece_s))
            op.of.append(i)
            op.work_s += task.pieces * task.piece_s
            op.wait_s = task.wait_s
            at[i] = at[only]
            continue
        needs = [(at[need], tasks[need].wait_s) for need in task.needs]
        if task.nod:
            nod = Op(seat, [(1, NOD_S)])
            nod.is_nod, nod.needs, nod.of, nod.demo = True, needs, [i], task.demo
            ops.append(nod)
            needs = [(len(ops) - 1, 0.0)]
        op = Op(seat, [(task.pieces, task.piece_s)], station)
        op.needs, op.of, op.wait_s, op.demo = needs, [i], task.wait_s, task.demo
        at[i] = len(ops)
        ops.append(op)


Busy = list[tuple[float, float]]
KEPT = "machine"  # a seat keeps its own


class Room(msgspec.Struct, frozen=True):
    """What a class has: so many of each scarce station, tutors, hours, and how long each demo takes."""

    ops: Sequence[Op]
    seats: int
    stations: Mapping[str, int]
    tutors: int
    calendar: Callable[[tuple[int, ...]], Calendar]  # by the stretch that each demo is put into
    demos: tuple[float, ...] = ()
    stretches: int = 1
    kept: str = KEPT


class Schedule(msgspec.Struct, frozen=True):
    """Where every operation lies; a change of foot and thread before one at a machine begins at `starts`."""

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    changes: tuple[float, ...]  # s before each operation's work
    machines: tuple[int, ...]  # of each seat, from 0
    slots: tuple[int, ...]  # the stretch that each demo is put into
    units: tuple[int, ...] = ()  # of its station, from 0; -1: none
    cost: tuple[float, float, float] = (FOREVER, FOREVER, FOREVER)  # the end of all, waiting, the longest wait

    @property
    def end(self) -> float:
        """When the last seat is ready."""
        return self.cost[0]


class Placing:
    """A schedule in the making."""

    def __init__(self, room: Room, machines: Sequence[int], slots: tuple[int, ...], calendar: Calendar) -> None:
        """Begin with nothing placed. `calendar` is of these slots."""
        self.room, self.machines, self.slots, self.calendar = room, machines, slots, calendar
        n = len(room.ops)
        self.starts, self.ends = [0.0] * n, [0.0] * n
        self.changes, self.units = [0.0] * n, [-1] * n
        self.seats: list[Busy] = [[] for _ in range(room.seats)]
        self.stations: dict[str, list[Busy]] = {
            name: [[] for _ in range(count)] for name, count in room.stations.items() if name != room.kept
        }
        count = room.stations.get(room.kept, 0)
        self.free: list[tuple[float, int]] = [(0.0, -1)] * count  # when, and after whom
        self.tutors: list[Busy] = [[] for _ in range(room.tutors)]
        for shown in calendar.demos:
            min(self.tutors, key=lambda busy: busy[-1][1] if busy else 0.0).append(shown)
        self.booked: dict[int, float] = {}
        self.now = 0.0  # nothing is placed before

    def earliest(self, i: int) -> float:
        """When everything that an operation waits for is done."""
        op, at = self.room.ops[i], self.now
        for need, wait in op.needs:
            at = max(at, self.ends[need] + wait)
        return at if op.demo is None else max(at, self.calendar.demos[op.demo][1])

    def place(self, i: int) -> None:
        """Put an operation into the earliest room there is."""
        op, at = self.room.ops[i], self.earliest(i)
        if op.station == self.room.kept and op.station:
            self._at_machine(i, op, at)
        elif op.station:
            self._at_station(i, op, at)
        elif op.is_nod:
            self._nod(i, op, at)
        else:
            self._set(i, *self._fit(at, op.segments, (self.seats[op.seat],)))
        insort(self.seats[op.seat], (self.starts[i], self.ends[i]))

    def keep(self, i: int, schedule: "Schedule", end: float) -> None:
        """Take an operation over as it was, done or begun, with the end it came to or may come to."""
        op, start = self.room.ops[i], schedule.starts[i]
        self._set(i, start, end)
        self.changes[i], self.units[i] = schedule.changes[i], schedule.units[i]
        if end <= start:
            return
        insort(self.seats[op.seat], (start, end))
        if op.station == self.room.kept and op.station:
            machine = self.machines[op.seat]
            self.free[machine] = max(self.free[machine], (end, op.seat))
        elif op.station:
            insort(self.stations[op.station][self.units[i]], (start, end))
        elif op.is_nod:
            insort(self.tutors[self.units[i]], (start, end))
            n = self.calendar.stretch_at(start)
            self.booked[n] = self.booked.get(n, 0.0) + NOD_S

    def _set(self, i: int, start: float, end: float) -> None:
        self.starts[i], self.ends[i] = start, end

    def _fit(self, at: float, segments: Sequence[tuple[int, float]], busy: Sequence[Busy]) -> tuple[float, float]:
        """The earliest begin and end that none of these are busy in.

        Put behind whatever it meets, it is laid anew there, for a break may stretch it into the next.
        """
        while True:
            start, end = self.calendar.lay(at, segments)
            at = start
            for mine in busy:
                k = bisect_left(mine, (start, start)) - 1
                if k >= 0 and mine[k][1] > start + EPS:
                    at = mine[k][1]
                    break
                if k + 1 < len(mine) and mine[k + 1][0] < end - EPS:
                    at = mine[k + 1][1]
                    break
            else:
                return start, end

    def _at_machine(self, i: int, op: Op, at: float) -> None:
        """At the seat's own machine, after whoever sat there last; a change where that was somebody else."""
        machine = self.machines[op.seat]
        free, who = self.free[machine]
        change = CHANGE_S if who not in {-1, op.seat} else 0.0
        segments = [(1, CHANGE_S), *op.segments] if change else op.segments
        start, end = self._fit(max(at, free), segments, (self.seats[op.seat],))
        self._set(i, start, end)
        self.changes[i], self.units[i] = change, machine
        self.free[machine] = (end, op.seat)

    def _at_station(self, i: int, op: Op, at: float) -> None:
        best = self._soonest(i, op, at, self.stations[op.station])
        self._set(i, *best)
        insort(self.stations[op.station][self.units[i]], best)

    def _soonest(self, i: int, op: Op, at: float, units: Sequence[Busy]) -> tuple[float, float]:
        """The earliest begin and end at any of these units, which is remembered."""
        best = (FOREVER, FOREVER)
        for unit, busy in enumerate(units):
            found = self._fit(at, op.segments, (self.seats[op.seat], busy))
            if found < best:
                best, self.units[i] = found, unit
        return best

    def _nod(self, i: int, op: Op, at: float) -> None:
        """With a tutor who has time, and who is booked for no more than a share of that stretch."""
        while True:
            best = self._soonest(i, op, at, self.tutors)
            n = self.calendar.stretch_at(best[0])
            if self.booked.get(n, 0.0) + NOD_S <= self._most(n) + EPS:
                break
            at = self.calendar.starts[n + 1]
        self.booked[n] = self.booked.get(n, 0.0) + NOD_S
        self._set(i, *best)
        insort(self.tutors[self.units[i]], best)

    def _most(self, n: int) -> float:
        """How much of a stretch nods may take, s: what demos book of it is off."""
        start, end = self.calendar.starts[n], self.calendar.ends[n]
        if end >= FOREVER:
            return FOREVER
        shown = self.calendar.shown[n]
        return TUTOR_SHARE * self.room.tutors * (end - start + shown) - shown

    def done(self) -> Schedule:
        """The schedule, with what it costs: the end, what seats wait in all (of time for work), the longest wait."""
        end = max(self.ends, default=0.0)
        waiting = longest = 0.0
        at = [0.0] * self.room.seats
        for i in sorted(range(len(self.starts)), key=self.starts.__getitem__):
            seat = self.room.ops[i].seat
            if self.starts[i] > at[seat] + EPS:
                idle = self.calendar.work_between(at[seat], self.starts[i])
                waiting += idle
                longest = max(longest, idle)
            at[seat] = self.ends[i]
        return Schedule(
            tuple(self.starts), tuple(self.ends), tuple(self.changes), tuple(self.machines), self.slots,
            tuple(self.units), (end, waiting, longest),
        )  # fmt: skip


def place_by(room: Room, priority: Sequence[float], machines: Sequence[int], slots: tuple[int, ...]) -> Schedule:
    """Place all operations, of those that can be placed the one with the least priority first."""
    placing = Placing(room, machines, slots, room.calendar(slots))
    missing = [len(op.needs) for op in room.ops]
    ready = [(priority[i], i) for i, count in enumerate(missing) if not count]
    heapify(ready)
    while ready:
        _, i = heappop(ready)
        placing.place(i)
        for then in room.ops[i].then:
            missing[then] -= 1
            if not missing[then]:
                heappush(ready, (priority[then], then))
    return placing.done()


def by_turns(
    room: Room, machines: Sequence[int], slots: tuple[int, ...], *, ahead: float, change: float, noise: Sequence[float]
) -> Schedule:
    """Let each free seat take what it can begin first; `ahead` is how much the way still to go counts against that.

    `change` weighs a change at a machine, `noise` (s an operation) breaks ties otherwise.
    """
    placing = Placing(room, machines, slots, room.calendar(slots))
    missing = [len(op.needs) for op in room.ops]
    # Kept free of calls and copies: a chance of being ready plays this a hundred times, for every seat and step.
    lean = [noise[i] - ahead * (op.tail + op.work_s) for i, op in enumerate(room.ops)]
    at = [0.0] * room.seats
    ready = {i: placing.earliest(i) for i, count in enumerate(missing) if not count}
    kept = room.kept
    while ready:
        first, least = -1, FOREVER
        frees = {
            name: min([busy[-1][1] if busy else 0.0 for busy in units]) for name, units in placing.stations.items()
        }
        for i, early in ready.items():
            op = room.ops[i]
            seat = op.seat
            start = max(early, at[seat])
            if op.station and op.station == kept:
                free, who = placing.free[machines[seat]]
                start = max(start, free) + (change if who not in {-1, seat} else 0.0)
            elif op.station:
                start = max(start, frees[op.station])
            start += lean[i]
            if start < least:
                first, least = i, start
        del ready[first]
        placing.place(first)
        seat = room.ops[first].seat
        at[seat] = max(at[seat], placing.ends[first])
        for then in room.ops[first].then:
            missing[then] -= 1
            if not missing[then]:
                ready[then] = placing.earliest(then)
    return placing.done()


def in_file_order(room: Room, machines: Sequence[int]) -> Schedule:
    """Everybody goes down the same list, and takes what is free when they get there: first come, first served."""
    slots = (0,) * len(room.demos)
    placing = Placing(room, machines, slots, room.calendar(slots))
    queues: list[list[int]] = [[] for _ in range(room.seats)]
    for i, op in enumerate(room.ops):
        queues[op.seat].append(i)
    at, next_of = [0.0] * room.seats, [0] * room.seats
    while True:
        coming = [
            (max(at[seat], placing.earliest(queue[next_of[seat]])), seat)
            for seat, queue in enumerate(queues)
            if next_of[seat] < len(queue)
        ]
        if not coming:
            return placing.done()
        _, seat = min(coming)
        i = queues[seat][next_of[seat]]
        placing.seats[seat] = [(0.0, at[seat])] if at[seat] else []  # nothing goes before what is further up the list
        placing.place(i)
        at[seat], next_of[seat] = placing.ends[i], next_of[seat] + 1
