"""The maker's log: what a maker keeps of one session, shows and teaches from."""

from pathlib import Path
from typing import Any

from guide.read.spoken import said
from guide.show.faces import back_rows, back_words, face_rows
from guide.show.pages.illustrate import Report, faces, figure_list, safe, words
from guide.show.pages.photos import photo_list
from guide.show.pages.render import Format, render
from guide.show.pictures.times import time_chart
from guide.show.report_money import amounts
from guide.show.words import minutes

SIZES = (  # the numbers a log tells
    "square", "seam", "face_width", "face_height", "zip_cut", "zip_opening", "pad_width", "pad_height", "stitched",
    "snip_cuts", "thread",
)  # fmt: skip
AT_MOST = 10  # rows in sight


def render_log(report: Report, fmt: Format = "html", *, folder: Path | None = None) -> str:
    """Render the log of a report that has a session. `folder` is where photos may lie: the project's."""
    session = report["session"]
    pictures: dict[str, Any] = {}
    photos: list[dict[str, Any]] = []
    if fmt == "html":
        pictures = dict(faces(report))
        rows = [(stage["title"], stage["planned_s"], stage["counted_s"]) for stage in session["stages"]]
        pictures["times"] = safe(time_chart(rows)) if rows else ""
        photos = photo_list(session["photos"], folder)
    return render(
        "log",
        fmt,
        report,
        pictures=pictures,
        photos=photos,
        figures=_figures(report),
        sizes=_sizes(report),
        letters=face_letters(report),
        cost=_cost(report["cost"], report["project"]["words"]),
        heads=[f"make {make}" for make in session["makes"]] or ["became"],
        changed=session["changed"][:AT_MOST],
        changed_more=session["changed"][AT_MOST:],
        care=list(dict.fromkeys(["fire", *report["minding"], *report["cautions"]])),
    )


def _sizes(report: Report) -> list[dict[str, str]]:
    """The numbers a log tells, in the project's words, and what was planned of the cloth where that changes them."""
    told = [
        (report["quantities"][name]["label"], words(report, name)) for name in SIZES if name in report["quantities"]
    ]
    if report["project"]["washed_first"]:
        told.insert(0, ("cloth, as planned", "washed before cutting"))
    return [{"label": label, "text": text} for label, text in told if text]


def face_letters(report: Report) -> list[dict[str, Any]]:
    """Both faces as tables of letters, for pages without pictures."""
    letters = {p["name"]: p["letter"] for p in report["prints"]}
    front = face_rows(report["layout"], 0) if report["layout"] else None
    return [
        {"name": name, "rows": [[letters.get(one, one) for one in row] for row in rows]}
        for name, rows in (("Front", front), (back_words(report), back_rows(report)))
        if rows is not None
    ]


def _figures(report: Report) -> list[dict[str, str]]:
    """The three or four numbers a reader wants first."""
    totals = report["session"]["totals"]
    pairs = [
        (f"{words(report, 'face_width')} × {words(report, 'face_height')}", "inside the outer seam"),
        (minutes(totals["counted_s"]), "hands on"),
        (words(report, "blocks"), "blocks"),
        (f"{totals['steps_done']} of {totals['steps']}", "steps done"),
    ]
    if totals["waits_s"]:
        pairs.insert(2, (minutes(totals["waits_s"]), "of waits, on their own"))
    return figure_list(report, pairs)


def _cost(cost: dict[str, Any] | None, spoken: str) -> list[dict[str, str]]:
    """What the making cost, line by line."""
    if not cost or cost["unpriced"]:
        return []
    return [
        {"label": said(name, spoken), "text": f"{amount} {cost['currency']}{f', {more}' if more else ''}"}
        for name, amount, more in amounts(cost)
    ]
