"""Whole sessions of a project, worked by an invented maker at a known pace, as journals hold them."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from guide.commands.follow import opening
from guide.commands.sessions import open_here, plan_of
from guide.plan.model import Step
from guide.record.lines import encode, event_of
from tests.fakes import NINE, FakeClock

DAY_MS = 86_400_000


def worked(
    folder: str,
    day: int,
    pace: Callable[[Step], float],
    *,
    measures: Mapping[str, float] | None = None,
    until: str = "",
    mode: str = "real",
    maker: str = "Ada Example",
) -> Path:
    """Work a session: every piece takes `pace(step)` s; `measures` (mm) are taken where a step asks for them.

    `until`: the key of the first step that is left undone; the session then stays open.
    """
    here = open_here(Path(folder))
    plan = plan_of(here)
    assert not until or until in {step.key for step in plan.steps}, until
    clock = FakeClock(wall=NINE + day * DAY_MS)
    lines: list[bytes] = []

    def say(what: str, seconds: float = 0.0, **members: Any) -> None:
        lines.append(encode(event_of(len(lines) + 1, {"what": what, **members}, clock.run(seconds))))

    say(**opening(here, plan, mode, maker, ""))  # type: ignore[arg-type]
    for step in plan.steps:
        if step.key == until:
            break
        say("step_started", step=step.key)
        for _ in range(step.pieces - 1):
            say("piece_done", pace(step), step=step.key, count=1)
        if step.measure in (measures or {}):
            say("measured", step=step.key, name=step.measure, mm=measures[step.measure], make=1)
        wait = {"ms": round(step.waits_s * 1000)} if step.waits_s else {}
        say("step_done", pace(step), step=step.key, count=1, **wait)
        clock.run(step.waits_s or 0)
    else:
        say("closed", records=len(lines) + 1)
    path = here.folder / f"2026-03-{day + 1:02d}.jsonl"
    path.write_bytes(b"".join(lines))
    return path
