"""The best few choices for a target size, as `guide plan` lists them: each with its miss and its cloth."""

import msgspec

from guide.errors import GuideError
from guide.plan.backwards import STEP_MM, Choice, best, chosen, wanted
from guide.plan.make import make_plan
from guide.read.places import Opened
from guide.read.units import INCH, Units, show_length
from guide.show.report_cloth import bought_text
from guide.show.wanted import ChoiceReport, Length, size_text


def choices_of(here: Opened) -> tuple[ChoiceReport, ...]:
    """List the choices; none when planning from the cloth on hand."""
    if here.project.target is None or "on_hand" in here.project.target:
        return ()
    found = best(here.project, here.language)
    out = [_choice(here, choice) for choice in found]
    if found[0].miss > min(choice.miss for choice in found):
        step = show_length(STEP_MM[here.project.units], here.project.units)
        why = f"Within {step} counts as equal: usual squares first, then fewer blocks (common practice)."
        out[0] = msgspec.structs.replace(out[0], why=why)
    return tuple(out)


def _choice(here: Opened, choice: Choice) -> ChoiceReport:
    """One choice; its size and its misses in the terms the size was asked in."""
    units, ease = here.project.units, wanted(here.project).ease
    try:
        plan = make_plan(chosen(here.project, choice), here.language)
        bought = [f"{bought_text(line)} {line.item}" for line in plan.shopping if line.counter == "cloth"]
        cloth = ", ".join(bought) or "cloth on hand is enough"
    except GuideError as error:
        cloth = str(error).split("\n")[0]
    miss = choice.miss_width if abs(choice.miss_width) >= abs(choice.miss_height) else choice.miss_height
    return ChoiceReport(
        across=choice.across,
        down=choice.down,
        square=Length(choice.square, "mm", show_length(choice.square, units)),
        width_mm=choice.width,
        height_mm=choice.height,
        size=size_text(choice.width + ease, choice.height + ease, units),
        miss=Length(miss, "mm", show_length(miss, units)),
        off_text=_off(_missed(choice.miss_width, units), _missed(choice.miss_height, units)),
        cloth=cloth,
    )


def _off(across: str, down: str) -> str:
    return f"{across} both ways" if across == down else f"{across} across, {down} down"


def _missed(mm: float, units: Units) -> str:
    """A miss on the tape measure, with its sign: nobody sees less than 1/16 in or 1 mm."""
    finest = INCH / 16 if units == "inch" else 1.0
    steps = round(mm / finest)
    return f"{'+' if steps > 0 else ''}{show_length(steps * finest, units)}" if steps else "nothing"
