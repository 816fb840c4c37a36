"""The maker's log: what a maker keeps of one session, shows and teaches from."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import msgspec

from guide.read.spoken import said
from guide.show.model import (
    Changed,
    CorrectionReport,
    MeasureReport,
    Moment,
    RemarkReport,
    Report,
    SessionReport,
    Setting,
    SittingReport,
    StageMade,
    StepMade,
    Totals,
    UnderNeedle,
)
from guide.show.model_plan import CostReport
from guide.show.pages.illustrate import faces, figure_list, safe, stack_page, swatches
from guide.show.pages.render import Format, render
from guide.show.pictures.times import time_chart
from guide.show.report_money import amounts
from guide.show.report_numbers import words
from guide.show.stack_lines import back_rows, back_words, face_rows
from guide.show.table import Cell, Column, Note, Table, table
from guide.show.words import minutes

SIZES = (  # the numbers a log tells
    "square", "seam", "face_width", "face_height", "zip_cut", "zip_opening", "pad_width", "pad_height", "stitched",
    "snip_cuts", "thread",
)  # fmt: skip
AT_MOST = 10  # rows in sight
TIMES = "Hands on: pauses, interruptions and waits are not in these times; trouble is."
Timed = StageMade | StepMade | UnderNeedle | Totals  # what the table of times has rows of


def render_log(report: Report, fmt: Format = "html", *, folder: Path | None = None) -> str:
    """Render the log of a report that has a session. `folder` is where photos may lie: the project's."""
    session = report.session
    assert session is not None
    pictures: dict[str, Any] = {}
    if fmt == "html":
        rows = [(stage.title, stage.planned_s, stage.counted_s) for stage in session.stages]
        pictures = faces(report) | ({"times": safe(time_chart(rows))} if rows else {})
    return render(
        "log",
        fmt,
        report,
        pictures=pictures,
        figures=_figures(report, session),
        sizes=_sizes(report),
        faces=face_letters(report),
        stacks=stack_page(report),
        swatches=swatches(report) if fmt == "html" else {},
        care=dict.fromkeys(["fire", *report.minding, *report.cautions]),
        cost=_cost(report.cost, report.project.words),
        measures=_measures(session, several=report.project.make > 1),
        changed=_changed(session),
        more=[Setting(one.label, f"{one.planned_text} → {', '.join(one.texts)}") for one in session.changed[AT_MOST:]],
        times=_times(session),
        sittings=_sittings(session),
        corrections=_corrections(session),
        photos=_photos(session, folder) if fmt == "html" else (),
        notes=_notes(session, dated=session.when.several_days),
    )


def _photos(session: SessionReport, folder: Path | None) -> Iterable[object]:
    from guide.show.pages.photos import photo_list  # noqa: PLC0415 - most sessions have none

    return photo_list(session.photos, folder) if session.photos else ()


def _moment(at: Moment | None, *, dated: bool = False) -> Cell:
    """A moment by the clock, with its day where that must be told; nothing where there is none."""
    if at is None:
        return Cell("")
    return Cell(at.clock, iso=at.iso, day=at.short.removesuffix(at.clock).strip() if dated else "")


def _measures(session: SessionReport, *, several: bool) -> Table:
    """What was measured on the piece, beside what was planned."""

    def difference(one: MeasureReport) -> Cell:
        first = (Note(f"first written as {one.first_text}"),) if one.first_text else ()
        return Cell(one.off_text, first, mark="" if one.good is None else "good" if one.good else "off")

    columns = [
        Column[MeasureReport]("Measure", lambda one: one.label + (f", make {one.make}" if several else "")),
        Column[MeasureReport]("planned", lambda one: one.planned_text, number=True),
        Column[MeasureReport]("made", lambda one: one.text, number=True, style="big"),
        Column[MeasureReport]("difference", difference),
    ]
    return table(columns, [session.measures], label="What was measured", caption="What was measured on the piece")


def _changed(session: SessionReport) -> Table:
    """What moved because of it, a column a make."""

    def of(place: int) -> Callable[[Changed], str]:
        return lambda one: one.texts[place]

    heads = [f"make {make}" for make in session.makes] or ["became"]
    columns = [
        Column[Changed]("Number", lambda one: one.label),
        Column[Changed]("planned", lambda one: one.planned_text, number=True),
        *(Column[Changed](head, of(place), number=True, style="big") for place, head in enumerate(heads)),
    ]
    return table(columns, [session.changed[:AT_MOST]], caption="What moved because of it")


def _times(session: SessionReport) -> Table:
    """Step by step under its stage, then what is under the needle, and all of it."""
    compared = session.compared.steps if session.compared else {}

    def title(row: Timed) -> Cell:
        if isinstance(row, UnderNeedle):
            return Cell(row.title, (Note("under the needle, not yet counted as a piece"),))
        if not isinstance(row, StepMade):
            return Cell(row.title if isinstance(row, StageMade) else "All of it")
        notes = (
            row.state_text if row.state != "done" else "",
            "no longer in the plan" if row.gone else "",
            "times from paper" if row.by_hand else "",
            "its share of one press for several steps" if row.shared else "",
            f"then {row.waits_text} on its own" if row.waits_text else "",
            f"{minutes(row.trouble_s)} of it trouble" if row.trouble_s else "",
            f"{minutes(row.between_s)} of it since the step before" if row.between_s else "",
        )
        return Cell(row.title, tuple(Note(note) for note in notes if note))

    def planned(row: Timed) -> Cell:
        one = compared.get(row.key) if isinstance(row, StepMade) else None
        if one is None:
            return Cell("" if isinstance(row, UnderNeedle) else row.planned_text)
        note = Note(one.range_text + ("" if one.within else ", outside"), under=True, off=not one.within)
        return Cell(row.planned_text if isinstance(row, StepMade) else "", (note,))

    def ended(row: StepMade) -> Cell:
        return _moment(row.ended, dated=bool(row.started and row.ended and row.started.day != row.ended.day))

    columns = [
        Column[Timed]("Step", title),
        _of_steps("pieces", lambda step: f"{step.pieces_done} of {step.pieces}"),
        Column[Timed]("took", lambda row: Cell(row.counted_text, style=_big(row)), number=True),
        Column[Timed]("planned", planned, number=True),
        _of_steps("from", lambda step: _moment(step.started, dated=session.when.several_days)),
        _of_steps("to", ended),
    ]
    stages: list[list[Timed]] = [
        [stage, *(step for step in session.steps if step.stage == stage.stage)] for stage in session.stages
    ]
    under: list[list[Timed]] = [[session.under_needle]] if session.under_needle else []
    return table(
        columns,
        [*stages, *under, [session.totals]],
        sums=_sums,
        label="Times by step",
        caption=TIMES,
    )


def _of_steps(head: str, says: Callable[[StepMade], Cell | str]) -> Column[Timed]:
    """A column that says something of steps only."""
    return Column(head, lambda row: says(row) if isinstance(row, StepMade) else "", number=True)


def _sums(row: Timed) -> bool:
    return isinstance(row, StageMade | Totals)


def _big(row: Timed) -> str:
    return "big" if isinstance(row, Totals) else ""


def _sittings(session: SessionReport) -> Table:
    """When the maker sat down to it, and what was kept on paper."""
    columns = [
        Column[SittingReport]("Sitting", lambda one: f"{one.number or 'on paper'}"),
        Column[SittingReport]("day", lambda one: one.start.day),
        Column[SittingReport]("from", lambda one: _moment(one.start), number=True),
        Column[SittingReport]("to", lambda one: _moment(one.end, dated=one.end.day != one.start.day), number=True),
        Column[SittingReport]("hands on", lambda one: one.counted_text, number=True),
    ]
    rows = [*session.when.sittings, *session.when.paper]
    return table(columns, [rows], label="Sittings", caption="Sittings, in local time")


def _corrections(session: SessionReport) -> Table:
    """What was put right afterwards."""
    columns = [
        Column[CorrectionReport]("What", lambda one: one.what),
        Column[CorrectionReport]("was", lambda one: Cell(one.was, mark="struck")),
        Column[CorrectionReport]("is", lambda one: one.now),
        Column[CorrectionReport]("why", lambda one: Cell(one.why, (Note(one.at.day),))),
    ]
    return table(columns, [session.corrections], label="What was put right")


class Written(msgspec.Struct, frozen=True):
    """Something that was written down: when, where, and the words."""

    at: Cell
    title: str
    text: str


def _notes(session: SessionReport, *, dated: bool) -> list[tuple[str, list[Written]]]:
    """What was written down on the way, list by list."""
    listed: tuple[tuple[str, Iterable[RemarkReport]], ...] = (
        ("Notes", session.notes),
        ("Photos", session.photos),
        ("Trouble", session.trouble),
        ("Interruptions", session.interruptions),
    )

    def written(one: RemarkReport) -> Written:
        title = ", ".join(filter(None, (one.step_title, one.time_text)))
        return Written(_moment(one.at, dated=dated), title, one.text)

    skipped = [Written(Cell(""), one.title, one.why or "no reason given") for one in session.skipped]
    lists = [*((head, [written(one) for one in rows]) for head, rows in listed), ("Skipped", skipped)]
    return [(head, rows) for head, rows in lists if rows]


def _sizes(report: Report) -> list[Setting]:
    """The numbers a log tells, in the project's words, and what was planned of the cloth where that changes them."""
    told = [Setting(report.quantities[name].label, words(report, name)) for name in SIZES if name in report.quantities]
    if report.project.washed_first:
        told.insert(0, Setting("cloth, as planned", "washed before cutting"))
    return [*(one for one in told if one.text), *(one for one in report.told if one.label == "machine")]


class Face(msgspec.Struct, frozen=True):
    """One face as letters, row by row, and which picture shows it."""

    name: str
    picture: str
    rows: list[list[str]]


def face_letters(report: Report) -> list[Face]:
    """Both faces, for pages with and without pictures."""
    letters = {p.name: p.letter for p in report.prints}
    front = face_rows(report.layout, 0) if report.layout else None
    sides = (("Front", "front", front), (back_words(report), "back", back_rows(report)))
    return [
        Face(name, picture, [[letters.get(one, one) for one in row] for row in rows or ()])
        for name, picture, rows in sides
        if rows is not None or (picture == "back" and report.project.back_cloth)
    ]


def _figures(report: Report, session: SessionReport) -> list[Setting]:
    """The three or four numbers a reader wants first."""
    totals = session.totals
    pairs = [
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "inside the outer seam"),
        (minutes(totals.counted_s), "hands on"),
        (words(report, "blocks"), "blocks"),
        (f"{totals.steps_done} of {totals.steps}", "steps done"),
    ]
    if totals.waits_s:
        pairs.insert(2, (minutes(totals.waits_s), "of waits, on their own"))
    return figure_list(report, pairs)


def _cost(cost: CostReport | None, spoken: str) -> list[Setting]:
    """What the making cost, line by line."""
    if not cost or cost.unpriced:
        return []
    return [
        Setting(said(name, spoken), f"{amount} {cost.currency}{f', {more}' if more else ''}")
        for name, amount, more in amounts(cost)
    ]
