"""What stands at the foot of the screen? The stitches of this step, the times, the last answer, the keys of use."""

from guide.follow import keys, order
from guide.follow.noting import made
from guide.plan.model import Step
from guide.read.spoken import counted
from guide.show import scene as seen
from guide.show.columns import clean
from guide.show.report_numbers import exact_text
from guide.show.scene import Scene
from guide.show.screen.place import BOTH, LOOSE
from guide.show.screen.stitch import pieces
from guide.show.screen.text import Line, clip, length, paragraph, wrap

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
        guess = order.estimate(scene.plan, scene.record, scene.now, paces=scene.paces, beginner=scene.desk.beginner)
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
        return paragraph(clean(scene.desk.said), room, "class:said", 3, scene.marks.more)
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
        if step.picture == BOTH and step.stage in LOOSE:  # likes that meet are told to be swapped
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
