"""The plan on paper: what to cut, what to buy, the cutting plans, the order of work, every number."""

from collections.abc import Sequence

import msgspec

from guide.read.spoken import said
from guide.show.model import Report, Setting
from guide.show.model_plan import BuyReport, ProjectReport, QuantityReport, StationWork, StepReport
from guide.show.pages.illustrate import figure_list, maps, stack_page, swatches
from guide.show.pages.log import face_letters
from guide.show.pages.render import Format, ours, render
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
        faces=face_letters(report),
        stacks=stack_page(report),
        swatches=swatches(report) if fmt == "html" else {},
        cut=cut_table(report),
        cuts=cutting_pictures(report) if html else (),
        gives=[Setting(ours(one.material, spoken), one.gives.text) for one in report.cutting if one.gives.text],
        buy=buy_tables(report.shopping, report.project),
        stations=_stations(report),
        stages=by_stage(report),
        numbers=_numbers(report),
        maps=maps(report) if html else {},
        shown=shown_steps(report) if html else (),
    )


class StageSteps(msgspec.Struct, frozen=True):
    """Steps of one stage that follow each other, and what they take."""

    title: str
    steps: tuple[StepReport, ...]
    text: str


def by_stage(report: Report) -> list[StageSteps]:
    """The steps stage by stage in the order of work, with each stage's hands-on time."""
    return [
        StageSteps(row.title, report.steps[before : before + row.steps], row.hands_on_text)
        for row in report.work.order
        for before in [row.first - 1]
    ]


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
