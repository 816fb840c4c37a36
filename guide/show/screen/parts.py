"""What stands on a step's screen? One function a part: `(scene, step, room) -> lines`."""

import re
from collections.abc import Iterable

from guide.follow import ahead, keys, order
from guide.plan.model import Step
from guide.show.report_numbers import exact_text
from guide.show.screen import scene as seen
from guide.show.screen.scene import Scene, say
from guide.show.screen.stitch import Stretch, loop, pieces, stages
from guide.show.screen.text import Line, cells, clip, ends, length, paragraph, wrap
from guide.show.words import minutes


def head(scene: Scene, room: int) -> list[Line]:
    """The project, and what has been worked today; a session that does not count says so."""
    title: Line = [("class:quiet", say(scene, scene.plan.project.title))]
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
        Stretch(say(scene, one.stage), one.done / one.total if one.total else 1.0, one.total, one.stage == here)
        for one in order.progress(scene.plan, scene.record)
    ]
    return list(stages(stretches, room, scene.marks))


def stage_row(scene: Scene, step: Step, room: int) -> list[Line]:
    """A narrow screen's one line of progress: this stage's steps as stitches, and the step's number."""
    number: Line = [("class:quiet", number_words(scene, step))]
    name: Line = [("class:here", f"{say(scene, step.stage)} ")]
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
    return [ends([("class:title", say(scene, step.title))], right, room)]


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


def figures(scene: Scene, step: Step, room: int, at_most: int) -> list[Line]:
    """The numbers that stand large beside the step, each with its label, all in one column."""
    rows = [(say(scene, value), say(scene, label)) for value, label in scene.words.shown(scene.plan, step)]
    rows = rows[: max(0, at_most)]
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
        words = f"your place is kept: {say(scene, here.title)}" if here else "every step is done"
        return [clip([("class:cue", words)], room, scene.marks.more)]
    after = next(iter(order.to_come(scene.plan, scene.record, step.key)), None)
    said = f"next: {after.title[:1].lower()}{after.title[1:]}" if after else "next: nothing, this is the last step"
    lines: list[Line] = [clip([("class:quiet", say(scene, said))], room, scene.marks.more)]
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
    return ", ".join(f"{say(scene, what)} ({when.get(away, f'in {away} steps')})" for what, away in cues)


def waiting(scene: Scene, room: int) -> list[Line]:
    """The waits that run beside the work, each as a loop that fills."""
    lines = []
    for one in ahead.waits(scene.plan, scene.record, scene.now):
        share = 1.0 - one.left_ms / one.takes_ms if one.takes_ms else 1.0
        name = say(scene, one.step.title)
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


def row(scene: Scene, step: Step, room: int) -> list[Line]:
    """The pieces of this step as a row of stitches; the count in words, and a number being typed, beside it."""
    typed = say(scene, scene.desk.typed)
    number: Line = [("class:asked", f" {typed} "), ("class:quiet", " then space")] if typed else []
    if step.pieces <= 1:
        return [number] if number else []
    done, here = scene.record.step(step.key).pieces_done, scene.desk.view != "look"
    words = [seen.plural(step.pieces, say(scene, step.piece)), str(step.pieces)]
    sides: list[Line] = [[("", f"   {done} of {one}"), *([("", "   "), *number] if number else [])] for one in words]
    if number:
        sides.append([("", f"   {done} of {words[1]}   "), number[0]])
    side = next((one for one in sides if 2 * step.pieces + length(one) <= room), sides[-1])
    return [[*pieces(done, step.pieces, room - length(side), scene.marks, needle=here), *side]]


def times(scene: Scene, step: Step, room: int) -> list[Line]:
    """This piece, the usual one, when the step and the whole will be done; the last give way first."""
    usual = seen.usual_ms(scene, step)
    each = step.count == "each" and step.pieces > 1
    whole = usual if each else usual * max(1, step.pieces)
    wide, now_open = room >= 60, seen.is_open(scene, step)
    said: list[tuple[str, str]] = []
    if now_open:
        said.append((("this one " if each else "so far ") if wide else "", exact_text(seen.this_ms(scene) // 1000)))
    if whole > 0:
        said.append(("usual ", exact_text(whole / 1000)))
    if scene.desk.view != "look":
        guess = ahead.estimate(scene.plan, scene.record, scene.now, paces=scene.paces, beginner=scene.desk.beginner)
        about = "done about " if wide else "done "
        if now_open:
            said.append((f"step {about}", seen.clock(scene, guess.step_ends)))
        said.append((f"all {about}", seen.clock(scene, guess.all_ends)))
    out: Line = []
    for word, value in said:
        gap = "    " if room >= 72 else "  "
        more: Line = [("class:quiet", f"{gap if out else ''}{word}"), ("class:time", value)]
        if length(out) + length(more) > room:
            break
        out += more
    return [out] if out else []


def answer(scene: Scene, room: int) -> list[Line]:
    """What the last key did, or what could not be written: this stands before all else until it is mended."""
    if scene.desk.problem:
        return [[("class:problem", text)] for text in wrap(say(scene, scene.desk.problem), room)]
    if scene.desk.said:
        return paragraph(say(scene, scene.desk.said), room, "class:said", 2, scene.marks.more)
    return []


_LOOKING = (("space", "back to your place"), ("b", "back"), ("f", "ahead"), ("w", "why"), ("?", "keys"))


def _step_keys(scene: Scene) -> tuple[tuple[str, str], ...]:
    """The step's keys from the one table, the big key in this step's words; measuring leads where it is the work."""
    if scene.desk.view == "look":
        return _LOOKING
    step, first = order.open_step(scene.plan, scene.record), ["space"]
    big = ""
    if step is not None and scene.record.doing == "working":
        more = step.count == "each" and order.left_of(step, scene.record) > 1
        big = f"next {say(scene, step.piece)}" if more else "done"
        if step.measure and step.measure not in scene.record.measured(scene.desk.make):
            first = ["m", "space"]
    pairs = keys.help_line(scene.record, big)
    led = [pair for key in first for pair in pairs if pair[0] == key]
    last = [pair for pair in pairs if pair[0] == "?"]
    return (*led, *(pair for pair in pairs if pair not in led and pair not in last), *last)


def help_line(scene: Scene, room: int, words: tuple[tuple[str, str], ...] | None = None) -> list[Line]:
    """The keys that are of use now, as many as fit; `?` never gives way."""
    if scene.desk.locked:
        return [clip([("class:key", "l"), ("class:quiet", " unlocks: the keys are locked")], room)]
    pairs = list(words or _step_keys(scene))
    gap = "   " if room >= 72 else "  "

    def drawn(some: list[tuple[str, str]]) -> Line:
        out: Line = []
        for key, word in some:
            out += [("class:key", f"{gap if out else ''}{key}"), ("class:quiet", f" {word}")]
        return out

    while len(pairs) > 1 and length(drawn(pairs)) > room:
        pairs.pop(-2 if pairs[-1][0] == "?" else -1)
    return [clip(drawn(pairs), room, scene.marks.more)]
