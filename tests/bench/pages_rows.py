"""Are pages ready before a maker looks up?

A session of 500 steps is invented from the sample plan's; what is timed is drawing and printing, after the
plan, the record and the template engine are there.
"""

from collections.abc import Callable

import msgspec

from guide.show.model import Report
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan, render_sheet
from tests.bench.row import Row, best_s, sized
from tests.show import samples

STEPS = 500


def long_report(count: int) -> Report:
    """The report of a session of so many steps, texts and windows with it."""
    base = samples.plan()
    steps = tuple(
        msgspec.structs.replace(
            base.steps[place % len(base.steps)], key=f"stage{place // 50}/{place}", stage=f"stage{place // 50}"
        )
        for place in range(count)
    )
    plan = msgspec.structs.replace(base, steps=steps)
    return samples.full_report(plan, rec=samples.record(plan))


def _drawn(render: Callable[..., str], fmt: str, count: int) -> float:
    """Processor seconds to draw a page of so many steps."""
    report = long_report(count)
    render(report, fmt)
    return best_s(lambda: render(report, fmt))


def _row(name: str, render: Callable[..., str], fmt: str = "html") -> Row:
    def measure() -> tuple[float, float]:
        return _drawn(render, fmt, sized(STEPS, 20)), 0.300

    return Row(f"{name} of {STEPS} steps", "300 ms", measure, 1, work=lambda n: _drawn(render, fmt, n), unit=20)


def rows() -> list[Row]:
    """What the bench prints about pages."""
    return [
        _row("maker's log as HTML", render_log),
        _row("maker's log as Markdown", render_log, "markdown"),
        _row("plan page", render_plan),
        _row("checklist", render_checklist),
        _row("run sheet", render_sheet),
    ]
