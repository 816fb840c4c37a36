"""What is said when work stands still? Cards: the middle of the screen, nothing else."""

import msgspec

from guide.follow import coming_back, halting, keys, order
from guide.plan.model import Step
from guide.show.report_numbers import exact_text
from guide.show.screen import parts
from guide.show.screen import scene as seen
from guide.show.screen.scene import Scene, say
from guide.show.screen.text import Line, clip, flat, line, paragraph
from guide.show.words import minutes

Keys = tuple[tuple[str, str], ...]


_MEND: Keys = (("r", "try again"), ("e", "save elsewhere"), ("q", "leave"))


class Card(msgspec.Struct, frozen=True):
    """A card: its title, one size or time that may be set large, its lines, and the keys of use."""

    title: str
    lines: list[Line]
    keys: Keys = ()
    big: str = ""
    style: str = "class:title"
    cursor: int | None = None  # the line that is typed in
    bare: bool = False  # it needs the whole screen: no head, no seam


def _wrapped(room: int, *texts: str, style: str = "") -> list[Line]:
    return [row for text in texts if text for row in paragraph(text, room, style)]


def _led(lead: str, text: str, room: int) -> list[Line]:
    """A paragraph that begins with a word to find it by."""
    rows = paragraph(f"{lead} {text}", room)
    return [[("class:here", lead), ("", flat(rows[0])[len(lead) :])], *rows[1:]] if rows else []


def _next_lines(scene: Scene, room: int) -> list[Line]:
    """What comes next and what to make ready for it."""
    after = order.next_step(scene.plan, scene.record, by_block=scene.desk.by_block)
    if after is None:
        return _wrapped(room, "That was the last step.")
    lines: list[Line] = [[("class:quiet", "Next: "), ("class:here", say(scene, after.title))]]
    if after.tools:
        lines += _wrapped(room, "At hand: " + ", ".join(after.tools), style="class:quiet")
    cues = parts.cue_words(scene)
    if cues:
        lines += _wrapped(room, f"Make ready: {cues}", style="class:cue")
    return [clip(one, room, scene.marks.more) for one in lines]


def start(scene: Scene, room: int) -> Card:
    """Before the first step: how much there is to do, what to mind, what is first."""
    plan = scene.plan
    hands = sum(seen.usual_ms(scene, step) * max(1, step.pieces) for step in plan.steps)
    makes = f"{plan.project.make} makes, " if plan.project.make > 1 else ""
    lines = _wrapped(
        room,
        f"{makes}{len(plan.steps)} steps, about {minutes(hands / 1000)} hands on for a {_who(scene)}.",
    )
    if plan.warnings:
        lines += [[], *_wrapped(room, *(one.text for one in plan.warnings[:2]), style="class:hint")]
    if plan.cautions:
        lines += [[], *parts.cautions(scene, plan.cautions, room, 3)]
    lines += [[], *_next_lines(scene, room)]
    return Card(
        say(scene, plan.project.title),
        lines,
        (("space", "start"), ("f", "look ahead"), ("?", "keys"), ("q", "stop")),
    )


def _who(scene: Scene) -> str:
    return "beginner" if scene.desk.beginner else "practised maker"


def done(scene: Scene, step: Step, room: int) -> Card:
    """A step is finished: what it took beside what it usually takes, and what is next."""
    took = scene.record.step(step.key).counted_ms
    usual = seen.usual_ms(scene, step) * max(1, step.pieces)
    many = f"{seen.plural(step.pieces, say(scene, step.piece))} in " if step.pieces > 1 else ""
    lines: list[Line] = [
        line(
            many,
            ("class:time", exact_text(took / 1000)),
            ("class:quiet", f", usual {exact_text(usual / 1000)}"),
        )
    ]
    lines += changes(scene, room)
    lines += [[], *_next_lines(scene, room)]
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    return Card(
        f"{say(scene, step.title)} {scene.marks.knot}",
        lines,
        (("space", "start"), ("u", "undo"), ("n", "note"), ("?", "keys")),
    )


def changes(scene: Scene, room: int) -> list[Line]:
    """What the last measure changed, said at once."""
    return [
        clip(
            [
                ("class:quiet", f"{say(scene, label)}: {say(scene, was)} becomes "),
                ("class:figure", say(scene, now)),
            ],
            room,
            scene.marks.more,
        )
        for label, was, now in scene.desk.changes[:4]
    ]


def ready(scene: Scene, room: int) -> Card:
    """Nothing is open and nothing was just finished: what comes next."""
    lines = _next_lines(scene, room)
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    return Card("Ready", lines, (("space", "start"), ("u", "undo"), ("f", "look ahead"), ("?", "keys")))


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
    lines = [*safe, [], *_wrapped(room, "The clock stands still.", _in_hand(scene), style="class:quiet")]
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


def back(scene: Scene, room: int) -> Card:
    """Coming back: the last thing done, what is under the needle, what is next."""
    lines: list[Line] = []
    for said in coming_back.lines(scene.plan, scene.record, scene.now):
        name, _, rest = say(scene, said).partition(": ")
        lines += [*_led(f"{name}:", rest, room), []]
    lines += parts.waiting(scene, room) or _wrapped(room, "Nothing runs until you press.", style="class:quiet")
    offered: Keys = (("space", "go on"), ("b", "look back"), ("f", "ahead"), ("u", "undo"), ("?", "keys"))
    return Card("Welcome back", lines, offered)


def interrupted(scene: Scene, room: int) -> Card:
    """Called away: the clock stands, the iron may not be."""
    since = scene.record.doing_since
    gone = f" {exact_text(max(0, scene.now.wall - since.wall) // 1000)} ago" if since else ""
    return Card(
        "Interrupted",
        _wrapped(room, f"Called away{gone}. This time is not counted.", "Iron off? Blade shut?"),
        (("space", "back at work"), ("p", "pause"), ("u", "undo"), ("q", "stop for now")),
    )


def trouble(scene: Scene, step: Step | None, room: int) -> Card:
    """Something went wrong: it is work, but no measure of pace; what may help."""
    what = say(scene, scene.record.doing_why) or "something"
    lines = _wrapped(room, "The time counts as work, and is kept out of your paces.")
    texts = scene.words.texts(scene.plan, step) if step else {}
    if texts.get("if_wrong"):
        lines += [[], *_wrapped(room, texts["if_wrong"])]
    lines += [
        [],
        *paragraph(
            f"{scene.marks.caution} Foot off the pedal before fingers go near the needle.",
            room,
            "class:caution",
        ),
    ]
    return Card(f"Trouble: {what}", lines, (("space", "mended, go on"), ("n", "note"), ("p", "pause"), ("u", "undo")))


def finish(scene: Scene, room: int) -> Card:
    """All is done: what it took, and where to go from here."""
    record = scene.record
    hands = sum(one.counted_ms for one in record.steps.values())
    skipped = sum(one.state == "skipped" for one in record.steps.values())
    finished = sum(one.state == "done" for one in record.steps.values())
    lines: list[Line] = [
        line(("class:time", minutes(hands / 1000)), f" hands on, {finished} steps done"),
    ]
    if skipped:
        lines.append(line(f"{seen.plural(skipped, 'step')} skipped"))
    if record.sitting > 1:
        lines.append(line(f"{record.sitting} sittings"))
    notes = sum(one.kind in {"note", "noted"} for one in record.remarks)
    if notes:
        lines.append(line(seen.plural(notes, "note")))
    waits = parts.waiting(scene, room)
    if waits:
        lines += [[], *waits]
    lines += [
        [],
        *_wrapped(room, "All pins out? Pull-test the fringe, feel for needle tips.", style="class:caution"),
    ]
    lines += [
        [],
        *_wrapped(room, "guide log makes the maker's log, guide price the price.", style="class:quiet"),
    ]
    keys_: Keys = (("space", "leave"),) if record.closed else (("space", "finish"), ("u", "undo"), ("n", "note"))
    whole = "finished" if record.closed else "every step done"
    return Card(f"{say(scene, scene.plan.project.title)}, {whole} {scene.marks.knot}", lines, keys_)


def why(scene: Scene, step: Step, room: int) -> Card:
    """The step's text whole, why it is done so, what to do if it went wrong."""
    texts = scene.words.texts(scene.plan, step)
    lines = _wrapped(room, texts.get("do", ""))
    for name, said in (
        ("why", "Why"),
        ("if_wrong", "If it went wrong"),
        ("good_enough", "Good enough"),
        ("beginner", "Hint"),
    ):
        if texts.get(name):
            lines += [[], *_led(f"{said}:", texts[name], room)]
    if len(lines) == 0:
        lines = _wrapped(room, "This step says nothing more about itself.")
    return Card(say(scene, step.title), lines, (("w", "back to the step"), ("?", "keys")))


def all_keys(room: int, height: int) -> Card:
    """Every key, from the one table: with its line of help where there is room, else with its word, in columns."""
    rows: list[Line] = []
    for key, said in keys.card():
        for index, one in enumerate(paragraph(said, room - 7)):
            rows.append([("class:key", f"{key if index == 0 else '':<6} "), *one])
    if len(rows) > height:
        rows = _in_columns([(key.key, key.word) for key in keys.TABLE], room)
    return Card("Keys", rows, (("?", "back"),), bare=True)


def _in_columns(pairs: list[tuple[str, str]], room: int) -> list[Line]:
    columns = max(1, room // 18)
    tall = -(-len(pairs) // columns)
    wide = room // columns - 6
    rows: list[Line] = []
    for row in range(tall):
        one: Line = []
        for key, word in pairs[row::tall]:
            one += [("class:key", f"{key:<5} "), ("", f"{word:<{wide}}")]
        rows.append(clip(one, room))
    return rows


def problem(scene: Scene, room: int) -> Card:
    """A record could not be written: said until it is mended."""
    lines = _wrapped(room, scene.desk.problem)
    lines += [[], *_wrapped(room, "What the screen showed before is saved.", style="class:quiet")]
    if scene.saved_in:
        lines += _wrapped(room, f"It is in {scene.saved_in}", style="class:quiet")
    return Card(
        f"{scene.marks.caution} Not written",
        lines,
        (*_MEND[:1], *(_MEND[1:2] if "save elsewhere" in scene.desk.problem else ()), *_MEND[2:]),
        style="class:problem",
    )
