"""Where on the panel is this piece? The panel's map beside a step, with the stack in hand and the prints' letters."""

import msgspec

from guide.plan.model import Layout, Plan, Step
from guide.show.report import letter_of
from guide.show.screen.patches import Panel, draw, shade
from guide.show.screen.scene import Scene, say
from guide.show.screen.text import Line, clean, clip, length

MAPPED = ("block", "stack")
SEAMS = ("seam", "crossing", "snips")
VAST = 11  # rows of letters that are enough to find a block by, when a panel is too large for outlines
WHOLE = ("faces", "seam", "crossing", "snips", "stack", "cross", "plus", "wadding")


def letters(plan: Plan) -> dict[str, str]:
    """The letter each print goes by."""
    return {one.name: letter_of(place) for place, one in enumerate(plan.project.prints)}


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
    """The panel as it is at this step; None when a map does not help."""
    here = _here(scene, step)
    if here is None and step.picture not in WHOLE and step.piece not in MAPPED:
        return None
    panel = _panel(scene, here)
    return _with_seam(scene, step, panel) if panel and here is None else panel


def _with_seam(scene: Scene, step: Step, panel: Panel) -> Panel:
    """The seam in hand, row by row from the top: between two blocks of a row, or between two rows."""
    done, makes = scene.record.step(step.key).pieces_done, max(1, scene.plan.project.make)
    if step.piece != "seam" or step.picture not in SEAMS or done >= step.pieces:
        return panel
    in_rows, between_rows = panel.down * (panel.across - 1), panel.down - 1
    if step.pieces == in_rows * makes:
        row, column = divmod(done % in_rows, panel.across - 1)
        return msgspec.structs.replace(panel, right_of=(row, column))
    if step.pieces == between_rows * makes:
        return msgspec.structs.replace(panel, below=done % between_rows)
    return panel


def _panel(scene: Scene, here: tuple[int, int] | None) -> Panel | None:
    """The front of the panel in letters, made up to the block in hand; None when nothing is laid out."""
    stacks, names = _stacks(scene), letters(scene.plan)
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
    if panel.here is None:
        return [*place, _legend(scene, width)]
    block = _stacks(scene)[panel.here]
    if height >= 20:
        return [*place, [[], *_layers(scene, block, width)]]
    stack = " ".join(letters(scene.plan).get(name, "?") for name in block)
    in_hand: Line = [("class:quiet", "stack "), ("", stack), ("class:quiet", ", front first")]
    return [*place, [clip(in_hand, width)], _legend(scene, width)]


def _place_words(panel: Panel) -> str:
    """Where the needle is, counted from 1."""
    if panel.here is not None:
        return f"row {panel.here[0] + 1}, column {panel.here[1] + 1}"
    if panel.right_of is not None:
        row, column = panel.right_of
        return f"row {row + 1}, columns {column + 1} and {column + 2}"
    return f"rows {panel.below + 1} and {panel.below + 2}" if panel.below is not None else ""


def _print(scene: Scene, name: str) -> Line:
    """A print's letter in its shade, and its name."""
    letter = letters(scene.plan).get(name, "?")
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
    for name in letters(scene.plan):
        item = clip(_print(scene, name), width, scene.marks.more)
        if lines and length(lines[-1]) + 2 + length(item) <= width:
            lines[-1] = [*lines[-1], ("", "  "), *item]
        else:
            lines.append(item)
    return lines
