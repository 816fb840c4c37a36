"""The report of a plan: what JSON, pages, screen and tables print of it, worked out once.

Lengths mm, areas mm², times s; money is text, to the cent. Beside each stands the text a maker reads. Made plain by
`guide.show.report.plain_report` it is what `guide plan --json` prints, a stable format: the names of the fields are its
keys, in its order; fields are added, never renamed. Where `omit_defaults` stands, a field at its default is left out.
"""

from decimal import Decimal
from typing import Any, Literal, TypeVar

import msgspec
from msgspec import UNSET, UnsetType, field

from guide.money.model import Span
from guide.plan.graph import planned_from, range_text, wanted
from guide.plan.model import Buy, CutCloth, Cutting, LeftOver
from guide.plan.shopping import Gives, money
from guide.read.model import Project
from guide.read.spoken import said
from guide.read.units import Units, show_length

Of = TypeVar("Of", bound=msgspec.Struct)


def told_of(kind: type[Of], one: msgspec.Struct, **more: Any) -> Of:
    """Report what a struct and its report call by the same names, and what more is told of it; money is text."""
    alike = {name: getattr(one, name) for name in kind.__struct_fields__ if name not in more and hasattr(one, name)}
    return kind(**{name: money(it) if isinstance(it, Decimal) else it for name, it in alike.items()}, **more)


# A size that is planned from, in the words it was asked in: of the cover or the pad, washed or as sewn.


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


Value = float | str | bool | None


class ProjectReport(msgspec.Struct, frozen=True):
    """What pages tell of the project itself."""

    title: str
    kind: str
    for_whom: str = field(name="for")
    make: int
    units: Units
    words: str
    file: str
    across: int
    down: int
    above: int
    below: int
    wadding: bool
    quilting: str
    closure: str
    back: str
    back_cloth: str | None
    washed_first: bool
    currency: str
    sold: bool  # the project says what selling costs
    stages: tuple[str, ...]
    cloths_washed: tuple[str, ...] = ()  # what its kinds of cloth ask for in the wash


class QuantityReport(msgspec.Struct, frozen=True, omit_defaults=True):
    """One number of the plan; `measured` and `planned` where it can be measured, or was."""

    value: Value
    unit: str
    text: str
    formula: str | None
    written: str = field(name="from")
    stage: str | None
    label: str
    measured: bool | None = None
    planned: Value | UnsetType = UNSET
    planned_text: str = ""


class GroupRow(msgspec.Struct, frozen=True):
    """A line of the plan's table: what it is called, and the numbers it joins by ×."""

    label: str
    names: tuple[str, ...]


class Group(msgspec.Struct, frozen=True):
    """Lines of the plan's table under one title."""

    title: str
    rows: tuple[GroupRow, ...]


class Shrinks(msgspec.Struct, frozen=True):
    """What washing takes; None: not written."""

    length: float | None
    width: float | None


class PrintReport(msgspec.Struct, frozen=True, omit_defaults=True):
    """A print as it is sold; `usable_mm` between its selvedges on the table, None where nothing can be bought."""

    name: str
    letter: str
    one_way: bool
    width_mm: float | None
    selvedge_mm: float
    usable_mm: float | None
    shrinks: Shrinks
    colour: str | None = None
    photo: str | None = None
    weight_g_m2: float | None = None


class ClothReport(CutCloth, frozen=True, kw_only=True):
    """A piece of cloth as it lies on the table, and what is cut from it."""

    width_text: str
    length_text: str


class LeftReport(LeftOver, frozen=True):
    """A usable rectangle that is left."""

    text: str


class GivesReport(Gives, frozen=True):
    """What is left of a material would still give: so many squares, or instead whole plain backs; practice besides."""

    text: str


class PartReport(msgspec.Struct, frozen=True):
    """How many of a part one material gives; a square's `short_text` is one side."""

    name: str
    count: int
    size_text: str
    short_text: str


class CutPiece(msgspec.Struct, frozen=True):
    """Parts cut from a strip, one beside the other; the width along the strip."""

    part: str
    count: int
    width_mm: float
    height_mm: float


class OrderRow(msgspec.Struct, frozen=True):
    """One strip in the order of cutting, as numbers and as a person is told it."""

    material: str
    cloth: int
    bought: bool
    strip: int
    ruler_mm: float
    along: bool
    then_mm: tuple[float, ...]
    cut: tuple[CutPiece, ...]
    ruler_text: str
    text: str


class CuttingReport(Cutting, frozen=True):
    """How one material is cut; as it lies on the table, but for `buy_mm` and `sold_mm`, which are as sold."""

    cloths: tuple[ClothReport, ...]
    left_over: tuple[LeftReport, ...]
    sold_mm: float
    parts: tuple[PartReport, ...]
    order: tuple[OrderRow, ...]
    use_text: str
    buy_text: str
    gives: GivesReport


class Ready(msgspec.Struct, frozen=True):
    """Squares of a print that lie ready cut."""

    material: str
    count: int
    needed: int
    size_text: str
    says: str


class Washed(msgspec.Struct, frozen=True):
    """What bought cloth comes to once it is washed, mm; None where nobody measured."""

    length_mm: float | None
    usable_mm: float | None
    text: str


class BuyReport(Buy, frozen=True, kw_only=True):
    """One line of the shopping list; `washed`: None where cloth is cut as it is sold."""

    text: str
    item_text: str
    washed: Washed | None


class Shown(msgspec.Struct, frozen=True):
    """A number that stands large beside a step."""

    name: str
    label: str
    text: str
    value: Value
    unit: str


class StepReport(msgspec.Struct, frozen=True, omit_defaults=True):
    """One step of the plan. `texts` where they were asked for; `likely_s` where a forecast stands beside it."""

    key: str
    number: int
    stage: str
    stage_title: str
    title: str
    pieces: int
    piece: str
    count: str
    station: str
    pace_s: float
    pace_from: str
    hands_on_s: float
    hands_on_text: str
    beginner_factor: float
    waits_s: float | None
    together: str | None
    measure: str | None
    within_mm: float | None
    shows: tuple[Shown, ...]
    picture: str | None
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    safety: bool
    count_in: str
    written: str = field(name="from")
    texts: dict[str, str] = {}
    likely_s: float | None = None


class StepPace(msgspec.Struct, frozen=True):
    """What a step takes by the maker's own times; None, or nothing: as planned."""

    hands_on_s: float | None = None
    pace_s: float | None = None
    pace_from: str = ""
    likely_s: float | None = None


class Steps(msgspec.Struct, frozen=True):
    """What some steps take; `stage` and `title` are those of the first."""

    stage: str
    title: str
    steps: int
    hands_on_s: float
    hands_on_text: str


class StageWork(Steps, frozen=True):
    """What is to be done in one stage."""

    waits_text: str


class StationWork(Steps, frozen=True):
    """What is to be done at one station."""

    station: str


class Stretch(Steps, frozen=True):
    """Steps of one stage that follow each other in the order of work, from the step of number `first`."""

    first: int


class Work(msgspec.Struct, frozen=True):
    """What is to be done, by stage, by station and in the order of work: each adds up to the same total."""

    stages: tuple[StageWork, ...]
    stations: tuple[StationWork, ...]
    order: tuple[Stretch, ...]


class SpanReport(msgspec.Struct, frozen=True):
    """A likely figure, and the 80 % interval round it where there is one."""

    likely: float
    low: float | None
    high: float | None


class ForecastReport(msgspec.Struct, frozen=True, omit_defaults=True, kw_only=True):
    """What the plan will take, s. Starter paces alone are estimates: they have no interval, and no clock."""

    hands_on_s: SpanReport
    clock_s: SpanReport | None = None
    waiting_s: float
    resting_s: float
    text: str
    range_text: str = ""
    rests_on: str = field(name="from")
    says: tuple[str, ...] | None = None
    standard_s: float | None = None


class PricePart(msgspec.Struct, frozen=True):
    """One part of one article's price."""

    name: str
    amount: str


class CostLine(PricePart, frozen=True):
    """One line of the cost."""

    how: str


class CostReport(msgspec.Struct, frozen=True):
    """The cost of all makes and the price of one, taken apart."""

    currency: str
    unpriced: bool
    make: int
    cloth_used: str
    cloth_bought: str
    cloth_text: str
    materials: str
    materials_bought: str
    labour: str
    overhead: str
    cost: str
    each: str
    price: str
    price_text: str
    given: bool
    price_low: str | None
    price_high: str | None
    hours_text: str
    resting_text: str
    lines: tuple[CostLine, ...]
    apart: tuple[PricePart, ...]
    hourly: str | None
    margin_text: str
    markup_text: str
    basis: str
    says: tuple[str, ...]
    left_out: tuple[str, ...]
    on_hand: bool


class Left(msgspec.Struct, frozen=True):
    """What is left of a session by its forecast, s."""

    done_s: float
    hands_on_s: SpanReport
    waiting_s: float
    today: float
    says: str
    assumes: tuple[str, ...]


class Sittings(msgspec.Struct, frozen=True, omit_defaults=True, kw_only=True):
    """How many sittings it takes and, where a day is named, the chance."""

    sitting_s: float
    needed: Span
    chances: tuple[float, ...]
    rests_on: str = field(name="from")
    start: str = ""
    by: str = ""
    sittings: int | None = None
    chance: float | None = None
    answer: str = ""
    says: str
