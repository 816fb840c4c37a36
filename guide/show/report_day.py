"""A beginner's day at one project: windows for every step, when to decide, the kit, the machine's settings."""

import re
from collections.abc import Sequence
from itertools import groupby

from guide.money.hours import NIGHT_S, clock_text
from guide.money.model import Row
from guide.read.spoken import counted, plural, said
from guide.read.units import show_length
from guide.record.clock import nearest, time_text
from guide.show.model import Day, Decision, Explained, Report, Setting, Window
from guide.show.model_plan import StepReport
from guide.show.report_cautions import first_aid
from guide.show.report_numbers import number, words

SLACK_S = 1800.0  # how late a beginner may run before the plan changes, common practice
OVERLAP_MM = {"inch": 101.6, "metric": 100.0}  # of a spare envelope back, when the project has none
TURN_IN_MM = {"inch": 50.8, "metric": 50.0}  # a double hem of 1 in or 2.5 cm
EXPLAINED = (
    "back-stitch", "crossing", "fringe", "free end", "nest", "press", "raw-edge seam", "selvedge", "slider", "snip",
    "stack", "tack", "unpicker", "wadding", "walking foot",
)  # fmt: skip


def day_report(report: Report, rows: Sequence[Row], *, beginner: bool = True) -> Day:
    """Report a day of work, window by window.

    `rows`: windows as `guide.money.checklist.checklist_times` gives them.
    """
    steps = {step.key: step for step in report.steps}
    words = report.project.words
    return Day(
        rows=tuple(_window(row, steps.get(row.key)) for row in rows),
        start=rows[0].start if rows else "",
        end_text=_moment(rows, _since_midnight(rows, rows[-1])) if rows else "",
        days=rows[-1].day if rows else 1,
        hands_on_text=time_text(sum(row.hands_on_s for row in rows)),
        resting_text=time_text(resting) if (resting := sum(row.inner_rests_s for row in rows)) else "",
        beginner=beginner,
        decisions=_decisions(report, rows),
        kit=tuple(dict.fromkeys(tool for step in report.steps for tool in step.tools)),  # in the order first wanted
        settings=_settings(report),
        jam=tuple(first_aid("bobbin", words)),
        broken_needle=tuple(first_aid("needle", words)),
        words=_words(report),
    )


def _since_midnight(rows: Sequence[Row], row: Row) -> float:
    """When a row ends, s since the midnight before the first."""
    hours, minutes = (int(part) for part in rows[0].start.split(":"))
    return hours * 3600 + minutes * 60 + row.end_s


def _moment(rows: Sequence[Row], at: float) -> str:
    """A moment by the calendar, of work that takes one day: `10:40`, or several: `10:40 on day 3`."""
    days, rest = divmod(nearest(at, 60) * 60, NIGHT_S)
    return clock_text(rest) + (f" on day {days + 1}" if days or rows[-1].day > 1 else "")


def _window(row: Row, step: StepReport | None) -> Window:
    notes = (
        f"break {time_text(row.inner_breaks_s, in_minutes=True)}" if row.inner_breaks_s else "",
        f"rest hands {time_text(row.inner_rests_s)}" if row.inner_rests_s else "",
        f"×{row.factor:g}" if row.factor != 1 else "",
    )
    return Window(
        row=row,
        step=step,
        title=step.title if step and row.kind == "step" else row.title,
        length_text=time_text(60 * (nearest(row.end_s, 60) - nearest(row.start_s, 60)), in_minutes=True),
        notes=tuple(filter(None, notes)),
        pieces_text=pieces_said(row, step) if step else "",
    )


def pieces_said(row: Row, step: StepReport) -> str:
    """Which pieces of a step a window is for: `12 blocks`, `blocks 1 to 7 of 12`."""
    first, last = row.pieces
    if row.finished and not row.begun:
        return counted(step.pieces, step.piece)
    if first == last:
        return f"{step.piece} {first} of {step.pieces}"
    return f"{plural(step.piece)} {first} to {last} of {step.pieces}"


def _decisions(report: Report, rows: Sequence[Row]) -> dict[str, Decision]:
    """After which step it is time to decide, by when, and what to do instead."""
    project = report.project
    width, height = (number(report, name) for name in ("panel_width", "panel_height"))
    if project.kind != "cushion" or not rows or width is None or height is None:
        return {}
    envelope = (height + OVERLAP_MM[project.units]) / 2 + TURN_IN_MM[project.units]
    wide, long = show_length(width, project.units), show_length(envelope, project.units)
    out = {}
    joined = [row for row in rows if row.kind == "step" and row.key.startswith("join/")]
    if joined and project.back == "patchwork":
        then = "Use a plain back instead of the patchwork one."
        out[joined[-1].key] = _decision(rows, joined[-1], "The rows are not joined", then)
    zipped = [row for row in rows if row.kind == "step" and row.key.startswith("closure/")]
    if zipped and project.closure == "zip":
        then = f"Make an envelope back: two pieces {wide} wide and {long} long, with a double hem, "
        then += "the under one laid first."
        when = said("The zip is not in", project.words)
        out[zipped[-1].key] = _decision(rows, zipped[-1], when, then)
    return out


def _decision(rows: Sequence[Row], row: Row, when: str, then: str) -> Decision:
    """What to decide half an hour after a row ends, on the next quarter of an hour."""
    ends = _since_midnight(rows, row)
    at = -(-(ends + SLACK_S) // 900) * 900
    return Decision(_moment(rows, at), when, then, at - ends + row.end_s)


def _settings(report: Report) -> tuple[Setting, ...]:
    """What to set on the machine, each with a blank where the machine decides."""
    wanted = (
        ("stitch_length", "stitch"), ("tack_length", "tacking stitch"), ("seam", "seam"), ("free_end", "free end"),
    )  # fmt: skip
    used = {"stitch_length", "seam"} | {one.name for step in report.steps for one in step.shows}
    shown = [
        Setting(said(label, report.project.words), words(report, name))
        for name, label in wanted
        if name in used and words(report, name)
    ]
    laid = [(tool, step) for step in report.steps for tool in step.tools if tool.startswith("needle ")]
    # Each time it is changed: from which step on it is in the machine, and what for.
    runs = [next(run)[1] for _, run in groupby(laid, lambda one: one[0])]
    names = [tool for tool, _ in groupby(tool for tool, _ in laid)]
    for tool, step in zip(names, runs, strict=True):
        what = f"{step.title[:1].lower()}{step.title[1:]}"
        label = f"needle from step {step.number}, {what}" if len(runs) > 1 else "needle"
        shown.append(Setting(label, tool.removeprefix("needle ")))
    pressure = " / ".join(filter(None, (words(report, name) for name in ("foot_pressure", "foot_pressure_thick"))))
    needle = " / ".join(filter(None, (words(report, f"needle_{at}") for at in ("left", "middle", "right"))))
    return (*shown, Setting("foot pressure", pressure), Setting("needle position for the seam", needle))


def _words(report: Report) -> tuple[Explained, ...]:
    """The trade's words that these steps use, explained."""
    text = " ".join(text for step in report.steps for text in (step.title, *step.texts.values()))
    words = report.project.words
    known = [(said(one.word, words), one) for one in GLOSSARY if one.word in EXPLAINED]
    return tuple(Explained(word, said(one.means, words)) for word, one in known if says(text, word))


def says(text: str, word: str) -> bool:
    """Whether a text uses a word, whole or in the plural."""
    return re.search(rf"\b{re.escape(word)}s?\b", text, re.IGNORECASE) is not None


# The trade's words as this guide uses them [common practice, no source].


_MEANS = {
    "above, below": "the layers of a block over and under its wadding",
    "back": "a cushion's other side, which holds its closure",
    "back-stitch": "a few stitches back over the last ones, so that a seam holds",
    "block": "a stack of squares quilted as one",
    "cloth": "any yardage, patterned or plain",
    "kind of cloth": "what a print is made of, such as denim: how heavy, how thick squeezed, how it frays and shrinks",
    "closure": "how an opening shuts: a zip, or an envelope of two panels that overlap",
    "crossing": "where four blocks meet and two seams cross",
    "face": "what shows inside the outer seam",
    "fringe": "the edges left up beside a raw-edge seam; they fray when snipped and washed",
    "free end": "the bit at each end of a raw-edge seam that is left unsewn, so that the next seam can cross it",
    "front": "the quilted panel of a cushion",
    "make": "one finished article: make 6 is six of them",
    "nest": "to lay seams pressed opposite ways against each other",
    "opening": "where the pad goes in",
    "pace": "time per piece, per metre or per step",
    "pad": "the inner cushion",
    "panel": "rows of blocks joined",
    "piece": "what a step is counted in: a block, a seam, a strip",
    "pitch": "one block from seam to seam, before quilting draws it in",
    "press": "to put the iron down and lift it, without pushing",
    "print": "a patterned cloth",
    "project": "one file that says what is made, of what and for whom",
    "raw-edge seam": "a seam sewn wrong sides together, its edges left up on the front",
    "rehearsal": "a session that plays itself through at the starter paces; it counts for nothing",
    "row": "blocks joined side by side",
    "selvedge": "the woven edge of a cloth, which does not fray",
    "session": "one making of a project, kept in one journal file, over any number of sittings",
    "slider": "the part of a zip that is pulled",
    "snip": "a short cut into an edge, up to the stitching and never through it",
    "square": "a piece of cloth cut to size",
    "stack": "the squares of one block, front face first",
    "tack": "long stitches that are taken out again",
    "throw": "a cover that shows both faces and has no closure",
    "unpicker": "a small forked blade for taking stitches out",
    "wadding": "the soft layer inside a block",
    "walking foot": "a machine foot that feeds the upper layers too",
    "zip": "a closure with teeth and a slider",
}
GLOSSARY = tuple(Explained(*one) for one in _MEANS.items())
