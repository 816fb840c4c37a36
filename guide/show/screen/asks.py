"""How does a question look? A card with what is typed, numbered choices, or a size to nudge."""

from guide.follow import measuring
from guide.follow.model import Ask
from guide.read.lengths import BadLength, show_length
from guide.show.columns import clean
from guide.show.report_cautions import caution
from guide.show.screen.card import Card, Keys
from guide.show.screen.cards import changes
from guide.show.screen.place import whole
from guide.show.screen.scene import Scene
from guide.show.screen.text import Line, clip, paragraph

_LEAVE = ("escape", "leave it")
_NONE = "done unmeasured"


def asked(scene: Scene, question: Ask, room: int) -> Card:
    """The card of any question."""
    match question.kind:
        case "measure":
            return _measure(scene, question, room)
        case "choose":
            return _choose(scene, question, room)
        case "confirm":
            return _caution(scene, question, room) if question.about == "caution" else _confirm(scene, question, room)
        case _:
            return _text(scene, question, room)


def _said(scene: Scene, room: int) -> list[Line]:
    return paragraph(clean(scene.desk.said), room, "class:said") if scene.desk.said else []


def _typed(question: Ask, room: int) -> Line:
    """What is typed, its end in sight."""
    text = clean(question.typed)
    return [("class:asked", f" {text[-(room - 3) :]} ")]


def _text(scene: Scene, question: Ask, room: int) -> Card:
    said = _said(scene, room)
    lines: list[Line] = [_typed(question, room), *([[], *said] if said else [])]
    if question.about == "swap":
        lines += [[], *whole(scene, min(room, 46), 11)]
    return Card(clean(question.question), lines, (("enter", "write it"), _LEAVE), cursor=0)


def _choose(scene: Scene, question: Ask, room: int) -> Card:
    lines: list[Line] = []
    for number, choice in enumerate(question.choices, 1):
        rows = paragraph(clean(choice), room - 4)
        lines += [[("class:key", f"{number}  " if row == 0 else "   "), *one] for row, one in enumerate(rows or [[]])]
    said = _said(scene, room)
    numbers: tuple[str, str] = ("1" if len(question.choices) == 1 else f"1-{len(question.choices)}", "choose")
    keys: Keys = (numbers, *_big_key(question), _LEAVE)
    return Card(clean(question.question), [*lines, *([[], *said] if said else [])], keys)


def _big_key(question: Ask) -> Keys:
    """What the big key does with a question: choose what is usual, or leave it and go on with the work."""
    if question.goes_on:
        return (("space", "go on with the work"),)
    default = question.data.get("default")
    if default is None:
        return ()
    usual = clean(question.choices[int(default) - 1]) if default else "no reason"
    return (("space", usual),)


def _confirm(scene: Scene, question: Ask, room: int) -> Card:
    lines = paragraph(clean(question.question), room)
    said = _said(scene, room)
    return Card("One question", [*lines, *([[], *said] if said else [])], (("y", "yes"), ("n", "no"), _LEAVE))


def _caution(scene: Scene, question: Ask, room: int) -> Card:
    lines = paragraph(clean(caution(question.name, scene.plan.project.words)), room, "class:caution")
    said = _said(scene, room)
    title = f"{scene.marks.caution} Before you start"
    return Card(title, [*lines, *([[], *said] if said else [])], (("space", "I have read it"), _LEAVE, ("q", "stop")))


def _size(scene: Scene, question: Ask) -> float | None:
    """The size as it stands: typed, else nudged; None while what is typed is no length yet."""
    try:
        return measuring.size_of(scene.plan, question, question.typed)
    except BadLength:
        return None


def _measure(scene: Scene, question: Ask, room: int) -> Card:
    """The size large, how it stands to the plan said at once, and what it changes; none where enter writes none."""
    units, marks = scene.plan.project.units, scene.marks
    at_end = question.optional
    left = at_end and measuring.no_size(question, question.typed.strip())
    size, planned = None if left else _size(scene, question), measuring.expected(scene.plan, question.name)
    lines: list[Line] = []
    if planned is not None:
        near = show_length(measuring.allowed_mm(scene.plan, question.name), units).removeprefix("≈ ")
        lines.append(
            clip(
                [
                    ("class:quiet", "planned "),
                    ("class:figure", show_length(planned, units)),
                    ("class:quiet", f", give or take {near}"),
                ],
                room,
                marks.more,
            )
        )
    lines.append(
        [("class:quiet", "not measured yet; = if it is as planned")] if left else _judged(scene, question, size, room)
    )
    shown = clean(question.typed) if question.typed else "" if size is None else show_length(size, units)
    nudger: Line = [
        ("class:key", f"{marks.left} "),
        ("class:asked", f" {shown} "),
        ("class:key", f" {marks.right}"),
    ]
    cursor = len(lines) + 1
    lines += [[], nudger]
    for more in (changes(scene, room), _said(scene, room)):
        lines += [[], *more] if more else []
    nudge = (f"{marks.left} {marks.right}", "nudge")
    keys: Keys = (("enter", "write it"), ("escape", _NONE) if at_end else _LEAVE, nudge, ("0-9", "type it"))
    if left:
        keys = (("0-9", "type it"), ("space", _NONE), ("=", "as planned"), nudge)
    title = clean(question.question.split(":")[0])
    return Card(title, lines, keys, big="" if size is None else show_length(size, units), cursor=cursor)


def _judged(scene: Scene, question: Ask, size: float | None, room: int) -> Line:
    """Whether the size will do, said while it is typed or nudged."""
    if size is None:
        example = "13 1/4 or 13.25" if scene.plan.project.units == "inch" else "33.5"
        return clip([("class:quiet", f"type it like {example}")], room)
    words = measuring.verdict(scene.plan, question.name, size)
    off = abs(size - (measuring.expected(scene.plan, question.name) or size))
    if off <= measuring.allowed_mm(scene.plan, question.name) * (1 + 1e-9):
        return clip([("class:good", f"{scene.marks.knot} {words}")], room)
    return clip([("class:caution.sign", f"{scene.marks.caution} "), ("class:caution", words)], room)
