"""What is on the screen at this moment? The step, or the card that covers it, from 40 by 12 up; less is said so."""

from guide.follow import order
from guide.follow.keys import TABLE
from guide.plan.model import Step
from guide.read.stage_keys import map_of
from guide.record.clock import exact_text
from guide.show import scene as seen
from guide.show.cards import NUDGE, Card, Row, card_of, finish, waiting
from guide.show.scene import Scene
from guide.show.screen import parts
from guide.show.screen.parts import Page, Part, laid
from guide.show.screen.place import mapped, whole
from guide.show.screen.sketch import sketched
from guide.show.screen.text import (
    LOW,
    TALL,
    Line,
    beside,
    clip,
    indent,
    large,
    length,
    loop,
    paragraph,
    plain_letters,
    signed,
    spelt,
    wrapped,
)
from guide.show.table import cells, clean

# How does a card stand on a screen of this size? In the middle, always at the same place.

WIDE = 80  # columns from which the keys are told in sentences, however many lines there are
KEYS_WIDE = 7  # what the longest key of the table takes, with its gap


def card_room(width: int) -> int:
    """Columns a card's lines may have: a line that is read at arm's length is short."""
    return width - 2 if width < 64 else min(width - 20, 66)


def card_page(scene: Scene, card: Card, width: int, height: int) -> Page:
    """A card with the seam above it and the keys of use below."""
    side = 1 if width < 100 else 3
    top = _head(scene, card, width - 2 * side, height)
    keys = parts.help_line(scene, width - 2 * side, _keys(scene, card))
    quiet = scene.desk.ask is not None or bool(scene.desk.problem)
    answer = [] if quiet else parts.answer(scene, width - 2 * side)
    middle = height - len(top) - len(answer) - len(keys)
    across = width - 2 * side if card.bare and width >= WIDE else card_room(width)
    body, cursor, more = _lines(scene, card, across, middle)
    above = max(0, middle - len(body)) // 3
    below = max(0, middle - len(body) - above)
    inner = side if width < 64 else (width - across) // 2
    lines: list[Line] = [
        *indent(top, side),
        *([[]] * above),
        *indent(body, inner),
        *([[]] * below),
        *indent(answer, side),
        *indent(keys, side),
    ]
    at = (side, height - 1) if cursor is None else (inner + cursor[0], len(top) + above + cursor[1])
    return Page([clip(one, width) for one in lines[:height]], (min(at[0], width - 1), min(at[1], height - 1)), more)


def _head(scene: Scene, card: Card, room: int, height: int) -> list[Line]:
    if card.bare or height < 14 or (card.picture and height < 20):
        return []
    head = [*parts.head(scene, room), []]
    return [*head, *parts.thread(scene, room), []] if height >= 18 else head


def _keys(scene: Scene, card: Card) -> tuple[tuple[str, str], ...]:
    """The keys of use, the arrows as this terminal draws them."""
    return tuple((f"{scene.marks.left} {scene.marks.right}" if key == NUDGE else key, word) for key, word in card.keys)


def painted(scene: Scene, row: Row, room: int) -> list[Line]:
    """One row of a card in lines of this width."""
    marks = scene.marks
    parts_: Line = [(f"class:{role}" if role else "", text) for role, text in row.parts]
    if row.cautions:
        return parts.cautions(scene, row.cautions, room, 3, where=", each at its step")
    if row.typed is not None:
        return [_typed(scene, row, room)]
    if row.share is not None:
        lead = f"{loop(row.share, marks)} "
        begun: Line = [("class:cue" if row.share >= 1.0 else "class:sewn", lead)]
        return [clip([*begun, *parts_], room, marks.more)]
    if row.sign:
        sign = {"good": marks.knot, "more": marks.more}.get(row.sign, marks.caution)
        styles = {"good": "class:good", "more": parts_[0][0]}
        return wrapped([(styles.get(row.sign, "class:caution.sign"), f"{sign} "), *parts_], room)
    if row.key:
        wide = 3 if row.key.isdecimal() else KEYS_WIDE
        rows = wrapped(parts_, room - wide) or [[]]
        return [[("class:key", f"{row.key if at == 0 else '':<{wide}}"), *one] for at, one in enumerate(rows)]
    return wrapped(parts_, room) or [[]]


def _typed(scene: Scene, row: Row, room: int) -> Line:
    """What is typed, its end in sight; between the arrows, where they move it."""
    shown: Line = [("class:asked", f" {(row.typed or '')[-(room - 3) :]} ")]
    if not row.nudged:
        return shown
    return [("class:key", f"{scene.marks.left} "), *shown, ("class:key", f" {scene.marks.right}")]


def running(scene: Scene, room: int, at_most: int) -> list[Line]:
    """The waits that run beside the work, each as a loop that fills; those left out are counted."""
    lines = [line for row in waiting(scene) for line in painted(scene, row, room)]
    return signed(lines, at_most, room, f" {scene.marks.more} {len(lines) - at_most} more")


def _columns(room: int) -> list[Line]:
    """Every key with its word, in as many columns as fit, where there is no room for its line of help."""
    for columns in (4, 3, 2, 1):
        tall = -(-len(TABLE) // columns)
        parts_ = [TABLE[at : at + tall] for at in range(0, len(TABLE), tall)]
        wide = [max(cells(f"{key.letter} {key.word}") for key in part) for part in parts_]
        if sum(wide) + len(wide) - 1 <= room:
            break
    rows: list[Line] = []
    for at in range(tall):
        one: Line = []
        for part, own in zip(parts_, wide, strict=True):
            if at < len(part):
                one += [("class:key", part[at].letter), ("", f" {part[at].word}".ljust(own + 1 - len(part[at].letter)))]
        rows.append(clip(one, room))
    return rows


def _card_body(scene: Scene, card: Card, room: int, height: int) -> tuple[list[Line], int | None]:
    """All the lines of a card, and the one that is typed in; what was said to a question, and its picture, beneath."""
    lines: list[Line] = []
    cursor = None
    for row in card.rows:
        cursor = len(lines) if row.typed is not None else cursor
        lines += painted(scene, row, room)
    if card.bare and len(lines) > height and room < WIDE - 6:  # wider ones are read on by the arrow
        lines = _columns(room)
    if scene.desk.ask is not None and scene.desk.said and not scene.desk.problem:
        lines += [[], *paragraph(scene.desk.said, room, "class:said")]
    if card.picture == "whole":
        lines += [[], *whole(scene, room, max(11, height - len(lines) - 2))]
    elif card.picture:
        step = seen.shown_step(scene)
        own = sketched(scene, step, room, height) if step else []
        map_ = mapped(scene, step, room, height - len(lines) - 1 - (len(own) + 1 if own else 0)) if step else []
        lines += [*own, *([[]] if own and map_ else []), *map_]
    return lines, cursor


def _title(scene: Scene, card: Card, room: int) -> list[Line]:
    marks = scene.marks
    sign, knot = f"{marks.caution} " * (card.sign in {"caution", "problem"}), f" {marks.knot}" * (card.sign == "done")
    style = "class:problem" if card.sign == "problem" else "class:title"
    return paragraph(f"{sign}{card.title}{knot}", room, style, 4, marks.more)


def _lines(scene: Scene, card: Card, room: int, height: int) -> tuple[list[Line], tuple[int, int] | None, bool]:
    """A card's lines in the room there is, its title first; where it is typed; whether it goes on below."""
    lines, cursor = _card_body(scene, card, room, height)
    title = _title(scene, card, room)
    head = [*title, []] if height > len(lines) + len(title) else title
    if card.bare and height < len(lines) + len(title):
        head = []
    if card.big and height >= len(head) + len(lines) + 8 and (drawn := large(card.big, room, scene.marks)):
        head = [*head, *drawn, [], []]
    space = max(1, height - len(head))
    first = min(scene.scroll, max(0, len(lines) - space))
    shown, more = lines[first : first + space], len(lines) > first + space
    if more:
        shown[-1] = [("class:quiet", f"{scene.marks.more} down for more")]
    if cursor is None:
        return [*head, *shown], None, more
    typed = length([part for part in lines[cursor] if part[0] != "class:key"])
    before = length([part for part in lines[cursor][:1] if part[0] == "class:key"])
    return [*head, *shown], (max(0, before + typed - 1), len(head) + cursor - first), more


LEAST_WIDTH, LEAST_HEIGHT = 40, 12
# What gives way on a small screen once no blank line is left, the first first. From the caution on nothing does.
GIVES_WAY = ("head", "coming", "thread", "times", "help", "caution", "waits", "body", "answer", "row", "title")


def page(scene: Scene, width: int, height: int) -> Page:
    """The screen at this moment in this size, in the letters the terminal knows."""
    drawn = _page(scene, width, height)
    if scene.marks.block:
        return drawn
    lines = [[(style, plain_letters(text)) for style, text in line] for line in drawn.lines]
    return Page(lines, drawn.cursor, drawn.more)


def _page(scene: Scene, width: int, height: int) -> Page:
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return _too_small(width, height)
    card, step = card_of(scene), seen.shown_step(scene)
    if scene.desk.far and step is not None and (card is None or seen.is_between(scene)):
        return far_page(scene, step, width, height)
    if card is not None or step is None:
        return card_page(scene, card or finish(scene), width, height)
    return step_page(scene, step, width, height)


def _too_small(width: int, height: int) -> Page:
    """Less room than the smallest layout: said in whatever fits."""
    said = [f"Needs {LEAST_WIDTH} by {LEAST_HEIGHT};", f"this is {width} by {height}.", "Nothing is lost."]
    lines: list[Line] = [clip([("", one)], width) for one in said]
    return Page(lines[: max(1, height)])


def step_page(scene: Scene, step: Step, width: int, height: int) -> Page:
    """One step: what to do, the numbers, the place, the caution, the time."""
    side = 1 if width < 100 else 3
    room = width - 2 * side
    small = width < 60 or height < 18
    airy = height >= 22
    cautions = seen.cautions(scene, step)
    answer = parts.answer(scene, room)

    def part(name: str, lines: list[Line], gap: int = 0) -> Part:
        return Part(name, lines, GIVES_WAY.index(name), gap)

    head = part("head", [] if small else parts.head(scene, room))
    thread = part(
        "thread", parts.stage_row(scene, step, room) if small else parts.thread(scene, room), int(height >= 26)
    )
    title = part("title", parts.heading(scene, step, room, number=not small), int(not small))
    waits = part("waits", running(scene, room, 1 if small else 3))
    caution = part("caution", _cautions(scene, cautions, room, height), int(airy))
    coming = part("coming", [] if small else parts.coming(scene, step, room), int(height >= 30))
    below = [
        part("answer", answer),
        part("row", parts.row(scene, step, room), int(not (small and answer))),
        part("times", parts.times(scene, step, room)),
        part("help", parts.help_line(scene, room), int(airy)),
    ]
    rest = [head, thread, title, caution, coming, waits, *below]
    spare = height - sum(len(part.lines) + part.gap for part in rest if part.lines) - int(not small)
    body = part("body", _body(scene, step, room, max(2, spare)), int(not small))
    empty = spare - len(body.lines)
    if empty > 0 and cautions:  # blank lines are for no one when a caution waits
        whole = parts.cautions(scene, cautions, room, len(caution.lines) + empty)
        caution = Part("caution", whole, caution.keep, caution.gap)
    top = [head, thread, title, body, caution, coming, waits]
    lines, rows = laid(top, below, height)
    lines = [clip(one, width) for one in indent(lines, side)]
    row = rows.get("row", 0)
    return Page(lines, (min(width - 1, side + _needle(lines[row] if row < len(lines) else [], side)), row))


def _cautions(scene: Scene, names: tuple[str, ...], room: int, height: int) -> list[Line]:
    """A practised maker's screen is quiet; a beginner reads every caution whole; the smallest reads one sentence."""
    if height < 16:
        return parts.cautions(scene, names, room, 1)
    if height >= 30:
        return parts.cautions(scene, names, room, 3)
    return parts.cautions(scene, names, room, 2, quiet=not scene.desk.beginner)


def _needle(of: Line, side: int) -> int:
    """Where the needle is in a row of stitches."""
    at = -side
    for style, text in of:
        if style == "class:needle":
            return at
        at += length([("", text)])
    return 0


def _body(scene: Scene, step: Step, room: int, height: int) -> list[Line]:
    """What to do and the numbers; beside them the panel's map where there is room."""
    if room < 62:
        left = _words(scene, step, room, height)
        below = height - len(left) - 1
        return [*left, [], *picture] if below >= 7 and (picture := mapped(scene, step, room, below)) else left
    wide = max(28, min(48, room - 34))
    pressed = (
        map_of(step.picture) == "press" and step.count != "each"
    )  # all at once: which way teaches more than which one
    picture = (
        (sketched(scene, step, wide, height) if pressed else [])
        or mapped(scene, step, wide, height)
        or sketched(scene, step, wide, height)
    )
    across = max((length(one) for one in picture), default=0)
    words = _words(scene, step, min(room - across - 4, 64) if picture else min(room, 72), height)
    if not picture:
        return words
    return beside(words, picture, room - across - 1, 1)


def _words(scene: Scene, step: Step, room: int, height: int) -> list[Line]:
    """The text and the figures in so many lines: the text gives way last, but one figure always stands."""
    numbers = parts.figures(scene, step, room)
    beside = (
        2 if numbers and len(seen.together(scene, step)) > 1 else 0
    )  # titles alone, where the texts leave no figure
    text = parts.doing(scene, step, room, height - beside)
    for rows in (TALL, LOW):
        big, rest = _big(scene, step, room, rows), numbers[1:]
        left = height - len(text) - 1 - len(big)
        if big and left >= (len(rest) + 2 if rows == TALL else min(len(rest), 2)):  # a second caution goes first
            gap: list[Line] = [[]] if rest and left > len(rest) else []
            return [*text, [], *big, *gap, *(_cut(scene, rest, left, room) if rest else [])]
    numbers = _cut(scene, numbers, 5 if height > 6 else 2, room)
    gap_ = 1 if len(text) + len(numbers) + 1 <= height else 0
    if len(text) + len(numbers) + gap_ > height:
        numbers = _cut(scene, numbers, max(1, height - len(text)), room)
    text = text if len(text) + gap_ + len(numbers) <= height else parts.doing(scene, step, room, height - len(numbers))
    return [*text, *([[]] if gap_ and numbers else []), *numbers]


def _cut(scene: Scene, numbers: list[Line], most: int, room: int) -> list[Line]:
    """So many of the figures; a sign stands where there are more."""
    if len(numbers) <= most:
        return numbers
    last: Line = [*numbers[most - 1], ("class:quiet", f" {scene.marks.more}")]
    return [*numbers[: most - 1], clip(last, room, scene.marks.more)]


def _big(scene: Scene, step: Step, room: int, rows: int) -> list[Line]:
    """The first figure set large, its label behind it or beneath; the piles are many alike."""
    shown = seen.figures(scene, step)
    if not shown or step.piece == "pile" or not (drawn := large(shown[0][0], room - 2, scene.marks, rows)):
        return []
    label: Line = [("class:label", clean(shown[0][1]))]
    behind: Line = [*drawn[-1], ("", "   "), *label]
    if length(behind) + 2 <= room:
        return indent([*drawn[:-1], behind], 2)
    return indent([*drawn, clip(label, room - 2, scene.marks.more)], 2)


def far_page(scene: Scene, step: Step, width: int, height: int) -> Page:
    """What is read from across the room: the title, one number, the place and the time, as large as they go."""
    side = 1 if width < 100 else 3
    room, marks = width - 2 * side, scene.marks
    high = height >= 18
    title = (spelt(seen.title(scene, step), room, marks) if high else None) or parts.heading(
        scene, step, room, number=False
    )
    shown = seen.figures(scene, step)
    number: list[Line] = []
    if shown:
        drawn = large(shown[0][0], room, marks, TALL if high else LOW) or [[("class:figure", clean(shown[0][0]))]]
        number = [*drawn, clip([("class:label", clean(shown[0][1]))], room, marks.more)]
    done, spot = scene.record.step(step.key).pieces_done, order.spot(scene.plan, step, scene.record)
    count = f"{min(done + 1, step.pieces)} of {step.pieces}" if step.pieces > 1 else ""
    ran = exact_text(seen.this_ms(scene) // 1000) if seen.is_open(scene, step) else "next"
    now = spelt(f"{count} - {ran}" if count else ran, room, marks, 1) or [[("class:large", f"{count}  {ran}".strip())]]
    place = f"row {spot.row}, column {spot.column}" if spot and spot.row else ""
    where = (spelt(place, room, marks, 1) if high else None) or [[("class:here", place)]] if place else []
    answer = parts.answer(scene, room)
    top = [Part("title", title, 9), Part("number", number, 8, 1), Part("now", now, 7, 1), Part("where", where, 6, 1)]
    below = [Part("answer", answer, 5), Part("help", parts.help_line(scene, room, parts.far_keys(scene)), 10)]
    lines, _ = laid(top, below, height)
    return Page([clip(one, width) for one in indent(lines, side)], (0, height - 1))
