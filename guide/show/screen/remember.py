"""How are a step's texts rendered only once? They change with the plan, and the screen is drawn every second."""

from guide.plan.model import Plan, Step
from guide.show.screen.scene import Words


def remembering(words: Words) -> Words:
    """The same words, each step's texts and values worked out once for each plan."""
    texts: dict[str, dict[str, str]] = {}
    shown: dict[str, list[tuple[str, str]]] = {}
    of: list[Plan] = []

    def forget_another(plan: Plan) -> None:
        if not of or of[0] is not plan:
            of[:] = [plan]
            texts.clear()
            shown.clear()

    def texts_of(plan: Plan, step: Step) -> dict[str, str]:
        forget_another(plan)
        if step.key not in texts:
            texts[step.key] = words.texts(plan, step)
        return texts[step.key]

    def shown_of(plan: Plan, step: Step) -> list[tuple[str, str]]:
        forget_another(plan)
        if step.key not in shown:
            shown[step.key] = words.shown(plan, step)
        return shown[step.key]

    return Words(texts_of, shown_of)
