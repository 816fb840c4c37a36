"""A size that is planned from, in the words it was asked in: of the cover or the pad, washed or as sewn."""

from typing import Literal

import msgspec

from guide.plan.backwards import planned_from, range_text, wanted
from guide.read.model import Project
from guide.read.spoken import said
from guide.read.units import Units, show_length


class WantedSize(msgspec.Struct, frozen=True):
    """A size that is planned from, with the sentences a maker reads."""

    of: str
    after: str
    width_mm: float
    height_mm: float
    says: str
    limit: str


class Length(msgspec.Struct, frozen=True):
    """A length with its unit and its text."""

    value: float
    unit: Literal["mm"]
    text: str


class ChoiceReport(msgspec.Struct, frozen=True, omit_defaults=True):
    """One grid and square for a size that is wanted, with its miss and its cloth."""

    across: int
    down: int
    square: Length
    width_mm: float
    height_mm: float
    size: str
    miss: Length
    off_text: str
    cloth: str
    why: str = ""


def wanted_report(project: Project) -> WantedSize | None:
    """Report the size wanted, mm, with the sentences a maker reads; None when no size is planned from."""
    if project.target is None or "on_hand" in project.target:
        return None
    asked, units = wanted(project), project.units
    once = "once washed" if asked.after == "washing" else "as sewn"
    size = size_text(asked.width, asked.height, units)
    cover = size_text(asked.width - asked.ease, asked.height - asked.ease, units)
    of_pad = f"a pad of {size}, so a cover of {cover} {once}; the sizes below are of the pad that fits"
    says = said(of_pad if asked.of == "pad" else f"{size} {once}", project.words)
    limit = ""
    if planned_from(project, "square") or project.given["square"].value is None:
        limit = f"Planning backwards tries squares from {range_text(units)}; write the square to have another."
    return WantedSize(asked.of, asked.after, asked.width, asked.height, says, limit)


def size_text(width: float, height: float, units: Units) -> str:
    """Two sides as a maker says them."""
    return f"{show_length(width, units)} × {show_length(height, units)}"
