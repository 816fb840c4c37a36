"""How one number of the plan is written in a report: value, unit, text, and where it comes from."""

from collections.abc import Sequence
from pathlib import PurePath
from typing import Any

import msgspec

from guide.plan.model import Quantity
from guide.read.lengths import Units, show_length
from guide.read.model import Place
from guide.record.rounding import nearest, shared_out
from guide.show.words import text_of

UNITS = {
    "length": "mm",
    "area": "mm2",
    "time": "s",
    "count": "1",
    "ratio": "1",
    "text": "text",
    "flag": "text",
}


def exact_text(seconds: float) -> str:
    """A counted time to the second: `0:41`, `12:36`, `1:02:05`."""
    whole = nearest(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def seconds_each(times: Sequence[float], total_s: int | None = None) -> list[int]:
    """Times of a table in whole seconds that sum to their rounded total, or to what is printed of it."""
    return shared_out([round(time * 1000) for time in times], 1000, total_s)


def place_text(place: Place | None) -> str:
    """Where a number is written, without the folders of one machine: `workflows/cut.yaml:9`."""
    if place is None:
        return "default"
    if not place.line:
        return place.file
    path = PurePath(place.file)
    short = f"workflows/{path.name}" if path.parent.name == "workflows" else path.name
    return f"{short}:{place.line}"


def quantity_dict(quantity: Quantity, units: Units, *, measurable: bool) -> dict[str, Any]:
    """One quantity as `guide plan --json` prints it."""
    row: dict[str, Any] = {
        "value": quantity.value,
        "unit": UNITS[quantity.dim],
        "text": text_of(quantity, units),
        "formula": quantity.formula,
        "from": place_text(quantity.place),
        "stage": quantity.stage,
    }
    if quantity.formula is not None and (measurable or quantity.measured):
        row["measured"] = quantity.measured
        row["planned"] = quantity.planned if quantity.measured else quantity.value
        if quantity.measured and quantity.planned is not None:
            row["planned_text"] = show_length(quantity.planned, units)
    return row


def plain(thing: Any) -> Any:
    """A struct as JSON would give it back: dicts, lists, numbers and texts only."""
    return msgspec.json.decode(msgspec.json.encode(thing))
