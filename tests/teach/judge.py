"""An independent judge of class plans: it reads what `guide class --json` prints and the class's tasks, and no more."""

from collections import defaultdict
from itertools import pairwise

FREE = ("break", "wait", "home")


def faults(told: dict, course, works) -> list[str]:
    """All that is wrong with a plan: hours, order, stations, machines kept, changes, nods, demos, the tutor's share."""
    out: list[str] = []
    hours, end = course.hours, told["closes_s"]
    inside = [(one.start_s, min(one.end_s, end)) for one in hours.sittings]
    for n, seat in enumerate(told["seats"]):
        windows = seat["windows"]
        for one, other in pairwise(windows):
            if other["start_s"] < one["end_s"]:
                out.append(f"{n}: {other} begins before {one} ends")
        for one in windows:
            if not any(a <= one["start_s"] and one["end_s"] <= b for a, b in inside):
                out.append(f"{n}: {one} lies outside the hours")
        out += pieces_and_order(n, seat, works[n], course)
        out += breaks_kept(n, windows, hours)
    out += stations(told)
    out += machines(told)
    out += tutors(told, course)
    return out


def hands(windows, *kinds):
    return [one for one in windows if one["kind"] in kinds]


def pieces_and_order(n, seat, tasks, course) -> list[str]:
    """Everything done whole where the seat is ready, each after what it needs and its waits, its nod and its demo."""
    out = []
    spans = defaultdict(list)
    for one in hands(seat["windows"], "work", "practice"):
        spans[one["step"]].append((one["start_s"], one["end_s"]))
    demos = {one["step"]: one["end_s"] for one in hands(seat["windows"], "demo")}
    nods = {one["step"]: one["end_s"] for one in hands(seat["windows"], "nod")}
    for task in tasks:
        done = spans[task.key]
        took = sum(b - a for a, b in done)
        whole = task.pieces * task.piece_s
        late = seat["ends_s"] > end_of(seat) or not seat["finished"]
        if took > whole or (seat["finished"] and took != whole):
            out.append(f"{n}: {task.key} takes {took} of {whole}")
        if not done:
            if not late:
                out.append(f"{n}: {task.key} is not done")
            continue
        for a, b in done:
            if (b - a) % task.piece_s:
                out.append(f"{n}: {task.key} is broken off within a piece: {a} to {b}")
        begins = done[0][0]
        for need in task.needs:
            ends = [b for _, b in spans[tasks[need].key]]
            if not ends or begins < max(ends) + tasks[need].wait_s:
                out.append(f"{n}: {task.key} begins before {tasks[need].key} is done and waited for")
        if task.nod and not nods.get(task.key, 1e18) <= begins:
            out.append(f"{n}: {task.key} without a nod")
        if task.demo is not None and not demos.get(task.key, 1e18) <= begins:
            out.append(f"{n}: {task.key} before it was shown")
    return out


def end_of(seat) -> float:
    return max((one["end_s"] for one in seat["windows"]), default=0)


def breaks_kept(n, windows, hours) -> list[str]:
    """No longer at work than the class file says without a break, where there are breaks."""
    if not hours.break_s:
        return []
    worked, out = 0.0, []
    for one, other in pairwise([*windows, {"start_s": 1e18, "end_s": 1e18, "kind": "end"}]):
        if one["kind"] == "break":
            worked = 0.0
            continue
        worked += one["end_s"] - one["start_s"]
        if worked > hours.every_s + hours.break_s + 900 + 1:  # a last one is left out where little would follow
            out.append(f"{n}: {worked} s without a break")
        if other["start_s"] > one["end_s"]:
            worked = 0.0
    return out


def stations(told) -> list[str]:
    """No more seats at a station at once than there are places; a step holds its place from beginning to end."""
    out = []
    for name, count in told["stations"].items():
        held = []
        for n, seat in enumerate(told["seats"]):
            spans: dict[tuple, list] = {}
            for one in hands(seat["windows"], "work", "practice", "change"):
                if one["station"] == name:
                    span = spans.setdefault((n, one["step"]), [one["start_s"], one["end_s"]])
                    span[1] = one["end_s"]
            held += [tuple(span) for span in spans.values()]
        moments = sorted([(b, -1) for _, b in held] + [(a, 1) for a, _ in held])
        here = 0
        for moment, change in moments:
            here += change
            if here > count:
                out.append(f"{here} at {count} {name} at {moment}")
    return out


def machines(told) -> list[str]:
    """A seat has one machine; where another sat there last, three minutes' change come first, and nowhere else."""
    out = []
    if "machine" not in told["stations"]:
        return out
    at: dict[int, list] = defaultdict(list)
    for n, seat in enumerate(told["seats"]):
        if not 1 <= seat["machine"] <= told["stations"]["machine"]:
            out.append(f"{n}: machine {seat['machine']}")
        for one in hands(seat["windows"], "work", "practice", "change"):
            if one["station"] == "machine":
                at[seat["machine"]].append((one["start_s"], one["end_s"], n, one["kind"]))
    for used in at.values():
        used.sort()
        for (_, end, who, _), (begin, until, then, kind) in pairwise(used):
            if begin < end:
                out.append(f"{who} and {then} at one machine at {begin}")
            if (who != then) != (kind == "change"):
                out.append(f"{then} at {begin}: change where {who} sat is {kind}")
            if kind == "change" and until - begin != 180:
                out.append(f"a change of {until - begin}")
    return out


def tutors(told, course) -> list[str]:
    """Never more nods and demos at once than tutors, and at most 60 % booked in any stretch between breaks."""
    out = []
    booked = sorted((one["start_s"], one["end_s"]) for one in told["tutor"])
    for moment, _ in booked:
        if sum(a <= moment < b for a, b in booked) > course.tutors:
            out.append(f"more than {course.tutors} tutors at {moment}")
    edges = sorted(
        {0, told["closes_s"], *(one.start_s for one in course.hours.sittings)}
        | {one["start_s"] for one in hands(told["seats"][0]["windows"], "break")}
    )
    nods = [one for one in told["tutor"] if one["seat"]]
    for a, b in pairwise(edges):
        if any(a <= one["start_s"] < b for one in nods):
            busy = sum(end - begin for begin, end in booked if a <= begin < b)
            if busy > 0.6 * course.tutors * (b - a) + 1:
                out.append(f"tutors booked {busy} of {b - a}")
    return out
