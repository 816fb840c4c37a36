"""The names of steps for people: the title, and the number the run sheet gives it."""

from collections.abc import Mapping

from guide.plan.model import Plan
from guide.read.lengths import Units, show_length
from guide.record.model import Correction


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
