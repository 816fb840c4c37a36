"""A class played through by people, apart from the program: everybody takes what comes next, whoever is there first.

Each beginner has a tempo of their own, and a day; each step its own day too, and each piece its own luck, all drawn from
what guide/money/stats.py believes. A seat that is free goes on with what it can begin, in the order of its sheet; of two
that want one station the one whose sheet has it sooner begins; whoever is not there is not waited for.
"""

import math
import random

from guide.money import stats
from guide.teach.model import CHANGE_S


def ready_at(room, plan, seed: int) -> list[float]:
    """When each seat has done its last, s."""
    rng = random.Random(seed)

    def luck(var: float) -> float:
        return math.exp(rng.gauss(0.0, math.sqrt(var)))

    calendar = room.calendar(plan.slots)
    tempo = [luck(stats.TEMPO_VAR + stats.DAY_VAR) for _ in range(room.seats)]
    free = [0.0] * room.seats
    at_machine = [(0.0, -1)] * room.stations.get(room.kept, 0)
    others = {name: [0.0] * count for name, count in room.stations.items() if name != room.kept}
    tutors = [0.0] * room.tutors
    ends: dict[int, float] = {}
    left = set(range(len(room.ops)))
    while left:
        offers = []
        for i in left:
            op = room.ops[i]
            if any(need not in ends for need, _ in op.needs):
                continue
            at = max([free[op.seat], *(ends[need] + wait for need, wait in op.needs)])
            if op.demo is not None:
                at = max(at, calendar.demos[op.demo][1])
            if op.station and op.station == room.kept:
                at = max(at, at_machine[plan.machines[op.seat]][0])
            elif op.station:
                at = max(at, min(others[op.station]))
            elif op.is_nod:
                at = max(at, min(tutors))
            offers.append((at, plan.starts[i], i))
        at, _, i = min(offers)
        op = room.ops[i]
        segments = list(op.segments)
        if not op.is_nod:
            segments = []
            for count, each in op.segments:
                own = tempo[op.seat] * luck(stats.STEP_VAR)
                for _ in range(count):  # pieces differ, and on the whole they take what a piece takes
                    segments += _broken_off(each * own * luck(stats.PIECE_VAR) * math.exp(-stats.PIECE_VAR / 2))
        if op.station and op.station == room.kept:
            machine = plan.machines[op.seat]
            if at_machine[machine][1] not in {-1, op.seat}:
                segments = [(1, CHANGE_S), *segments]
        _, end = calendar.lay(at, segments)
        if op.station and op.station == room.kept:
            at_machine[machine] = (end, op.seat)
        elif op.station:
            others[op.station][others[op.station].index(min(others[op.station]))] = end
        elif op.is_nod:
            tutors[tutors.index(min(tutors))] = end
        free[op.seat] = ends[i] = end
        left.discard(i)
    return free


def _broken_off(seconds: float) -> list[tuple[int, float]]:
    """A piece that takes over a quarter of an hour is broken off for a break."""
    parts = max(math.ceil(seconds / 900.0), 1)
    return [(parts, seconds / parts)]
