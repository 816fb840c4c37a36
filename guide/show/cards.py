"""Which card covers the step, and what does it say? At the start, between steps, while the clock stands, at the end."""

from typing import Literal

import msgspec

from guide.follow import halting, noting, order
from guide.follow.keys import card as every_key
from guide.follow.keys import offered
from guide.follow.model import Ask
from guide.plan.model import Step, expected
from guide.plan.parts import letters
from guide.read.spoken import counted
from guide.read.units import BadLength, show_length
from guide.record.clock import exact_text, time_text
from guide.show import scene as seen
from guide.show.report_cautions import caution, in_trouble
from guide.show.scene import Scene, say
from guide.show.screen.place import stack_in_hand, views_of
from guide.show.screen.sketch import sketch
from guide.show.table import clean

# What is a card? A title, lines, the keys of use: made once, painted on the screen and printed in lines.

Parts = list[tuple[str, str]]  # (role, text): the screen has a style for each role, lines have none
Keys = tuple[tuple[str, str], ...]


class Row(msgspec.Struct, frozen=True):
    """A paragraph of a card: what it says, and what stands before it. One that says nothing is a blank line."""

    parts: Parts = []
    sign: Literal["", "caution", "safe", "good", "more"] = ""
    key: str = ""  # the key or the number that this is about
    share: float | None = None  # a wait: how much of it is over
    typed: str | None = None  # what is being typed, and nothing else
    nudged: bool = False  # the arrows move what is typed
    cautions: tuple[str, ...] = ()  # by name: the screen says as much of them as it has room for


class Card(msgspec.Struct, frozen=True):
    """A card that takes the place of the step: its title, one size that may be set large, its lines, its keys."""

    title: str
    rows: list[Row]
    keys: Keys = ()
    big: str = ""
    sign: Literal["", "done", "caution", "problem"] = ""  # of the title
    bare: bool = False  # it needs the whole screen: no head, no seam
    picture: Literal["", "whole", "step"] = ""  # looked at with it: the whole layout, or the step's own drawing
    spoken: list[Row] = []  # what lines say in the picture's place


BLANK = Row()


def row(text: str, role: str = "") -> Row:
    """A paragraph in one role."""
    return Row([(role, text)])


def led(lead: str, text: str) -> Row:
    """A paragraph that begins with a word to find it by."""
    return Row([("here", lead), ("", f" {text}")])


def apart(rows: list[Row]) -> list[Row]:
    """Rows with a blank line before them, if there are any."""
    return [BLANK, *rows] if rows else []


# What does a question say? What is typed, numbered choices, or a size with what it changes.

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


MOST_WARNINGS = 2


def card_of(scene: Scene) -> Card | None:
    """The card that covers the step, if one does."""
    record, desk = scene.record, scene.desk
    if desk.problem:
        return problem(scene)
    if desk.ask is not None:
        return asked(scene, desk.ask)
    if desk.view == "keys":
        return keys(scene)
    step = seen.shown_step(scene)
    if desk.view == "why" and step is not None:
        return why(scene, step)
    if desk.view == "drawing" and step is not None:
        return drawing(scene, step)
    if desk.view == "back":
        return back(scene)
    standing = {
        "ready": _between, "paused": paused, "stopped": paused, "interrupted": interrupted, "trouble": trouble,
        "closed": finish,
    }.get(record.doing)  # fmt: skip
    if standing is not None and desk.view != "look":
        return standing(scene)
    return None if step is not None else finish(scene)


def _between(scene: Scene) -> Card:
    if order.next_step(scene.plan, scene.record) is None:
        return finish(scene)
    if not scene.record.steps:
        return start(scene)
    last = seen.last_done(scene)
    return done(scene, last) if last is not None else ready(scene)


def start(scene: Scene) -> Card:
    """Before the first step: how much there is to do, what to mind, what is first."""
    plan = scene.plan
    hands = sum(seen.usual_ms(scene, step) * max(1, step.pieces) for step in plan.steps)
    makes = f"{plan.project.make} makes, " if plan.project.make > 1 else ""
    rows = [row(f"{makes}{counted(len(plan.steps), 'step')}, about {time_text(hands / 1000)} hands on{_whose(scene)}.")]
    warned = [row(one.text, "hint") for one in plan.warnings[:MOST_WARNINGS]]
    if (more := len(plan.warnings) - MOST_WARNINGS) > 0:
        warned.append(Row([("hint", f"{more} more: guide plan")], sign="more"))
    rows += apart(warned)
    rows += apart([Row(cautions=plan.cautions)] if plan.cautions else [])
    rows += [*apart(_next(scene)), *apart(waiting(scene))]
    return Card(clean(plan.project.title), rows, offered(("space", "start"), *_change(scene), "f", "?", "q"))


def _whose(scene: Scene) -> str:
    """Whose pace a time rests on: the maker's own for the steps it is known of, else the starter paces."""
    steps = scene.plan.steps
    own = sum(step.key in scene.paces for step in steps)
    if own == len(steps):
        return " at your own pace"
    if own:
        return f", {own} of {len(steps)} steps at your own pace"
    return " for a beginner" if scene.desk.beginner else " for a practised maker"


def done(scene: Scene, step: Step) -> Card:
    """A step is finished: what it took beside what it usually takes, and what is next."""
    steps = seen.ended_with(scene, step)
    laps = [lap for one in steps for lap in scene.record.step(one.key).laps]
    took = sum(lap.counted_ms for lap in laps if lap.counted and not lap.between)
    out = sum(lap.counted_ms for lap in laps if not lap.counted)
    usual = sum(seen.usual_ms(scene, one) for one in steps) * max(1, step.pieces)
    many = f"{counted(step.pieces, clean(step.piece))} in " if step.pieces > 1 else ""
    counts = scene.record.between and order.next_step(scene.plan, scene.record) is not None
    beside = f", usual {exact_text(usual / 1000)}" + (f"; {exact_text(out / 1000)} not counted" if out else "")
    rows = [Row([("", many), ("time", exact_text(took / 1000)), ("quiet", beside)]), *changes(scene)]
    if len(steps) > 1:
        rows.append(row("shared out among these steps by their usual times; your paces take them as one", "quiet"))
    rows += [BLANK, *_next(scene), *apart(waiting(scene)), *_meanwhile(scene)]
    rows += apart([row("The time until the next step counts too; p for a rest.", "quiet")] if counts else [])
    keys = offered(("space", "start"), *_over(scene), *_change(scene), *(["p"] if counts else []), "u", "n", "?")
    return Card(clean(seen.titles(steps)), rows, keys, sign="done")


def _over(scene: Scene) -> Keys:
    """The key that ends a wait, when one runs."""
    return (("o", "a wait is over"),) if order.waits(scene.plan, scene.record, scene.now) else ()


def _change(scene: Scene) -> Keys:
    """The key that goes over to the other project, where two go in one window."""
    return offered("y") if scene.desk.beside else ()


def _meanwhile(scene: Scene) -> list[Row]:
    """What fits into a long wait that all else hangs on, here and at the other project of this window."""
    long, step = order.meanwhile(scene.plan, scene.record, scene.now)
    if not long:
        return []
    rows = [led("Meanwhile:", f"{clean(step.title)}; the big key asks.")] if step else []
    if scene.desk.beside_step:
        there = f"{clean(scene.desk.beside_step)}, of {clean(scene.desk.beside)}; y goes over."
        rows.append(led("Meanwhile:", there))
    return rows


def ready(scene: Scene) -> Card:
    """Nothing is open and nothing was just finished: what comes next."""
    rows = [*_next(scene), *apart(waiting(scene)), *_meanwhile(scene)]
    return Card("Ready", rows, offered(("space", "start"), *_over(scene), *_change(scene), "u", "f", "?"))


def back(scene: Scene) -> Card:
    """Coming back: the last thing done, what is under the needle, what is next."""
    rows: list[Row] = []
    for said in order.lines(scene.plan, scene.record, scene.now):
        name, _, rest = clean(said).partition(": ")
        rows += [led(f"{name}:", rest), BLANK]
    rows += [*waiting(scene), *_meanwhile(scene)] or [row("Nothing runs until you press.", "quiet")]
    return Card("Welcome back", rows, offered(("space", "go on"), *_change(scene), "b", ("f", "ahead"), "u", "?"))


def finish(scene: Scene) -> Card:
    """All is done: what it took, and where to go from here."""
    record = scene.record
    steps = [one.state for one in record.steps.values()]
    worked = f" hands on, {counted(steps.count('done'), 'step')} done"
    rows = [Row([("time", time_text(record.counted_ms / 1000)), ("", worked)])]
    if skipped := steps.count("skipped"):
        rows.append(row(f"{counted(skipped, 'step')} skipped"))
    if record.sitting > 1:
        rows.append(row(counted(record.sitting, "sitting")))
    if notes := sum(one.kind in {"note", "noted"} for one in record.remarks):
        rows.append(row(counted(notes, "note")))
    rows += apart(waiting(scene))
    pins = "All pins out? " if halting.pins_used(scene.plan) else ""
    rows += apart([row(f"{pins}Pull-test the fringe, feel for needle tips.", "caution")])
    rows += apart([row("guide log makes the maker's log, guide price the price.", "quiet")])
    open_ = offered(("space", "finish"), *_over(scene), "u", "n")
    whole = "finished" if record.closed else "every step done"
    title = f"{clean(scene.plan.project.title)}, {whole}"
    return Card(title, rows, (("space", "leave"),) if record.closed else open_, sign="done")


def _next(scene: Scene) -> list[Row]:
    """What comes next and what to make ready for it."""
    after = order.next_step(scene.plan, scene.record)
    if after is None:
        return [row("That was the last step.")]
    typed = scene.desk.typed
    rows = [
        *([row(f"{typed} typed: it starts with the step, and stands for the press after.", "said")] if typed else []),
        Row([("quiet", "Next: "), ("here", clean(after.title))]),
    ]
    if after.tools:
        rows.append(row("At hand: " + ", ".join(after.tools), "quiet"))
    if cues := cue_words(scene):
        rows.append(row(f"Make ready: {cues}", "cue"))
    return rows


def cue_words(scene: Scene) -> str:
    """What to make ready, and when it is needed."""
    when = {-1: "now", 0: "when the wait is over", 1: "next", 2: "in two steps"}
    cues = order.cues(scene.plan, scene.record, scene.now)
    return ", ".join(f"{clean(what)} ({when.get(away, f'in {away} steps')})" for what, away in cues)


def waiting(scene: Scene) -> list[Row]:
    """The waits that run beside the work, here and at the other project of this window."""
    rows = []
    here = [("", one) for one in order.waits(scene.plan, scene.record, scene.now)]
    there = [(f"{clean(scene.desk.beside)}, ", one) for one in scene.beside_waits]
    for whose, one in (*here, *there):
        share = 1.0 - one.left_ms / one.takes_ms if one.takes_ms else 1.0
        name = f"{whose}{clean(one.step.title)}"
        if one.over:
            rows.append(Row([("cue", f"{name}: done, {seen.clock(scene, one.due)}")], share=1.0))
            continue
        left = time_text(-(-one.left_ms // 60_000) * 60 if one.left_ms >= 60_000 else one.left_ms / 1000)
        rows.append(Row([("", name), ("quiet", f"  {left} left, done at {seen.clock(scene, one.due)}")], share=share))
    return rows


def paused(scene: Scene) -> Card:
    """The clock stands: how to leave the table safe."""
    stopped = scene.record.doing == "stopped"
    rows = [Row([("card", f"{text[:1].upper()}{text[1:]}")], sign="safe") for text in halting.make_safe(scene.plan)]
    rows += [BLANK, row("The clock stands still.", "quiet")]
    if hand := _in_hand(scene):
        rows.append(row(hand, "quiet"))
    rows += apart(waiting(scene))
    title = f"{'Stopped' if stopped else 'Paused'}{_since(scene)}"
    return Card(title, rows, offered(("space", "go on"), "u", "n", ("q", "stop for now")))


def _since(scene: Scene) -> str:
    since = scene.record.doing_since
    return f" since {seen.clock(scene, since.wall)}" if since else ""


def _in_hand(scene: Scene) -> str:
    step = order.open_step(scene.plan, scene.record)
    if step is None:
        return ""
    piece = order.piece_words(scene.plan, step, scene.record)
    return f"In hand: {step.title}, {piece}." if piece else f"In hand: {step.title}."


def interrupted(scene: Scene) -> Card:
    """Called away: the clock stands, the iron may not be."""
    rows = [row(f"Called away{_since(scene)}. This time is not counted."), row("Iron off? Blade shut?")]
    return Card("Interrupted", rows, offered(("space", "back at work"), "p", "u", ("q", "stop for now")))


def trouble(scene: Scene) -> Card:
    """Something went wrong: it is work, but no measure of pace; what may help."""
    step = seen.shown_step(scene)
    what = clean(scene.record.doing_why) or "something"
    first, helps = in_trouble(scene.plan, scene.record.doing_why, step.station if step else "machine")
    rows = [Row([("caution", one)], sign="caution") for one in first]
    texts = scene.words.texts(scene.plan, step) if step else {}
    rows += apart([row(one) for one in helps])
    rows += apart([row(texts["if_wrong"])] if texts.get("if_wrong") else [])
    rows += apart([row("The time counts as work, and is kept out of your paces.", "quiet")])
    return Card(f"Trouble: {what}", rows, offered(("space", "mended, go on"), "n", "p", "u"))


def problem(scene: Scene) -> Card:
    """A record could not be written: said until it is mended."""
    rows = [row(scene.desk.problem), BLANK, row("What the screen showed before is saved.", "quiet")]
    if scene.saved_in:
        rows.append(row(f"It is in {scene.saved_in}", "quiet"))
    away: Keys = (("e", "save elsewhere"),) if "save elsewhere" in scene.desk.problem else ()
    return Card("Not written", rows, (("r", "try again"), *away, ("q", "leave")), sign="problem")


def told(scene: Scene, step: Step) -> list[Row]:
    """What to do in this step, and in each that one press counts with it."""
    return [led(f"{title}:", text) if title else row(text) for title, text in seen.told(scene, step) if text]


def why(scene: Scene, step: Step) -> Card:
    """The step's text whole, its cautions, why it is done so, what to do if it went wrong."""
    rows = told(scene, step)
    named = seen.cautions(scene, step)
    rows += [Row([("", clean(caution(name, scene.plan.project.words)))], sign="caution") for name in named]
    for one in seen.together(scene, step):
        texts = scene.words.texts(scene.plan, one)
        for name, head in seen.HEADS.items():
            rows += apart([led(f"{head}:", texts[name])] if texts.get(name) else [])
    rows = rows or [row("This step says nothing more about itself.")]
    return Card(clean(seen.title(scene, step)), rows, offered(("w", "back to the step"), "?"))


def laid_in_order(scene: Scene, step: Step) -> list[str]:
    """The stack in hand by its prints' names, what is laid first in front; nothing where no block is in hand."""
    laid = [clean(name) for name in reversed(stack_in_hand(scene, step) or ())]
    below = len(laid) - scene.plan.project.above
    laid[below:below] = [say(scene, "wadding")] if laid and scene.plan.project.wadding else []
    return laid


def drawing(scene: Scene, step: Step) -> Card:
    """What is to be looked at in this step, as large as it goes; in lines, row by row in words."""
    named = {letter[-1:]: clean(name) for name, letter in letters(scene.plan.project).items()}
    spoken = []
    for name, panel in views_of(scene, step):
        for at, cells in enumerate(panel.rows, 1):
            lead = f"{name or 'front'}, row {at}:"
            spoken.append(led(f"{lead[:1].upper()}{lead[1:]}", ", ".join(named.get(one, "?") for one in cells) + "."))
    if own := [said for _, said in sketch(scene, step) if said]:
        spoken.append(row(f"{'; '.join(own)}.".capitalize()))
    if laid := laid_in_order(scene, step):
        spoken.append(led("Laid in this order:", ", ".join(laid) + "."))
    numbers = [
        Row([("figure", clean(value)), ("label", f"   {clean(label)}")]) for value, label in seen.figures(scene, step)
    ]
    rows = [] if spoken else numbers or [row("This step has no drawing; w says how it is done.")]
    back: Keys = (("space", "back to the step"), ("d", "the same"), ("?", "keys"))
    return Card(clean(step.title), rows, back, picture="step", spoken=spoken)


def keys(scene: Scene) -> Card:
    """Every key with its line of help, from the one table."""
    rows = [Row([("", say(scene, help_))], key=key) for key, help_ in every_key()]
    return Card("Keys", rows, (("?", "back"),), bare=True)
