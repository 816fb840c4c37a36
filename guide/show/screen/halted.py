"""What is said while the clock stands, or something is wrong? Safe first, then how to go on."""

from guide.follow import coming_back, halting, order
from guide.plan.model import Step
from guide.show.columns import clean
from guide.show.report_cautions import first_aid
from guide.show.screen import parts
from guide.show.screen import scene as seen
from guide.show.screen.card import Card, Keys, wrapped
from guide.show.screen.scene import Scene
from guide.show.screen.text import Line, paragraph

_MEND: Keys = (("r", "try again"), ("e", "save elsewhere"), ("q", "leave"))


def paused(scene: Scene, room: int) -> Card:
    """The clock stands: how to leave the table safe."""
    since = scene.record.doing_since
    at = f" since {seen.clock(scene, since.wall)}" if since else ""
    stopped = scene.record.doing == "stopped"
    mark = scene.marks.caution
    safe: list[Line] = [
        [("class:caution.sign", f"{mark} "), ("class:card", f"{text[:1].upper()}{text[1:]}")]
        for text in halting.MAKE_SAFE
    ]
    lines = [*safe, [], *wrapped(room, "The clock stands still.", _in_hand(scene), style="class:quiet")]
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    return Card(
        f"{'Stopped' if stopped else 'Paused'}{at}",
        lines,
        (("space", "go on"), ("u", "undo"), ("n", "note"), ("q", "stop for now")),
    )


def _in_hand(scene: Scene) -> str:
    step = order.open_step(scene.plan, scene.record)
    if step is None:
        return ""
    piece = coming_back.piece_words(scene.plan, step, scene.record)
    return f"In hand: {step.title}, {piece}." if piece else f"In hand: {step.title}."


def interrupted(scene: Scene, room: int) -> Card:
    """Called away: the clock stands, the iron may not be."""
    since = scene.record.doing_since
    gone = f" since {seen.clock(scene, since.wall)}" if since else ""
    return Card(
        "Interrupted",
        wrapped(room, f"Called away{gone}. This time is not counted.", "Iron off? Blade shut?"),
        (("space", "back at work"), ("p", "pause"), ("u", "undo"), ("q", "stop for now")),
    )


def trouble(scene: Scene, step: Step | None, room: int) -> Card:
    """Something went wrong: it is work, but no measure of pace; what may help."""
    what = clean(scene.record.doing_why) or "something"
    first = first_aid(scene.record.doing_why, scene.plan.project.words)
    lines = [row for one in first for row in paragraph(f"{scene.marks.caution} {one}", room, "class:caution")]
    texts = scene.words.texts(scene.plan, step) if step else {}
    if texts.get("if_wrong"):
        lines += [[], *wrapped(room, texts["if_wrong"])]
    lines += [[], *wrapped(room, "The time counts as work, and is kept out of your paces.", style="class:quiet")]
    return Card(f"Trouble: {what}", lines, (("space", "mended, go on"), ("n", "note"), ("p", "pause"), ("u", "undo")))


def problem(scene: Scene, room: int) -> Card:
    """A record could not be written: said until it is mended."""
    lines = wrapped(room, scene.desk.problem)
    lines += [[], *wrapped(room, "What the screen showed before is saved.", style="class:quiet")]
    if scene.saved_in:
        lines += wrapped(room, f"It is in {scene.saved_in}", style="class:quiet")
    return Card(
        f"{scene.marks.caution} Not written",
        lines,
        (*_MEND[:1], *(_MEND[1:2] if "save elsewhere" in scene.desk.problem else ()), *_MEND[2:]),
        style="class:problem",
    )
