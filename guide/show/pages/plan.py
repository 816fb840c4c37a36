"""The plan on paper: what to cut, what to buy, the cutting plans, the order of work, every number."""

from collections.abc import Callable, Sequence

from guide.read.spoken import plural, said
from guide.show.cutting_day import (
    DayCloth,
    DayPile,
    DayProject,
    DayReport,
    DaySetting,
    DayTask,
    layer_text,
    left_text,
)
from guide.show.model import Report, Setting
from guide.show.model_plan import BuyReport, ProjectReport, QuantityReport, StationWork, StepReport, Stretch
from guide.show.pages.render import Format, faces, figure_list, maps, ours, render
from guide.show.pages.step_art import cutting_pictures, shown_steps, step_pictures
from guide.show.report_numbers import words
from guide.show.table import Cell, Column, Note, Table, table

COUNTERS = {"cloth": "Cloth counter", "wadding": "Wadding", "notions": "Notions", "thread": "Thread"}


def render_plan(report: Report, fmt: Format = "html") -> str:
    """Render the plan page of a report."""
    html, spoken = fmt == "html", report.project.words
    return render(
        "plan",
        fmt,
        report,
        pictures=step_pictures(report) if html else {},
        figures=plan_figures(report),
        cut=cut_table(report),
        cuts=cutting_pictures(report) if html else (),
        gives=[Setting(ours(one.material, spoken), one.gives.text) for one in report.cutting if one.gives.text],
        buy=buy_tables(report.shopping, report.project),
        stations=_stations(report),
        steps_of=steps_of,
        numbers=_numbers(report),
        maps=maps(report) if html else {},
        shown=shown_steps(report) if html else (),
    )


def steps_of(report: Report, row: Stretch) -> tuple[StepReport, ...]:
    """The steps of a stretch of the order of work."""
    return report.steps[row.first - 1 : row.first - 1 + row.steps]


def plan_figures(report: Report) -> list[Setting]:
    """The numbers a maker looks for first."""
    pairs = (
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "inside the outer seam"),
        (words(report, "blocks"), "blocks"),
        (words(report, "square"), "squares, as cut"),
        (words(report, "seam"), "seam"),
        (words(report, "zip_buy"), "zip to buy"),
        (report.forecast.text, "hands on, about"),
    )
    return figure_list(report, pairs)


def cut_table(report: Report) -> Table:
    """What to cut from what, and what lies ready."""
    spoken = report.project.words
    rows = [
        (ours(one.material, spoken), ours(p.name, spoken), p.size_text, p.count)
        for one in report.cutting
        for p in one.parts
    ]
    rows += [(one.material, "square, lies ready", one.size_text, one.count) for one in report.ready]
    columns = [
        Column[tuple[str, str, str, int]]("From", lambda row: row[0]),
        Column[tuple[str, str, str, int]]("cut", lambda row: row[1]),
        Column[tuple[str, str, str, int]]("size", lambda row: row[2], number=True, style="big"),
        Column[tuple[str, str, str, int]]("how many", lambda row: f"{row[3]}", number=True, style="big"),
    ]
    return table(columns, [rows], label="What to cut")


def buy_tables(shopping: Sequence[BuyReport], project: ProjectReport) -> list[tuple[str, Table]]:
    """What to buy, counter by counter."""
    spoken, currency = project.words, project.currency
    counters: dict[str, list[BuyReport]] = {}
    for line in sorted(shopping, key=lambda line: line.counter):
        counters.setdefault(line.counter, []).append(line)
    columns = [
        Column[BuyReport]("Item", lambda one: Cell(one.item_text, (Note(one.washed.text),) if one.washed else ())),
        Column[BuyReport]("how much", lambda one: one.text, number=True, style="big"),
        Column[BuyReport]("price", lambda one: one.price_text or "", number=True),
        Column[BuyReport]("cost", lambda one: f"{one.cost} {currency}" if one.cost else "", number=True),
    ]
    return [
        (ours(COUNTERS.get(counter, counter), spoken), table(columns, [lines], label=f"What to buy: {counter}"))
        for counter, lines in counters.items()
    ]


def _stations(report: Report) -> Table:
    """What each place of work is for: how many steps, how long, which tools to have there."""

    def tools(row: StationWork) -> str:
        there = (tool for step in report.steps if step.station == row.station for tool in step.tools)
        return ", ".join(dict.fromkeys(there))

    columns = [
        Column[StationWork]("At the", lambda one: one.station),
        Column[StationWork]("steps", lambda one: f"{one.steps}", number=True),
        Column[StationWork]("hands on", lambda one: one.hands_on_text, number=True),
        Column[StationWork]("to have there", tools, style="soft"),
    ]
    return table(columns, [report.work.stations], label="Stations")


def _numbers(report: Report) -> Table:
    """Every number that is worked out, and how."""
    spoken = report.project.words
    rows = [(name, one) for name, one in report.quantities.items() if one.value is not None and one.formula]
    columns = [
        Column[tuple[str, QuantityReport]]("Name", lambda row: said(row[0].replace("_", " "), spoken)),
        Column[tuple[str, QuantityReport]]("is", lambda row: row[1].text, number=True),
        Column[tuple[str, QuantityReport]]("how", lambda row: Cell(row[1].formula or "", mark="code")),
    ]
    return table(columns, [rows], label="Every number", css="formulas")


# The run sheet: paper at the machine, with blanks for every time, count and measure.

Line = Stretch | StepReport  # what a run sheet has rows of
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
        pictures=faces(report) if fmt == "html" else {},
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
        if isinstance(row, Stretch):
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
    groups: list[list[Line]] = [[row, *steps_of(report, row)] for row in report.work.order]
    return table(columns, groups, sums=lambda row: isinstance(row, Stretch), label="Steps", names=1, css="run")


def _of_steps(head: str, says: Callable[[StepReport], Cell]) -> Column[Line]:
    """A column that says something of steps only."""
    return Column(head, lambda row: Cell("") if isinstance(row, Stretch) else says(row))


# The sheet of a cutting day: what is cut at each setting of the ruler, a box for everything whoever helps you does.

BOX = Cell("", boxes=1, style="box")


def render_day(report: DayReport, fmt: Format = "html") -> str:
    """Render the sheet of a cutting day."""
    return render(
        "sheet",
        fmt,
        None,
        day=report,
        words=report.words,
        projects=_projects(report.projects),
        cloths=_cloths(report),
        settings=[(f"{one.number}. Ruler at {one.ruler_text}", _tasks(one)) for one in report.settings],
        piles=_piles(report),
        left=[Setting(one.name, left_text(one, report)) for one in report.left],
        enter=[one.enter for one in report.projects if one.enter],
    )


def _projects(projects: Sequence[DayProject]) -> Table:
    columns = [
        Column[DayProject]("No", lambda one: Cell(f"{one.number}", style="no")),
        Column[DayProject]("project", lambda one: Cell(one.title, (Note(f"{one.make} to make"),))),
        Column[DayProject]("pieces", lambda one: f"{one.pieces}", number=True),
        Column[DayProject]("of the day", lambda one: one.share_text, number=True),
        Column[DayProject]("cut alone", lambda one: one.apart_text, number=True),
        Column[DayProject]("hands on in all", lambda one: one.hands_on_text, number=True),
    ]
    return table(columns, [projects], label="The projects", names=1)


def _cloths(report: DayReport) -> Table:
    columns = [
        Column[DayCloth]("done", lambda _: BOX),
        Column[DayCloth]("No", lambda one: Cell(f"{one.number}", style="no")),
        Column[DayCloth]("cloth", lambda one: Cell(one.name, (Note(one.text, under=True),))),
        Column[DayCloth]("size", lambda one: one.size_text),
        Column[DayCloth]("for", lambda one: ", ".join(map(str, one.projects)), number=True),
    ]
    return table(columns, [report.cloths], label="The cloths", names=2, css="cutting")


def _tasks(setting: DaySetting) -> Table:
    columns = [
        Column[DayTask]("done", lambda one: Cell("", boxes=one.boxes, style="box")),
        Column[DayTask]("layers", lambda one: f"{one.layers}", number=True, style="big"),
        Column[DayTask](
            "what to do",
            lambda one: Cell(one.text, tuple(Note(layer_text(part), under=True) for part in one.parts)),
        ),
    ]
    return table(columns, [setting.tasks], label=f"Ruler at {setting.ruler_text}", names=2, css="cutting")


def _piles(report: DayReport) -> Table:
    titles = {one.number: one.title for one in report.projects}
    columns = [
        Column[DayPile]("done", lambda _: BOX),
        Column[DayPile]("for", lambda one: Cell(f"{one.project}", (Note(titles[one.project]),))),
        Column[DayPile]("cloth", lambda one: one.name),
        Column[DayPile]("piece", lambda one: Cell(ours(one.part, report.words), (Note(one.size_text),))),
        Column[DayPile]("how many", lambda one: f"{one.count}", number=True, style="big"),
    ]
    return table(columns, [report.piles], label="The piles", names=2, css="cutting")
