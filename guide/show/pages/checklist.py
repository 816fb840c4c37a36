"""The paced checklist a beginner works from: boxes, numbers, pictures, windows of the day."""

from typing import Any

from guide.read.lengths import show_length
from guide.show.pages.illustrate import Report, art_of, words
from guide.show.pages.render import Format, render


def render_checklist(report: Report, fmt: Format = "html", *, large: bool = False, both_units: bool = False) -> str:
    """Render the checklist of a report that was given a day's rows.

    `large` sets the print large; `both_units` puts inches beside cm, or cm beside inches.
    """
    pictures, art = art_of(report) if fmt == "html" else ({}, {})
    return render(
        "checklist",
        fmt,
        report,
        pictures=pictures,
        art=art,
        large=large,
        both=both_units,
        other=_other(report) if both_units else {},
        fresh=_fresh(report),
        stages={name: any(step["stage"] == name for step in report["steps"]) for name in ("cut", "wash")},
        figures=_figures(report),
    )


def _figures(report: Report) -> list[dict[str, str]]:
    pairs = [
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "finished"),
        (words(report, "blocks"), "blocks"),
    ]
    return [{"text": text, "label": label} for text, label in pairs if text.strip(" ×")]


def _other(report: Report) -> dict[str, str]:
    """Every length shown beside a step in the units the project does not use."""
    units = "metric" if report["project"]["units"] == "inch" else "inch"
    out = {}
    for step in report["steps"]:
        for one in step["shows"]:
            length = one["unit"] == "mm" and one["value"] is not None
            out[one["name"]] = show_length(one["value"], units) if length else one["text"]  # type: ignore[arg-type]
    return out


def _fresh(report: Report) -> dict[str, list[str]]:
    """Each caution at the first step of a stage that needs it: said often enough to be read."""
    seen: set[tuple[str, str]] = set()
    out: dict[str, Any] = {}
    for step in report["steps"]:
        out[step["key"]] = [name for name in step["cautions"] if (step["stage"], name) not in seen]
        seen.update((step["stage"], name) for name in step["cautions"])
    return out
