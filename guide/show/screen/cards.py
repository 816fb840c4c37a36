"""What is said between steps? The start, a step done, coming back, the end."""

from guide.follow import ahead, coming_back, order
from guide.plan.model import Step
from guide.read.plurals import counted
from guide.show.columns import clean
from guide.show.report_numbers import exact_text
from guide.show.screen import parts
from guide.show.screen import scene as seen
from guide.show.screen.card import Card, Keys, led, wrapped
from guide.show.screen.scene import Scene
from guide.show.screen.text import Line, clip, line
from guide.show.words import minutes


def start(scene: Scene, room: int) -> Card:
    """Before the first step: how much there is to do, what to mind, what is first."""
    plan = scene.plan
    hands = sum(seen.usual_ms(scene, step) * max(1, step.pieces) for step in plan.steps)
    makes = f"{plan.project.make} makes, " if plan.project.make > 1 else ""
    lines = wrapped(
        room,
        f"{makes}{counted(len(plan.steps), 'step')}, about {minutes(hands / 1000)} hands on{_whose(scene)}.",
    )
    if plan.warnings:
        more = f"{scene.marks.more} {len(plan.warnings) - 2} more: guide plan" if len(plan.warnings) > 2 else ""
        lines += [[], *wrapped(room, *(one.text for one in plan.warnings[:2]), more, style="class:hint")]
    if plan.cautions:
        lines += [[], *parts.cautions(scene, plan.cautions, room, 3, where=", each at its step")]
    lines += [[], *_next_lines(scene, room)]
    return Card(
        clean(plan.project.title),
        lines,
        (("space", "start"), ("f", "look ahead"), ("?", "keys"), ("q", "stop")),
    )


def _whose(scene: Scene) -> str:
    """Whose pace a time rests on: the maker's own for the steps it is known of, else the starter paces."""
    steps = scene.plan.steps
    own = sum(step.key in scene.paces for step in steps)
    if own == len(steps):
        return " at your own pace"
    if own:
        return f", {own} of {len(steps)} steps at your own pace"
    return " for a beginner" if scene.desk.beginner else " for a practised maker"


def done(scene: Scene, step: Step, room: int) -> Card:
    """A step is finished: what it took beside what it usually takes, and what is next."""
    laps = scene.record.step(step.key).laps
    took = sum(lap.counted_ms for lap in laps if lap.counted)
    out = sum(lap.counted_ms for lap in laps if not lap.counted)
    usual = seen.usual_ms(scene, step) * max(1, step.pieces)
    many = f"{counted(step.pieces, clean(step.piece))} in " if step.pieces > 1 else ""
    lines: list[Line] = [
        line(
            many,
            ("class:time", exact_text(took / 1000)),
            ("class:quiet", f", usual {exact_text(usual / 1000)}"),
            ("class:quiet", f"; {exact_text(out / 1000)} not counted" if out else ""),
        )
    ]
    lines += changes(scene, room)
    lines += [[], *_next_lines(scene, room)]
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    return Card(
        f"{clean(step.title)} {scene.marks.knot}",
        lines,
        (("space", "start"), *_over(scene), ("u", "undo"), ("n", "note"), ("?", "keys")),
    )


def _over(scene: Scene) -> Keys:
    """The key that ends a wait, when one runs."""
    return (("o", "a wait is over"),) if ahead.waits(scene.plan, scene.record, scene.now) else ()


def changes(scene: Scene, room: int) -> list[Line]:
    """What the last measure changed, said at once."""
    return [
        clip(
            [
                ("class:quiet", f"{clean(label)}: {clean(was)} becomes "),
                ("class:figure", clean(now)),
            ],
            room,
            scene.marks.more,
        )
        for label, was, now in scene.desk.changes
    ]


def ready(scene: Scene, room: int) -> Card:
    """Nothing is open and nothing was just finished: what comes next."""
    lines = _next_lines(scene, room)
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    return Card("Ready", lines, (("space", "start"), *_over(scene), ("u", "undo"), ("f", "look ahead"), ("?", "keys")))


def back(scene: Scene, room: int) -> Card:
    """Coming back: the last thing done, what is under the needle, what is next."""
    lines: list[Line] = []
    for said in coming_back.lines(scene.plan, scene.record, scene.now):
        name, _, rest = clean(said).partition(": ")
        lines += [*led(f"{name}:", rest, room), []]
    lines += parts.waiting(scene, room) or wrapped(room, "Nothing runs until you press.", style="class:quiet")
    offered: Keys = (("space", "go on"), ("b", "look back"), ("f", "ahead"), ("u", "undo"), ("?", "keys"))
    return Card("Welcome back", lines, offered)


def finish(scene: Scene, room: int) -> Card:
    """All is done: what it took, and where to go from here."""
    record = scene.record
    hands = record.counted_ms
    skipped = sum(one.state == "skipped" for one in record.steps.values())
    finished = sum(one.state == "done" for one in record.steps.values())
    lines: list[Line] = [
        line(("class:time", minutes(hands / 1000)), f" hands on, {counted(finished, 'step')} done"),
    ]
    if skipped:
        lines.append(line(f"{counted(skipped, 'step')} skipped"))
    if record.sitting > 1:
        lines.append(line(counted(record.sitting, "sitting")))
    notes = sum(one.kind in {"note", "noted"} for one in record.remarks)
    if notes:
        lines.append(line(counted(notes, "note")))
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    lines += [
        [],
        *wrapped(room, "All pins out? Pull-test the fringe, feel for needle tips.", style="class:caution"),
    ]
    lines += [
        [],
        *wrapped(room, "guide log makes the maker's log, guide price the price.", style="class:quiet"),
    ]
    keys_: Keys = (
        (("space", "leave"),) if record.closed else (("space", "finish"), *_over(scene), ("u", "undo"), ("n", "note"))
    )
    whole = "finished" if record.closed else "every step done"
    return Card(f"{clean(scene.plan.project.title)}, {whole} {scene.marks.knot}", lines, keys_)


def _next_lines(scene: Scene, room: int) -> list[Line]:
    """What comes next and what to make ready for it."""
    after = order.next_step(scene.plan, scene.record, by_block=scene.desk.by_block)
    if after is None:
        return wrapped(room, "That was the last step.")
    lines: list[Line] = [[("class:quiet", "Next: "), ("class:here", clean(after.title))]]
    if after.tools:
        lines += wrapped(room, "At hand: " + ", ".join(after.tools), style="class:quiet")
    cues = parts.cue_words(scene)
    if cues:
        lines += wrapped(room, f"Make ready: {cues}", style="class:cue")
    return [clip(one, room, scene.marks.more) for one in lines]
