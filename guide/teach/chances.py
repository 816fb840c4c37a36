"""How likely each seat is to be ready in class: the plan played through many times, as people do.

Everybody goes on with what comes next on their sheet; at a station whoever is there first begins, and nobody is waited
for, as a plan kept to the letter would.

How much beginners differ from each other, and each from day to day, is a guess: see guide/money/prior.py.
"""

import math
import random
from collections.abc import Sequence

from guide.money import prior
from guide.teach.ops import Op
from guide.teach.placing import Room, by_turns
from guide.teach.plan import Planned

DRAWS = 100
SEAT_VAR = prior.TEMPO_VAR + prior.DAY_VAR  # of the logarithm, of one beginner against the usual one


def drawn(ops: Sequence[Op], seats: int, rng: random.Random) -> list[Op]:
    """The same operations with times as they might turn out: a factor a seat, another each step."""
    tempo = [math.exp(rng.gauss(0, math.sqrt(SEAT_VAR))) for _ in range(seats)]
    out = []
    for op in ops:
        segments = op.segments
        if not op.is_nod:
            own = [tempo[op.seat] * math.exp(rng.gauss(0, math.sqrt(prior.own_var(n)))) for n, _ in segments]
            segments = [_longer(*segment, times) for segment, times in zip(segments, own, strict=True)]
        one = Op(op.seat, segments, op.station)
        one.needs, one.then, one.of, one.wait_s = op.needs, op.then, op.of, op.wait_s
        one.is_nod, one.demo, one.tail = op.is_nod, op.demo, op.tail
        out.append(one)
    return out


def _longer(pieces: int, piece_s: float, times: float) -> tuple[int, float]:
    """Pieces that take so many times as long, broken off like more where one would be over a quarter of an hour."""
    parts = max(math.ceil(piece_s * times / max(piece_s, 900.0)), 1)
    return pieces * parts, max(piece_s * times / parts, 1.0)


def chances(planned: Planned, seed: int = 1, draws: int = DRAWS) -> list[float]:
    """Give each seat's chance to be ready before packing up, 0 to 1. Seeded: the same plan gets the same chances."""
    rng = random.Random(seed)  # noqa: S311 - a repeatable figure, no secret
    room, plan = planned.room, planned.schedule
    closing = planned.plan.closing_s
    count = [0] * room.seats
    sheet = [1e-6 * start for start in plan.starts]  # of two that could begin at once the sooner on its sheet does
    for _ in range(draws):
        played = drawn(room.ops, room.seats, rng)
        found = by_turns(_with(room, played), plan.machines, plan.slots, ahead=0.0, change=0.0, noise=sheet)
        ends = [0.0] * room.seats
        for op, end in zip(played, found.ends, strict=True):
            ends[op.seat] = max(ends[op.seat], end)
        for seat, end in enumerate(ends):
            count[seat] += end <= closing
    return [one / draws for one in count]


def _with(room: Room, ops: Sequence[Op]) -> Room:
    return Room(ops, room.seats, room.stations, room.tutors, room.calendar, room.demos, room.stretches, room.kept)
