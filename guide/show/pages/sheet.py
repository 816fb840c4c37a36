"""The run sheet: paper at the machine, with blanks for every time, count and measure."""

from guide.show.pages.illustrate import Report, words
from guide.show.pages.plan import by_stage, plan_figures
from guide.show.pages.render import Format, render


def render_sheet(report: Report, fmt: Format = "html") -> str:
    """Render the run sheet of a report; what is written on it is typed in afterwards, step by step."""
    return render("sheet", fmt, report, figures=plan_figures(report)[:4], stages=by_stage(report), typed=_typed(report))


def _typed(report: Report) -> str:
    """How the first size on this sheet is typed in, with a note; empty where nothing is measured."""
    for step in report["steps"]:
        planned = words(report, step["measure"]) if step["measure"] else ""
        if planned:
            size = planned.removeprefix("≈ ")
            return f"step {step['number']}, 16:30 to 16:35, {size}, note: a little narrow"
    return ""
