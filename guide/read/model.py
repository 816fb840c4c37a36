"""What a project file and a stage file say, once they have been checked.

Lengths are floats in mm, times floats in s, ratios fractions (4 % is 0.04), money `Decimal`.
`None` means the project does not have that thing (no wadding: `wadding_gap` is None).
"""

from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any, Literal, TypeVar, get_args

import msgspec

from guide.errors import NeedsMending

_Item = TypeVar("_Item")
_By = TypeVar("_By")
Dim = Literal["length", "area", "time", "weight", "count", "ratio", "text", "flag"]
Kind = Literal[
    "length", "count", "percent", "money", "rate", "text", "choice", "flag", "duration", "weight", "cloth_weight",
    "colour", "photo", "formula", "number", "size", "map", "list", "either", "names",
]  # fmt: skip
_DIMS: dict[Kind, Dim] = {
    "length": "length", "count": "count", "percent": "ratio", "choice": "text", "flag": "flag", "duration": "time",
    "weight": "weight",
}  # fmt: skip


class Place(msgspec.Struct, frozen=True):
    """Where something is written: 1-based line and column, counted in characters; line 0 is no file's."""

    file: str
    line: int
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file

    @property
    def exact(self) -> str:
        """The place down to its column."""
        return f"{self}:{self.column}" if self.line else self.file


class Key(msgspec.Struct, frozen=True):
    """One key of a file: what may be written, what holds when nothing is, and what formulas call it.

    Reading, the JSON schema, the docs and the names of formulas come from it alone. Bounds are in mm, s, g, or plain.
    """

    kind: Kind
    says: str = ""  # its line in the docs, units included
    required: bool = False
    default: str | None = None  # as a maker would write it; `seam`, `seam − 1/8 in`: from another key
    metric: str | None = None  # the same in a metric project, where it is another
    at_least: float | None = None
    over: float | None = None
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    per: tuple[str, ...] = ()  # rate: what money may be per; count: the unit that is counted
    keys: dict[str, "Key"] = {}  # map
    one_of: tuple[str, ...] = ()  # map: one of these keys must be there
    item: "Key | None" = None  # list; or the values of a map of free names
    options: tuple["Key", ...] = ()  # either: told apart by what is written
    longest: int = 2000  # text
    name: str = ""  # what formulas call it; "": they cannot
    needs: str = ""  # wadding, or a closure: where the project has none of it, its value is none
    at: tuple[str, ...] = ()  # of a stage: where it stands in a project
    stage: str = ""
    place: Place | None = None  # where the stage's file says so
    small_part: bool = False  # what it sizes or counts is on the piece, and a mouth can take it off
    cord: bool = False  # the same of a tie, a cord, a loop

    @property
    def dim(self) -> Dim:
        """What formulas take it for."""
        return "length" if self.kind == "count" and self.per else _DIMS[self.kind]

    def bound_missed(self, value: float | Decimal) -> str:
        """Name the bound that a number does not keep: at_least, over or at_most; nothing where it keeps all."""
        missed = {
            "at_least": self.at_least is not None and value < self.at_least,
            "over": self.over is not None and value <= self.over,
            "at_most": self.at_most is not None and value > self.at_most,
        }
        return next((bound for bound, is_so in missed.items() if is_so), "")

    @property
    def when_absent(self) -> str:
        """What is taken when nothing is written, for the docs."""
        return f"{self.default} (metric: {self.metric})" if self.metric else self.default or ""


class Rate(msgspec.Struct, frozen=True):
    """Money per length, per hour or per piece; `per` is in mm, s or 1."""

    amount: Decimal
    per: float


class Remnant(msgspec.Struct, frozen=True):
    """A rectangle of cloth on hand, mm; the length runs along the grain. `straight` ones need no trimming."""

    width: float
    length: float
    count: int = 1
    straight: bool = False


class Cloth(msgspec.Struct, frozen=True):
    """A kind of cloth. The figures are what quilting cotton was always reckoned at, unless a kind is named."""

    name: str
    weight: float = 150.0  # g, of a square metre
    thickness: float = 0.25  # mm, one layer squeezed in a seam
    shrinks_length: float = 0.0  # a fraction
    shrinks_width: float = 0.0
    shrinks_known: tuple[str, ...] = ()
    frays: Literal["well", "softly", "little", "not"] = "well"
    fills_after: int = 2  # washes until the fringe has filled out
    needle: int = 60  # the thinnest it may be, metric number
    stitch: float = 2.5  # mm
    pace: float = 1.0  # times a maker's usual time
    cut_layers: int = 4  # layers the cutter goes through at once
    slips: bool = False  # layers do not cling
    washing: str = ""
    figures: Literal["practice", "memory", "measured"] = "memory"  # where they come from
    place: Place | None = None  # where the kind is written

    @property
    def woven(self) -> bool:
        """Whether it frays at all, so that it can be a print."""
        return self.frays != "not"


class Print(msgspec.Struct, frozen=True):
    """A patterned cloth of the project."""

    name: str
    width: float = 0.0
    selvedge: float = 0.0
    price: Rate | None = None
    shrinks_length: float = 0.0
    shrinks_width: float = 0.0
    shrinks_known: tuple[str, ...] = ()  # length, width: those that are written, 0 % too
    one_way: bool = False
    at_most: int | None = None
    on_hand: tuple[Remnant, ...] = ()
    ready_squares: int = 0
    shelf: bool = False  # what is on hand is what lies on the shelf
    use_up: bool = False
    reverse: str | None = None
    colour: str | None = None  # #rrggbb
    photo: str | None = None  # a file beside the project
    weight: float | None = None  # g/m²
    kind: Cloth = Cloth("")  # what it is made of
    thickness: float | None = None  # mm squeezed, where the print says it itself


class Extra(msgspec.Struct, frozen=True):
    """A notion bought whole: so many `each` make or project."""

    name: str
    price: Decimal
    each: Literal["make", "project"] = "make"
    count: int = 1


class Labour(msgspec.Struct, frozen=True):
    """What an hour is worth, and the rest allowance on it."""

    rate: Rate | None = None
    allowance: float = 0.0


class Day(msgspec.Struct, frozen=True):
    """A day at a stall: what it costs, its hours, and how many are sold on it."""

    sells: float
    pitch: Decimal = Decimal(0)
    hours: float = 0.0  # there
    road: float = 0.0  # hours there and back


class Sell(msgspec.Struct, frozen=True):
    """What selling costs, at one place."""

    margin: float = 0.0
    overhead: Rate | None = None
    fee: float = 0.0
    fee_each: Decimal = Decimal(0)
    packing: Decimal = Decimal(0)
    tax: float = 0.0
    round_up_to: Decimal | None = None
    part: float = 0.0  # of the price before tax, that a shop keeps
    unsold: float = 0.0  # of what is made, that nobody buys
    sale_takes: float = 0.0  # s of the maker's own for each sale
    day: Day | None = None
    at: str = ""  # the place's name; none: the only one
    places: tuple["Sell", ...] = ()  # all that have a name, and this is the first of them

    @property
    def keeps(self) -> float:
        """What others keep of a price before tax: the fee is on what the buyer pays, with the tax in it."""
        return self.part + self.fee * (1 + self.tax)


Rank = Literal["print", "project", "machine", "cloth", "default"]
RANKS: tuple[Rank, ...] = get_args(Rank)  # of what says a value: the first of them wins


class Given(msgspec.Struct, frozen=True):
    """One flat input: a name the formulas may use, and where its value was written."""

    name: str
    value: float | str | bool | None
    dim: Dim
    written: str | None = None  # as the maker wrote it
    place: Place | None = None  # None: a default
    rank: Rank = "default"
    over: tuple["Given", ...] = ()  # what would hold without it, the next first
    because: str = ""  # of a figure that kinds of cloth give: which, where written, how sure


def strongest(values: Iterable[Given]) -> Given:
    """Choose between values of one name by what says them; what loses stays with the one that wins."""
    first, *rest = sorted(values, key=lambda one: RANKS.index(one.rank))
    return msgspec.structs.replace(first, over=tuple(rest))


class Project(msgspec.Struct, frozen=True):
    """A whole project file. The numbers the sums use are in `given`, by flat name."""

    title: str
    kind: str
    for_whom: str
    make: int
    units: Literal["inch", "metric"]
    words: Literal["british", "american"]
    across: int
    down: int
    above: int
    below: int
    closure: str  # zip | envelope | none | a closure a stage file adds
    back: str  # patchwork | plain | none (a throw)
    back_cloth: str | None
    quilting: str
    prints: tuple[Print, ...]
    wadding: bool
    wadding_price: Rate | None
    stages: tuple[str, ...]
    extras: tuple[Extra, ...]
    labour: Labour
    sell: Sell
    currency: str
    thread_price: Decimal | None
    given: dict[str, Given]
    file: str  # the path as given
    text: str  # the whole file, for the journal
    seed: int = 0
    stacks: Literal["free", "rotate"] = "free"
    target: dict[str, Any] | None = None
    wadding_kind: Cloth = Cloth("")
    closure_price: Decimal | None = None
    washed_first: bool = False  # every print is washed before it is cut; what is on hand has been


class PaceTerm(msgspec.Struct, frozen=True):
    """One term of a pace: seconds, and what they are per."""

    seconds: float
    per: Literal["step", "piece", "m", "effort"]
    noun: str = ""  # the effort's own word: snip, square


class Formula(msgspec.Struct, frozen=True):
    """A formula as text, with where it stands."""

    text: str
    place: Place


class Sum(msgspec.Struct, frozen=True):
    """A name a stage works out."""

    name: str
    formula: Formula
    stage: str


class PartSpec(msgspec.Struct, frozen=True):
    """Something cutting must cut: formulas for width, height and count; the cloth by name or word."""

    name: str
    cloth: str
    width: Formula
    height: Formula
    count: Formula
    place: Place
    when: Formula | None = None
    small_part: bool = False
    cord: bool = False


TEXTS = ("do", "why", "if_wrong", "beginner", "good_enough")  # of a step


class StepSpec(msgspec.Struct, frozen=True):
    """A step as written in a stage file."""

    id: str
    title: str
    place: Place
    do: str = ""
    why: str = ""
    if_wrong: str = ""
    beginner: str = ""
    good_enough: str = ""
    when: Formula | None = None
    each: str | None = None
    repeat: Formula | None = None
    count: Literal["each", "batch", "none"] = "each"
    piece: str = "piece"
    together: str | None = None
    station: Literal["table", "machine", "iron", "floor", "washer"] = "table"
    pace: tuple[PaceTerm, ...] = ()
    handling: float | None = None  # s of a piece's pace; the rest of it goes with its effort
    usual: Formula | None = None  # the effort that pace is for
    pace_factor: Formula | None = None  # on that pace: a large piece, many layers
    beginner_factor: float = 1.0
    effort: Formula | None = None
    waits: float | None = None
    cue: str | None = None
    measure: str | None = None
    within: Formula | None = None
    shows: tuple[tuple[str, str], ...] = ()  # (name, label): values that stand large beside the step
    picture: str | None = None  # which picture helps here: faces, stack, cross, seam, snips, zip …
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    cautions_when: dict[str, Formula] = {}  # of those, what hurts only when this holds
    safety: bool = False  # it protects somebody: it stays, is never put off, and a skip needs its reason
    count_in: str = ""  # what went out and must be back; both numbers are typed before the step is done
    needs: tuple[str, ...] | None = None  # stage/id of steps it waits for; None: the one before it
    before: str | None = None
    after: str | None = None


class Label(msgspec.Struct, frozen=True):
    """What a number is called for people, and in which group of the plan's table it stands (none: in no table)."""

    text: str
    group: str | None = None


class Stage(msgspec.Struct, frozen=True):
    """A stage file."""

    name: str
    title: str
    file: str
    text: str
    when: Formula | None = None
    adds: dict[str, tuple[str, ...]] = {}  # choices this file adds: {kind: (runner,), closure: (ties,)}
    inputs: tuple[Key, ...] = ()  # of its own in project files
    sums: tuple[Sum, ...] = ()
    labels: dict[str, Label] = {}  # in the order they are told in
    parts: tuple[PartSpec, ...] = ()
    steps: tuple[StepSpec, ...] = ()


# Mistakes in files, as values: all of them, sorted by place, each with its line and a caret.

MOST_TOLD = 100  # mistakes of formulas, names and texts looked for; the rest are told once these are mended


class Problem(msgspec.Struct, frozen=True, order=True):
    """One mistake (or hint) at one place; line and column are 1-based."""

    file: str
    line: int
    column: int
    path: str
    message: str
    hint: bool = False  # worth saying, not worth stopping for
    since: bool = False  # asked of a file to work from only: texts that a journal keeps were good by the rules of then

    def __str__(self) -> str:
        where = f"{self.path}: " if self.path else ""
        return f"{Place(self.file, self.line, self.column).exact}: {where}{self.message}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Give ` (did you mean …?)` for a near miss, or nothing."""
    import difflib  # noqa: PLC0415 - only for a slip

    words = list(known)
    near = difflib.get_close_matches(word, words, n=1, cutoff=0.6) or [w for w in words if word in w.split("_")][:1]
    return f" (did you mean {near[0]}?)" if near else ""


def one_of(words: Sequence[str]) -> str:
    """Give `a, b or c`."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def no_more(problems: Sequence[Problem]) -> list[Problem]:
    """Say after the last of very many mistakes that there may be more."""
    if len(problems) < MOST_TOLD:
        return []
    said = f"{MOST_TOLD} mistakes and more: what else is wrong is told once these are mended"
    return [msgspec.structs.replace(max(problems), path="", message=said)]


@lru_cache(maxsize=16)
def lines_of(text: str) -> tuple[str, ...]:
    """Cut a text into its lines, once for all the places in it."""
    return tuple(text.split("\n"))


def describe(problems: Iterable[Problem], texts: dict[str, str] | None = None) -> str:
    """Write problems out, by place, with the line and a caret where the text is at hand."""
    out: list[str] = []
    for problem in sorted(set(problems)):
        out.append(str(problem) + ("  (a hint)" if problem.hint else ""))
        text = (texts or {}).get(problem.file)
        lines = lines_of(text) if text is not None else ()
        if 0 < problem.line <= len(lines) and (line := lines[problem.line - 1]).strip():
            shown, column = _window(line, problem.column)
            out += [f"    {shown}", f"    {' ' * (column - 1)}^"]
    return "\n".join(out)


def _window(line: str, column: int, width: int = 96) -> tuple[str, int]:
    """Cut a long line to what fits round its column."""
    clean = "".join(c if c.isprintable() else " " for c in line)
    if len(clean) <= width:
        return clean, column
    start = max(0, min(column - 1 - width // 2, len(clean) - width))
    return clean[start : start + width], column - start


def mend(problems: Iterable[Problem], texts: dict[str, str] | None = None) -> NeedsMending:
    """Make the error that carries all problems of a reading."""
    found = [p for p in problems if not p.hint]
    count = f"{len(set(found))} things need" if len(set(found)) > 1 else "One thing needs"
    return NeedsMending(f"{describe(found, texts)}\n{count} mending; nothing was written.")


def grouped(items: Iterable[_Item], key: Callable[[_Item], _By]) -> dict[_By, list[_Item]]:
    """Gather things by what `key` says of each, in the order they come."""
    out: dict[_By, list[_Item]] = {}
    for item in items:
        out.setdefault(key(item), []).append(item)
    return out
