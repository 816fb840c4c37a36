"""The work of a class as operations: what is done in one go, what it waits for, and what it is done at."""

from collections.abc import Sequence

from guide.teach.model import NOD_S, Task


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
