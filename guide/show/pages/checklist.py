"""The paced checklist a beginner works from: boxes, numbers, pictures, windows of the day."""

from collections.abc import Sequence
from itertools import groupby
from typing import Literal

import msgspec
from msgspec.structs import replace

from guide.read.units import Units, show_length
from guide.show.model import Explained, Report, Setting, Window
from guide.show.pages.render import Format, faces, figure_list, maps, render, safe
from guide.show.pages.step_art import art_of
from guide.show.pictures.faces import Seen
from guide.show.pictures.svg import LEAST
from guide.show.pictures.times import DayLine, Stretch, day_bars
from guide.show.report_day import says
from guide.show.report_numbers import words

NEAREST = 2  # of a step's cautions, as on its card at the machine
ON_SHEETS, FEW_STEPS = 11, 4  # cards that go on together under one head, a sheet after the other
LARGE = 1.53  # how many times as large large print is: 16 pt for 10.5
WIDE_MM, LARGE_MM = 184.0, 120.0  # of the sheet, for a picture across it; the same before it is made so much larger


def render_checklist(report: Report, fmt: Format = "html", *, large: bool = False, both_units: bool = False) -> str:
    """Render the checklist of a report that was given a day's rows.

    `large` sets the print large; `both_units` puts inches beside cm, or cm beside inches.
    """
    pictures = art_of(report, large=large) if fmt == "html" else {}
    told = said_once(report)
    if pictures:
        pictures |= faces(report, seen=Seen(least=LEAST)) if large else {}
        pictures["day"] = safe(day_bars(_day_lines(report), LARGE_MM if large else WIDE_MM))
    return render(
        "checklist",
        fmt,
        told,
        pictures=pictures,
        maps=maps(report, WIDE_MM / LARGE if large else WIDE_MM) if pictures else {},
        large=large,
        stages_of=_stages(told),
        other=_other(report) if both_units else {},
        cautions=step_cautions(report),
        groups=_groups(report),
        figures=_figures(report),
    )


def _figures(report: Report) -> list[Setting]:
    """When it begins and is done, what the hands take, and the sizes."""
    assert report.day is not None
    day = report.day
    sewn, washed = (f"{words(report, f'{one}_width')} × {words(report, f'{one}_height')}" for one in ("face", "washed"))
    shrinks = washed.strip(" ×") and washed != sewn
    pairs = [
        (day.start, "start"),
        (day.end_text, "done, about"),
        (day.hands_on_text, "hands on"),
        (day.resting_text, "resting hands"),
        (sewn, "finished" if report.project.washed_first and not shrinks else "as sewn, before washing"),
        (washed if shrinks else "", "washed, about"),
        (words(report, "blocks"), "blocks"),
    ]
    return figure_list(report, pairs)


def _other(report: Report) -> dict[str, str]:
    """Every length shown beside a step in the units the project does not use."""
    units: Units = "metric" if report.project.units == "inch" else "inch"
    lengths = [one for step in report.steps for one in step.shows if one.unit == "mm"]
    told = {one.name: (show_length(one.value, units), one.text) for one in lengths if isinstance(one.value, float)}
    return {name: text for name, (text, own) in told.items() if text != own}


def step_cautions(report: Report) -> dict[str, list[str]]:
    """Each step's cautions, all to be said whole: its two nearest dangers, and what no step before it has said."""
    seen: set[str] = set()
    out: dict[str, list[str]] = {}
    for step in report.steps:
        out[step.key] = [name for place, name in enumerate(step.cautions) if place < NEAREST or name not in seen]
        seen.update(step.cautions)
    return out


def _groups(report: Report) -> dict[str, str]:
    """What is said at the first of several steps that are worked together: a window each, but one piece through all."""
    out = {}
    for (noun, pieces), run in groupby(report.steps, lambda step: (step.together, step.pieces)):
        mine = list(run)
        if noun and len(mine) > 1 and pieces > 1:
            first, last = mine[0].number, mine[-1].number
            out[mine[0].key] = (
                f"Steps {first} to {last} go together: one {noun} through all of them, then the next. "
                f"Their times are for all {pieces}."
            )
    return out


def said_once(report: Report) -> Report:
    """The report with a line that an earlier step has said in the same words left out of later steps."""
    assert report.day is not None
    seen: set[str] = set()
    rows = []
    for window in report.day.rows:
        step = window.step
        if step is None or window.row.kind != "step":
            rows.append(window)
            continue
        texts = {key: "" if key != "do" and text in seen else text for key, text in step.texts.items()}
        seen.update(step.texts.values())
        rows.append(replace(window, step=replace(step, texts=texts)))
    return replace(report, day=replace(report.day, rows=tuple(rows)))


def words_met(report: Report) -> dict[str, list[Explained]]:
    """The trade's words, each explained at the step where it is first met."""
    assert report.day is not None
    left = {one.word: one for one in report.day.words}
    out: dict[str, list[Explained]] = {}
    for step in report.steps:
        said = " ".join((step.title, *step.texts.values()))
        out[step.key] = [left.pop(word) for word in list(left) if says(said, word)]
    return out


class StageCards(msgspec.Struct, frozen=True):
    """The windows of one stage, as they follow each other; `sheet`: a name for the sheets it is printed on.

    `head` stands on top of those sheets; stages of few steps share them.
    """

    title: str
    ident: str
    start: str
    sheet: str
    head: str
    rows: tuple[Window, ...]


def _stages(report: Report) -> list[StageCards]:
    """The day's windows stage by stage; a break belongs to the stage before it."""
    assert report.day is not None
    runs: list[tuple[str, list[Window]]] = []
    for window in report.day.rows:
        stage = window.step.stage_title if window.step else ""
        if not runs or (window.row.kind == "step" and stage != runs[-1][0]):
            runs.append((stage, []))
        runs[-1][1].append(window)
    sheets: list[list[int]] = []
    for place, (_, rows) in enumerate(runs):
        steps = _steps(rows)
        if sheets and sum(_steps(runs[one][1]) for one in sheets[-1]) + min(steps, FEW_STEPS) <= ON_SHEETS:
            sheets[-1].append(place)
        else:
            sheets.append([place])
    out: list[StageCards] = []
    for number, mine in enumerate(sheets, 1):
        head = f"{' · '.join(dict.fromkeys(runs[one][0] for one in mine))} · from {runs[mine[0]][1][0].row.start}"
        out += [
            StageCards(
                runs[one][0], f"stage-{one + 1}", runs[one][1][0].row.start, f"sheet{number}", head, tuple(runs[one][1])
            )
            for one in mine
        ]
    return out


def _steps(rows: Sequence[Window]) -> int:
    """How many windows of work there are."""
    return sum(one.row.kind == "step" for one in rows)


def _day_lines(report: Report) -> list[DayLine]:
    """The day, or the days, as lines to draw."""
    assert report.day is not None
    kinds: dict[str, Literal["work", "wait", "break"]] = {"step": "work", "wait": "wait"}
    out = []
    for number, run in groupby(report.day.rows, lambda one: one.row.day):
        rows = [one.row for one in run if one.row.kind != "night"]
        if not rows:
            continue
        parts = tuple(Stretch(kinds.get(one.kind, "break"), one.start_s, one.end_s) for one in rows)
        mine = [report.day.decisions[one.key] for one in rows if one.finished and one.key in report.day.decisions]
        decide = tuple(dict.fromkeys((one.at_s, one.by.partition(" ")[0]) for one in mine))
        name = f"day {number}" if report.day.days > 1 else ""
        out.append(DayLine(name, rows[0].start, rows[-1].end, parts, decide))
    return out
