"""What stands on a step's screen? One function a part: `(scene, step, room) -> lines`."""

import re
from collections.abc import Iterable

import msgspec

from guide.follow import keys, order
from guide.follow.noting import made
from guide.plan.model import Step
from guide.read.spoken import counted
from guide.read.stage_keys import map_of
from guide.record.clock import exact_text, nearest, time_text
from guide.show import cards
from guide.show import scene as seen
from guide.show.report_cautions import caution
from guide.show.scene import Scene
from guide.show.screen.place import BOTH, LOOSE
from guide.show.screen.text import Line, Stretch, clip, ends, length, paragraph, pieces, signed, stages, wrap
from guide.show.table import cells, clean
from guide.show.words import NO_BREAK

# How do parts share a screen? Blank lines give way first, then whole parts, the least needed first.


class Page(msgspec.Struct, frozen=True):
    """A whole screen: its lines from the top, and the cell the cursor sits on (column, row)."""

    lines: list[Line]
    cursor: tuple[int, int] = (0, 0)
    more: bool = False  # a card goes on below


class Part(msgspec.Struct, frozen=True):
    """Lines that belong together: how long they stay when room is short, and the blank lines wanted before them."""

    name: str
    lines: list[Line]
    keep: int
    gap: int = 0


def fitted(stack: list[Part], height: int) -> list[Part]:
    """Parts that fit: blank lines give way first, then whole parts, the least kept first."""
    kept = [part for part in stack if part.lines]

    def tall() -> int:
        return sum(len(part.lines) + part.gap for part in kept)

    while tall() > height and any(part.gap for part in kept):
        index = min((i for i, part in enumerate(kept) if part.gap), key=lambda i: kept[i].keep)
        kept[index] = msgspec.structs.replace(kept[index], gap=kept[index].gap - 1)
    while tall() > height and len(kept) > 1:
        kept.remove(min(kept, key=lambda part: part.keep))
    return kept


def laid(top: list[Part], foot: list[Part], height: int) -> tuple[list[Line], dict[str, int]]:
    """The parts' lines, the foot at the bottom, and the row each part begins on."""
    kept = fitted([*top, *foot], height)
    names = {part.name for part in foot}
    tall = sum(len(part.lines) + part.gap for part in kept)
    lines: list[Line] = []
    rows: dict[str, int] = {}
    spread = False
    for part in kept:
        if part.name in names and not spread:
            lines += [[] for _ in range(height - tall)]
            spread = True
        lines += [[] for _ in range(part.gap)]
        rows[part.name] = len(lines)
        lines += part.lines
    return lines[:height], rows


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
    return time_text(whole * 60) if whole else ""


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
    told = seen.told(scene, step)
    lines = [line for title, text in told for line in paragraph(f"{title}: {text}" if title else text, room)]
    if len(told) > 1:
        titles = [line for title, _ in told for line in _hanging(title, room)]
        return lines if len(lines) <= at_most else signed([*titles, []], len(titles), room, f" {scene.marks.more} w")
    for head_, text in seen.hints(scene, step):
        lines += paragraph(f"{head_}: {text}", room, "class:hint")
    return signed(lines, at_most, room, f" {scene.marks.more} w")


def _hanging(title: str, room: int) -> list[Line]:
    """`2. Centre the wadding`, its further lines under its words."""
    first, *more = paragraph(title, room - 3)
    return [first, *([("", "   "), *line] for line in more)]


def figures(scene: Scene, step: Step, room: int) -> list[Line]:
    """The numbers that stand large beside the step, each with its label, all in one column."""
    rows = [(clean(value), clean(label)) for value, label in seen.figures(scene, step)]
    wide, lines = max((cells(value) for value, _ in rows), default=0), []
    for value, label in rows:
        one: Line = [("", "  "), ("class:figure", value), ("", " " * (wide - cells(value) + 3)), ("class:label", label)]
        lines.append(clip(one, room, scene.marks.more))
    return lines


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


# What stands at the foot of the screen? The stitches of this step, the times, the last answer, the keys of use.

COUNTED = 24  # stitches an eye counts: so few pieces have one each, or none are drawn


def row(scene: Scene, step: Step, room: int) -> list[Line]:
    """The pieces of this step as a row of stitches; the count in words, and a number being typed, beside it."""
    typed = clean(scene.desk.typed)
    number: Line = [("class:asked", f" {typed} "), ("class:quiet", " then space")] if typed else []
    if step.pieces <= 1:
        return [number] if number else []
    done, here = scene.record.step(step.key).pieces_done, scene.desk.view != "look"
    words = [counted(step.pieces, clean(step.piece)), str(step.pieces)]
    sides: list[Line] = [[("", f"   {done} of {one}"), *([("", "   "), *number] if number else [])] for one in words]
    if number:
        sides.append([("", f"   {done} of {words[1]}   "), number[0]])
    side = next((one for one in sides if 2 * step.pieces + 1 + length(one) <= room), sides[-1])
    if (room - length(side) - 1) // 2 < step.pieces <= COUNTED:
        return [[("", side[0][1].lstrip()), *side[1:]]]
    return [[*pieces(done, step.pieces, room - length(side), scene.marks, needle=here), *side]]


def times(scene: Scene, step: Step, room: int) -> list[Line]:
    """This piece, the usual one, when the step and the whole will be done; the last give way first."""
    usual = sum(seen.usual_ms(scene, one) for one in seen.together(scene, step))
    each = step.count == "each" and step.pieces > 1
    whole = usual if each else usual * max(1, step.pieces)
    wide, now_open = room >= 60, seen.is_open(scene, step)
    said: list[tuple[str, str]] = []
    if now_open:
        said.append((("this one " if each else "so far ") if wide else "", exact_text(seen.this_ms(scene) // 1000)))
    if whole > 0:
        said.append(("usual ", exact_text(whole / 1000)))
    if scene.desk.view != "look":
        guess = seen.estimate(scene)
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
    """What the last key did, or a word to rest; what could not be written stands before all else."""
    if scene.desk.problem:
        return [[("class:problem", text)] for text in wrap(clean(scene.desk.problem), room)]
    if scene.desk.said:
        return paragraph(scene.desk.said, room, "class:said", 3, scene.marks.more)
    return paragraph(clean(scene.rest), room, "class:cue", 2, scene.marks.more) if scene.rest else []


def far_keys(scene: Scene) -> tuple[tuple[str, str], ...]:
    """The keys of use from across the room: the big one in this step's words, and the way back."""
    return (_step_keys(scene)[0], *keys.offered(("z", "near"), "u", "p", "?"))


_LOOKING = keys.offered(("space", "back to your place"), ("b", "back"), ("f", "ahead"), "w", "?")


def _step_keys(scene: Scene) -> tuple[tuple[str, str], ...]:
    """The step's keys from the one table, the big key in this step's words; measuring leads where it is the work."""
    if scene.desk.view == "look":
        return _LOOKING
    step, first = order.open_step(scene.plan, scene.record), ["space"]
    more_keys: tuple[tuple[str, str], ...] = ()
    big = ""
    if step is not None and scene.record.doing == "working":
        more = step.count == "each" and order.left_of(step, scene.record) > 1
        big = f"next {clean(step.piece)}" if more else "done"
        if step.measure and step.measure not in scene.record.measured(scene.desk.make):
            first = ["m", "space"]
        if map_of(step.picture) == BOTH and step.stage in LOOSE:  # likes that meet are told to be swapped
            more_keys = keys.offered(("c", "swap two"))
    here = order.under_needle(scene.plan, scene.record)
    can = {"m": bool(made(scene.plan, here))}
    pairs = [pair for pair in keys.help_line(scene.record, big) if can.get(pair[0], True)]
    led = [pair for key in first for pair in pairs if pair[0] == key]
    last = [pair for pair in pairs if pair[0] == "?"]
    return (*led, *more_keys, *(pair for pair in pairs if pair not in led and pair not in last), *last)


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
