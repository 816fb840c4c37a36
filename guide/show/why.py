"""Where a number comes from: its formula, the same with values in, and each value down to the project's line."""

import re
from collections.abc import Mapping
from typing import Any

import msgspec

from guide.plan.graph import Need
from guide.plan.model import Quantity
from guide.read.model import Given, Rank
from guide.read.units import Units
from guide.show.words import text_of

_NAME = re.compile(r"'[^']*'|[A-Za-z_][A-Za-z_0-9]*")
OF_RANK: dict[Rank | None, str] = {"machine": "your machine", "cloth": "the kind of cloth"}
BRANCH, LAST, DOWN, SPACE = "├╴", "└╴", "│ ", "  "


def why_lines(need: Need, quantities: Mapping[str, Quantity], units: Units) -> list[str]:
    """Draw the tree; a name already told is not told twice."""
    drawing = _Drawing(quantities, units)
    drawing.branch(need, "", "")
    return drawing.out


def why_dict(need: Need, quantities: Mapping[str, Quantity], units: Units) -> dict[str, Any]:
    """Give the same tree as plain data."""
    quantity = need.quantity
    return {
        "name": quantity.name,
        "value": quantity.value,
        "text": text_of(quantity, units),
        "formula": quantity.formula,
        "with_values": with_values(need, quantities, units),
        "from": where(quantity),
        "rank": quantity.rank,
        "instead_of": [
            {"rank": one.rank, "value": one.value, "text": text_of(one, units), "from": where(one)}
            for one in map(_of, quantity.over)
        ],
        "measured": quantity.measured,
        "planned": quantity.planned if quantity.measured else None,
        "needs": [why_dict(inner, quantities, units) for inner in need.needs],
    }


def where(quantity: Quantity) -> str:
    """Tell where a value is written: in the project, or in the stage whose formula or default it is."""
    if quantity.because:
        return quantity.because
    return "a default" if quantity.place is None else str(quantity.place)


def _said_by(quantity: Quantity) -> str:
    """Name where a value is written, and whose word it is, where that is not plain from its place."""
    whose = OF_RANK.get(quantity.rank)
    return f"{where(quantity)} ({whose})" if whose else where(quantity)


def _instead_of(quantity: Quantity, units: Units) -> str:
    """Tell what a value stands in the place of, where somebody said that too."""
    told = [f"{text_of(one, units)}, {_said_by(one)}" for one in map(_of, quantity.over) if one.rank != "default"]
    return f"; instead of {' and '.join(told)}" if told else ""


def _of(given: Given) -> Quantity:
    return Quantity(
        given.name, given.value, given.dim,
        place=given.place, written=given.written, rank=given.rank, because=given.because,
    )  # fmt: skip


def with_values(need: Need, quantities: Mapping[str, Quantity], units: Units) -> str | None:
    """Give the part of a formula that applies, with the values put in for the names."""
    if need.applies is None:
        return None

    def put(found: re.Match[str]) -> str:
        known = quantities.get(found[0])
        if known is None:
            return found[0]
        text = text_of(known, units)
        return f"({text})" if " " in text and known.dim == "length" else repr(text) if known.dim == "text" else text

    return _NAME.sub(put, need.applies)


class _Drawing(msgspec.Struct):
    """A tree being drawn: what it reads from, the lines so far, and the names already told."""

    quantities: Mapping[str, Quantity]
    units: Units
    out: list[str] = []
    told: set[str] = set()

    def branch(self, need: Need, lead: str, under: str) -> None:
        """Draw one quantity and what it needs below it."""
        quantity = need.quantity
        value = text_of(quantity, self.units)
        if quantity.measured and quantity.planned is not None:
            value += f"  measured (planned {text_of(_at(quantity, quantity.planned), self.units)})"
        self.out.append(f"{lead}{quantity.name} = {value}   {_said_by(quantity)}{_instead_of(quantity, self.units)}")
        if quantity.formula is None or quantity.name in self.told:
            return
        self.told.add(quantity.name)
        pad = under + (DOWN if need.needs else SPACE)
        self.out.append(f"{pad} = {quantity.formula}")
        if quantity.measured:
            self.out.append(f"{pad}   (that is the plan; what was measured stands in its place)")
        else:
            self.out.append(f"{pad} = {with_values(need, self.quantities, self.units)}")
        for i, inner in enumerate(need.needs):
            last = i == len(need.needs) - 1
            self.branch(inner, under + (LAST if last else BRANCH), under + (SPACE if last else DOWN))


def _at(quantity: Quantity, value: float) -> Quantity:
    return Quantity(quantity.name, value, quantity.dim)
