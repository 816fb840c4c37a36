"""What does a question say? What is typed, numbered choices, or a size with what it changes."""

from guide.follow import noting
from guide.follow.model import Ask
from guide.plan.model import expected
from guide.read.units import BadLength, show_length
from guide.show.card import Card, Keys, Parts, Row, apart, led, row
from guide.show.columns import clean
from guide.show.report_cautions import caution
from guide.show.scene import Scene

_LEAVE = ("escape", "leave it")
_NONE = "done unmeasured"
NUDGE = "left right"  # the two arrows, as one key of the card


def asked(scene: Scene, question: Ask) -> Card:
    """The card of any question."""
    title = clean(question.question)
    match question.kind:
        case "measure":
            return _measure(scene, question)
        case "choose":
            rows = [Row([("", clean(one))], key=str(number)) for number, one in enumerate(question.choices, 1)]
            numbers = ("1" if len(rows) == 1 else f"1-{len(rows)}", "choose")
            words: Keys = (("a-z", "own words"),) if question.own_words else ()
            return Card(title, rows, (numbers, *words, *_big_key(question), _LEAVE))
        case "confirm" if question.about == "caution":
            rows = [row(clean(caution(question.name, scene.plan.project.words)), "caution")]
            keys: Keys = (("space", "I have read it"), _LEAVE, ("q", "stop"))
            return Card("Before you start", rows, keys, sign="caution")
        case "confirm":
            return Card("One question", [row(title)], (("y", "yes"), ("n", "no"), _LEAVE))
        case _:
            rows = [Row([("", clean(one))], key=str(number)) for number, one in enumerate(question.choices, 1)]
            typed = [*rows, Row(typed=clean(question.typed))]
            return Card(
                title, typed, (("enter", "write it"), _LEAVE), picture="whole" if question.about == "swap" else ""
            )


def _big_key(question: Ask) -> Keys:
    """What the big key does with a question: choose what is usual, or leave it and go on with the work."""
    if question.goes_on:
        return (("space", "go on with the work"),)
    default = question.data.get("default")
    if default is None:
        return ()
    return (("space", clean(question.choices[int(default) - 1]) if default else "no reason"),)


def _size(scene: Scene, question: Ask) -> float | None:
    """The size as it stands: typed, else nudged; None while what is typed is no length yet."""
    try:
        return noting.size_of(scene.plan, question, question.typed)
    except BadLength:
        return None


def _measure(scene: Scene, question: Ask) -> Card:
    """The size large, how it stands to the plan said at once, and what it changes; none where enter writes none."""
    units = scene.plan.project.units
    left = question.optional and noting.no_size(question, question.typed.strip())
    size, planned = None if left else _size(scene, question), expected(scene.plan, question.name)
    shown = "" if size is None else show_length(size, units)
    rows: list[Row] = []
    if planned is not None:
        near = show_length(noting.allowed_mm(scene.plan, question.name), units).removeprefix("≈ ")
        said: Parts = [("quiet", "planned "), ("figure", show_length(planned, units))]
        rows.append(Row([*said, ("quiet", f", give or take {near}")]))
    unmeasured = row("not measured yet; = if it is as planned", "quiet")
    rows += [unmeasured] if left else _judged(scene, question, size)
    rows += apart([Row(typed=clean(question.typed) or shown, nudged=True)])
    rows += apart(changes(scene))
    write: Keys = (("enter", "write it"), ("escape", _NONE) if question.optional else _LEAVE)
    keys: Keys = (*write, (NUDGE, "nudge"), ("0-9", "type it"))
    if left:
        keys = (("0-9", "type it"), ("space", _NONE), ("=", "as planned"), (NUDGE, "nudge"))
    return Card(clean(question.question.split(":")[0]), rows, keys, big=shown)


def _judged(scene: Scene, question: Ask, size: float | None) -> list[Row]:
    """Whether the size will do, said while it is typed or nudged; where it will not, what to look for."""
    if size is None:
        example = "13 1/4 or 13.25" if scene.plan.project.units == "inch" else "33.5"
        return [row(f"type it like {example}", "quiet")]
    words = noting.verdict(scene.plan, question.name, size)
    off = abs(size - (expected(scene.plan, question.name) or size))
    if off <= noting.allowed_mm(scene.plan, question.name) * (1 + 1e-9):
        return [Row([("good", words)], sign="good")]
    good = show_length(noting.allowed_mm(scene.plan, question.name), scene.plan.project.units)
    rows = [Row([("caution", f"{words}: more than the {good} that is good")], sign="caution")]
    step = next((one for one in scene.plan.steps if one.measure == question.name), None)
    look = scene.words.texts(scene.plan, step).get("if_wrong") if step else None
    return [*rows, *([led("Look for:", look)] if look else [])]


def changes(scene: Scene) -> list[Row]:
    """What the last measure changed, said at once."""
    return [
        Row([("quiet", f"{clean(label)}: {clean(was)} becomes "), ("figure", clean(now))])
        for label, was, now in scene.desk.changes
    ]
