"""How does a card stand on a screen of this size? In the middle, always at the same place."""

from guide.follow.keys import TABLE
from guide.show import scene as seen
from guide.show.card import Card, Row
from guide.show.cards import waiting
from guide.show.columns import cells, clean
from guide.show.questions import NUDGE
from guide.show.scene import Scene
from guide.show.screen import foot, parts
from guide.show.screen.layout import Page
from guide.show.screen.numerals import large
from guide.show.screen.place import mapped, whole
from guide.show.screen.sketch import sketched
from guide.show.screen.stitch import loop
from guide.show.screen.text import Line, clip, indent, length, paragraph, signed, wrapped

WIDE = 80  # columns from which the keys are told in sentences, however many lines there are
KEYS_WIDE = 7  # what the longest key of the table takes, with its gap


def card_room(width: int) -> int:
    """Columns a card's lines may have: a line that is read at arm's length is short."""
    return width - 2 if width < 64 else min(width - 20, 66)


def card_page(scene: Scene, card: Card, width: int, height: int) -> Page:
    """A card with the seam above it and the keys of use below."""
    side = 1 if width < 100 else 3
    top = _head(scene, card, width - 2 * side, height)
    keys = foot.help_line(scene, width - 2 * side, _keys(scene, card))
    quiet = scene.desk.ask is not None or bool(scene.desk.problem)
    answer = [] if quiet else foot.answer(scene, width - 2 * side)
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


def waits(scene: Scene, room: int, at_most: int) -> list[Line]:
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


def _body(scene: Scene, card: Card, room: int, height: int) -> tuple[list[Line], int | None]:
    """All the lines of a card, and the one that is typed in; what was said to a question, and its picture, beneath."""
    lines: list[Line] = []
    cursor = None
    for row in card.rows:
        cursor = len(lines) if row.typed is not None else cursor
        lines += painted(scene, row, room)
    if card.bare and len(lines) > height and room < WIDE - 6:  # wider ones are read on by the arrow
        lines = _columns(room)
    if scene.desk.ask is not None and scene.desk.said and not scene.desk.problem:
        lines += [[], *paragraph(clean(scene.desk.said), room, "class:said")]
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
    title = {
        "done": f"{card.title} {marks.knot}",
        "caution": f"{marks.caution} {card.title}",
        "problem": f"{marks.caution} {card.title}",
    }.get(card.sign, card.title)
    return paragraph(title, room, "class:problem" if card.sign == "problem" else "class:title", 4, marks.more)


def _lines(scene: Scene, card: Card, room: int, height: int) -> tuple[list[Line], tuple[int, int] | None, bool]:
    """A card's lines in the room there is, its title first; where it is typed; whether it goes on below."""
    lines, cursor = _body(scene, card, room, height)
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
