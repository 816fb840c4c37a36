"""A class as plain data: its file, the work of its seats, and the plan that comes of it. Times are s."""

from typing import Any, Literal

import msgspec

CHANGE_S = 180.0  # foot and thread, where somebody else sat at the machine [practice]
NOD_S = 120.0
TUTOR_SHARE = 0.6  # of a tutor's time that may be booked: the rest is for whoever is stuck [practice]
Kind = Literal["work", "wait", "demo", "nod", "break", "change", "home", "practice", "opening"]


class Sitting(msgspec.Struct, frozen=True):
    """Hours in one go, s from the first hour's begin; `day` counts from the first."""

    start_s: float
    end_s: float
    day: int = 0
    text: str = ""


class Hours(msgspec.Struct, frozen=True):
    """When a class meets."""

    sittings: tuple[Sitting, ...]
    opening_s: float = 0.0
    packing_s: float = 0.0
    every_s: float = 3600.0
    break_s: float = 0.0


class Seat(msgspec.Struct, frozen=True):
    """Somebody at the table: initials or a number, never more."""

    name: str
    takes: float = 1.0  # how many times as long as usual
    project: str = ""


class Demo(msgspec.Struct, frozen=True):
    """Something shown once to all before the first needs it."""

    step: str
    for_s: float


class Course(msgspec.Struct, frozen=True):
    """What a class file says."""

    title: str
    seats: tuple[Seat, ...]
    hours: Hours
    begins: str  # the first hour, 2027-03-06 10:00
    stations: dict[str, int]
    tutors: int
    demos: tuple[Demo, ...]
    nods: tuple[str, ...]
    prepared: tuple[str, ...]
    home: tuple[str, ...]
    practice_s: float
    spare_kits: int
    file: str
    text: str


class Task(msgspec.Struct, frozen=True):
    """A step of one seat (of one make): pieces that are not broken off, and what must be done first."""

    key: str  # the step's, or practice
    title: str
    pieces: int
    piece_s: float
    station: str
    needs: tuple[int, ...] = ()  # by place in the seat's list
    wait_s: float = 0.0
    nod: bool = False
    demo: int | None = None
    make: int = 1


class Window(msgspec.Struct, frozen=True):
    """What a seat does from when to when."""

    step: str
    title: str
    station: str
    kind: Kind
    start_s: float
    end_s: float
    make: int = 1


class SeatPlan(msgspec.Struct, frozen=True):
    """One seat's day."""

    name: str
    machine: int  # 0: none
    windows: tuple[Window, ...]
    ends_s: float
    finished: bool
    waiting_s: float
    home: tuple[str, ...] = ()  # steps that go home, by title
    home_keys: tuple[str, ...] = ()  # the same by key
    reached: str = ""  # the last step done in class, by title
    chance: float | None = None


class Booked(msgspec.Struct, frozen=True):
    """When a tutor is needed: at a seat (from 1), or by all (0)."""

    seat: int
    step: str
    start_s: float
    end_s: float


class ClassPlan(msgspec.Struct, frozen=True):
    """The plan of a class."""

    seats: tuple[SeatPlan, ...]
    tutor: tuple[Booked, ...]
    breaks: tuple[tuple[float, float], ...]
    closing_s: float
    ends_s: float
    waiting_s: float
    stations: dict[str, int]


def plain(plan: ClassPlan, title: str, more: dict[str, Any]) -> dict[str, Any]:
    """The plan as `guide class --json` prints it."""
    seats = [
        {
            "name": one.name,
            "machine": one.machine,
            "windows": [
                {
                    "step": window.step,
                    "station": window.station,
                    "kind": window.kind,
                    "start_s": round(window.start_s),
                    "end_s": round(window.end_s),
                }
                for window in one.windows
            ],
            "ends_s": round(one.ends_s),
            "finished": one.finished,
            "chance": one.chance,
            "home": list(one.home),
        }
        for one in plan.seats
    ]
    tutor = [
        {"seat": one.seat, "step": one.step, "start_s": round(one.start_s), "end_s": round(one.end_s)}
        for one in plan.tutor
    ]
    return {
        "class": title,
        "seats": seats,
        "stations": plan.stations,
        "tutor": tutor,
        "closes_s": round(plan.closing_s),
        "ends_s": round(plan.ends_s),
        "waiting_s": round(plan.waiting_s),
        **more,
    }
