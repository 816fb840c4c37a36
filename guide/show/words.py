"""Words: a plan's numbers as a maker says them, a step's texts with the numbers in, British or American."""

import re
from collections.abc import Container, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from guide.plan.model import Plan, Quantity, Step
from guide.plan.parts import ruler_of
from guide.read.model import Dim
from guide.read.spoken import labelled
from guide.read.stage_keys import TABLES
from guide.read.units import Units, show_length, show_thread, show_weight
from guide.record.clock import SHORT_MS, nearest, shared_out, time_text
from guide.record.model import Correction

NONE = "does not apply"
_ROUGH = re.compile(r"\b(about(?: every)?|within|up to|more than|miss(?:es)? by) ≈ ", re.IGNORECASE)
NO_BREAK = "\u00a0"
_HELD = re.compile(
    r"(?<=≈) (?=\d)|(?<=\d) (?=\d+/\d)|(?<=[\d½¼¾]) (?=(?:mm|cm|m|in|yd)\b)"
    r"|(?<=\brow|umn|mns) (?=\d)"
)


class Said(NamedTuple):
    """A time as it is printed, s: what whoever adds up reads; and its words."""

    seconds: int
    text: str


def text_of(quantity: Quantity, units: Units) -> str:
    """Say one quantity: a length in the maker's units, an input as it was written."""
    value = quantity.value
    if value is None:
        return NONE
    if quantity.written is not None and quantity.formula is None:
        return quantity.written
    sewn = quantity.formula is not None and quantity.name.startswith("thread")  # not the end that is left loose
    if sewn and quantity.dim == "length" and isinstance(value, float):
        return show_thread(value, units)
    return value_text(value, quantity.dim, units)


def value_text(value: float | str | bool, dim: str, units: Units) -> str:
    """Say a value of a dimension: mm, mm², s, a ratio as %, a count plain."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if dim == "length":
        return show_length(value, units)
    if dim == "ratio":
        return f"{value * 100:z.3g} %"
    if dim == "time":
        return time_text(value)
    if dim == "weight":
        return show_weight(value, units)
    if dim == "area":
        return f"{value / 645.16:,.0f} sq in" if units == "inch" else f"{value / 100:,.0f} cm²"
    return f"{round(value):,}" if abs(value - round(value)) < 1e-9 else f"{value:z,.2f}"


def minutes_each(times: Sequence[float], total_s: int | None = None, fixed: Container[int] = ()) -> list[Said]:
    """Say times, s, that stand above their total, so that as they are printed they add up to it as it is printed.

    `total_s`: what is printed of the total, where that was itself shared out of a larger one. Short times stay in
    seconds, `fixed` ones (by index) are the nearest minute because what they are made of is short; the rest of the
    minutes is shared out among the others.
    """
    ms = [round(time * 1000) for time in times]
    short = [i for i, one in enumerate(ms) if one < SHORT_MS]
    free = [i for i, one in enumerate(ms) if one >= SHORT_MS and i not in fixed]
    seconds = shared_out([ms[i] for i in short], 1000, total_s if sum(ms) < SHORT_MS else None)
    out = {i: Said(60 * nearest(one / 1000, 60), time_text(one / 1000, in_minutes=True)) for i, one in enumerate(ms)}
    out |= {i: Said(one, f"{one} s") for i, one in zip(short, seconds, strict=True)}
    whole = nearest(sum(ms) / 1000 if total_s is None else total_s, 60)
    left = whole - nearest(sum(one.seconds for i, one in out.items() if i not in free), 60)
    shares = shared_out([ms[i] for i in free], 60_000, left)
    out |= {i: Said(60 * one, time_text(60 * one, in_minutes=True)) for i, one in zip(free, shares, strict=True)}
    return [out[i] for i in range(len(ms))]


def unbroken(text: str) -> str:
    """Hold a length, a row, a column in a text together: the blanks in `≈ 7 1/16 in` are no place to break a line."""
    return _HELD.sub(NO_BREAK, text)


class Names(Mapping[str, Any]):
    """The names a text may print, each said when it is asked for: lengths as said, counts as numbers, texts plain."""

    def __init__(self, plan: Plan, step: Step | None = None) -> None:
        self.plan, self.row = plan, (step.row if step is not None else None) or {}

    def __getitem__(self, name: str) -> Any:
        if name in self.row:
            return self._in_row(self.row[name], _COLUMNS.get(name))
        quantity = self.plan.quantities[name]
        return _printed(quantity.value, quantity, self.plan.project.units)

    def _in_row(self, value: Any, dim: Dim | None) -> Any:
        if dim == "weight" and isinstance(value, float):
            return show_weight(value, self.plan.project.units)
        return ruler_of(self.plan.project).told(value) if dim == "length" else value

    def __contains__(self, name: object) -> bool:
        return name in self.row or name in self.plan.quantities

    def __iter__(self) -> Iterator[str]:
        return iter({**self.plan.quantities, **self.row})

    def __len__(self) -> int:
        return len({**self.plan.quantities, **self.row})


_COLUMNS: dict[str, Dim] = {column: dim for table in TABLES.values() for column, dim in table.items()}


def _printed(value: float | str | bool | None, quantity: Quantity, units: Units) -> Any:
    if value is None:
        return NONE
    if quantity.dim == "count" and isinstance(value, float) and value == round(value):
        return round(value)
    return value if isinstance(value, bool | str) else text_of(quantity, units)


def render_step(plan: Plan, step: Step) -> dict[str, str]:
    """Print a step's texts: do, why, if_wrong, beginner, good_enough (those that are written)."""
    from guide.read.template import TemplateProblem, plainly, render  # noqa: PLC0415 - only where texts are printed

    values, words = Names(plan, step), plan.project.words
    dims = {name: quantity.dim for name, quantity in plan.quantities.items()} | (_COLUMNS if step.row else {})
    numbers = {name: quantity.value for name, quantity in plan.quantities.items()} | dict(step.row or {})
    out: dict[str, str] = {}
    for key, text in step.texts.items():
        try:
            out[key] = _ROUGH.sub(r"\1 ", render(text, values, words, numbers, dims))
        except TemplateProblem:  # a text that a journal kept from when it was taken for good
            out[key] = plainly(text, values, words)
    return out


def shown_values(plan: Plan, step: Step) -> list[tuple[str, str]]:
    """Give the values that stand large beside a step: (value, label).

    What the step itself measures stands there twice once it is written: as planned, and as measured.
    """
    names, units = Names(plan, step), plan.project.units
    out: list[tuple[str, str]] = []
    for name, label in step.shows:
        if names.get(name, NONE) == NONE:
            continue
        quantity = plan.quantities.get(name)
        if quantity is not None and quantity.dim == "count" and quantity.value == 0:
            continue
        worded = labelled(label, str(names[name]))
        if name == step.measure and quantity is not None and quantity.measured and quantity.planned is not None:
            out += [(value_text(quantity.planned, quantity.dim, units), worded), (_large(names[name]), "measured")]
        else:
            out.append((_large(names[name]), worded))
    return out


def _large(value: Any) -> str:
    return f"{value:,}" if isinstance(value, int) and not isinstance(value, bool) else str(value)


def named_steps(plan: Plan) -> dict[str, str]:
    """Give the name of every step of a plan by its key: `2 Cut: moss check`."""
    return {step.key: f"{number} {step.title}" for number, step in enumerate(plan.steps, 1)}


def name_correction(one: Correction, names: Mapping[str, str]) -> str:
    """Say what was put right: `14 Sew the cross: length`."""
    aspect = one.aspect.replace("_", " ")
    return f"{names.get(one.step, one.step)}: {aspect}" if one.step else aspect or one.what


def sides(one: Correction, names: Mapping[str, str], units: Units) -> tuple[str, str]:
    """Say what stood there and what stands there now: sizes in the maker's units, steps by name."""
    was, now = (_size(side, units) if one.sized else by_name(side, names) for side in (one.was, one.now))
    return was, now


def _size(side: str, units: Units) -> str:
    return show_length(float(side.removesuffix(" mm")), units) if side else ""


def by_name(text: str, names: Mapping[str, str]) -> str:
    """Put steps' names for their keys in a sentence of the record."""
    for key in sorted(names, key=len, reverse=True):
        text = text.replace(key, names[key])
    return text
