"""Looking for a schedule that ends sooner: from first come first served, by rules, then by turning round what holds up.

First with everything free to move, machines and demos too: pairs on the longest chain from the beginning to the end,
and now and then the order of some others, taken where it is no worse or by a chance that falls (simulated annealing).
Then with the orders at stations alone, by a taboo search. Seeded: the same class gets the same plan.
"""

import math
import random
from collections.abc import Iterator, Sequence
from itertools import pairwise

from guide.teach.model import CHANGE_S, EPS
from guide.teach.placing import Room, Schedule, by_turns, in_file_order, place_by

# Turning round who goes first at a station, or what a seat does first, where the last to be ready hangs on it.
#
# A taboo search on the orders at stations and of seats. Two operations that follow each other at the head or the foot
# of a block on the critical path are turned round: E. Nowicki and C. Smutnicki, A fast taboo search algorithm for the
# job shop problem, Management Science 42 (1996). A turn is not taken back for a while; where nothing better is found it
# goes on from the best, shaken. Orders are timed without looking for gaps, which is quick; `placing` makes a plan of
# the best.

TENURE = 8  # turns that one is not taken back for, at least; twice that at most
PATIENCE = 120  # turns without anything better before it is shaken
Pair = tuple[int, int]


class Orders:
    """The order of every seat and of every unit of a station, and the times that come of it."""

    def __init__(self, room: Room, plan: Schedule) -> None:
        """Take the orders of a plan."""
        n, ops = len(room.ops), room.ops
        self.room, self.calendar = room, room.calendar(plan.slots)
        self.kept = [bool(op.station) and op.station == room.kept for op in ops]
        self.changed = [[(1, CHANGE_S), *op.segments] for op in ops]
        self.needs = [{need for need, _ in op.needs} for op in ops]
        self.shown = [0.0 if op.demo is None else self.calendar.demos[op.demo][1] for op in ops]
        self.before = [[-1] * n, [-1] * n]  # of its seat, of its unit
        self.after = [[-1] * n, [-1] * n]
        for which, chains in enumerate(_chains(room, plan)):
            for chain in chains:
                for one, other in pairwise(chain):
                    self.after[which][one], self.before[which][other] = other, one
        self.starts, self.ends, self.cause = [0.0] * n, [0.0] * n, [-1] * n
        self.time()

    @property
    def end(self) -> float:
        """When the last is ready."""
        return max(self.ends, default=0.0)

    def time(self) -> bool:
        """Time every operation as early as its orders let it; False where they go round in a circle."""
        # In order of what waits for what, each once (Kahn, Communications of the ACM 5 (1962) 558): whoever is left
        # over waits in a circle. All in local lists, for a search times some ten thousand orders.
        ops, (seat_before, unit_before), (seat_after, unit_after) = self.room.ops, self.before, self.after
        lay = self.calendar.lay
        n = len(ops)
        starts, ends, cause = [0.0] * n, [0.0] * n, [-1] * n
        left = [
            len(op.needs) + (one >= 0) + (other >= 0)
            for op, one, other in zip(ops, seat_before, unit_before, strict=True)
        ]
        todo, done = [i for i, count in enumerate(left) if not count], 0
        while todo:
            i = todo.pop()
            done += 1
            op, at, by = ops[i], self.shown[i], -1
            for need, wait in op.needs:
                if ends[need] + wait > at:
                    at, by = ends[need] + wait, need
            one, other = seat_before[i], unit_before[i]
            if one >= 0 and ends[one] > at:
                at, by = ends[one], one
            if other >= 0 and ends[other] > at:
                at, by = ends[other], other
            changed = other >= 0 and self.kept[i] and ops[other].seat != op.seat
            starts[i], ends[i] = lay(at, self.changed[i] if changed else op.segments)
            cause[i] = by
            for then in (*op.then, seat_after[i], unit_after[i]):
                if then >= 0:
                    left[then] -= 1
                    if not left[then]:
                        todo.append(then)
        if done == n:
            self.starts, self.ends, self.cause = starts, ends, cause
        return done == n

    def path(self) -> list[int]:
        """The chain of operations that the end hangs on, from its beginning."""
        at = max(range(len(self.ends)), key=self.ends.__getitem__, default=-1)
        out = []
        while at >= 0:
            out.append(at)
            at = self.cause[at]
        return out[::-1]

    def turns(self) -> list[Pair]:
        """The pairs that may be turned round: the first two and the last two of every block of the path."""
        out: dict[Pair, None] = {}
        block: list[Pair] = []
        kind = -1
        for one, other in pairwise(self.path()):
            here = -1 if one in self.needs[other] else 1 if self.before[1][other] == one else 0
            if here != kind:
                out |= dict.fromkeys((*block[:1], *block[-1:]))
                block, kind = [], here
            if here >= 0:
                block.append((one, other))
        return list(out | dict.fromkeys((*block[:1], *block[-1:])))

    def turn(self, pair: Pair) -> None:
        """Turn two round wherever they follow each other."""
        one, other = pair
        for before, after in zip(self.before, self.after, strict=True):
            if before[other] == one:
                first, last = before[one], after[other]
                before[other], after[other], before[one], after[one] = first, one, other, last
                if first >= 0:
                    after[first] = other
                if last >= 0:
                    before[last] = one

    def tried(self, pair: Pair) -> float | None:
        """What the end would be with a pair turned; None where that goes round in a circle. Nothing is changed."""
        was = self.starts, self.ends, self.cause
        self.turn(pair)
        end = self.end if self.time() else None
        self.turn(pair[::-1])
        self.starts, self.ends, self.cause = was
        return end

    def copy(self) -> list[list[int]]:
        """The orders as they are."""
        return [list(one) for one in (*self.before, *self.after)]

    def take(self, kept: Sequence[Sequence[int]]) -> None:
        """Put kept orders back."""
        self.before, self.after = [list(one) for one in kept[:2]], [list(one) for one in kept[2:]]
        self.time()


def _chains(room: Room, plan: Schedule) -> tuple[list[list[int]], list[list[int]]]:
    seats: list[list[int]] = [[] for _ in range(room.seats)]
    units: dict[tuple[str, int], list[int]] = {}
    for i in sorted(range(len(plan.starts)), key=lambda i: (plan.starts[i], plan.ends[i], i)):
        op = room.ops[i]
        seats[op.seat].append(i)
        if op.station or op.is_nod:
            units.setdefault((op.station, plan.units[i]), []).append(i)
    return seats, list(units.values())


def turned_round(room: Room, plan: Schedule, tries: int, rng: random.Random) -> list[float]:
    """Try so many turns, and give the starts of the best orders that were found: the order to place by."""
    orders = Orders(room, plan)
    best, starts, kept = orders.end, orders.starts, orders.copy()
    not_before: dict[Pair, int] = {}
    worse = turn = 0
    while tries > 0:
        turn += 1
        found: list[tuple[float, float, Pair]] = []
        for pair in orders.turns():
            end = orders.tried(pair)
            tries -= 1
            if end is not None:
                held = not_before.get(pair[::-1], 0) > turn and end > best - EPS
                found.append((end + (1e9 if held else 0.0), rng.random(), pair))
        if not found:
            break
        pair = min(found)[2]
        orders.turn(pair)
        orders.time()
        not_before[pair] = turn + TENURE + rng.randrange(TENURE)
        worse += 1
        if orders.end < best - EPS:
            best, starts, kept, worse = orders.end, orders.starts, orders.copy(), 0
        if worse > PATIENCE:
            worse = 0
            not_before.clear()
            orders.take(kept)
            tries -= _shaken(orders, rng)
    return starts


def _shaken(orders: Orders, rng: random.Random) -> int:
    """Turn some pairs of the path at random; how many."""
    count = rng.randint(3, 8)
    for _ in range(count):
        pairs = [(one, other) for one, other in pairwise(orders.path()) if one not in orders.needs[other]]
        if not pairs:
            break
        pair = rng.choice(pairs)
        orders.turn(pair)
        if not orders.time():
            orders.turn(pair[::-1])
    return count


WORK = 8_000  # operations placed in one search: some tenth of a second, and as long again for the turns
TURNS = 3  # turns of the taboo search for each plan that is placed: they are as much quicker
Cost = tuple[float, float, float]


Rules = Sequence[tuple[float, float]]
RULES = tuple((ahead, change) for ahead in (0.02, 0.1, 0.3, 0.6) for change in (0.0, 180.0))
FEW_RULES = RULES[::3]  # to see what a change would bring


def first_plans(room: Room, rules: Rules = RULES) -> list[Schedule]:
    """What the search begins from: first come first served, and turns by several rules."""
    machines = shared_out(room)
    plans = [in_file_order(room, machines)]
    slots = (0,) * len(room.demos)
    still = [0.0] * len(room.ops)
    for ahead, change in rules:
        plans.append(by_turns(room, machines, slots, ahead=ahead, change=change, noise=still))
    if room.demos:
        best = min(plans, key=lambda plan: plan.cost)
        late = _late(room, best)
        plans += [by_turns(room, machines, late, ahead=a, change=c, noise=still) for a, c in rules[: len(rules) // 2]]
    return plans


def shared_out(room: Room) -> tuple[int, ...]:
    """Give every seat a machine: who has most to sew first, each to the machine with least to do so far."""
    count = room.stations.get(room.kept, 0)
    load = [0.0] * max(count, 1)
    heavy = [0.0] * room.seats
    for op in room.ops:
        if op.station == room.kept:
            heavy[op.seat] += op.work_s
    out = [0] * room.seats
    for seat in sorted(range(room.seats), key=lambda seat: (-heavy[seat], seat)):
        out[seat] = load.index(min(load))
        load[out[seat]] += heavy[seat]
    return tuple(out)


def _late(room: Room, plan: Schedule) -> tuple[int, ...]:
    """Put each demo into the last stretch that begins before its step is first wanted."""
    calendar = room.calendar(plan.slots)
    out = []
    for demo in range(len(room.demos)):
        wanted = min((plan.starts[i] for i, op in enumerate(room.ops) if op.demo == demo), default=0.0)
        out.append(max((n for n in range(room.stretches) if calendar.starts[n] <= wanted), default=0))
    return tuple(out)


def best_plan(
    room: Room, begin: Sequence[Schedule] = (), tries: int | None = None, *, seed: int = 1, rules: Rules = RULES
) -> Schedule:
    """Look for the schedule that ends soonest, then waits least. Never worse than any of `begin`."""
    rng = random.Random(seed)  # noqa: S311 - a repeatable plan, no secret
    tries = WORK // max(len(room.ops), 40) if tries is None else tries
    known = sorted([*begin, *first_plans(room, rules)], key=lambda plan: plan.cost)
    best = here = known[0]
    heat0 = max(best.end * 0.02, 1.0)
    again = max(60, tries // 8)  # from the best so far
    for n in range(tries):
        heat = heat0 * (1 - n / tries)
        priority, machines, slots = _turned(room, here, rng)
        found = place_by(room, priority, machines, slots)
        worse = _worth(found.cost) - _worth(here.cost)
        if worse <= 0 or (heat > 0 and rng.random() < math.exp(-worse / heat)):
            here = found
        if found.cost < best.cost:
            best = found
        if n % again == again - 1:
            here = best
    best = _turned_round(room, best, TURNS * tries, rng)
    return shown_late(room, best, tries, rng)


def _turned_round(room: Room, plan: Schedule, tries: int, rng: random.Random) -> Schedule:
    found = place_by(room, turned_round(room, plan, tries, rng), plan.machines, plan.slots)
    return min(plan, found, key=lambda one: one.cost)


def shown_late(room: Room, plan: Schedule, tries: int, rng: random.Random) -> Schedule:
    """Put each demo as shortly before its step as lets nobody end later: who has just been shown remembers."""
    for demo in reversed(range(len(plan.slots))):
        for slot in range(_late(room, plan)[demo], plan.slots[demo], -1):
            slots = (*plan.slots[:demo], slot, *plan.slots[demo + 1 :])
            found = place_by(room, plan.starts, plan.machines, slots)
            if found.end > plan.end + EPS:
                found = _turned_round(room, found, tries, rng)
            if found.end <= plan.end + EPS:
                plan = found
                break
    return plan


def _worth(cost: Cost) -> float:
    """One figure for two aims: waiting counts, but ending later is never worth it."""
    return cost[0] + 1e-4 * cost[1] + 1e-5 * cost[2]


def _turned(room: Room, plan: Schedule, rng: random.Random) -> tuple[list[float], tuple[int, ...], tuple[int, ...]]:
    """Change a plan a little.

    Mostly where the chain that ends last is held up, for nothing else makes it shorter; now and then a demo, a machine
    or any priority, so that other chains are come by.
    """
    priority, machines, slots = list(plan.starts), plan.machines, plan.slots
    roll = rng.random()
    if room.demos and roll < 0.08:
        at = rng.randrange(len(slots))
        moved = min(max(slots[at] + rng.choice((-1, 1)), 0), room.stretches - 1)
        return priority, machines, (*slots[:at], moved, *slots[at + 1 :])
    if room.stations.get(room.kept, 0) > 1 and roll < 0.14:
        one, other = rng.randrange(room.seats), rng.randrange(room.seats)
        swapped = list(machines)
        swapped[one], swapped[other] = swapped[other], swapped[one]
        return priority, tuple(swapped), slots
    pairs = list(_held_up(room, plan))
    if pairs and roll < 0.9:
        first, second = rng.choice(pairs)
        priority[second] = priority[first] - EPS * (1 + rng.random())
        return priority, machines, slots
    for _ in range(rng.randint(1, 3)):
        priority[rng.randrange(len(priority))] += rng.gauss(0, 0.08) * plan.end
    return priority, machines, slots


def _held_up(room: Room, plan: Schedule) -> Iterator[Pair]:
    """Pairs on the chain that ends last: the second could go first, for it needs the first only for seat or station."""
    before: dict[int, list[int]] = {}
    seats, units = _chains(room, plan)
    for chain in (*seats, *units):
        for one, other in pairwise(chain):
            before.setdefault(other, []).append(one)
    at = max(range(len(plan.ends)), key=plan.ends.__getitem__, default=-1)
    while at >= 0:
        needs = {need for need, _ in room.ops[at].needs}
        cause, latest = -1, -1.0
        for one in before.get(at, ()):
            if one not in needs:
                yield one, at
            if plan.ends[one] > latest:
                cause, latest = one, plan.ends[one]
        for need, wait in room.ops[at].needs:
            if plan.ends[need] + wait > latest:
                cause, latest = need, plan.ends[need] + wait
        at = cause
