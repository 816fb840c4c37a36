"""The papers of a class: wall chart, a sheet a seat, the tutor's sheet, kits and their labels, on one page."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from markupsafe import Markup
from msgspec.structs import replace

from guide.record.clock import time_text
from guide.show.model import Decision, Window
from guide.show.pages.checklist import said_once, step_cautions, words_met
from guide.show.pages.plan import buy_tables, cut_table
from guide.show.pages.render import Format, render, safe
from guide.show.pages.step_art import art_of
from guide.show.pictures.wall import wall_chart
from guide.show.report_cautions import caution
from guide.show.report_class import ClassReport, KitSheet
from guide.show.report_seat import SeatSheet
from guide.show.table import Cell, Column, Note, Table, table

PAPERS = ("wall", "seats", "tutor", "kits")  # beside the cards, which are printed only where they are asked for
BOXES = 20  # pieces up to which each has a box on a seat's sheet
FIRST = "foot and thread first"


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
        times=_times,
        cards=[(one, art_of(one.report) if fmt == "html" else {}) for one in told.seats if "cards" in papers],
        said_once=said_once,
        step_cautions=step_cautions,
        words_met=words_met,
        machines=[one.report for one in {one.report.project.title: one for one in told.seats}.values()],
        kits=[(one, _holds(one), cut_table(one.all)) for one in told.kits],
        buy=buy_tables(told.shopping, told.kits[0].all.project),
    )


def _walls(told: ClassReport, now_s: float | None) -> list[tuple[str, Markup]]:
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


def _times(rows: Sequence[Window], decisions: Mapping[str, Decision], seat: SeatSheet, label: str) -> Table:
    """Windows of a seat as rows; its cautions stand above already. What is done at home has no times."""
    told = {caution(name, seat.report.project.words) for name in seat.said}
    timed = any(one.row.start for one in rows)
    columns = [
        Column[Window]("When", lambda one: f"{one.row.start} to {one.row.end}", shown=timed),
        Column[Window]("what", lambda one: _what(one, decisions, told)),
        Column[Window]("where", lambda one: (one.notes[0] if timed else one.step.station) if one.step else ""),
    ]
    return table(columns, [_changed(rows)], label=label, names=int(timed), css="paced")


def _changed(rows: Sequence[Window]) -> Iterator[Window]:
    """A change of foot and thread goes into the row of the step that it is for, where that is the next row."""
    before: Window | None = None
    for one in rows:
        if before and one.step:
            row = replace(one.row, start=before.row.start, start_s=before.row.start_s)
            yield replace(one, row=row, notes=(*one.notes, FIRST))
        else:
            if before:
                yield before
            if one.row.kind != "change":
                yield one
        before = one if one.row.kind == "change" else None
    if before:
        yield before


def _what(one: Window, decisions: Mapping[str, Decision], told: Collection[str]) -> Cell:
    """What is done in a window, what goes with it, and a box for each piece.

    A window may be a break, a step, or a part of one: only the part that begins it, or ends it, says so.
    """
    row, step = one.row, one.step
    if step is None:
        more = " ".join(note for note in one.notes if note not in told)
        return Cell(one.title, (Note(more, on=True),) if more else ())
    first, last = row.pieces if row.start else (1, step.pieces)
    many = last - first + 1 if step.count != "none" else 1
    then = decisions.get(row.key) if row.finished else None
    says = [
        "goes on" if row.begun else "",
        FIRST if FIRST in one.notes else "",
        f"{time_text(step.waits_s, in_minutes=True)} on its own after" if step.waits_s and not row.start else "",
        one.pieces_text if step.pieces > 1 else "",
        "done …………" if many > BOXES else "",
    ]
    beside = ", ".join(filter(None, says))
    notes = [Note(f"{beside[:1].upper()}{beside[1:]}", on=True)] if beside else []
    if then:
        notes.append(Note(f"{then.when} by {then.by}? {then.then}", on=True))
    return Cell(f"{step.number}. {one.title}{'.' if notes else ''}", tuple(notes), boxes=many if many <= BOXES else 0)


def _holds(one: KitSheet) -> Table:
    columns = [
        Column[tuple[str, str]]("What", lambda row: row[1]),
        Column[tuple[str, str]]("in each", lambda row: row[0], number=True, style="big"),
        Column[tuple[str, str]]("there", lambda _: Cell("", mark="tick")),
    ]
    return table(columns, [one.holds], label=f"What a kit holds: {one.title}")
