"""The run sheet: paper at the machine, with blanks for every time, count and measure."""

from guide.show.pages.illustrate import Report
from guide.show.pages.plan import by_stage, plan_figures
from guide.show.pages.render import Format, render


def render_sheet(report: Report, fmt: Format = "html") -> str:
    """Render the run sheet of a report; what is written on it is typed in afterwards, step by step."""
    return render("sheet", fmt, report, figures=plan_figures(report)[:4], stages=by_stage(report))
