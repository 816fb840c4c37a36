"""The best few choices for a target size, as `guide plan` lists them: each with its miss and its cloth."""

from typing import Any

from guide.errors import GuideError
from guide.plan.backwards import Choice, best, chosen
from guide.plan.make import make_plan
from guide.read.lengths import show_length
from guide.read.places import Opened
from guide.show.report_cloth import bought_text


def choices_of(here: Opened, count: int = 5) -> list[dict[str, Any]]:
    """List the choices as plain data; none when planning from the cloth on hand."""
    if here.project.target is None or "on_hand" in here.project.target:
        return []
    return [_choice(here, choice) for choice in best(here.project, here.language, count)]


def _choice(here: Opened, choice: Choice) -> dict[str, Any]:
    units = here.project.units
    try:
        plan = make_plan(chosen(here.project, choice), here.language)
        bought = [f"{bought_text(line)} {line.item}" for line in plan.shopping if line.counter == "cloth"]
        cloth = ", ".join(bought) or "cloth on hand is enough"
    except GuideError as error:
        cloth = str(error).split("\n")[0]
    miss = choice.miss_width if abs(choice.miss_width) >= abs(choice.miss_height) else choice.miss_height
    return {
        "across": choice.across,
        "down": choice.down,
        "square": {"value": choice.square, "unit": "mm", "text": show_length(choice.square, units)},
        "width_mm": choice.width,
        "height_mm": choice.height,
        "size": f"{show_length(choice.width, units)} × {show_length(choice.height, units)}",
        "miss": {"value": miss, "unit": "mm", "text": show_length(miss, units)},
        "cloth": cloth,
    }
