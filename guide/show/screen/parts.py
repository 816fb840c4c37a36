"""What stands on a step's screen? One function a part: `(scene, step, room) -> lines`."""

import re
from collections.abc import Iterable

from guide.follow import order
from guide.plan.model import Step
from guide.record.clock import nearest
from guide.show import cards
from guide.show import scene as seen
from guide.show.columns import cells, clean
from guide.show.report_cautions import caution
from guide.show.scene import Scene
from guide.show.screen.stitch import Stretch, pieces, stages
from guide.show.screen.text import Line, clip, ends, length, paragraph, signed, wrap
from guide.show.words import NO_BREAK, minutes

MOST_CAUTIONS = 2  # whole on a step's card; a third is read over [practice]
AT_STEP = ": w"  # where a step's other cautions stand


def head(scene: Scene, room: int) -> list[Line]:
    """The project, and what has been worked today; a session that does not count says so."""
    title: Line = [("class:quiet", clean(scene.plan.project.title))]
    mode = scene.record.header.mode
    if mode in {"practice", "rehearsal"}:
        title.append(("class:caution", f"  {mode}, does not count"))
    worked = worked_today(scene)
    return [ends(title, [("class:quiet", f"worked today {worked}")] if worked else [], room)]


def worked_today(scene: Scene) -> str:
    """Hands-on time of this day in whole minutes; nothing before the first."""
    whole = nearest(seen.worked_today_ms(scene) / 1000, 60)
    return minutes(whole * 60) if whole else ""


def thread(scene: Scene, room: int) -> list[Line]:
    """The whole work as one seam, the stages' names beneath it."""
    step = order.under_needle(scene.plan, scene.record)
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
    done = sum(scene.record.step(one.key).over for one in stage)
    space = room - length(name) - length(number) - 1
    return [ends([*name, *pieces(done, len(stage), max(4, space), scene.marks)], number, room)]


def number_words(scene: Scene, step: Step) -> str:
    """`step 14 of 41`; what is only looked at says so, and one of several makes says which."""
    number = f"step {order.number_of(scene.plan, step)} of {len(scene.plan.steps)}"
    if scene.desk.view == "look":
        return f"looking at {number}"
    if scene.plan.project.make > 1 and (spot := order.spot(scene.plan, step, scene.record)) and spot.make:
        return f"make {spot.make} of {scene.plan.project.make}, {number}"
    return number


def heading(scene: Scene, step: Step, room: int, *, number: bool = True) -> list[Line]:
    """What to do, and the step's number; a title too long for its line goes on in the next."""
    right: Line = [("class:quiet", number_words(scene, step))] if number else []
    if cells(seen.title(scene, step)) + length(right) + 2 > room:
        title = paragraph(clean(seen.title(scene, step)), room - length(right) - 2, "class:title", 2, scene.marks.more)
        return [ends(title[0], right, room), *title[1:]]
    return [ends([("class:title", clean(seen.title(scene, step)))], right, room)]


def doing(scene: Scene, step: Step, room: int, at_most: int) -> list[Line]:
    """The step's text; a beginner is told what is good enough. What does not fit stands whole behind `w`."""
    texts, told = scene.words.texts(scene.plan, step), seen.told(scene, step)
    lines = [line for title, text in told for line in paragraph(f"{title}: {text}" if title else text, room)]
    if len(told) > 1:
        titles = [line for title, _ in told for line in _hanging(title, room)]
        return lines if len(lines) <= at_most else signed([*titles, []], len(titles), room, f" {scene.marks.more} w")
    if scene.desk.beginner:
        for name, start in (("beginner", "Hint"), ("good_enough", "Good enough")):
            if texts.get(name):
                lines += paragraph(f"{start}: {texts[name]}", room, "class:hint")
    return signed(lines, at_most, room, f" {scene.marks.more} w")


def _hanging(title: str, room: int) -> list[Line]:
    """`2. Centre the wadding`, its further lines under its words."""
    first, *more = paragraph(title, room - 3)
    return [first, *([("", "   "), *line] for line in more)]


def figures(scene: Scene, step: Step, room: int) -> list[Line]:
    """The numbers that stand large beside the step, each with its label, all in one column."""
    rows = [(clean(value), clean(label)) for value, label in seen.figures(scene, step)]
    wide = max((cells(value) for value, _ in rows), default=0)
    return [
        clip(
            [("", "  "), ("class:figure", value), ("", " " * (wide - cells(value) + 3)), ("class:label", label)],
            room,
            scene.marks.more,
        )
        for value, label in rows
    ]


def cautions(
    scene: Scene, names: Iterable[str], room: int, at_most: int, *, quiet: bool = False, where: str = AT_STEP
) -> list[Line]:
    """Where work can hurt, with a sign of its own, in whole sentences, and how many cautions are not whole.

    Of a step two at the most: a third is read over. The first sentence stands whole where two lines hold it; the other
    caution while there is room, on a quiet screen in one line. `where` says where the rest stands.
    """
    sign = f"{scene.marks.caution} "
    space = room - cells(sign)
    said = [
        (place, sentence)
        for place, name in enumerate(names)
        for sentence in re.split(r"(?<=[.!?]) ", clean(caution(name, scene.plan.project.words)))
    ]
    text = _cared(scene, said, space, at_most, quiet=quiet, where=where)
    lines_ = paragraph(text, space, "class:caution", max(at_most, 2), f"{scene.marks.more} w")
    return [
        [("class:caution.sign", sign) if row == 0 else ("", " " * cells(sign)), *one] for row, one in enumerate(lines_)
    ]


def _cared(scene: Scene, said: list[tuple[int, str]], space: int, at_most: int, *, quiet: bool, where: str) -> str:
    """As many whole sentences, each with its caution's place, as their lines hold, with the sign that there is more."""
    shown = sum(place < MOST_CAUTIONS or where != AT_STEP for place, _ in said)
    tries = [(kept, at_most if said[kept - 1][0] == 0 or not quiet else 1) for kept in range(shown, 0, -1)]
    for kept, lines in [*tries, (1, 2)]:
        left = len({place for place, _ in said[kept:]})
        begun = " ".join(sentence for _, sentence in said[:kept])
        for end in (f"{left} more{where}", "w" if where == AT_STEP else f"{left} more") if left else ("",):
            text = f"{begun} {f'{scene.marks.more} {end}'.replace(' ', NO_BREAK)}" if end else begun
            if len(wrap(text, space)) <= lines:
                return text
    return " ".join(sentence for _, sentence in said)


def coming(scene: Scene, step: Step, room: int) -> list[Line]:
    """What follows, and what to make ready for it two steps ahead; when only looking, where the work stands."""
    if scene.desk.view == "look":
        here = order.under_needle(scene.plan, scene.record)
        words = f"your place is kept: {clean(here.title)}" if here else "every step is done"
        return [clip([("class:cue", words)], room, scene.marks.more)]
    after = seen.after(scene, step)
    said = f"next: {after.title[:1].lower()}{after.title[1:]}" if after else "next: nothing, this is the last step"
    lines: list[Line] = [clip([("class:quiet", clean(said))], room, scene.marks.more)]
    ready = cards.cue_words(scene)
    if not ready:
        return lines
    cue: Line = [("class:cue", f"make ready: {ready}")]
    if length(lines[0]) + length(cue) + 5 <= room:
        return [[*lines[0], ("class:quiet", f"  {scene.marks.dot}  "), *cue]]
    return [clip(cue, room, scene.marks.more), *lines]
