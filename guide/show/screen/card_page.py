"""How does a card stand on a screen of this size? In the middle, always at the same place."""

from guide.show.screen import foot, parts
from guide.show.screen.card import Card
from guide.show.screen.layout import Page
from guide.show.screen.numerals import large
from guide.show.screen.scene import Scene
from guide.show.screen.text import Line, clip, indent, length, paragraph


def card_room(width: int) -> int:
    """Columns a card's lines may have: a line that is read at arm's length is short."""
    return width - 2 if width < 64 else min(width - 20, 66)


def card_page(scene: Scene, card: Card, width: int, height: int) -> Page:
    """A card with the seam above it and the keys of use below."""
    side = 1 if width < 100 else 3
    top = _head(scene, card, width - 2 * side, height)
    keys = foot.help_line(scene, width - 2 * side, card.keys)
    quiet = scene.desk.ask is not None or bool(scene.desk.problem)
    answer = [] if quiet else foot.answer(scene, width - 2 * side)
    middle = height - len(top) - len(answer) - len(keys)
    body, cursor, more = _lines(scene, card, card_room(width), middle)
    above = max(0, middle - len(body)) // 3
    below = max(0, middle - len(body) - above)
    inner = side if width < 64 else (width - card_room(width)) // 2
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
    if card.bare or height < 14:
        return []
    head = [*parts.head(scene, room), []]
    return [*head, *parts.thread(scene, room), []] if height >= 18 else head


def _lines(scene: Scene, card: Card, room: int, height: int) -> tuple[list[Line], tuple[int, int] | None, bool]:
    """A card's lines in the room there is, its title first; where it is typed; whether it goes on below."""
    title = paragraph(card.title, room, card.style, 4, scene.marks.more)
    head = [*title, []] if height > len(card.lines) + len(title) else title
    if card.bare and height < len(card.lines) + len(title):
        head = []
    if card.big and height >= len(head) + len(card.lines) + 8 and (drawn := large(card.big, room, scene.marks)):
        head = [*head, *drawn, [], []]
    space = max(1, height - len(head))
    first = min(scene.scroll, max(0, len(card.lines) - space))
    shown, more = card.lines[first : first + space], len(card.lines) > first + space
    if more:
        shown[-1] = [("class:quiet", f"{scene.marks.more} down for more")]
    if card.cursor is None:
        return [*head, *shown], None, more
    typed = length([part for part in card.lines[card.cursor] if part[0] != "class:key"])
    before = length([part for part in card.lines[card.cursor][:1] if part[0] == "class:key"])
    return [*head, *shown], (max(0, before + typed - 1), len(head) + card.cursor - first), more
