"""Flat names: what the formulas may call the values of a project file, and where each was written."""

import re
from collections.abc import Mapping
from typing import Any

import msgspec

from guide.read.lengths import INCH
from guide.read.model import Dim, Given, Place, Print
from guide.read.project_shape import CLOSURES, KINDS, QUILTING, WHOM
from guide.read.strict_yaml import Loaded, Path

_UNIT = re.compile(r"(?<=[\d¼½¾⅓⅔⅕-⅞])(?=[A-Za-z%])")  # where a unit begins that nothing parts from its number


class Flat(msgspec.Struct, frozen=True):
    """One flat input: its dimension, where it stands in the file, and its defaults (mm, 1, or text)."""

    dim: Dim
    path: Path
    default: float | str | bool | None = None
    metric: float | None = None  # the default of a metric project, where it is another
    needs: str = ""  # wadding | zip | envelope: without it the input is none
    says: str = ""


FLAT: dict[str, Flat] = {
    "kind": Flat("text", ("kind",), says="what is made"),
    "for_whom": Flat("text", ("for",), "anyone", says="whom it is for"),
    "units": Flat("text", ("units",), "inch", says="how lengths are shown, whose sizes are usual"),
    "words": Flat("text", ("words",), "british", says="whose words"),
    "stacks": Flat("text", ("stacks",), "free", says="stacks free, or one order turned"),
    "quilting": Flat("text", ("quilting",), "cross", says="lines through each block"),
    "across": Flat("count", ("grid", "across"), says="blocks in a row"),
    "down": Flat("count", ("grid", "down"), says="rows"),
    "make": Flat("count", ("make",), 1.0, says="how many are made"),
    "above": Flat("count", ("layers", "above"), says="squares over the wadding"),
    "below": Flat("count", ("layers", "below"), says="squares under the wadding"),
    "square": Flat("length", ("square",), says="cut size of a square"),
    "seam": Flat("length", ("seam",), says="seam allowance"),
    "free_end": Flat("length", ("free_end",), says="unsewn at both ends of a raw-edge seam"),
    "wadding_gap": Flat("length", ("wadding", "gap"), needs="wadding", says="smaller than the square, each side"),
    "wadding_width": Flat("length", ("wadding", "width"), 90 * INCH, 2200.0, "wadding", "width of the wadding's roll"),
    "wadding_thickness": Flat("length", ("wadding", "thickness"), 1.0, None, "wadding", "in a seam, squeezed (memory)"),
    "cloth_thickness": Flat("length", ("cloth_thickness",), 0.25, says="one layer, squeezed in a seam (from memory)"),
    "draw_in": Flat("ratio", ("draw_in",), 0.0, says="what quilting pulls in"),
    "washed_first": Flat("flag", ("washed_first",), default=False, says="all cloth is washed before it is cut"),
    "after_row": Flat("count", ("closure", "after_row"), needs="zip", says="row after which the zip lies"),
    "after_column": Flat("count", ("closure", "after_column"), needs="zip", says="column after which the zip lies"),
    "zip_end_gap": Flat("length", ("closure", "end_gap"), INCH, 25.0, "zip", "from the seam's end to the zip"),
    "zip_stop_gap": Flat("length", ("closure", "stop_gap"), INCH / 2, 12.0, "zip", "from the zip's end to its stop"),
    "zip_box_gap": Flat("length", ("closure", "box_gap"), INCH / 4, 6.0, "zip", "teeth to the stitches beside them"),
    "envelope_overlap": Flat("length", ("closure", "overlap"), 4 * INCH, 100.0, "envelope", "how far panels overlap"),
    "hem": Flat("length", ("closure", "hem"), INCH, 25.0, "envelope", "width of the turned hem"),
    "double_hem": Flat("flag", ("closure", "double_hem"), default=True, needs="envelope", says="hem turned twice"),
    "pad_ease": Flat("length", ("pad", "ease"), INCH / 2, 10.0, says="pad larger than the washed cover"),
    "snip_every": Flat("length", ("snips", "every"), INCH / 2, 12.0, says="from snip to snip"),
    "snip_clear": Flat("length", ("snips", "clear"), INCH / 8, 3.0, says="snip's end to the stitching"),
    "snips_at_crossing": Flat("count", ("snips", "at_crossing"), 2.0, says="free flaps cut where seams cross"),
    "stitch_length": Flat("length", ("stitch", "length"), 2.5, says="a seam's stitch"),
    "tack_length": Flat("length", ("stitch", "tack"), 5.0, says="a tacking stitch"),
    "thread_per_spool": Flat("length", ("thread", "metres_per_spool"), 100_000.0, says="thread on a spool"),
    "thread_tail": Flat("length", ("thread", "tail"), 80.0, says="each loose end of thread"),
    "thread_waste": Flat("ratio", ("thread", "waste"), 0.15, says="thread thrown away (common practice 10 to 15 %)"),
    "bobbin_holds": Flat("length", ("thread", "bobbin"), 50_000.0, says="thread a bobbin holds (from memory)"),
}  # fmt: skip

# Inputs that are worked out from how the file is written rather than read from one key.
MADE: dict[str, Flat] = {
    "closure": Flat("text", ("closure",), says="how the opening shuts"),
    "back": Flat("text", ("back",), says="a cushion's back"),
    "wadding": Flat("text", ("wadding",), says="one, or none"),
    "zip_along": Flat("text", ("closure",), says="row or column the zip lies along"),
    "prints": Flat("count", ("prints",), says="how many prints there are"),
    "shrink_length": Flat("ratio", ("prints",), says="mean shrinkage along the grain"),
    "shrink_width": Flat("ratio", ("prints",), says="mean shrinkage across"),
    "shrink_length_worst": Flat("ratio", ("prints",), says="worst shrinkage along the grain"),
    "shrink_width_worst": Flat("ratio", ("prints",), says="worst shrinkage across"),
}


def choices(kinds: tuple[str, ...] = (), closures: tuple[str, ...] = ()) -> dict[str, tuple[str, ...]]:
    """Give the texts each text input can be, for formulas that compare it."""
    return {
        "kind": (*KINDS, *kinds),
        "for_whom": WHOM,
        "units": ("inch", "metric"),
        "words": ("british", "american"),
        "stacks": ("free", "rotate"),
        "quilting": QUILTING,
        "closure": (*CLOSURES, *closures),
        "back": ("patchwork", "plain", "none"),
        "wadding": ("one", "none"),
        "zip_along": ("row", "column"),
    }


def dig(data: Any, path: Path) -> Any:
    """Follow a path into plain data; None where it ends early."""
    for part in path:
        data = data.get(part) if isinstance(data, Mapping) else None
    return data


def flatten(
    data: Mapping[str, Any], loaded: Loaded, prints: tuple[Print, ...], made: Mapping[str, Any]
) -> dict[str, Given]:
    """Give every flat input of a read project. `made` holds the values of MADE that the reader decided."""
    out: dict[str, Given] = {}
    for name, flat in FLAT.items():
        value = dig(data, flat.path)
        value = _absent(name, flat, data) if value is None else value
        if flat.needs and not _has(flat.needs, made):
            value = None
        if name == "thread_per_spool" and dig(data, flat.path) is not None:
            value = dig(data, flat.path) * 1000.0
        out[name] = _given(name, flat, value, loaded)
    for name, flat in MADE.items():
        out[name] = _given(name, flat, made.get(name, _of_prints(name, prints)), loaded)
    return out


def _has(what: str, made: Mapping[str, Any]) -> bool:
    return bool(made["wadding"] == "one" if what == "wadding" else made["closure"] == what)


def _absent(name: str, flat: Flat, data: Mapping[str, Any]) -> Any:
    metric = data.get("units") == "metric"
    if name == "free_end":
        return max(data["seam"] - (3.0 if metric else INCH / 8), 0.0)
    if name == "wadding_gap":
        return data["seam"]
    return flat.metric if metric and flat.metric is not None else flat.default


def _of_prints(name: str, prints: tuple[Print, ...]) -> float | str | None:
    if name == "prints":
        return float(len(prints))
    if not name.startswith("shrink"):
        return None
    each = [p.shrinks_length if "length" in name else p.shrinks_width for p in prints] or [0.0]
    return max(each) if name.endswith("worst") else sum(each) / len(each)


def _given(name: str, flat: Flat, value: Any, loaded: Loaded) -> Given:
    if isinstance(value, int) and not isinstance(value, bool):
        value = float(value)
    known = flat.path in loaded.places
    place: Place | None = loaded.places.get(flat.path) if known else None
    written = dig(loaded.data, flat.path)
    kept = isinstance(written, str) and flat.dim in {"length", "ratio"}
    return Given(name, value, flat.dim, _UNIT.sub(" ", written) if kept else None, place)
