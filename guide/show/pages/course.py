"""The papers of a class: wall chart, a sheet a seat, the tutor's sheet, kits and their labels, on one page."""

from collections.abc import Collection
from typing import Any

from guide.show.model import Setting
from guide.show.pages.checklist import said_once, step_cautions, words_met
from guide.show.pages.illustrate import safe, stack_page, swatches
from guide.show.pages.log import face_letters
from guide.show.pages.plan import buy_tables, cut_table
from guide.show.pages.render import Format, render
from guide.show.pages.step_art import art_of
from guide.show.pictures.wall import wall_chart
from guide.show.report_class import ClassReport, Need, Reached, Station
from guide.show.report_kits import KitSheet
from guide.show.report_seat import SeatSheet
from guide.show.table import Cell, Column, Note, Table, table

PAPERS = ("wall", "seats", "tutor", "kits")


def render_class(
    told: ClassReport, fmt: Format = "html", *, papers: Collection[str] = PAPERS, now_s: float | None = None
) -> str:
    """Render a class's papers, those asked for. `now_s`: how long it runs, where it does, for the wall chart."""
    return render(
        "class",
        fmt,
        None,
        words=told.words,
        c=told,
        papers=papers,
        walls=_walls(told, now_s) if fmt == "html" and "wall" in papers else [],
        reached=_reached(told),
        seats=[_seat(one, fmt) for one in told.seats] if "seats" in papers else [],
        machines=[one.report for one in {one.report.project.title: one for one in told.seats}.values()],
        needs=_needs(told),
        stations=_stations(told),
        kits=[(one, _holds(one), cut_table(one.all)) for one in told.kits],
        buy=buy_tables(told.shopping, told.kits[0].all.project),
    )


def _walls(told: ClassReport, now_s: float | None) -> list[tuple[str, Any]]:
    return [
        (
            one.title,
            safe(
                wall_chart(
                    f"{told.title}, {one.title}", one.seats, one.sittings, one.bands, told.at,
                    begins_s=told.begins_s, now_s=now_s,
                )
            ),
        )
        for one in told.walls
    ]  # fmt: skip


def _seat(one: SeatSheet, fmt: Format) -> dict[str, Any]:
    """What the template of a step asks for, of one seat."""
    pictures, art = art_of(one.report) if fmt == "html" else ({}, {})
    report = said_once(one.report)
    return {
        "sheet": one,
        "r": report,
        "figures": [Setting(label, text) for text, label in one.figures],
        "pictures": pictures,
        "art": art,
        "faces": face_letters(report),
        "stacks": stack_page(report),
        "swatches": swatches(report) if fmt == "html" else {},
        "cautions": step_cautions(report),
        "met": words_met(report),
    }


def _reached(told: ClassReport) -> Table:
    def at(place: int) -> Column[Reached]:
        return Column(told.heads[place], lambda one: one.at[place], number=True)

    columns = [
        Column[Reached]("Seat", lambda one: one.name),
        Column[Reached]("machine", lambda one: one.machine, number=True),
        *(at(place) for place in range(len(told.heads))),
        Column[Reached]("ready", lambda one: one.ready, number=True, style="strong"),
        Column[Reached]("chance", lambda one: one.chance, number=True),
    ]
    return table(columns, [told.reached], label="When each comes to what", css="when-each")


def _needs(told: ClassReport) -> Table:
    columns = [
        Column[Need]("From", lambda one: one.start, number=True, style="big"),
        Column[Need]("to", lambda one: one.end, number=True),
        Column[Need]("Where", lambda one: one.where),
        Column[Need]("what", lambda one: Cell(one.what, (Note(one.note, under=True),) if one.note else ())),
    ]
    return table(columns, [told.needs], label="Where I am needed when", names=2, css="needed")


def _stations(told: ClassReport) -> Table:
    columns = [
        Column[Station]("At the", lambda one: one.name),
        Column[Station]("places", lambda one: one.text, number=True),
        Column[Station]("to have there", lambda one: one.tools, style="soft"),
    ]
    return table(columns, [told.stations], label="What lies ready where")


def _holds(one: KitSheet) -> Table:
    columns = [
        Column[tuple[str, str]]("What", lambda row: row[1]),
        Column[tuple[str, str]]("in each", lambda row: row[0], number=True, style="big"),
        Column[tuple[str, str]]("there", lambda _: Cell("", mark="tick")),
    ]
    return table(columns, [one.holds], label=f"What a kit holds: {one.title}")
