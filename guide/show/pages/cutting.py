"""The sheet of a cutting day: what is cut at each setting of the ruler, a box for everything a helper does."""

from collections.abc import Sequence

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
from guide.show.model import Setting
from guide.show.pages.render import Format, ours, render
from guide.show.table import Cell, Column, Note, Table, table

BOX = Cell("", boxes=1, style="box")


def render_day(report: DayReport, fmt: Format = "html") -> str:
    """Render the sheet of a cutting day."""
    return render(
        "cutting",
        fmt,
        None,
        day=report,
        words=report.words,
        projects=_projects(report.projects),
        cloths=_cloths(report),
        settings=[(f"{one.number}. Ruler at {one.ruler_text}", _tasks(one)) for one in report.settings],
        piles=_piles(report),
        left=[Setting(ours(one.material, report.words), left_text(one, report)) for one in report.left],
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
        Column[DayCloth]("cloth", lambda one: Cell(ours(one.material, report.words), (Note(one.text, under=True),))),
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
        Column[DayPile]("cloth", lambda one: ours(one.material, report.words)),
        Column[DayPile]("piece", lambda one: Cell(ours(one.part, report.words), (Note(one.size_text),))),
        Column[DayPile]("how many", lambda one: f"{one.count}", number=True, style="big"),
    ]
    return table(columns, [report.piles], label="The piles", names=2, css="cutting")
