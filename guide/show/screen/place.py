"""Where on the panel is this piece? The panel's map beside a step, with the stack in hand and the prints' letters."""

import msgspec

from guide.plan.letters import letters
from guide.plan.model import Layout, Step
from guide.show.columns import clean
from guide.show.scene import Scene, say
from guide.show.screen import seams
from guide.show.screen.patches import Panel, draw, shade
from guide.show.screen.text import Line, clip, length

MAPPED = ("block", "stack")
SEAMS = ("seam", "crossing", "snips")
BACK = ("back", "press")
VAST = 11  # rows of letters that are enough to find a block by, when a panel is too large for outlines
WHOLE = ("faces", "seam", "crossing", "snips", "stack", "cross", "plus", "wadding")


def _stacks(scene: Scene) -> dict[tuple[int, int], tuple[str, ...]]:
    """Every block's stack by place (0-based); the session's own layout before the plan's."""
    layout: Layout | None = scene.plan.layout
    if layout is None:
        return {}
    places = {(block.row - 1, block.column - 1): block.stack for block in layout.blocks}
    own = scene.record.layout
    if own and len(own) == len(places):
        return {at: tuple(stack) for at, stack in zip(sorted(places), own, strict=True)}
    return places


def _here(scene: Scene, step: Step) -> tuple[int, int] | None:
    """The block in hand, row by row, make after make; None when the step does not go block by block."""
    project, done = scene.plan.project, scene.record.step(step.key).pieces_done
    panel = project.across * project.down
    if step.piece not in MAPPED or step.pieces != panel * max(1, project.make) or done >= step.pieces:
        return None
    return divmod(done % panel, project.across)


def panel_of(scene: Scene, step: Step) -> Panel | None:
    """The panel as it is at this step, the front or the back; None when a map does not help."""
    here = _here(scene, step)
    if here is None and step.picture in BACK:
        return _back(scene, step)
    if here is None and step.picture not in WHOLE and step.piece not in MAPPED:
        return None
    panel = _panel(scene, here)
    if panel is None or here is not None or step.picture not in SEAMS:
        return panel
    return msgspec.structs.replace(panel, seam=_seam(scene, step, seams.front(scene.plan)))


def _seam(scene: Scene, step: Step, sewn: seams.Sewn) -> seams.Seam:
    done, makes = scene.record.step(step.key).pieces_done, max(1, scene.plan.project.make)
    return seams.in_hand(sewn, step, done, makes)


def _back(scene: Scene, step: Step) -> Panel | None:
    """A cushion's back of single squares, with the seam in hand; None when the step is about something else of it."""
    backing, names = scene.plan.backing, letters(scene.plan.project)
    if backing is None or (step.picture == "press" and step.piece != "seam"):
        return None
    rows = [[""] * backing.across for _ in range(backing.down)]
    for square in backing.blocks:
        rows[square.row - 1][square.column - 1] = names.get(square.stack[0], "?")[-1:]
    made = frozenset((square.row - 1, square.column - 1) for square in backing.blocks)
    sewn = seams.back(scene.plan, backing)
    seam = _seam(scene, step, sewn)
    return Panel(tuple(map(tuple, rows)), made, seam=seam, apart=seams.parting(sewn), back=True)


def _panel(scene: Scene, here: tuple[int, int] | None) -> Panel | None:
    """The front of the panel in letters, made up to the block in hand; None when nothing is laid out."""
    stacks, names = _stacks(scene), letters(scene.plan.project)
    if not stacks:
        return None
    project = scene.plan.project
    rows = tuple(
        tuple(names.get((stacks.get((row, column)) or ("",))[0], "?")[-1:] for column in range(project.across))
        for row in range(project.down)
    )
    return Panel(rows, frozenset(at for at in stacks if here is None or at < here), here)


def whole(scene: Scene, width: int, height: int) -> list[Line]:
    """The whole panel, to choose blocks from."""
    panel = _panel(scene, None)
    return draw(panel, width, height, scene.marks) if panel else []


def mapped(scene: Scene, step: Step, width: int, height: int) -> list[Line]:
    """The map, the place in words, the stack in hand and what the letters stand for.

    Words give way before patches lose their outlines. Nothing when a map does not help.
    """
    panel = panel_of(scene, step)
    if panel is None:
        return []
    notes = _notes(scene, panel, width, height)
    for kept in range(len(notes), -1, -1):
        below = [line for group in notes[:kept] for line in group]
        picture = draw(panel, width, height - len(below), scene.marks)
        if len(picture) > 2 * panel.down:
            return picture + below
    notes = _notes(scene, msgspec.structs.replace(panel, apart=()), width, height)  # letters alone show no line
    while len(notes) > 1 and sum(map(len, notes)) > max(2, height - VAST):
        notes.pop()
    below = [line for group in notes for line in group][: max(0, height - 3)]
    return [*draw(panel, min(width, 41), min(VAST, height - len(below)), scene.marks), *below]


def _notes(scene: Scene, panel: Panel, width: int, height: int) -> list[list[Line]]:
    """What stands under the map, whole or not at all: the place, the stack in hand, the letters.

    A tall screen shows the stack in layers instead.
    """
    words = _place_words(panel)
    place: list[list[Line]] = [[clip([("class:here", words)], width)]] if words else []
    if panel.back:
        place.append([_back_words(scene, panel, width)])
    if panel.here is None:
        return [*place, _legend(scene, width)]
    block = _stacks(scene)[panel.here]
    if height >= 20:
        return [*place, [[], *_layers(scene, block, width)]]
    stack = " ".join(letters(scene.plan.project).get(name, "?") for name in block)
    in_hand: Line = [("class:quiet", "stack "), ("", stack), ("class:quiet", ", front first")]
    return [*place, [clip(in_hand, width)], _legend(scene, width)]


def _back_words(scene: Scene, panel: Panel, width: int) -> Line:
    """That this is the back, its right sides up, and what the line is that is not sewn."""
    said: Line = [("class:quiet", "back, as you see it")]
    if panel.apart:
        (row, _), (other, _) = panel.apart[0]
        what = "apart" if scene.plan.project.closure == "envelope" else say(scene, "zip")
        said += [("class:patch.edge", f" {scene.marks.apart[row == other]}"), ("class:quiet", f" {what}")]
    return clip(said, width, scene.marks.more)


def _place_words(panel: Panel) -> str:
    """Where the needle is, counted from 1."""
    if panel.here is not None:
        return f"row {panel.here[0] + 1}, column {panel.here[1] + 1}"
    return _seam_words(panel.seam) if panel.seam else ""


def _seam_words(seam: seams.Seam) -> str:
    """Which patches a seam joins."""
    (row, column), (other, _) = seam[0]
    rows, columns = f"rows {row + 1} and {row + 2}", f"columns {column + 1} and {column + 2}"
    if row == other:
        return f"row {row + 1}, {columns}" if len(seam) == 1 else columns
    return f"column {column + 1}, {rows}" if len(seam) == 1 else rows


def _print(scene: Scene, name: str) -> Line:
    """A print's letter in its shade, and its name."""
    letter = letters(scene.plan.project).get(name, "?")
    fill = shade(letter[-1:], scene.marks)
    return [
        ("class:patch.made", fill),
        ("class:patch.letter", letter),
        ("class:patch.made", fill),
        ("", f" {clean(name)}"),
    ]


def _layers(scene: Scene, stack: tuple[str, ...], width: int) -> list[Line]:
    """The stack in hand, front face on top, the wadding where it lies."""
    lines: list[Line] = [_print(scene, name) for name in stack]
    if lines:
        lines[0] = [*lines[0], ("class:quiet", ", front")]
        lines[-1] = [*lines[-1], ("class:quiet", ", back")]
    if scene.plan.project.wadding:
        wadding: Line = [("class:ahead", scene.marks.ahead * 3), ("class:quiet", f" {say(scene, 'wadding')}")]
        lines.insert(scene.plan.project.above, wadding)
    return [clip(one, width, scene.marks.more) for one in lines]


def _legend(scene: Scene, width: int) -> list[Line]:
    """The letters and their prints, as many to a line as fit."""
    lines: list[Line] = []
    for name in letters(scene.plan.project):
        item = clip(_print(scene, name), width, scene.marks.more)
        if lines and length(lines[-1]) + 2 + length(item) <= width:
            lines[-1] = [*lines[-1], ("", "  "), *item]
        else:
            lines.append(item)
    return lines
