"""The names of steps for people: the title, and the number the run sheet gives it."""

from collections.abc import Mapping

from guide.plan.model import Plan
from guide.record.model import Correction


def named_steps(plan: Plan) -> dict[str, str]:
    """Give the name of every step of a plan by its key: `2 Cut: moss check`."""
    return {step.key: f"{number} {step.title}" for number, step in enumerate(plan.steps, 1)}


def name_correction(one: Correction, names: Mapping[str, str]) -> str:
    """Say what was put right: `14 Sew the cross: length`."""
    aspect = one.aspect.replace("_", " ")
    return f"{names.get(one.step, one.step)}: {aspect}" if one.step else aspect or one.what


def by_name(text: str, names: Mapping[str, str]) -> str:
    """Put steps' names for their keys in a sentence of the record."""
    for key in sorted(names, key=len, reverse=True):
        text = text.replace(key, names[key])
    return text
