"""The pictures that steps ask for by name, each drawn for its step with the report's prints and sizes.

A step's drawing takes its sizes and words from that step alone; what does not apply is left out.
"""

import re
from collections.abc import Callable

import msgspec
from markupsafe import Markup

from guide.read.spoken import counted, said
from guide.read.stage_keys import PICTURES
from guide.show.cutting_lines import back_rows, face_rows
from guide.show.model import Report
from guide.show.model_plan import StepReport
from guide.show.pages.render import faces, looks_of, ours, safe
from guide.show.pictures import moves_block, moves_panel, moves_zip
from guide.show.pictures.cloth import cutting_plan
from guide.show.pictures.faces import envelope, stack_apart
from guide.show.pictures.frames import Told, moves, said_of
from guide.show.report_numbers import number

TALL, LARGE_TALL = 150.0, 60.0  # paper mm of a cloth's length at most, beside print and beside large print


class CutPicture(msgspec.Struct, frozen=True):
    """The plan of one piece of cloth: its words, and how it is drawn."""

    title: str
    bought: bool
    picture: Markup


def art_of(report: Report, *, large: bool = False) -> dict[str, Markup]:
    """Every picture the report can show: its faces, and each step's by its key. `large`: by large print."""
    return faces(report) | {step.key: picture for step, picture in step_art(report, large=large)}


def step_art(report: Report, *, large: bool = False) -> list[tuple[StepReport, Markup]]:
    """Each step that has a picture, with it: its own frames in a row, or its own cutting plans."""
    out, seen, tell = [], set[str](), teller(report)
    for step in report.steps:
        frames = frames_of(told, LARGE_TALL if large else TALL) if (told := tell(step)) else []
        if told and frames:
            svg = moves(told, frames, numbered=step.picture != "cut", large=large)
            out.append((step, safe(svg if svg not in seen else _ids_of(svg, len(seen)))))
            seen.add(svg)
    return out


def teller(report: Report) -> Callable[[StepReport], Told | None]:
    """What each step says, for its drawing; None where there is no drawing, or nothing is laid out."""
    if report.layout is None:
        return lambda _: None
    looks, layout = looks_of(report), report.layout
    rows, stack = face_rows(layout, 0), tuple(looks[name] for name in layout.blocks[0].stack)
    plain = [[report.project.back_cloth]] if report.project.back_cloth in looks else rows
    common = (looks, rows, face_rows(layout, -1), stack, back_rows(report) or plain)
    return lambda step: Told(report, step, said_of(step), *common) if step.picture in {*DRAWN, "cut"} else None


def frames_of(told: Told, tall_mm: float = TALL) -> list[str]:
    """What a step's picture is made of: its frames, or the plans of the cloths it cuts."""
    draw, about = DRAWN.get(told.step.picture or ""), ABOUT.get(told.step.picture or "")
    if about and not any(told.size(name) for name in about):  # in stage files of long ago other steps had it, too
        return []
    return draw(told) if draw else _cutting(told, tall_mm)


class ShownStep(msgspec.Struct, frozen=True):
    """A step's picture with its title, and with its own words."""

    title: str
    words: str
    picture: Markup


def shown_steps(report: Report) -> list[ShownStep]:
    """The steps in pictures, for a plan or a log: but for the cutting plans, which a page has by themselves."""
    out = []
    for step, picture in step_art(report):
        if step.picture != "cut":
            title = f"{step.number}. {step.title}"
            out.append(ShownStep(title, f"{title}: {does}" if (does := step.texts.get("do", "")) else title, picture))
    return out


def _ids_of(svg: str, place: int) -> str:
    """A picture that stands on the page already, its parts called otherwise."""
    return re.sub(r"\bp[0-9a-f]{8}-", lambda found: f"{found[0]}{place}-", svg)


def step_pictures(report: Report) -> dict[str, Markup]:
    """What a page shows of the whole: both faces, and the stack of one block."""
    drawn = faces(report)
    if stack := _stack(report, wadding=report.project.wadding):
        drawn["stack"] = safe(_in_words(stack, report.project.words))
    return drawn


def _in_words(svg: str, words: str) -> str:
    """A stack's words in the project's; it holds the maker's names too, so only what is ours changes."""
    if words == "british":
        return svg
    return re.sub(r"(?:>|, |\d  )(wadding)[<,]", lambda found: found[0].replace(found[1], said(found[1], words)), svg)


def cutting_pictures(report: Report) -> list[CutPicture]:
    """The plan of every piece of cloth that is cut, in order: its words, and picture."""
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
            words_ = f"{title}: {counted(len(cloth.placements), 'piece')} in {counted(strips, 'strip')}."
            look = looks.get(cutting.material)
            svg = cutting_plan(cutting.parts, cloth, look=look, title=words_, tall_mm=TALL)
            out.append(CutPicture(title, cloth.bought, safe(svg)))
    return out


def _cutting(told: Told, tall_mm: float) -> list[str]:
    """The plans of the cloths that this step cuts, its own pieces in their print and the others bare."""
    row = told.step.key.partition(":")[2]
    for cutting in told.report.cutting:
        if row.startswith(f"{cutting.material}:"):
            own = frozenset(row.removeprefix(f"{cutting.material}:").rpartition(":")[0].split(" and "))
            cloths = [one for one in cutting.cloths if any(placed.part in own for placed in one.placements)]
            tall, look = tall_mm / max(1, len(cloths)), told.looks.get(cutting.material)
            return [cutting_plan(cutting.parts, cloth, look=look, title="", tall_mm=tall, own=own) for cloth in cloths]
    return []


def _stack(report: Report, *, wadding: bool) -> str:
    square, layout = number(report, "square"), report.layout
    if square is None or layout is None:
        return ""
    return stack_apart(
        [face_rows(layout, layer)[0][0] for layer in range(len(layout.blocks[0].stack))],
        looks_of(report),
        above=report.project.above,
        wadding=wadding,
        square_mm=square,
        wadding_mm=number(report, "wadding_size") or square,
    )


ABOUT = {  # pictures that are only for steps that tell one of these numbers
    "snips": ("cut_depth",),
    "snips_outer": ("cut_depth",),
    "back": ("seam", "square"),
    "crossing": ("seam", "layers_crossing"),
}
DRAWN: dict[str, Callable[[Told], list[str]]] = {  # by the function that has a picture's name
    name: draw
    for moves_of in (moves_block, moves_panel, moves_zip)
    for name, draw in vars(moves_of).items()
    if name in PICTURES
} | {"envelope": envelope, "zip": moves_zip.zip_any, "stack": lambda told: [_stack(told.report, wadding=False)]}
