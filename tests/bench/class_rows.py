"""What a class costs, planned with all that would help it, against one project's plan; a replan against the first plan."""

import json
import tempfile
from functools import cache
from pathlib import Path

from guide.teach.board import Board, replanned
from guide.teach.plan import Planner
from tests.bench.plan_rows import DEMO, against, command
from tests.bench.row import Row, in_turn, sized
from tests.teach.test_schedule import drawn_class

TEXT = """\
class: A bench
project: {project}
seats: {seats}
hours: [2027-03-06 10:00-13:00, 2027-03-06 14:00-16:30]
stations: {{machine: {machines}, iron: 1}}
nods: [closure/zip_cut, assemble/outer]
prepared: [cut]
home: [wash]
breaks: {{every: 60 min, for: 10 min}}
"""
WALL = ("--paper", "wall", "-o", "-")


@cache
def folder() -> tempfile.TemporaryDirectory:
    """Where class files lie for as long as the bench runs."""
    return tempfile.TemporaryDirectory()


def class_of(seats: int) -> str:
    """Write a class of so many, two at a machine, and give its folder."""
    place = Path(folder().name) / f"seats-{seats}"
    place.mkdir(exist_ok=True)
    text = TEXT.format(project=json.dumps(DEMO), seats=seats, machines=(seats + 1) // 2)
    (place / "class.yaml").write_text(text, encoding="utf-8")
    return str(place)


def planned(seats: int, *more: str) -> tuple[float, float]:
    """Time `guide class`, and `guide plan`, in turn."""
    return against(command("class", class_of(seats), *more), command("plan", DEMO))()


def again() -> tuple[float, float]:
    """Time a replan in the middle of the day and the first plan, in turn."""
    of, works = drawn_class(6, 3)
    first = Planner(of, works).planned()
    return in_turn(
        lambda: replanned(first, Board({1: {"quilted": 6000.0}}), 9000.0), lambda: Planner(of, works).planned(), 3
    )


def rows() -> list[Row]:
    """The rows of a class."""
    return [
        Row("guide class with all that would help, 6 seats", "guide plan", lambda: planned(6), 10.0),
        *(
            Row(f"guide class --paper wall, {n} seats", "guide plan", lambda n=n: planned(n, *WALL), 10.0)
            for n in (3, 6, 12)[: sized(3, 1)]
        ),
        Row("a class replanned on its board", "its first plan", again, 0.1),
    ]
