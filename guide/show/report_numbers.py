"""How one number of the plan is written in a report: value, unit, text, and where it comes from."""

from pathlib import PurePath
from typing import Any

import msgspec

from guide.plan.model import Quantity
from guide.read.lengths import Units, show_length
from guide.read.model import Place

UNITS = {
    "length": "mm",
    "area": "mm2",
    "time": "s",
    "count": "1",
    "ratio": "1",
    "text": "text",
    "flag": "text",
}


def duration_text(seconds: float) -> str:
    """A stretch of time in words short enough for a margin: `41 s`, `12 min`, `2 h 05`."""
    if seconds < 59.5:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def exact_text(seconds: float) -> str:
    """A counted time to the second: `0:41`, `12:36`, `1:02:05`."""
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def area_text(mm2: float, units: Units) -> str:
    """An area in square yards or square metres."""
    return f"{mm2 / 914.4**2:.2f} sq yd" if units == "inch" else f"{mm2 / 1e6:.2f} m²"


def plain_text(value: float) -> str:
    """A count or a factor without a tail of noughts."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if value != round(value) else f"{value:,.0f}"


def quantity_text(quantity: Quantity, units: Units) -> str:
    """The number as the maker reads it; an input as it was written."""
    value = quantity.value
    if value is None:
        return "does not apply"
    if quantity.written and not quantity.measured:
        return quantity.written
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    match quantity.dim:
        case "length":
            return show_length(value, units)
        case "area":
            return area_text(value, units)
        case "time":
            return duration_text(value)
        case "ratio":
            return f"{plain_text(value * 100)} %"
        case _:
            return plain_text(value)


def place_text(place: Place | None) -> str:
    """Where a number is written, without the folders of one machine: `workflows/cut.yaml:9`."""
    if place is None:
        return "default"
    path = PurePath(place.file)
    short = f"workflows/{path.name}" if path.parent.name == "workflows" else path.name
    return f"{short}:{place.line}"


def quantity_dict(quantity: Quantity, units: Units, *, measurable: bool) -> dict[str, Any]:
    """One quantity as `guide plan --json` prints it."""
    row: dict[str, Any] = {
        "value": quantity.value,
        "unit": UNITS[quantity.dim],
        "text": quantity_text(quantity, units),
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
