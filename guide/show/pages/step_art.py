"""The pictures that steps ask for by name, drawn from the report's numbers; those that do not apply are left out."""

import re

import msgspec
from markupsafe import Markup

from guide.read.spoken import counted, said
from guide.read.units import INCH, show_length
from guide.show.cutting_lines import face_rows
from guide.show.model import Report
from guide.show.pages.illustrate import faces, looks_of, safe, zip_place
from guide.show.pages.render import ours
from guide.show.pictures.back import envelope, outer_seam, pinning, pressing
from guide.show.pictures.cutting import cutting_plan
from guide.show.pictures.quilting import quilting
from guide.show.pictures.seam import crossing, raw_edge_seam
from guide.show.pictures.snips import comb, corner
from guide.show.pictures.stack import stack_apart
from guide.show.pictures.zipper import zip_lengths
from guide.show.report_numbers import number, words

TALL, LARGE_TALL = 150.0, 60.0  # paper mm of a cloth's length at most, beside print and beside large print
SLIDER_MM = 2.5 * INCH  # from one end, where stage files of long ago do not say
SAME = {"faces": "front", "both": "front", "cross": "quilting", "plus": "quilting", "wadding": "quilting"}


class CutPicture(msgspec.Struct, frozen=True):
    """The plan of one piece of cloth: its material, its words, and how it is drawn."""

    material: str
    title: str
    bought: bool
    picture: Markup


def art_of(report: Report, *, large: bool = False) -> tuple[dict[str, Markup], dict[str, str]]:
    """Every picture the report can show, and which step shows it: the first that names it. `large`: by large print."""
    pictures = step_pictures(report, large=large)
    art: dict[str, str] = {}
    for step in report.steps:
        asked = step.picture or ""
        name = SAME.get(asked, asked)
        if name in pictures and name not in art.values():
            art[step.key] = name
    return pictures, art


def own_picture(report: Report, name: str) -> str:
    """Draw what a step shows of its own, in the project's words; nothing where the report lacks a number of it."""
    svg = DRAWN[name](report) if name in DRAWN else ""
    return _in_words(svg, report.project.words, own_only=name == "stack") if svg else ""


def step_pictures(report: Report, *, large: bool = False) -> dict[str, Markup]:
    """Draw every picture whose numbers the report has."""
    drawn = dict(faces(report))
    drawn |= {name: safe(svg) for name in DRAWN if (svg := own_picture(report, name))}
    cuts = cutting_pictures(report, tall_mm=LARGE_TALL if large else TALL)
    if cuts:
        drawn["cut"] = cuts[0].picture
    return drawn


def _in_words(svg: str, words: str, *, own_only: bool) -> str:
    """A picture's words in the project's; a stack holds the maker's names too, so only what is ours changes."""
    if words == "british":
        return svg
    spoken = r"(?:>|, |\d  )(wadding)[<,]" if own_only else r'(?:>|aria-label=")([^<>"]+)[<"]'
    return re.sub(spoken, lambda found: found[0].replace(found[1], said(found[1], words)), svg)


def cutting_pictures(report: Report, *, tall_mm: float = TALL) -> list[CutPicture]:
    """The plan of every piece of cloth that is cut, in order: its material, words, and picture."""
    looks = looks_of(report)
    out = []
    for cutting in report.cutting:
        several = len(cutting.cloths) > 1
        for place, cloth in enumerate(cutting.cloths, 1):
            title = f"Cutting {ours(cutting.material, report.project.words)}"
            if several:
                title += f", piece {place} of {len(cutting.cloths)}"
            if report.project.washed_first and cutting.material in looks:
                title += ", washed"
            strips = len({placed.strip for placed in cloth.placements})
            svg = cutting_plan(
                cloth.placements,
                width_mm=cloth.width_mm,
                length_mm=cloth.length_mm,
                selvedge_mm=cloth.selvedge_mm,
                look=looks.get(cutting.material),
                title=f"{title}: {counted(len(cloth.placements), 'piece')} in {counted(strips, 'strip')}.",
                width_text=cloth.width_text,
                length_text=cloth.length_text,
                part_texts={part.name: part.short_text for part in cutting.parts},
                tall_mm=tall_mm,
            )
            out.append(CutPicture(cutting.material, title, cloth.bought, safe(svg)))
    return out


def _numbers(report: Report, *names: str) -> list[float] | None:
    """The numbers asked for, or None when one of them does not apply."""
    values = [number(report, name) for name in names]
    return None if any(value is None for value in values) else [value for value in values if value is not None]


def _stack(report: Report) -> str:
    found, layout, project = _numbers(report, "square"), report.layout, report.project
    if not found or layout is None:
        return ""
    rows = [face_rows(layout, layer)[0][0] for layer in range(len(layout.blocks[0].stack))]
    return stack_apart(
        rows,
        looks_of(report),
        above=project.above,
        wadding=project.wadding,
        square_mm=found[0],
        wadding_mm=number(report, "wadding_size") or found[0],
    )


def _quilting(report: Report) -> str:
    found = _numbers(report, "square", "seam", "quilt_box")
    if not found or report.project.quilting == "none":
        return ""
    return quilting(
        square_mm=found[0],
        seam_mm=found[1],
        box_mm=found[2],
        wadding_mm=number(report, "wadding_size"),
        pattern=report.project.quilting,
        square_text=words(report, "square"),
        inner_text=words(report, "quilt_box"),
        line_text=words(report, "quilt_line"),
    )


def _seam(report: Report) -> str:
    found = _numbers(report, "square", "seam", "free_end")
    run = words(report, "row_seam_run") or words(report, "panel_seam_run")  # one column: as long as a square too
    if not found or not run:
        return ""
    return raw_edge_seam(
        length_mm=found[0],
        seam_mm=found[1],
        free_end_mm=found[2],
        run_text=run,
        free_text=words(report, "free_end"),
        seam_text=words(report, "seam"),
    )


def _crossing(report: Report) -> str:
    found = _numbers(report, "seam", "layers_crossing")
    return crossing(seam_mm=found[0], layers=words(report, "layers_crossing")) if found else ""


def _snips(report: Report) -> str:
    found = _numbers(report, "pitch", "snip_every", "seam", "cut_depth")
    if not found or not number(report, "layers_raw_seam"):
        return ""
    clear = number(report, "edge_clear")
    return comb(
        length_mm=number(report, "pitch_made") or found[0],
        every_mm=found[1],
        seam_mm=found[2],
        depth_mm=found[3],
        clear_mm=found[2] if clear is None else clear,
        every_text=words(report, "snip_every"),
        depth_text=words(report, "cut_depth"),
        clear_text=words(report, "edge_clear") or words(report, "seam"),
        outer="edge line" if report.project.back == "none" else "outer seam",
    )


def _corner(report: Report) -> str:
    found = _numbers(report, "seam", "cut_depth", "corner_slit", "last_snip", "snip_every")
    if not found:
        return ""
    seam, depth, slit, last, every = found
    return corner(
        seam_mm=seam,
        depth_mm=depth,
        slit_mm=slit,
        last_mm=last,
        every_mm=every,
        seam_text=words(report, "seam"),
        slit_text=words(report, "corner_slit"),
        last_text=words(report, "last_snip"),
    )


def _zip(report: Report) -> str:
    found = _numbers(report, "zip_seam", "zip_cut", "zip_opening", "zip_box_gap")
    slider = number(report, "slider_gap")
    if not found or report.project.closure != "zip":
        return ""
    return zip_lengths(
        seam_mm=found[0],
        cut_mm=found[1],
        opening_mm=found[2],
        box_mm=found[3],
        seam_text=words(report, "zip_seam"),
        cut_text=words(report, "zip_cut"),
        opening_text=words(report, "zip_opening"),
        end_text=words(report, "zip_ends"),
        box_text=words(report, "zip_box_gap"),
        slider_mm=SLIDER_MM if slider is None else slider,
        slider_text=words(report, "slider_gap") or show_length(SLIDER_MM, report.project.units),
    )


def _press(report: Report) -> str:
    found = _numbers(report, "pitch", "back_rows", "back_row_squares")
    if not found:
        return ""
    pitch, rows, squares = found
    return pressing(rows=int(rows), squares=int(squares), pitch_mm=pitch, upright=zip_place(report)[1])


def _envelope(report: Report) -> str:
    found = _numbers(report, "envelope_width", "envelope_length", "panel_height")
    if not found or report.project.closure != "envelope":
        return ""
    return envelope(
        width_mm=found[0],
        height_mm=found[2],
        length_mm=found[1] - (number(report, "turn_in") or 0.0),
        width_text=words(report, "envelope_width"),
        length_text=words(report, "envelope_length"),
        overlap_text=words(report, "envelope_overlap"),
    )


def _outer(report: Report) -> str:
    found = _numbers(report, "panel_width", "panel_height", "seam")
    if not found:
        return ""
    return outer_seam(
        width_mm=found[0],
        height_mm=found[1],
        seam_mm=found[2],
        width_text=words(report, "panel_width"),
        height_text=words(report, "panel_height"),
        seam_text=words(report, "seam"),
    )


def _pinning(report: Report) -> str:
    found = _numbers(report, "panel_width", "panel_height", "seam")
    if not found or report.project.back == "none" or report.project.closure == "envelope":
        return ""
    after, upright = zip_place(report)
    pins, tops = (report.quantities.get(name) for name in ("pins_in_edge", "tops_meet"))
    return pinning(
        width_mm=found[0],
        height_mm=found[1],
        seam_mm=found[2],
        pins=bool(pins.value) if pins else True,
        tops=bool(tops.value) if tops else False,
        zip_mm=None if after is None else found[2] + after * (number(report, "pitch_made") or 0.0),
        upright=upright,
    )


DRAWN = {
    "stack": _stack,
    "quilting": _quilting,
    "seam": _seam,
    "crossing": _crossing,
    "snips": _snips,
    "snips_outer": _corner,
    "zip": _zip,
    "press": _press,
    "envelope": _envelope,
    "outer": _outer,
    "pinning": _pinning,
}
