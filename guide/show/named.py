"""The names of steps for people: the title, and the number the run sheet gives it."""

from guide.plan.model import Plan
from guide.show.words import said


def named_steps(plan: Plan) -> dict[str, str]:
    """Give the name of every step of a plan by its key: `2 Cut: moss check`."""
    return {step.key: f"{number} {said(step.title, plan.project.words)}" for number, step in enumerate(plan.steps, 1)}
