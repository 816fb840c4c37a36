"""A maker's machines by name: which one is in use, and what it says of names that formulas know.

The text that names them is kept in a session; which one it went over to is kept beside it as a text of its own.
"""

import json
from collections.abc import Mapping
from typing import Any

from guide.read.model import Dim, Given
from guide.read.strict_yaml import Loaded

MACHINES, IN_USE = "machines", "at_machine"  # first keys of their texts
KEPT_AS = "the machine in use"  # its name among a session's texts, which no file of a workflows folder has
_SAYS: tuple[tuple[str, Dim, tuple[str, ...]], ...] = (
    ("stitch_length", "length", ("stitch",)),
    ("tack_length", "length", ("longest",)),
    ("longest_stitch", "length", ("longest",)),
    ("bobbin_holds", "length", ("bobbin",)),
    ("needle_left", "count", ("needle", "left")),
    ("needle_middle", "count", ("needle", "middle")),
    ("needle_right", "count", ("needle", "right")),
    ("foot_pressure", "count", ("pressure", "usual")),
    ("foot_pressure_thick", "count", ("pressure", "thick")),
)
LACKS = {"walking foot": "lacks_walking_foot", "zip foot": "lacks_zip_foot"}  # by what texts and tools call a foot


def in_use_text(name: str) -> str:
    """Write the text that a session keeps of the machine it went over to."""
    return f"{IN_USE}: {{{json.dumps(name, ensure_ascii=False)}: {{}}}}\n"


def in_use(beside: Mapping[str, Mapping[str, Any]]) -> str:
    """Name the machine at hand: the one gone over to, else the first; "" where none is named."""
    known = beside.get(MACHINES, {})
    chosen = next((name for name in beside.get(IN_USE, {}) if name in known), None)
    return chosen or next(iter(known), "")


def machine_given(name: str, said: Mapping[str, Any], loaded: Loaded) -> list[Given]:
    """Give what a machine says, by formulas' names, each with its place."""

    def given(own: str, value: float, dim: Dim, *way: str) -> Given:
        place, written = loaded.place((MACHINES, name, *way)), loaded.data[MACHINES][name]
        for key in way:
            written = written[key]
        as_written = None if dim == "flag" else written if isinstance(written, str) else f"{value:g}"
        return Given(own, value, dim, as_written, place, "machine", because=f"{place}, {name}")

    out = []
    for own, dim, way in _SAYS:
        value: Any = said
        for key in way:
            value = value.get(key) if isinstance(value, Mapping) else None
        if value is not None:
            out.append(given(own, float(value), dim, *way))
    if "needle" in said:
        out.append(given("needle_dial", True, "flag", "needle"))
    for foot, own in LACKS.items() if "feet" in said else ():
        out.append(given(own, foot not in said["feet"], "flag", "feet"))
    return out
