"""The shape of a class file: every key in one table, which reads it, documents it and makes its schema."""

from guide.read.model import Key
from guide.read.stage_keys import STATIONS

HOURS = "like 2027-03-06 10:00-13:00"


def _time(says: str, default: str | None = None, most: float = 14_400.0, *, required: bool = False) -> Key:
    return Key("duration", says, required=required, default=default, at_least=0.0, at_most=most)


def _names(says: str) -> Key:
    return Key("names", says)


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
        "nods": _names("steps that a tutor looks at before they go on: stage/id; two minutes each"),
        "prepared": _names("stages, or steps by stage/id, that a tutor does beforehand: they come in the kits"),
        "home": _names("stages, or steps by stage/id, that are done at home"),
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
