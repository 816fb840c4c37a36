"""Where on the panel is this piece? The panel or both faces beside a step, the stack in hand, the prints' letters."""

import msgspec

from guide.plan.model import Layout, Step
from guide.plan.parts import letters
from guide.read.stage_keys import map_of
from guide.show.cutting_lines import mirrored
from guide.show.scene import Scene, say
from guide.show.screen import sketch
from guide.show.screen.sketch import Panel, draw, print_sign
from guide.show.screen.text import Line, beside, clip, length

MAPPED = ("block", "stack")
SEAMS = ("seam", "crossing", "snips")
BACK = ("back", "press")
STACKED = ("stack", "wadding")  # the pictures of steps that lay a stack
BOTH = "both"  # the picture of a step that looks at both faces
LOOSE = ("stack", "quilt")  # stages in which the blocks lie loose, so that their own other face is seen
WHOLE = ("faces", BOTH, "seam", "crossing", "snips", "stack", "cross", "plus", "wadding")


ASIDE = 28  # columns that notes beside a map may take
WIDE = 60  # columns from which there is room for large patches beside notes
NOTES = 28  # and beneath one, so that the step's words have room
View = tuple[str, Panel]  # what it is called, and what is seen


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


def views_of(scene: Scene, step: Step) -> list[View]:
    """What is to be looked at in this step: a panel, or both its faces, each with its name; nothing without a map."""
    panel = _panel_of(scene, step)
    if panel is None:
        return []
    if map_of(step.picture) != BOTH:
        return [("", panel)]
    return both(scene, panel, sewn=step.stage not in LOOSE)


def both(scene: Scene, panel: Panel, *, sewn: bool = False) -> list[View]:
    """The front, and what is seen when it is turned like a page: its own other face, or once sewn a cushion's back."""
    backing = _back(scene, None) if sewn else None
    if backing is not None:
        return [("front", panel), ("back", backing)]
    rows = mirrored([list(row) for row in _face(scene, -1)])
    turn = panel.across - 1
    here = (panel.here[0], turn - panel.here[1]) if panel.here else None
    made = frozenset((row, turn - column) for row, column in panel.made)
    return [("front", panel), ("back, turned", Panel(tuple(map(tuple, rows)), made, here))]


def _panel_of(scene: Scene, step: Step) -> Panel | None:
    here = _here(scene, step)
    if here is None and map_of(step.picture) in BACK:
        return _back(scene, step)
    if here is None and map_of(step.picture) not in WHOLE and step.piece not in MAPPED:
        return None
    panel = _panel(scene, here)
    if panel is None or here is not None or map_of(step.picture) not in SEAMS:
        return panel
    return msgspec.structs.replace(panel, seam=_seam(scene, step, sketch.front(scene.plan)))


def _seam(scene: Scene, step: Step, sewn: sketch.Sewn) -> sketch.Seam:
    done, makes = scene.record.step(step.key).pieces_done, max(1, scene.plan.project.make)
    return sketch.in_hand(sewn, step, done, makes)


def _back(scene: Scene, step: Step | None) -> Panel | None:
    """A cushion's back of single squares, with the seam in hand; None when the step is about something else of it."""
    backing, names = scene.plan.backing, letters(scene.plan.project)
    if backing is None or (step and map_of(step.picture) == "press" and step.piece != "seam"):
        return None
    rows = [[""] * backing.across for _ in range(backing.down)]
    for square in backing.blocks:
        rows[square.row - 1][square.column - 1] = names.get(square.stack[0], "?")[-1:]
    made = frozenset((square.row - 1, square.column - 1) for square in backing.blocks)
    sewn = sketch.back(scene.plan, backing)
    seam = _seam(scene, step, sewn) if step else ()
    return Panel(tuple(map(tuple, rows)), made, seam=seam, apart=sketch.parting(sewn), back=True)


def _face(scene: Scene, layer: int) -> list[list[str]]:
    """The letters of one layer, row by row, as they lie under the front."""
    stacks, names = _stacks(scene), letters(scene.plan.project)
    project = scene.plan.project
    return [
        [names.get((stacks.get((row, column)) or ("",))[layer], "?")[-1:] for column in range(project.across)]
        for row in range(project.down)
    ]


def _panel(scene: Scene, here: tuple[int, int] | None) -> Panel | None:
    """The front of the panel in letters, made up to the block in hand; None when nothing is laid out."""
    stacks = _stacks(scene)
    if not stacks:
        return None
    made = frozenset(at for at in stacks if here is None or at < here)
    return Panel(tuple(map(tuple, _face(scene, 0))), made, here)


def whole(scene: Scene, width: int, height: int) -> list[Line]:
    """Both faces of the whole panel, to choose blocks from, with what the letters stand for."""
    panel = _panel(scene, None)
    views = both(scene, panel) if panel else []
    return _laid_out(scene, views, [_met(scene, views), []], width, height) if views else []


def mapped(scene: Scene, step: Step, width: int, height: int) -> list[Line]:
    """What is to be looked at, the place in words, the stack in hand, and what the letters stand for.

    Outlines give way to letters last, the words of the place first; letters never stand without their prints. Nothing
    when a map does not help, or cannot be read in this room.
    """
    views = views_of(scene, step)
    if not views:
        return []
    words = place_words(views[0][1])
    place: list[Line] = [[("class:here", words)]] if words else []
    if len(views) == 1 and views[0][1].back:
        place.append([("class:quiet", _back_words(scene, views[0][1]))])
    place += _met(scene, views)
    stack = _layers(scene, stack_in_hand(scene, step)) if map_of(step.picture) in STACKED else []
    if stack:  # a stack is laid by it: outlines give way to it
        laid = next(
            filter(None, (_laid_out(scene, views, [one], width, height) for one in ([*place, *stack], stack))), []
        )
        if laid:
            return laid
    return _laid_out(scene, views, [place, []], width, height)


def _met(scene: Scene, views: list[View]) -> list[Line]:
    """How often a print meets itself in sight, where likes are looked for; said with the sign that marks them."""
    many = sum(len(panel.alike) for _, panel in views)
    told = [
        ("class:caution.sign", f"{scene.marks.alike[0]} "),
        ("", f"{many} alike {'meets' if many == 1 else 'meet'}"),
    ]
    return [told] if many and len(views) > 1 else []


def _laid_out(scene: Scene, views: list[View], notes: list[list[Line]], width: int, height: int) -> list[Line]:
    """The views in outlines, else whole in letters, else a window of them, with the first notes there is room for."""
    for rows in (2, 1, 0):  # lines that each row of patches takes at the least
        for some in notes:
            for below in (True, False):
                room = min(width, NOTES if len(views) == 1 and below else width if below else ASIDE)
                told = [*some, *_legend(scene, views, some, room * below)]
                told = [clip(one, room, scene.marks.more) for one in told]
                if lines := _arranged(scene, views, told, (width, height), rows, below=below):
                    return lines
    return []


def _arranged(
    scene: Scene, views: list[View], notes: list[Line], size: tuple[int, int], rows: int, *, below: bool
) -> list[Line]:
    """The views side by side, the notes beneath or beside them; nothing where they do not fit, or are drawn smaller."""
    (width, height), wide = size, max((length(one) for one in notes), default=0)
    names = any(name for name, _ in views)
    across = width if below else width - wide - 2
    down = height - names - (len(notes) if below else 0)
    if wide > width or (not below and len(notes) > height) or not notes:
        return []
    each = (across - 2 * (len(views) - 1)) // len(views)
    if not below and width < WIDE:  # small patches, so that the step's words have room
        each = min(each, 4 * views[0][1].across + 1)
    drawn = [draw(panel, each, down, scene.marks) for _, panel in views]
    if not all(drawn) or any(
        len(one) < rows * panel.down or (rows and length(one[0]) < 2 * panel.across)
        for one, (_, panel) in zip(drawn, views, strict=True)
    ):
        return []
    lines: list[Line] = []
    for (name, _), picture in zip(views, drawn, strict=True):
        label: Line = clip([("class:quiet", name)], max(map(length, picture)) if len(views) > 1 else across, "")
        own = [label, *picture] if names else picture
        lines = beside(lines, own, max(map(length, lines)), 2) if lines else own
    if below:
        return [*lines, *notes]
    return beside(lines, notes, max(map(length, lines)), 2)


def _back_words(scene: Scene, panel: Panel) -> str:
    """That this is the back, its right sides up, and what the line is that is not sewn."""
    said = "back, as you see it"
    if panel.apart:
        (row, _), (other, _) = panel.apart[0]
        what = "apart" if scene.plan.project.closure == "envelope" else say(scene, "zip")
        said += f" {scene.marks.apart[row == other]} {what}"
    return said


def place_words(panel: Panel) -> str:
    """Where the needle is, counted from 1."""
    if panel.here is not None:
        return f"row {panel.here[0] + 1}, column {panel.here[1] + 1}"
    return _seam_words(panel.seam) if panel.seam else ""


def _seam_words(seam: sketch.Seam) -> str:
    """Which patches a seam joins."""
    (row, column), (other, _) = seam[0]
    rows, columns = f"rows {row + 1} and {row + 2}", f"columns {column + 1} and {column + 2}"
    if row == other:
        return f"row {row + 1}, {columns}" if len(seam) == 1 else columns
    return f"column {column + 1}, {rows}" if len(seam) == 1 else rows


def print_line(scene: Scene, name: str) -> Line:
    """A print's letter in its shade, and its name."""
    return print_sign(letters(scene.plan.project).get(name, "?"), name, scene.marks)


def stack_in_hand(scene: Scene, step: Step) -> tuple[str, ...] | None:
    """The prints of the block in hand, front first; None when the step does not go block by block."""
    here = _here(scene, step)
    return (_stacks(scene).get(here) or None) if here is not None else None


def _layers(scene: Scene, stack: tuple[str, ...] | None) -> list[Line]:
    """The stack in hand, front face on top, the wadding where it lies; squares are numbered from the foot, as laid."""
    if not stack:
        return []
    lines: list[Line] = [
        [("class:quiet", f"{len(stack) - at} "), *print_line(scene, name)] for at, name in enumerate(stack)
    ]
    lines[0] = [*lines[0], ("class:quiet", ", front")]
    if scene.plan.project.wadding:
        wadding: Line = [("class:ahead", f"  {scene.marks.ahead * 3}"), ("class:quiet", f" {say(scene, 'wadding')}")]
        lines.insert(scene.plan.project.above, wadding)
    return lines


def _legend(scene: Scene, views: list[View], told: list[Line], width: int) -> list[Line]:
    """The letters in sight and their prints, as many to a line as fit; those told already are left out."""
    seen = {letter for _, panel in views for row in panel.rows for letter in row}
    known = {text for line in told for style, text in line if style.startswith("class:patch.letter")}
    lines: list[Line] = []
    for name, letter in letters(scene.plan.project).items():
        if letter[-1:] not in seen or letter in known:
            continue
        item = print_line(scene, name)
        if lines and length(lines[-1]) + 2 + length(item) <= width:
            lines[-1] = [*lines[-1], ("", "  "), *item]
        else:
            lines.append(item)
    if not lines and not told:
        return [[]]
    return lines
