"""The run sheet: paper at the machine, with blanks for every time, count and measure."""

from collections.abc import Callable

from guide.read.spoken import plural
from guide.show.model import Report
from guide.show.model_plan import StepReport
from guide.show.pages.illustrate import faces, stack_page, swatches
from guide.show.pages.log import face_letters
from guide.show.pages.plan import StageSteps, by_stage, plan_figures
from guide.show.pages.render import Format, render
from guide.show.report_numbers import words
from guide.show.table import Cell, Column, Note, Table, table

Line = StageSteps | StepReport  # what a run sheet has rows of
BLANK = Cell("", style="blankcell")


def render_sheet(report: Report, fmt: Format = "html") -> str:
    """Render the run sheet of a report; what is written on it is typed in afterwards, step by step."""
    return render(
        "sheet",
        fmt,
        report,
        figures=plan_figures(report)[:4],
        run=_run(report),
        typed=_typed(report),
        stacks=stack_page(report),
        pictures=faces(report) if fmt == "html" else {},
        faces=face_letters(report),
        swatches=swatches(report) if fmt == "html" else {},
    )


def _typed(report: Report) -> str:
    """How the first size on this sheet is typed in, with a note; empty where nothing is measured."""
    for step in report.steps:
        planned = words(report, step.measure) if step.measure else ""
        if planned:
            size = planned.removeprefix("≈ ")
            return f"step {step.number}, 16:30 to 16:35, {size}, note: a little narrow"
    return ""


def _run(report: Report) -> Table:
    """Every step by number under its stage, with blanks to write in."""

    def title(row: Line) -> Cell:
        if isinstance(row, StageSteps):
            return Cell(row.title)
        return Cell(row.title, tuple(Note(one.label, strong=one.text) for one in row.shows[:2] if one.value))

    def pieces(step: StepReport) -> Cell:
        if step.count == "none":
            return Cell("once", style="count")
        return Cell(f"of {step.pieces}", (Note(plural(step.piece, step.pieces), on=True),), style="count")

    def measure(step: StepReport) -> Cell:
        asked = f"{step.measure.replace('_', ' ')}:" if step.measure else ""
        asked = asked or (f"{step.count_in}: …… out, …… in" if step.count_in else "")
        return Cell("", (Note(asked, on=True),) if asked else (), style="blankcell")

    columns = [
        _of_steps("No", lambda step: Cell(f"{step.number}", style="no")),
        Column[Line]("Step", title),
        _of_steps("begun", lambda _: BLANK),
        _of_steps("done", lambda _: BLANK),
        _of_steps("pieces", pieces),
        _of_steps("lost, min", lambda _: BLANK),
        _of_steps("measure or note", measure),
    ]
    groups: list[list[Line]] = [[stage, *stage.steps] for stage in by_stage(report)]
    return table(columns, groups, sums=lambda row: isinstance(row, StageSteps), label="Steps", names=1, css="run")


def _of_steps(head: str, says: Callable[[StepReport], Cell]) -> Column[Line]:
    """A column that says something of steps only."""
    return Column(head, lambda row: Cell("") if isinstance(row, StageSteps) else says(row))
