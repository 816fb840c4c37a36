"""Are pages ready before a maker looks up?

A session of 500 steps is invented from the sample plan's; what is timed is drawing and printing, after the
plan, the record and the template engine are there.
"""

import time
from collections.abc import Callable
from typing import Any

import msgspec

from guide.show.pages import render_checklist, render_log, render_plan, render_sheet
from tests.bench.row import Row
from tests.show import samples

STEPS = 500


def long_report() -> dict[str, Any]:
    """The report of a session of 500 steps, texts and windows with it."""
    base = samples.plan()
    steps = tuple(
        msgspec.structs.replace(
            base.steps[place % len(base.steps)], key=f"stage{place // 50}/{place}", stage=f"stage{place // 50}"
        )
        for place in range(STEPS)
    )
    plan = msgspec.structs.replace(base, steps=steps)
    report: dict[str, Any] = samples.full_report(plan, rec=samples.record(plan))
    return report


def _seconds(work: Callable[[], object]) -> float:
    """The least of five runs: what the work takes when nothing else is going on."""
    best = float("inf")
    for _ in range(5):
        begin = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begin)
    return best


def _page(render: Callable[..., str], fmt: str) -> tuple[float, float]:
    report = long_report()
    render(report, fmt)
    return _seconds(lambda: render(report, fmt)), 0.300


def rows() -> list[Row]:
    """What the bench prints about pages."""
    return [
        Row(f"maker's log of {STEPS} steps, HTML", "300 ms", "under 1", lambda: _page(render_log, "html")),
        Row(f"maker's log of {STEPS} steps, Markdown", "300 ms", "under 1", lambda: _page(render_log, "markdown")),
        Row(f"plan page of {STEPS} steps", "300 ms", "under 1", lambda: _page(render_plan, "html")),
        Row(f"checklist of {STEPS} steps", "300 ms", "under 1", lambda: _page(render_checklist, "html")),
        Row(f"run sheet of {STEPS} steps", "300 ms", "under 1", lambda: _page(render_sheet, "html")),
    ]
