"""The paced checklist a beginner works from: boxes, numbers, pictures, windows of the day."""

from itertools import groupby

from msgspec.structs import replace

from guide.read.lengths import Units, show_length
from guide.show.model import Explained, Report, Setting
from guide.show.pages.illustrate import figure_list, stack_page, swatches
from guide.show.pages.log import face_letters
from guide.show.pages.render import Format, render
from guide.show.pages.step_art import art_of
from guide.show.report_day import says
from guide.show.report_numbers import words

NEAREST = 2  # of a step's cautions, as on its card at the machine
ROWS_AT_A_STEP = 4  # of a map that is still read as small as a step's picture is printed


def render_checklist(report: Report, fmt: Format = "html", *, large: bool = False, both_units: bool = False) -> str:
    """Render the checklist of a report that was given a day's rows.

    `large` sets the print large; `both_units` puts inches beside cm, or cm beside inches.
    """
    pictures, art = art_of(report) if fmt == "html" else ({}, {})
    apart = report.layout is not None and report.layout.down > ROWS_AT_A_STEP and "front" in pictures
    if apart:
        art = {key: name for key, name in art.items() if name != "front"}
    return render(
        "checklist",
        fmt,
        said_once(report),
        pictures=pictures,
        art=art,
        apart=apart,
        large=large,
        faces=face_letters(report),
        stacks=stack_page(report),
        swatches=swatches(report) if fmt == "html" else {},
        other=_other(report) if both_units else {},
        cautions=step_cautions(report),
        met=words_met(report),
        groups=_groups(report),
        stages={name: any(step.stage == name for step in report.steps) for name in ("cut", "wash")},
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
