"""The plan on paper: what to cut, what to buy, the cutting plans, the order of work, every number."""

from typing import Any

from guide.read.spoken import said
from guide.show.pages.illustrate import Report, figure_list, words
from guide.show.pages.log import face_letters
from guide.show.pages.render import Format, render
from guide.show.pages.step_art import cutting_pictures, step_pictures

CAPTIONS = {
    "quilting": "Quilting lines, inside the wadding’s edge",
    "seam": "Raw-edge seam, ends left free",
    "crossing": "A crossing, flaps opened flat",
    "snips": "Snips along a seam",
    "zip": "The zip and its lengths",
    "envelope": "Envelope back",
    "press": "Which way to press",
    "outer": "Outer seam",
    "snips_outer": "An outer corner",
}


def render_plan(report: Report, fmt: Format = "html") -> str:
    """Render the plan page of a report."""
    html = fmt == "html"
    drawn: dict[str, Any] = dict(step_pictures(report)) if html else {}
    drawn["cuts"] = cutting_pictures(report) if html else []
    return render(
        "plan",
        fmt,
        report,
        pictures=drawn,
        figures=plan_figures(report),
        stages=by_stage(report),
        letters=face_letters(report),
        stations=_stations(report),
        captions={name: said(text, report["project"]["words"]) for name, text in CAPTIONS.items()},
    )


def by_stage(report: Report) -> list[dict[str, Any]]:
    """The steps stage by stage in the order of work, with each stage's hands-on time."""
    return [
        {"title": row["title"], "steps": report["steps"][before : before + row["steps"]], "text": row["hands_on_text"]}
        for row in report["work"]["order"]
        for before in [row["first"] - 1]
    ]


def plan_figures(report: Report) -> list[dict[str, str]]:
    """The numbers a maker looks for first."""
    pairs = (
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "inside the outer seam"),
        (words(report, "blocks"), "blocks"),
        (words(report, "square"), "squares, as cut"),
        (words(report, "seam"), "seam"),
        (words(report, "zip_buy"), "zip to buy"),
        (report["forecast"]["text"], "hands on, about"),
    )
    return figure_list(report, pairs)


def _stations(report: Report) -> list[dict[str, Any]]:
    """What each place of work is for: how long, how many steps, which tools to have there."""
    out = []
    for row in report["work"]["stations"]:
        steps = [step for step in report["steps"] if step["station"] == row["station"]]
        tools = dict.fromkeys(tool for step in steps for tool in step["tools"])
        out.append(row | {"tools": ", ".join(tools)})
    return out
