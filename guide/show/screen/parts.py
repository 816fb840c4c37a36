"""What stands on a step's screen? One function a part: `(scene, step, room) -> lines`."""

import re
from collections.abc import Iterable

from guide.follow import ahead, order
from guide.plan.model import Step
from guide.show.columns import cells
from guide.show.screen import scene as seen
from guide.show.screen.scene import Scene, say
from guide.show.screen.stitch import Stretch, loop, pieces, stages
from guide.show.screen.text import Line, clean, clip, ends, length, paragraph, wrap
from guide.show.words import minutes


def head(scene: Scene, room: int) -> list[Line]:
    """The project, and what has been worked today; a session that does not count says so."""
    title: Line = [("class:quiet", clean(scene.plan.project.title))]
    mode = scene.record.header.mode
    if mode in {"practice", "rehearsal"}:
        title.append(("class:caution", f"  {mode}, does not count"))
    worked = worked_today(scene)
    return [ends(title, [("class:quiet", f"worked today {worked}")] if worked else [], room)]


def worked_today(scene: Scene) -> str:
    """Hands-on time of this day in whole minutes; nothing for less than one."""
    whole = seen.worked_today_ms(scene) // 60_000
    return minutes(whole * 60) if whole else ""


def thread(scene: Scene, room: int) -> list[Line]:
    """The whole work as one seam, the stages' names beneath it."""
    step = order.under_needle(scene.plan, scene.record, by_block=scene.desk.by_block)
    here = step.stage if step else None
    stretches = [
        Stretch(clean(one.stage), one.done / one.total if one.total else 1.0, one.total, one.stage == here)
        for one in order.progress(scene.plan, scene.record)
    ]
    return list(stages(stretches, room, scene.marks))


def stage_row(scene: Scene, step: Step, room: int) -> list[Line]:
    """A narrow screen's one line of progress: this stage's steps as stitches, and the step's number."""
    number: Line = [("class:quiet", number_words(scene, step))]
    name: Line = [("class:here", f"{clean(step.stage)} ")]
    stage = [one for one in scene.plan.steps if one.stage == step.stage]
    done = sum(order.is_over(one, scene.record) for one in stage)
    space = room - length(name) - length(number) - 1
    return [ends([*name, *pieces(done, len(stage), max(4, space), scene.marks)], number, room)]


def number_words(scene: Scene, step: Step) -> str:
    """`step 14 of 41`; what is only looked at says so, and one of several makes says which."""
    number = f"step {order.number_of(scene.plan, step)} of {len(scene.plan.steps)}"
    if scene.desk.view == "look":
        return f"looking at {number}"
    if scene.plan.project.make > 1 and (spot := order.spot(scene.plan, step, scene.record)):
        return f"make {spot.make} of {scene.plan.project.make}, {number}"
    return number


def heading(scene: Scene, step: Step, room: int, *, number: bool = True) -> list[Line]:
    """What to do, in a line, and the step's number."""
    right: Line = [("class:quiet", number_words(scene, step))] if number else []
    return [ends([("class:title", clean(step.title))], right, room)]


def doing(scene: Scene, step: Step, room: int, at_most: int) -> list[Line]:
    """The step's text; a beginner is told what is good enough. What does not fit stands whole behind `w`."""
    texts = scene.words.texts(scene.plan, step)
    lines = paragraph(texts.get("do", ""), room, "", at_most, f"{scene.marks.more} w")
    if scene.desk.beginner and len(lines) < at_most:
        for name, start in (("beginner", "Hint"), ("good_enough", "Good enough")):
            if texts.get(name) and len(lines) < at_most:
                lines += paragraph(
                    f"{start}: {texts[name]}", room, "class:hint", at_most - len(lines), scene.marks.more
                )
    return lines


def figures(scene: Scene, step: Step, room: int) -> list[Line]:
    """The numbers that stand large beside the step, each with its label, all in one column."""
    rows = [(clean(value), clean(label)) for value, label in scene.words.shown(scene.plan, step)]
    wide = max((cells(value) for value, _ in rows), default=0)
    return [
        clip(
            [("", "  "), ("class:figure", value), ("", " " * (wide - cells(value) + 3)), ("class:label", label)],
            room,
            scene.marks.more,
        )
        for value, label in rows
    ]


def cautions(scene: Scene, names: Iterable[str], room: int, at_most: int = 2, *, quiet: bool = False) -> list[Line]:
    """Where work can hurt, with a sign of its own, in whole sentences.

    The first caution stands whole where it fits; others while there is room, on a quiet screen in one line.
    """
    sign = f"{scene.marks.caution} "
    space = room - cells(sign)
    said = ""
    for place, name in enumerate(names):
        lines = at_most if place == 0 or not quiet else 1
        for sentence in re.split(r"(?<=[.!?]) ", say(scene, scene.words.caution(name))):
            more = f"{said} {sentence}" if said else sentence
            if said and len(wrap(more, space)) > lines:
                break
            said = more
    lines_ = paragraph(said, space, "class:caution", at_most, scene.marks.more)
    return [
        [("class:caution.sign", sign) if row == 0 else ("", " " * cells(sign)), *one] for row, one in enumerate(lines_)
    ]


def coming(scene: Scene, step: Step, room: int) -> list[Line]:
    """What follows, and what to make ready for it two steps ahead; when only looking, where the work stands."""
    if scene.desk.view == "look":
        here = order.under_needle(scene.plan, scene.record, by_block=scene.desk.by_block)
        words = f"your place is kept: {clean(here.title)}" if here else "every step is done"
        return [clip([("class:cue", words)], room, scene.marks.more)]
    after = next(iter(order.to_come(scene.plan, scene.record, step.key)), None)
    said = f"next: {after.title[:1].lower()}{after.title[1:]}" if after else "next: nothing, this is the last step"
    lines: list[Line] = [clip([("class:quiet", clean(said))], room, scene.marks.more)]
    ready = cue_words(scene)
    if not ready:
        return lines
    cue: Line = [("class:cue", f"make ready: {ready}")]
    if length(lines[0]) + length(cue) + 5 <= room:
        return [[*lines[0], ("class:quiet", f"  {scene.marks.dot}  "), *cue]]
    return [clip(cue, room, scene.marks.more), *lines]


def cue_words(scene: Scene) -> str:
    """What to make ready, and when it is needed."""
    when = {1: "next", 2: "in two steps"}
    cues = order.cues(scene.plan, scene.record)
    return ", ".join(f"{clean(what)} ({when.get(away, f'in {away} steps')})" for what, away in cues)


def waiting(scene: Scene, room: int) -> list[Line]:
    """The waits that run beside the work, each as a loop that fills."""
    lines = []
    for one in ahead.waits(scene.plan, scene.record, scene.now):
        share = 1.0 - one.left_ms / one.takes_ms if one.takes_ms else 1.0
        name = clean(one.step.title)
        if one.over:
            fragment: Line = [("class:cue", f"{loop(1.0, scene.marks)} {name}: done, {seen.clock(scene, one.due)}")]
        else:
            left = minutes(-(-one.left_ms // 60_000) * 60 if one.left_ms >= 60_000 else one.left_ms / 1000)
            fragment = [
                ("class:sewn", f"{loop(share, scene.marks)} "),
                ("", name),
                ("class:quiet", f"  {left} left, done at {seen.clock(scene, one.due)}"),
            ]
        lines.append(clip(fragment, room, scene.marks.more))
    return lines
