"""Reading a class file: text to a Course, or every problem with its place."""

import re
from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from guide.read.model import Key, Stage, did_you_mean
from guide.read.stage_keys import STATIONS
from guide.read.strict_yaml import Loaded, load
from guide.read.take import MISSING, take
from guide.teach.model import Course, Demo, Hours, Seat, Sitting

# The shape of a class file: every key in one table, which reads it, documents it and makes its schema.

HOURS = "like 2027-03-06 10:00-13:00"


def _time(says: str, default: str | None = None, most: float = 14_400.0, *, required: bool = False) -> Key:
    return Key("duration", says, required=required, default=default, at_least=0.0, at_most=most)


_PROJECT = Key("text", "what is made: the project's folder, seen from the class's", longest=200)
CLASS = Key(
    "map",
    "a class",
    keys={
        "class": Key("text", "what it is called", required=True, longest=80),
        "project": _PROJECT,
        "seats": Key(
            "either",
            "how many take part, or a list of them",
            required=True,
            options=(
                Key("count", "a number", at_least=1, at_most=24),
                Key(
                    "list",
                    "one after another",
                    item=Key(
                        "map",
                        "a seat",
                        keys={
                            "name": Key("text", "initials or a number; no more is needed", required=True, longest=24),
                            "takes": Key(
                                "number", "how many times as long as usual", default="1", at_least=0.25, at_most=5.0
                            ),
                            "project": _PROJECT,
                        },
                    ),
                ),
            ),
        ),
        "hours": Key(
            "list", f"when it meets, one sitting after another, {HOURS}", required=True, item=Key("text", HOURS)
        ),
        "stations": Key(
            "map",
            "how many there are of each; what is not named has room for all",
            keys={name: Key("count", f"how many: {name}", at_least=1, at_most=24) for name in STATIONS},
        ),
        "tutors": Key("count", "how many show and look", default="1", at_least=1, at_most=6),
        "demos": Key(
            "list",
            "what is shown once, to all who are there, before the first needs it",
            item=Key(
                "map",
                "a demo",
                keys={
                    "step": Key("text", "the step that is shown: stage/id", required=True, longest=80),
                    "for": _time("how long it takes", most=1800.0, required=True),
                },
            ),
        ),
        "nods": Key("names", "steps that a tutor looks at before they go on: stage/id; two minutes each"),
        "prepared": Key("names", "stages, or steps by stage/id, that a tutor does beforehand: they come in the kits"),
        "home": Key("names", "stages, or steps by stage/id, that are done at home"),
        "breaks": Key(
            "map",
            "breaks, all together",
            keys={
                "every": Key(
                    "duration", "work between two", required=True, at_least=1800.0, at_most=7200.0
                ),
                "for": _time("how long one is", most=3600.0, required=True),
            },
        ),
        "opening": _time("welcome and safety, all together", "15 min", 3600.0),
        "practice": _time("a practice block at the machine, before anything else there", "10 min", 3600.0),
        "packing_up": _time("at the end of each day", "15 min", 3600.0),
        "spare_kits": Key("count", "kits more than seats", default="1", at_least=0, at_most=6),
    },
)  # fmt: skip


CLASS_FILE = "class.yaml"
MOST_HOURS_S = 14 * 86_400.0  # from the first hour to the last
_HOURS = re.compile(r"(\d{4}-\d\d-\d\d) +(\d{1,2}:\d\d) *[-–] *(\d{1,2}:\d\d)")
Days = tuple[tuple[Sitting, ...], str]


def read_course(text: str, file: str, stages: Sequence[Stage]) -> tuple[Course | None, Loaded]:
    """Read a class file by the same strict YAML as projects. The Course is None when anything is wrong.

    `stages` are those whose steps it may name.
    """
    loaded = load(text, file)
    if loaded.problems:
        return None, loaded
    taken = take(CLASS, loaded, (), loaded.data)
    if taken is MISSING or not isinstance(taken, dict):
        return None, loaded
    _steps_there(taken, loaded, stages)
    seats = _seats(taken, loaded)
    sittings, begins = _hours(taken.get("hours", []), loaded)
    breaks = taken.get("breaks", {})
    hours = Hours(
        sittings,
        opening_s=taken.get("opening", 900.0),
        packing_s=taken.get("packing_up", 900.0),
        every_s=breaks.get("every", 3600.0),
        break_s=breaks.get("for", 0.0),
    )
    _room_to_work(hours, taken, loaded)
    if loaded.problems:
        return None, loaded
    return Course(
        title=taken["class"],
        seats=seats,
        hours=hours,
        begins=begins,
        file=file,
        text=text,
        demos=tuple(Demo(one["step"], one["for"]) for one in taken.get("demos", [])),
        practice_s=taken.get("practice", 600.0),
        **{
            name: taken[name]
            for name in ("stations", "tutors", "nods", "prepared", "home", "spare_kits")
            if name in taken
        },
    ), loaded


def _seats(taken: dict[str, Any], loaded: Loaded) -> tuple[Seat, ...]:
    """The seats, numbered where they have no names; each with what it makes."""
    given = taken.get("seats", 0)
    if isinstance(given, int):
        given = [{"name": f"seat {n}"} for n in range(1, given + 1)]
    elif not given or len(given) > 24:
        loaded.problem(("seats",), "a class has 1 to 24 seats; write a number, or one after another")
    out: list[Seat] = []
    for i, one in enumerate(given):
        if any(one.get("name") == seat.name for seat in out):
            loaded.problem(("seats", i, "name"), f"{one['name']} sits here already; names must differ")
        project = one.get("project", taken.get("project", ""))
        if not project:
            where: tuple[str | int, ...] = ("seats", i) if isinstance(loaded.data.get("seats"), list) else ()
            loaded.problem(where, "project is missing; write what is made, like project: ../window-seat-cushion")
            break
        out.append(Seat(one.get("name", ""), one.get("takes", 1.0), project))
    return tuple(out)


def _hours(given: list[str], loaded: Loaded) -> Days:
    """The sittings in s from the first hour's begin, and that hour."""
    out: list[Sitting] = []
    first: datetime | None = None
    before: datetime | None = None
    for i, text in enumerate(given):
        try:
            begin, end = _sitting(text)
        except ValueError as wrong:
            loaded.problem(("hours", i), str(wrong))
            continue
        first = first or begin
        if before and begin < before:
            loaded.problem(("hours", i), "begins before the sitting above ends; write them one after another")
        elif (end - first).total_seconds() > MOST_HOURS_S:
            loaded.problem(("hours", i), "is over two weeks after the first; make a class of its own of it")
        before = end
        start_s, end_s = ((one - first).total_seconds() for one in (begin, end))
        out.append(Sitting(start_s, end_s, (begin.date() - first.date()).days, text))
    if not given and "hours" in (loaded.data or {}):
        loaded.problem(("hours",), f"nothing is written here; write when it meets, {HOURS}")
    return tuple(out), f"{first:%Y-%m-%d %H:%M}" if first else ""


def _sitting(text: str) -> tuple[datetime, datetime]:
    """Read the hours of one sitting. Raises ValueError for what are none."""
    found = _HOURS.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} are no hours; write them {HOURS}")
    day, begin, end = found.groups()
    try:
        one, other = (datetime.strptime(f"{day} {at}", "%Y-%m-%d %H:%M") for at in (begin, end))  # noqa: DTZ007
    except ValueError:
        raise ValueError(f"{text!r}: there is no such day or time; write them {HOURS}") from None
    if other <= one:
        raise ValueError(f"{text!r} ends before it begins; write them {HOURS}")
    return one, other


def _room_to_work(hours: Hours, taken: dict[str, Any], loaded: Loaded) -> None:
    """Refuse a sitting that opening, packing up and demos leave nothing of."""
    shown = sum(one["for"] for one in taken.get("demos", []) if "for" in one)
    for i, one in enumerate(hours.sittings):
        off = (hours.opening_s if i == 0 else 0.0) + shown
        ends_day = i + 1 == len(hours.sittings) or hours.sittings[i + 1].day != one.day
        off += hours.packing_s if ends_day else 0.0
        if one.end_s - one.start_s < off + 1800.0:
            said = f"opening, demos and packing up take {off / 60:.0f} min of it; a sitting needs half an hour more"
            loaded.problem(("hours", i), said)


def _steps_there(taken: dict[str, Any], loaded: Loaded, stages: Sequence[Stage]) -> None:
    """Check that every step and stage that is named is there."""
    steps = [f"{stage.name}/{step.id}" for stage in stages for step in stage.steps]
    both = [*steps, *(stage.name for stage in stages)]
    for key, known in (("nods", steps), ("prepared", both), ("home", both)):
        for name in taken.get(key, ()):
            written = loaded.data[key]
            _there(name, known, (key, written.index(name)) if isinstance(written, list) else (key,), loaded)
    for i, one in enumerate(taken.get("demos", [])):
        if "step" in one:
            _there(one["step"], steps, ("demos", i, "step"), loaded)


def _there(name: str, known: Collection[str], where: tuple[str | int, ...], loaded: Loaded) -> None:
    if name not in known:
        like = "quilt/cross" if all("/" in one for one in known) else "quilt/cross, or a stage"
        loaded.problem(where, f"there is no step {name}{did_you_mean(name, known)}; write it like {like}")
