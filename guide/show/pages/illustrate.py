"""Which pictures a page shows, drawn from the report's own numbers."""

from collections.abc import Iterable
from functools import partial

import msgspec
from markupsafe import Markup
from msgspec.structs import replace

from guide.plan.parts import EACH, Stack
from guide.read.spoken import labelled, said
from guide.show.cutting_lines import (
    FEW,
    back_rows,
    back_words,
    face_rows,
    piles_table,
    place_tables,
    stack_words,
    stacks_table,
)
from guide.show.model import Report, Setting
from guide.show.pictures.cloth import Look, looks
from guide.show.pictures.faces import AS_IT_IS, Seen, face, plain_back, stack_row, swatch
from guide.show.report_numbers import number, words, zip_place
from guide.show.table import Table

SMALL = 5  # blocks a side, up to which a picture beside others has room for letters
MAP_WIDE, MAP_HIGH, MARGINS = 180.0, 205.0, 25.5  # paper mm of a map on its own sheet
TALL = 120.0  # paper mm of a face among words, at most


def figure_list(report: Report, pairs: Iterable[tuple[str, str]]) -> list[Setting]:
    """The large figures of a page with their labels; those there is nothing of are left out."""
    spoken = report.project.words
    return [Setting(said(labelled(label, text), spoken), text) for text, label in pairs if text.strip(" ×")]


def looks_of(report: Report) -> dict[str, Look]:
    """How the project's prints are drawn."""
    return looks([(p.name, p.letter, p.colour) for p in report.prints])


def safe(svg: str) -> Markup:
    """A finished picture: it escapes its own texts."""
    return Markup(svg)  # noqa: S704 - made of elements whose every attribute and text is escaped


def faces(
    report: Report,
    sides: tuple[str, str] = ("face_width", "face_height"),
    *,
    lettered: bool = True,
    seen: Seen = AS_IT_IS,
) -> dict[str, Markup]:
    """Front and back as they are seen, whichever the project has; `sides`: the quantities written beside them.

    A buyer's have no letters on the prints.
    """
    layout, project = report.layout, report.project
    pitch, seam = number(report, "pitch"), number(report, "seam")
    if layout is None or pitch is None or seam is None:
        return {}
    width, height = (words(report, side) for side in sides)
    looks = {name: replace(look, lettered=lettered) for name, look in looks_of(report).items()}
    draw = partial(face, looks=looks, pitch_mm=pitch, fringe_mm=seam, width_text=width, height_text=height)
    drawn = project.quilting in {"cross", "plus"} and not seen.heads  # a map is for the prints
    quilted = project.quilting if drawn else ""
    if not seen.heads:  # a tall panel is drawn so narrow that a sheet holds it
        seen = replace(seen, shown_mm=min(seen.shown_mm, MARGINS + max(20.0, TALL * layout.across / layout.down)))
    front = face_rows(layout, 0)
    out = {"front": safe(draw(front, title=face_words("Front", front), seen=replace(seen, quilted=quilted)))}
    rows, (after, upright) = back_rows(report), zip_place(report)
    if rows is None:
        at = None if after is None else after * pitch
        plain = _plain_back(report, looks, seam, (width, height), replace(seen, zip_after=at, zip_upright=upright))
        return out | ({"back": safe(plain)} if plain else {})
    if project.closure == "envelope":
        draw = partial(draw, height_text=f"2 × {len(rows) // 2} rows")
    through = quilted if project.back == "none" else ""
    turned = report.backing is None  # the back is no panel of its own: what became of the front's blocks is seen there
    moved, again = (
        frozenset((row, layout.across + 1 - column) for row, column in of if turned) for of in (seen.moved, seen.again)
    )
    behind = replace(
        seen,
        frayed=False,
        quilted=through,
        zip_after=after,
        zip_upright=upright,
        turned=turned,
        moved=moved,
        again=again,
    )
    return out | {"back": safe(draw(rows, title=face_words(back_words(report), rows), seen=behind))}


def maps(report: Report, wide_mm: float = MAP_WIDE) -> dict[str, Markup]:
    """The faces by their names, a sheet wide, to pin up; none of a panel whose letters fit on a small picture."""
    project = report.project
    if max(project.across, project.down) <= SMALL:
        return {}
    high = MAP_HIGH * wide_mm / MAP_WIDE
    wide = max(MARGINS + 40.0, min(wide_mm, MARGINS + high * project.across / max(1, project.down)))
    drawn = faces(report, seen=Seen(shown_mm=wide, heads=True))
    return {"front" if side == "front" else back_words(report).lower(): one for side, one in drawn.items()}


def _plain_back(report: Report, looks: dict[str, Look], seam: float, texts: tuple[str, str], seen: Seen) -> str:
    """The back where it is one cloth; nothing where it is none, or has no size."""
    wide, high = number(report, "face_width"), number(report, "face_height")
    look = looks.get(report.project.back_cloth or "")
    if look is None or wide is None or high is None:
        return ""
    return plain_back(
        look,
        width_mm=wide,
        height_mm=high,
        fringe_mm=seam,
        title=f"{back_words(report)}, all of {look.name}.",
        width_text=texts[0],
        height_text=texts[1],
        seen=seen,
    )


def face_words(name: str, rows: list[list[str]]) -> str:
    """The text alternative of a face: every row read out."""
    lines = "; ".join(f"row {number}: {', '.join(row)}" for number, row in enumerate(rows, 1))
    return f"{name}. {lines}."


class DrawnStack(msgspec.Struct, frozen=True):
    """A kind of stack and how it is drawn."""

    stack: Stack
    picture: Markup


class StackPage(msgspec.Struct, frozen=True):
    """What a page tells of the stacks: how they are read, the piles they come from, each kind, and place by place."""

    words: list[str]
    piles: Table
    kinds: Table
    drawn: list[DrawnStack]
    places: list[Table]


def stack_page(report: Report) -> StackPage | None:
    """The stacks for a page; None where nothing is laid. Kinds that are many are told place by place as well."""
    found, drawn = report.stack_map, looks_of(report)
    if found is None:
        return None
    many = len(found.stacks) > FEW or any(len(one.places) > EACH for one in found.stacks)
    places = place_tables(report) if many else []
    rows = [
        DrawnStack(
            one,
            safe(
                stack_row(
                    one.laid, drawn, below=found.below, wadding=found.wadding,
                    title=f"Stack {one.letters}: {', then '.join(one.laid)}.",
                )
            ),
        )
        for one in found.stacks
    ]  # fmt: skip
    return StackPage(stack_words(report), piles_table(report), stacks_table(report), rows, places)


def swatches(report: Report) -> dict[str, Markup]:
    """A small piece of each print, by its letter, to stand in the legend."""
    return {look.letter: safe(swatch(look)) for look in looks_of(report).values()}


class Face(msgspec.Struct, frozen=True):
    """One face as letters, row by row, and which picture shows it."""

    name: str
    picture: str
    rows: list[list[str]]


def face_letters(report: Report) -> list[Face]:
    """Both faces, for pages with and without pictures."""
    letters = {p.name: p.letter for p in report.prints}
    front = face_rows(report.layout, 0) if report.layout else None
    sides = (("Front", "front", front), (back_words(report), "back", back_rows(report)))
    return [
        Face(name, picture, [[letters.get(one, one) for one in row] for row in rows or ()])
        for name, picture, rows in sides
        if rows is not None or (picture == "back" and report.project.back_cloth)
    ]
