"""Classes for tests: invented seats with invented work, drawn at random or written out."""

import random

from guide.teach.model import Course, Demo, Hours, Seat, Sitting, Task

STATIONS = ("table", "table", "machine", "machine", "iron", "floor")


def course(seats=6, *, hours=None, stations=None, tutors=1, demos=(), nods=(), takes=None):
    """A class of so many seats; from ten to six without a break where nothing else is said."""
    return Course(
        title="An invented class",
        seats=tuple(Seat(f"seat {n + 1}", takes[n] if takes else 1.0, "p") for n in range(seats)),
        hours=hours or Hours((Sitting(0.0, 8 * 3600.0),)),
        begins="2027-03-06 10:00",
        stations={"machine": 3, "iron": 1} if stations is None else stations,
        tutors=tutors,
        demos=tuple(demos),
        nods=tuple(nods),
        prepared=(),
        home=(),
        practice_s=0.0,
        spare_kits=1,
        file="class.yaml",
        text="class: An invented class\n",
    )


def drawn(seed):
    """A class and its works, drawn: up to eight seats, up to eight tasks each, demos, nods, breaks, two sittings."""
    rng = random.Random(seed)
    steps = [f"s/{n}" for n in range(rng.randint(1, 8))]
    demos = [
        Demo(step, float(rng.choice((120, 300, 480)))) for step in rng.sample(steps, min(rng.randint(0, 2), len(steps)))
    ]
    sittings = [Sitting(0.0, 3600.0 * rng.choice((2, 3, 4)))]
    if rng.random() < 0.6:
        begin = sittings[0].end_s + rng.choice((1800.0, 3600.0, 72_000.0))
        sittings.append(Sitting(begin, begin + 3600.0 * rng.choice((2, 3)), int(begin > 40_000)))
    breaks = (3600.0, 600.0) if rng.random() < 0.7 else (3600.0, 0.0)
    hours = Hours(tuple(sittings), float(rng.choice((0, 900))), float(rng.choice((0, 900))), *breaks)
    seats = rng.randint(1, 8)
    of = course(
        seats, hours=hours, demos=demos, tutors=rng.randint(1, 2),
        stations={"machine": rng.randint(1, 4)} | ({"iron": rng.randint(1, 2)} if rng.random() < 0.7 else {}),
    )  # fmt: skip
    shape = [
        (
            rng.choice(STATIONS), rng.randint(1, 12), float(rng.choice((20, 45, 90, 200))), rng.random() < 0.2,
            float(rng.choice((0, 0, 0, 300, 1200))), sorted(rng.sample(range(n), min(n, rng.choice((0, 1, 1, 2))))),
        )
        for n in range(len(steps))
    ]  # fmt: skip
    works = []
    for _ in range(seats):
        takes = rng.choice((1, 1, 1, 1.5))
        works.append(
            [
                Task(
                    key=steps[n],
                    title=steps[n],
                    pieces=pieces,
                    piece_s=float(round(piece * takes)),
                    station=station,
                    needs=tuple(needs),
                    wait_s=wait,
                    nod=nod,
                    demo=next((i for i, one in enumerate(demos) if one.step == steps[n]), None),
                )
                for n, (station, pieces, piece, nod, wait, needs) in enumerate(shape)
            ]
        )
    return of, works
