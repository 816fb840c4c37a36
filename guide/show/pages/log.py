"""The maker's log: what a maker keeps of one session, shows and teaches from."""

from pathlib import Path
from typing import Any

from guide.read.spoken import said
from guide.show.faces import back_rows, back_words, face_rows
from guide.show.pages.illustrate import Report, faces, safe, words
from guide.show.pages.photos import photo_list
from guide.show.pages.render import Format, render
from guide.show.pictures.times import time_chart
from guide.show.words import minutes

SIZES = (  # the names a log tells, and what it calls them
    ("square", "squares cut"),
    ("seam", "seam"),
    ("face_width", "face across"),
    ("face_height", "face down"),
    ("zip_cut", "zip cut to"),
    ("zip_opening", "opening"),
    ("pad_width", "pad across"),
    ("pad_height", "pad down"),
    ("stitched", "stitched in all"),
    ("snip_cuts", "snips, about"),
    ("thread", "thread"),
)

WANTED = (  # of what moved, the numbers cut and sewn by, most wanted first
    ("zip_cut", "zip cut to"),
    ("zip_opening", "opening"),
    ("envelope_length", "each envelope panel"),
    ("back_width", "back across"),
    ("back_height", "back down"),
    ("pad_width", "pad across"),
    ("pad_height", "pad down"),
    ("outer_seam", "outer seam"),
    ("washed_width", "washed, across"),
    ("washed_height", "washed, down"),
)
AT_MOST = 6


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
        sizes=[
            {"label": said(label, report["project"]["words"]), "text": words(report, name)}
            for name, label in SIZES
            if words(report, name)
        ],
        letters=face_letters(report),
        cost=_cost(report["cost"], report["project"]["words"]),
        changed=_changed(report)[:AT_MOST],
        changed_more=_changed(report)[AT_MOST:],
    )


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
        (_hands_on(totals["counted_s"]), "hands on"),
        (words(report, "blocks"), "blocks"),
        (f"{totals['steps_done']} of {totals['steps']}", "steps done"),
    ]
    if totals["waits_s"]:
        pairs.insert(2, (minutes(totals["waits_s"]), "of waits, on their own"))
    return [{"text": text, "label": label} for text, label in pairs if text.strip(" ×")]


def _changed(report: Report) -> list[dict[str, Any]]:
    """The numbers that moved: those a maker wants first, in the words a log uses, then all the others."""
    moved = {row["name"]: row for row in report["session"]["changed"]}
    spoken = report["project"]["words"]
    first = [moved.pop(name) | {"label": said(label, spoken)} for name, label in WANTED if name in moved]
    return [*first, *moved.values()]


def _hands_on(seconds: float) -> str:
    """Hands-on time whole minutes down, so that it never says more than the table below it: 2 min 31 s, 1 h 05."""
    if seconds < 600:
        whole, rest = divmod(round(seconds), 60)
        return f"{whole} min {rest:02d} s" if whole else f"{rest} s"
    return minutes(seconds // 60 * 60)


def _cost(cost: dict[str, Any] | None, spoken: str) -> list[dict[str, str]]:
    """What the making cost, line by line."""
    if not cost:
        return []
    names = ("cloth_used", "cloth_bought", "materials", "labour", "overhead", "cost", "price")
    return [
        {"label": said(name.replace("_", " "), spoken), "text": f"{cost[name]} {cost['currency']}"}
        for name in names
        if cost.get(name)
    ]
