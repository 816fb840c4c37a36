"""The plan of a project: every number, the layout, the cutting, the shopping and the steps.

Lengths mm, areas mm², times s, counts and ratios plain. Plain frozen data; made in `guide.plan.make`.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

import msgspec

from guide.read.model import Dim, Given, Place, Project, Rank


class Called(msgspec.Struct, frozen=True):
    """What a number is called for people, and where the plan's table shows it."""

    text: str  # of two that share a label, such as a width and a height, with its side
    row: str  # the label, which such a pair shares
    group: str | None
    rank: int  # in the order of the work


class Quantity(msgspec.Struct, frozen=True):
    """One number (or text) of the graph: an input, a sum, or a sum that has been measured."""

    name: str
    value: float | str | bool | None  # None: does not apply
    dim: Dim
    formula: str | None = None  # None: an input
    place: Place | None = None  # None: a default of the program
    stage: str | None = None
    written: str | None = None  # an input as the maker wrote it
    measured: bool = False
    planned: float | None = None  # what it was planned at, when measured
    rank: Rank | None = None  # of an input: what says it
    over: tuple[Given, ...] = ()  # of an input: what would hold without that
    because: str = ""  # of a figure that kinds of cloth give: which, where written, how sure
    called: "Called | None" = None  # None: its stage gives it no label


Quantities = Mapping[str, Quantity]


def number(quantities: Quantities, name: str) -> float | None:
    """Give a quantity as a number; None where it does not apply, is none, or is a text or a yes or no."""
    quantity = quantities.get(name)
    return _number(quantity.value) if quantity else None


def _number(value: float | str | bool | None) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


_FIRST = ("closure", "sizes", "sewing", "pieces")  # what a maker cuts and closes by is told before what is counted


def told_first(quantities: Quantities) -> list[str]:
    """Put the names that the plan's table shows in the order in which their changes are told."""
    shown = [
        (_FIRST.index(q.called.group), q.called.rank, name)
        for name, q in quantities.items()
        if q.called and q.called.group
    ]
    return [name for _, _, name in sorted(shown)]


class Block(msgspec.Struct, frozen=True):
    """A stack of squares, front face first, at its place in the panel (1-based, front seen)."""

    row: int
    column: int
    stack: tuple[str, ...]


Outcome = Literal["found", "not found", "impossible", "as laid"]  # as laid: by hand, so nothing was looked for


class Layout(msgspec.Struct, frozen=True):
    """One panel's stacks, row by row. Matches count side neighbours with the same print on a face."""

    across: int
    down: int
    seed: int
    blocks: tuple[Block, ...]
    front_matches: int
    back_matches: int
    diagonal_matches: int
    outcome: Outcome
    reason: str | None = None  # in figures, when a print meets itself

    @property
    def stacks(self) -> dict[tuple[int, int], tuple[str, ...]]:
        """Every stack by its row and column."""
        return {(block.row, block.column): block.stack for block in self.blocks}


class Part(msgspec.Struct, frozen=True):
    """Rectangles to cut from one material, all alike; the height runs along the cloth's length."""

    name: str
    material: str
    width_mm: float
    height_mm: float
    count: int
    one_way: bool = False  # may not be turned


class Placement(msgspec.Struct, frozen=True):
    """Where one part lies on a cloth: x across the whole width, y along the length."""

    part: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool
    strip: int  # 1-based, in cutting order on this cloth
    order: int  # 1-based, over the whole cloth


class Area(NamedTuple):
    """A rectangle by its edges, mm; x runs along the strip, y through it."""

    left: float
    low: float
    right: float
    high: float

    @property
    def turned(self) -> "Area":
        """A rectangle of a cloth as it is seen along its strips, or back, where those run with the grain."""
        return Area(self.low, self.left, self.high, self.right)

    @property
    def size(self) -> tuple[float, float]:
        """Its sides, along the strip and through it."""
        return self.right - self.left, self.high - self.low

    def moved(self, x: float, y: float) -> "Area":
        """The same moved by so much, mm."""
        return Area(self.left + x, self.low + y, self.right + x, self.high + y)


class Lying(NamedTuple):
    """A part where it lies, seen along its strip."""

    area: Area
    part: str


class CutStrip(NamedTuple):
    """A strip as it is cut: its number on the cloth, its whole area, the parts from its left end."""

    number: int
    area: Area
    lying: tuple[Lying, ...]

    @classmethod
    def of(cls, number: int, lying: Sequence[Lying], end: float) -> "CutStrip":
        """Give the strip that holds these parts, from one side of its cloth to the other, `end`."""
        low, high = min(one.area.low for one in lying), max(one.area.high for one in lying)
        return cls(number, Area(0.0, low, end, high), tuple(lying))

    @property
    def setting(self) -> float:
        """The ruler's setting that cuts it, mm."""
        return self.area.high - self.area.low


class CutCloth(msgspec.Struct, frozen=True):
    """One piece of cloth as it lies on the table (washed, where cloth is washed first) and what is cut from it."""

    width_mm: float  # the whole width, selvedges too
    length_mm: float
    bought: bool
    placements: tuple[Placement, ...]
    strips: tuple[CutStrip, ...] = ()  # in cutting order, the same parts as `placements`
    along: bool = False  # its strips run with the grain: the first cuts go along its length
    selvedge_mm: float = 0.0  # on each side; pieces on hand are taken as without
    trim_mm: float = 0.0  # cut off one side and one end of a piece on hand, to straighten it


class LeftOver(msgspec.Struct, frozen=True):
    """A usable rectangle that is left."""

    width_mm: float
    height_mm: float


class Cutting(msgspec.Struct, frozen=True):
    """How one material is cut, for all makes; lengths as they lie on the table, but for `buy_mm`."""

    material: str
    use_mm: float  # length used from bought cloth, straightening included
    buy_mm: float  # what gives that, as sold, in the shop's steps
    bound_mm: float  # area / usable width
    cuts: int
    ruler_settings: int
    cloths: tuple[CutCloth, ...]
    left_over: tuple[LeftOver, ...] = ()


class Buy(msgspec.Struct, frozen=True):
    """One line of the shopping list; numbers as text, as they are shown and as money is kept."""

    counter: str  # cloth | wadding | notions | thread
    item: str
    quantity: str
    unit: str
    price: str | None
    cost: str | None
    price_text: str | None = None  # the price as the project wrote it: per another length than `unit`, it may be


class Cut(msgspec.Struct, frozen=True):
    """What is decided and cut before anything can be measured; made in `guide.plan.make`."""

    project: Project  # every size settled
    panel: Layout | None  # one make's, as it was cut for
    backing: Layout | None
    tables: dict[str, list[dict[str, Any]]]  # what the steps cut: prints, cuts, parts and cloths, row by row
    cutting: tuple[Cutting, ...]  # with the squares cut again since
    shopping: tuple[Buy, ...]
    ready: dict[str, int] = {}  # squares that lie ready cut, by print
    scarce: tuple[str, ...] = ()  # said of each print of which fewer are cut to spare than was asked for


class Step(msgspec.Struct, frozen=True):
    """One step of this project. Texts are templates until `guide.show` renders them."""

    key: str  # stage/id, or stage/id:row when the step is one of an `each`
    stage: str
    stage_title: str
    id: str
    title: str
    pieces: int
    piece: str
    count: Literal["each", "batch", "none"]
    station: str
    pace_s: float  # starter pace per piece: the whole step's starter time / pieces
    beginner_factor: float
    effort: float | None  # for one piece; m when a length, else a count
    effort_noun: str  # m, snip, square … or ""
    place: Place
    together: str | None = None
    waits_s: float | None = None
    cue: str | None = None
    measure: str | None = None
    within_mm: float | None = None
    shows: tuple[tuple[str, str], ...] = ()  # (name, label)
    picture: str | None = None
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    texts: dict[str, str] = {}  # do, why, if_wrong, beginner, good_enough (those that are written)
    row: dict[str, Any] | None = None  # the table row of an `each`
    safety: bool = False  # it protects somebody: never put off, never skipped without a reason
    count_in: str = ""  # what went out and must be back: both numbers are typed
    effort_s: float = 0.0  # of pace_s, what grows with a piece's effort; the rest is handling
    needs: tuple[str, ...] = ()  # keys of the steps that must be done first
    of_makes: bool = True  # its pieces are shared out over the makes; False: they are of all of them


class Warned(msgspec.Struct, frozen=True):
    """Something that will work but may disappoint: said, never refused."""

    name: str
    text: str


class Advice(msgspec.Struct, frozen=True):
    """Needle, stitch and pressure for one kind of place, with its reason and its source."""

    place: str
    layers: int
    needle: str  # metric number and size: 90/14
    stitch: str
    pressure: str
    why: str
    source: str


class Trouble(msgspec.Struct, frozen=True):
    """What can go wrong at some stations: what is done first so that nobody is hurt, and what helps."""

    name: str
    at: tuple[str, ...]
    safe: tuple[str, ...] = ()
    helps: tuple[str, ...] = ()
    first_aid: str = ""  # the guide's own words for it: jam, broken_needle


class Plan(msgspec.Struct, frozen=True):
    """Everything worked out from one project and its stages."""

    project: Project
    quantities: dict[str, Quantity]
    steps: tuple[Step, ...]
    layout: Layout | None
    backing: Layout | None
    cutting: tuple[Cutting, ...]
    shopping: tuple[Buy, ...]
    cautions: tuple[str, ...]
    warnings: tuple[Warned, ...] = ()
    advice: tuple[Advice, ...] = ()
    ready: dict[str, int] = {}  # squares that lie ready cut, by print
    troubles: tuple[Trouble, ...] = ()  # in the order they are offered
    told: tuple[tuple[str, str], ...] = ()  # beside the numbers: what it is called, and what is said of it
    machines: tuple[str, ...] = ()  # the maker's, by name
    machine: str = ""  # the one in use

    def number(self, name: str) -> float | None:
        """Give a quantity as a number: mm, or plain; None where there is none."""
        return number(self.quantities, name)


def expected(plan: Plan, name: str) -> float | None:
    """What a size was planned at, mm: the sum from what was measured before it, not from itself."""
    quantity = plan.quantities.get(name)
    return _number(quantity.planned if quantity.measured else quantity.value) if quantity else None
