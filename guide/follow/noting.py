"""What the maker writes down beside the work: a note, a photo's file, a caution read."""

import re
from collections.abc import Iterable
from pathlib import PurePosixPath
from typing import Any

from msgspec.structs import replace

from guide.follow.model import NO_MEASURE, Ask, Desk, Moment, Turn, ask, ask_again, put_away, say, still
from guide.follow.order import number_of, under_needle
from guide.plan.model import Plan, Quantity, Step, expected, told_first
from guide.read.spoken import said
from guide.read.units import INCH, BadLength, parse_length, show_length

PICTURES = frozenset({".jpg", ".jpeg", ".png", ".gif", ".webp"})


def note(at: Moment) -> Turn:
    """Ask for a note."""
    return ask(at, Ask("note", "text", "Note:", note_is))


def note_is(at: Moment, _question: Ask, answer: str) -> Turn:
    """Write the note; an empty one is none."""
    if not answer:
        return put_away(at, "Nothing noted.")
    return put_away(at, "Noted.", at_step(at, {"what": "noted", "text": answer}))


def machine(at: Moment) -> Turn:
    """Go over to another machine: with two it is the other one, with more it is asked for."""
    others = [name for name in at.plan.machines if name != at.plan.machine]
    if not others:
        return say(at, "No other machine is known: machines.yaml in your folder names them (guide help own).")
    if len(others) == 1:
        return _at_machine(at, others[0])
    return ask(at, Ask("machine", "choose", "At which machine?", machine_is, tuple(others[:9])))


def machine_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write which machine was gone over to."""
    return _at_machine(at, question.choices[int(answer) - 1])


def _at_machine(at: Moment, name: str) -> Turn:
    text = f"From here on at the machine {name}."
    return put_away(at, text, at_step(at, {"what": "noted", "text": text, "set": {"machine": name}}))


def photo(at: Moment) -> Turn:
    """Ask for a photo's file."""
    return ask(at, Ask("photo", "text", "Photo's file, as it lies in the project's folder:", photo_is))


def photo_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the photo's path, when it is a picture's inside the project's folder."""
    if not answer:
        return put_away(at, "No photo noted.")
    if (wrong := wrong_path(answer)) is not None:
        return still(at, question, wrong)
    return put_away(at, "Photo noted.", at_step(at, {"what": "photo", "name": answer}))


def wrong_path(path: str) -> str | None:
    """What is wrong with a photo's path, or None; whether the file is there, its reader finds out."""
    parts = PurePosixPath(path).parts
    if "\\" in path or ":" in path or path.startswith(("/", "~")) or ".." in parts:
        return "Write the path inside the project's folder, like photos/front.jpg."
    if PurePosixPath(path).suffix.lower() not in PICTURES:
        return "Write a picture's file: jpg, png, gif or webp."
    return None


def caution_read(at: Moment, question: Ask, _answer: str) -> Turn:
    """Write that a caution was read; the step starts with the next press."""
    event = {"what": "acknowledged", "step": question.data["step"], "name": question.name}
    return put_away(at, "Read. The big key starts the step.", event)


def at_step(at: Moment, event: dict[str, Any]) -> dict[str, Any]:
    """The event with the step under the needle, when there is one."""
    step = under_needle(at.plan, at.record)
    return event | {"step": step.key} if step else event


# `m`: a size as it came out, what it was expected to be, and what it changes.

SAID_AT_ONCE = 4  # changes told in one line
_COMMA = re.compile(r"(?<=\d),(?=\d)")
FAR_OFF = 0.25  # of what is expected: more likely a slip of the finger than a size
ABSURD = 3.0  # times as large, or as small: nothing is sewn so far from its plan


def measure(at: Moment) -> Turn:
    """Ask for this step's measure, or which size it is when the step has none."""
    step = under_needle(at.plan, at.record)
    if step is not None and step.measure is not None and expected(at.plan, step.measure) is not None:
        return _ask_size(at, step.measure)
    names = made(at.plan, step)
    if not names:
        return Turn(replace(at.desk, typed="", said=_not_yet(at.plan)))
    if len(names) == 1:
        return _ask_size(at, names[0])
    choices = tuple(called(at.plan, name) for name in names)
    return ask(at, Ask("measure_which", "choose", "Which size?", measure_which, choices, data={"names": list(names)}))


def measure_which(at: Moment, question: Ask, answer: str) -> Turn:
    """Go on to the size chosen."""
    return _ask_size(at, question.data["names"][int(answer) - 1])


def made(plan: Plan, here: Step | None) -> tuple[str, ...]:
    """The sizes of what is made by now: their steps have come, whether they were measured or passed by."""
    steps = plan.steps[: plan.steps.index(here) + 1] if here else plan.steps
    named = [step.measure for step in steps if step.measure and expected(plan, step.measure) is not None]
    return tuple(dict.fromkeys(named))


def _not_yet(plan: Plan) -> str:
    """Why nothing can be measured now: what is to be measured is not made yet, or nothing ever is."""
    names = made(plan, None)
    if not names:
        return "Nothing is measured in this project."
    first = next(step for step in plan.steps if step.measure == names[0])
    where = f"step {number_of(plan, first)}, “{first.title}”"
    return f"There is no {called(plan, names[0])} yet: it is measured at {where}."


def called(plan: Plan, name: str) -> str:
    """A size's name as the maker reads it: `panel width`."""
    return said(name.replace("_", " "), plan.project.words)


def allowed_mm(plan: Plan, name: str) -> float:
    """How far a size may miss: what its step says, else the finest that is shown."""
    within = (step.within_mm for step in plan.steps if step.measure == name and step.within_mm is not None)
    return next(within, INCH / 16 if plan.project.units == "inch" else 1.0)


def _ask_size(at: Moment, name: str) -> Turn:
    make = _make_to_measure(at, name)
    question = f"{said_planned(at, name, make)} Type what it is; enter: as planned."
    size = expected(at.plan, name)
    return ask(at, Ask("measure", "measure", question, measured, name=name, nudged_mm=size, data={"make": make}))


def no_size(question: Ask, answer: str) -> bool:
    """Whether the question at the end of a piece was left without a size."""
    return answer == NO_MEASURE or (not answer and not question.data.get("touched"))


def said_planned(at: Moment, name: str, make: int) -> str:
    """What a size is and what it was planned at, to ask for it."""
    shown = show_length(expected(at.plan, name) or 0.0, at.plan.project.units)
    of = f", {make} of {at.plan.project.make}" if at.plan.project.make > 1 else ""
    return f"{called(at.plan, name).capitalize()}{of}: planned {shown}."


def _make_to_measure(at: Moment, name: str) -> int:
    """The make in hand, or the first whose size is not written yet."""
    measured = {one.make or 1 for one in at.record.measures.get(name, [])}
    makes = (at.desk.make, *range(1, at.plan.project.make + 1))
    return next((make for make in makes if make not in measured), at.desk.make)


def size_of(plan: Plan, question: Ask, typed: str) -> float:
    """The size a question stands at, mm: what is typed, else where the nudges stand. Raises BadLength."""
    if not typed.strip():
        return round(question.nudged_mm or 0.0, 6)
    written = _COMMA.sub(".", typed) if plan.project.units == "metric" else typed  # 38,5 as it is said there
    mm = round(parse_length(written, bare=plan.project.units), 6)
    if mm <= 0:
        raise BadLength("A size is more than nothing.")
    return mm


def measured(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the size; one that is far off is asked about once more."""
    try:
        mm = size_of(at.plan, question, answer)
    except BadLength as wrong:
        return ask_again(at, question, answer, str(wrong))
    planned = expected(at.plan, question.name) or mm
    if not planned / ABSURD <= mm <= planned * ABSURD:
        return Turn(type_again(at.plan, at.desk, question.name, mm))
    if far_off(at.plan, question.name, mm) and question.data.get("sure") != mm:
        said = f"{show_length(mm, at.plan.project.units)} is far from what is planned. Enter again if it is so."
        return ask_again(at, replace(question, data=question.data | {"sure": mm}), answer, said)
    event = at_step(at, {"what": "measured", "name": question.name, "mm": mm, "text": answer})
    if at.plan.project.make > 1:
        event["make"] = question.data["make"]
    return put_away(at, verdict(at.plan, question.name, mm), event)


def far_off(plan: Plan, name: str, mm: float) -> bool:
    """Whether a size is so far from what was planned that it may be a slip of the finger."""
    planned = expected(plan, name) or mm
    return abs(mm - planned) > planned * FAR_OFF


def unbelieved(plan: Plan, name: str, mm: float) -> str:
    """Say that a size cannot be: `1 in is too small for the panel width (planned 21 in)`."""
    planned, units = expected(plan, name) or mm, plan.project.units
    how = "small" if mm < planned else "large"
    shown, of = show_length(mm, units), show_length(planned, units)
    return f"{shown} is too {how} for the {name.replace('_', ' ')} (planned {of})"


def type_again(plan: Plan, desk: Desk, name: str, mm: float) -> Desk:
    """Refuse a size and leave its question open, empty, at the planned size."""
    data = {key: value for key, value in (desk.ask.data if desk.ask else {}).items() if key not in {"sure", "touched"}}
    question = desk.ask and replace(desk.ask, typed="", nudged_mm=expected(plan, name), data=data)
    return replace(desk, ask=question, said=f"{unbelieved(plan, name, mm)}; type it again.")


def verdict(plan: Plan, name: str, mm: float) -> str:
    """How a size stands to what was planned: `3/4 in under`, `as planned`, `1/8 in over, near enough`."""
    miss = mm - (expected(plan, name) or mm)
    if abs(miss) <= 1e-6 * max(mm, 1.0):
        return "as planned"
    words = f"{show_length(abs(miss), plan.project.units)} {'over' if miss > 0 else 'under'}"
    return words if abs(miss) > allowed_mm(plan, name) * (1 + 1e-9) else f"{words}, near enough"


def changes(before: Plan, after: Plan, steps: Iterable[Step]) -> tuple[tuple[str, str, str], ...]:
    """What a measure changes in the steps still to come: (what, was, is), what a maker cuts by first, at most four."""
    labels: dict[str, str] = {}
    for step in steps:
        for name, label in step.shows:
            labels.setdefault(name, label)
    found = {name: pair for name in labels if (pair := _moved(before, after, name)) is not None}
    wanted = {
        name: said(called.text, after.project.words)
        for name in told_first(after.quantities)
        if name in found and (called := after.quantities[name].called)
    }
    return tuple((label, *found[name]) for name, label in (wanted or labels).items() if name in found)[:SAID_AT_ONCE]


def _moved(before: Plan, after: Plan, name: str) -> tuple[str, str] | None:
    """A size as it was and as it is, when another measure changes what is shown of it."""
    was, new = before.quantities.get(name), after.quantities.get(name)
    if was is None or new is None or new.measured:
        return None
    texts = (_shown(before, was), _shown(after, new))
    return texts if texts[0] != texts[1] else None


def _shown(plan: Plan, quantity: Quantity) -> str:
    value = quantity.value
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    return show_length(value, plan.project.units) if quantity.dim == "length" else f"{value:g}"


def said_with(verdict_: str, changed: tuple[tuple[str, str, str], ...]) -> str:
    """The verdict and the changes in one line: `3/4 in under: zip 19 becomes 18 1/4 in`."""
    head = f"{verdict_[0].upper()}{verdict_[1:]}"
    # The first of two sizes stands without its unit where the second has the same.
    each = [(label, was.removesuffix(f" {new.rpartition(' ')[2]}"), new) for label, was, new in changed]
    told = ", ".join(f"{label} {was} becomes {new}" for label, was, new in each)
    return f"{head}: {told}." if told else f"{head}."


def slip(plan: Plan, name: str, mm: float) -> str:
    """Ask whether a size that cannot be believed was written as it was measured."""
    return (
        f"{unbelieved(plan, name, mm)}: is it a slip? Measure again, and write it with its unit; keep what cannot be "
        "believed as a note."
    )
