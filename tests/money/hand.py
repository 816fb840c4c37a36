"""Plans, laps and records made by hand: invented makers at an invented table."""

from decimal import Decimal
from typing import Any

from guide.plan.model import Plan, Step
from guide.read.model import Labour, Place, Project, Rate, Sell
from guide.record.clock import stamp
from guide.record.model import Event, Lap, Record, StepRecord

HERE = Place("by hand", 1)
MORNING = 1_772_355_600_000  # 2026-03-01T09:00:00Z, invented
DAY = 86_400_000


def step(key: str, pieces: int = 1, pace_s: float = 60.0, **more: Any) -> Step:
    """A step of a plan, `stage/id`."""
    stage, _, name = key.partition("/")
    return Step(
        key=key,
        stage=stage,
        stage_title=stage,
        id=name.partition(":")[0],
        title=more.pop("title", name),
        pieces=pieces,
        piece="piece",
        count="each",
        station="table",
        pace_s=pace_s,
        beginner_factor=more.pop("beginner_factor", 2.0),
        effort=more.pop("effort", None),
        effort_noun=more.pop("effort_noun", ""),
        place=HERE,
        **more,
    )


def project(**more: Any) -> Project:
    """A project without cloth, so that only what a test adds costs anything."""
    plain: dict[str, Any] = {
        "title": "By hand", "kind": "cushion", "for_whom": "anyone", "make": 1, "units": "inch",
        "words": "british", "across": 5, "down": 3, "above": 1, "below": 2, "closure": "zip",
        "back": "patchwork", "back_cloth": None, "quilting": "cross", "prints": (), "wadding": False,
        "wadding_price": None, "stages": (), "extras": (), "currency": "EUR", "thread_price": None,
        "labour": Labour(Rate(Decimal("18.00"), 3600.0), 0.10),
        "sell": Sell(margin=0.35, fee=0.04, fee_each=Decimal("0.35"), packing=Decimal("3.40")),
        "given": {}, "file": "by hand", "text": "",
    }  # fmt: skip
    return Project(**(plain | more))


def plan(*steps: Step, **more: Any) -> Plan:
    """A plan of steps alone; `cutting`, `shopping`, `quantities` as asked, the rest goes to the project."""
    parts = {name: more.pop(name, ()) for name in ("cutting", "shopping")}
    quantities = more.pop("quantities", {})
    return Plan(
        project=project(**more), quantities=quantities, steps=steps, layout=None, backing=None, cautions=(), **parts
    )


def lap(key: str, seconds: float, pieces: int = 1, *, day: int = 0, n: int = 0, **more: Any) -> Lap:
    """One lap on a day counted from the first."""
    end = MORNING + day * DAY
    ms = round(seconds * 1000)
    return Lap(
        step=key, pieces=pieces, counted_ms=ms, trouble_ms=round(more.pop("trouble_s", 0) * 1000),
        first=more.pop("first", False), start_n=n, end_n=n + 1, start=end - ms, end=end,
        offset=more.pop("offset", 60), **more,
    )  # fmt: skip


def record(
    *laps: Lap, session: int = 0, mode: str = "real", maker: str = "Ada", whom: str = "", state: str = "done"
) -> Record:
    """A session of laps, opened on its own day, its steps done (or as said)."""
    at = stamp(MORNING + session * DAY)
    header = Event(1, at, 60, 0, 0, "b", "opened", mode=mode, maker=maker, whom=whom)
    steps: dict[str, StepRecord] = {}
    for one in laps:
        mine = steps.setdefault(one.step, StepRecord(one.step, state))  # type: ignore[arg-type]
        mine.laps.append(one)
        mine.pieces_done += one.pieces
    return Record(header=header, steps=steps, order=list(steps), closed=state == "done")
