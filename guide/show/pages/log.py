"""The maker's log: what a maker keeps of one session, shows and teaches from."""

from collections.abc import Callable, Iterable, Sequence
from itertools import takewhile
from pathlib import Path

import msgspec
from markupsafe import Markup

from guide.money.quote import NOT_REAL
from guide.read.spoken import counted, listed, said
from guide.record.clock import time_text
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
from guide.show.pages.render import MODES, Format, faces, figure_list, render, safe
from guide.show.pictures.faces import Seen, outlines
from guide.show.pictures.times import days_line, time_chart
from guide.show.report_money import amounts
from guide.show.report_numbers import number, words
from guide.show.table import Cell, Column, Note, Table, table

SIZES = (  # the numbers a log tells
    "square", "seam", "face_width", "face_height", "zip_cut", "zip_opening", "pad_width", "pad_height", "stitched",
    "snip_cuts", "thread",
)  # fmt: skip
AT_MOST = 10  # rows in sight, and places told one by one
ALIKE = 1e-6  # mm
FACE = 80.0  # paper mm of a face, so that two stand side by side
SIDES = (("panel_width", "panel_height"), ("face_width", "face_height"), ("washed_width", "washed_height"))
TIMES = "Hands on: pauses, interruptions and waits are not in these times; trouble is. ≠: not in its range."
Timed = StageMade | StepMade | UnderNeedle | Totals  # what the table of times has rows of


def render_log(
    report: Report, fmt: Format = "html", *, folder: Path | None = None, buyer: bool = False, pictures: bool = False
) -> str:
    """Render the log of a report that has a session. `folder` is where photos may lie: the project's.

    `buyer`: the copy that goes with the piece, without the appendix and what the maker would do otherwise.
    `pictures`: every step's picture in the appendix, where it has one.
    """
    session = report.session
    assert session is not None
    html = fmt == "html"
    apart = {one.n for one in (*session.otherwise, *session.counts, *session.as_made.says)}
    told = [one for one in session.notes if one.n not in apart]

    def written(rows: Iterable[RemarkReport]) -> list[Written]:
        return [_written(one, dated=session.when.several_days, timed=not buyer) for one in rows]

    return render(
        "log",
        fmt,
        report,
        pictures=_pictures(report, session) if html else {},
        buyer=buyer,
        figures=_figures(report, session),
        as_made=_as_made(session, html=html),
        relaid=written(session.as_made.says),
        outlined=_outlined(report, session) if html else [],
        measures=_measures(session, several=report.project.make > 1),
        photos=sorted(_photos(session, folder), key=lambda one: one.picture is None) if html else (),
        photographed=written(session.photos),
        notes=written(told),
        otherwise=written(session.otherwise),
        care=dict.fromkeys(["fire", *report.minding]),
        spent=_spent(report, session),
        sizes=_sizes(report),
        changed=_changed(session),
        more=[Setting(one.label, f"{one.planned_text} → {', '.join(one.texts)}") for one in session.changed[AT_MOST:]],
        times=_times(session),
        sittings=_sittings(session),
        steps=_shown(report) if pictures and html and not buyer else [],
        on_the_way=_notes(session, dated=session.when.several_days),
        corrections=_corrections(session),
        cost=_cost(report.cost, report.project.words),
        cost_says=[
            one for one in (report.cost.says if report.cost else ()) if session.mode not in MODES or NOT_REAL not in one
        ],
        cautions=[one for one in report.cautions if one not in {"fire", *report.minding}],
    )


def _pictures(report: Report, session: SessionReport) -> dict[str, Markup]:
    """The faces as they were made, the days, and the stages' times."""
    made = session.as_made
    out = faces(report, seen=Seen(shown_mm=FACE, moved=frozenset(made.moved), again=frozenset(made.again)))
    if session.when.days:
        out["days"] = safe(days_line([(one.iso, one.day) for one in session.when.days]))
    rows = [(stage.title, stage.planned_s, stage.counted_s) for stage in session.stages]
    return out | ({"times": safe(time_chart(rows))} if rows else {})


def _as_made(session: SessionReport, *, html: bool) -> list[str]:
    """What the faces show beside what was planned."""
    made = session.as_made

    def told(what: str, frame: str, cells: Iterable[tuple[int, int]]) -> str:
        places = [f"row {row} column {column}" for row, column in cells]
        where = listed(places) if len(places) <= AT_MOST else counted(len(places), "block")
        return f"{what}{f', in a {frame} frame' if html else ''}: {where}." if places else ""

    moved = [one for one in made.moved if one not in made.again]
    lines = (told("Made again", "double", made.again), told("Laid otherwise than it was cut for", "dashed", moved))
    return [*filter(None, lines)]


def _outlined(report: Report, session: SessionReport) -> list[tuple[Markup, str]]:
    """Width and height planned and made on one outline, of each make that was measured."""
    out = []
    for sides in SIDES:
        for make in sorted({one.make for one in session.measures if one.name in sides})[: AT_MOST // 2]:
            found = {one.name: one for one in session.measures if one.make == make}
            mine = [_side(report, side, found.get(side)) for side in sides]
            told = [found[side] for side in sides if side in found]
            (wide, across, wide_text, wide_off), (high, down, high_text, high_off) = mine
            if not (wide and across and high and down):
                continue
            says = [f"{one.label}: planned {one.planned_text}, made {one.text}, {one.off_text}." for one in told]
            svg = outlines(" ".join(says), (wide, high), (across, down), (wide_text, high_text), (wide_off, high_off))
            labels = [one.label for one in told]
            alike = takewhile(lambda parts: len(set(parts)) == 1, zip(*(one.split() for one in labels), strict=False))
            name = " ".join(parts[0] for parts in alike) or listed(labels)
            out.append((safe(svg), name + (f", make {make}" if report.project.make > 1 else "")))
    return out


def _side(report: Report, name: str, measured: MeasureReport | None) -> tuple[float | None, float | None, str, str]:
    """One side as planned and as made, mm, how that is said, and what it is over or under; unmeasured, as planned."""
    usual = number(report, name)
    if measured is None:
        return usual, usual, words(report, name), ""
    planned = measured.mm if measured.planned_mm is None else measured.planned_mm
    return planned, measured.mm, measured.text, measured.off_text if abs(planned - measured.mm) > ALIKE else ""


def _shown(report: Report) -> Iterable[object]:
    from guide.show.pages.step_art import shown_steps  # noqa: PLC0415 - only where they are asked for

    return shown_steps(report)


def _photos(session: SessionReport, folder: Path | None) -> Sequence[object]:
    if not session.photos:
        return ()
    from guide.show.pages.photos import photo_list  # noqa: PLC0415 - most sessions have none

    return photo_list(session.photos, folder)[::-1]


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
        *(Column[Changed](head, of(place), number=True) for place, head in enumerate(heads)),
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
            f"{time_text(row.trouble_s)} of it trouble" if row.trouble_s else "",
            f"{time_text(row.between_s)} of it since the step before" if row.between_s else "",
        )
        return Cell(row.title, tuple(Note(note) for note in notes if note))

    def band(step: StepMade) -> Cell:
        one = compared.get(step.key)
        if one is None:
            return Cell("")
        return Cell(one.range_text if one.within else f"≠ {one.range_text}")

    def ended(row: StepMade) -> Cell:
        return _moment(row.ended, dated=bool(row.started and row.ended and row.started.day != row.ended.day))

    columns = [
        Column[Timed]("Step", title),
        _of_steps("pieces", lambda step: f"{step.pieces_done} of {step.pieces}"),
        Column[Timed]("took", lambda row: Cell(row.counted_text, style="big" * isinstance(row, Totals)), number=True),
        Column[Timed]("planned", lambda row: "" if isinstance(row, UnderNeedle) else row.planned_text, number=True),
        _of_steps("80 %", band),
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
        sums=lambda row: isinstance(row, StageMade | Totals),
        label="Times by step",
        caption=TIMES,
    )


def _of_steps(head: str, says: Callable[[StepMade], Cell | str]) -> Column[Timed]:
    """A column that says something of steps only."""
    return Column(head, lambda row: says(row) if isinstance(row, StepMade) else "", number=True)


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


def _written(one: RemarkReport, *, dated: bool, timed: bool = True) -> Written:
    """A remark with its moment, its step and how long it took; the day alone where it is not `timed`."""
    at = _moment(one.at, dated=dated)
    if not timed:
        return Written(Cell(at.day), one.step_title, one.text)
    title = ", ".join(filter(None, (one.step_title, one.time_text)))
    return Written(at, title, one.text)


def _notes(session: SessionReport, *, dated: bool) -> list[tuple[str, list[Written]]]:
    """What went wrong on the way, what was counted and what was left out, list by list."""
    listed: tuple[tuple[str, Iterable[RemarkReport]], ...] = (
        ("Trouble", session.trouble),
        ("Interruptions", session.interruptions),
        ("Counted out and in", session.counts),
    )
    skipped = [Written(Cell(""), one.title, one.why or "no reason given") for one in session.skipped]
    lists = [*((head, [_written(one, dated=dated) for one in rows]) for head, rows in listed), ("Skipped", skipped)]
    return [(head, rows) for head, rows in lists if rows]


def _sizes(report: Report) -> list[Setting]:
    """The numbers a log tells, in the project's words, and what was planned of the cloth where that changes them."""
    told = [Setting(report.quantities[name].label, words(report, name)) for name in SIZES if name in report.quantities]
    if report.project.washed_first:
        told.insert(0, Setting("cloth, as planned", "washed before cutting"))
    return [*(one for one in told if one.text), *(one for one in report.told if one.label == "machine")]


def _figures(report: Report, session: SessionReport) -> list[Setting]:
    """The two or three numbers a reader wants first; how long it took is the maker's own."""
    days = len(session.when.days)
    pairs = [
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "inside the outer seam"),
        (words(report, "blocks"), "blocks"),
        (f"{days}" if days else "", "day it was sewn on" if days == 1 else "days it was sewn on"),
    ]
    return figure_list(report, pairs)


def _spent(report: Report, session: SessionReport) -> list[Setting]:
    """What it took, for the maker."""
    totals = session.totals
    pairs = [(time_text(totals.counted_s), "hands on"), (f"{totals.steps_done} of {totals.steps}", "steps done")]
    if totals.waits_s:
        pairs.insert(1, (time_text(totals.waits_s), "of waits, on their own"))
    return figure_list(report, pairs)


def _cost(cost: CostReport | None, spoken: str) -> list[Setting]:
    """What the making cost, line by line."""
    if not cost or cost.unpriced:
        return []
    return [
        Setting(said(name, spoken), f"{amount} {cost.currency}{f', {more}' if more else ''}")
        for name, amount, more in amounts(cost)
    ]
