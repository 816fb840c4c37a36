"""What is on the screen at this moment? The step, or the card that covers it, from 40 by 12 up; less is said so."""

from guide.follow import order
from guide.show.screen import asks, cards, halted, reading
from guide.show.screen import scene as seen
from guide.show.screen.card import Card
from guide.show.screen.card_page import card_page, card_room
from guide.show.screen.layout import Page
from guide.show.screen.marks import plain_letters
from guide.show.screen.scene import Scene
from guide.show.screen.step_page import step_page
from guide.show.screen.text import Line, clip

LEAST_WIDTH, LEAST_HEIGHT = 40, 12


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
    card = card_of(scene, card_room(width), height - 4)
    if card is not None:
        return card_page(scene, card, width, height)
    step = seen.shown_step(scene)
    if step is None:
        return card_page(scene, cards.finish(scene, card_room(width)), width, height)
    return step_page(scene, step, width, height)


def card_of(scene: Scene, room: int, height: int) -> Card | None:
    """The card that covers the step, if one does."""
    record, desk = scene.record, scene.desk
    if desk.problem:
        return halted.problem(scene, room)
    if desk.ask is not None:
        return asks.asked(scene, desk.ask, room)
    if desk.view == "keys":
        return reading.all_keys(scene, room, height + 1)
    step = seen.shown_step(scene)
    if desk.view == "why" and step is not None:
        return reading.why(scene, step, room)
    if desk.view == "back":
        return cards.back(scene, room)
    if desk.view == "look":
        return None
    match record.doing:
        case "paused" | "stopped":
            return halted.paused(scene, room)
        case "interrupted":
            return halted.interrupted(scene, room)
        case "trouble":
            return halted.trouble(scene, step, room)
        case "closed":
            return cards.finish(scene, room)
        case "ready":
            return _ready_card(scene, room)
        case _:
            return None


def _ready_card(scene: Scene, room: int) -> Card:
    after = order.next_step(scene.plan, scene.record, by_block=scene.desk.by_block)
    if after is None:
        return cards.finish(scene, room)
    if not scene.record.steps:
        return cards.start(scene, room)
    last = seen.last_done(scene)
    return cards.done(scene, last, room) if last is not None else cards.ready(scene, room)


def _too_small(width: int, height: int) -> Page:
    """Less room than the smallest layout: said in whatever fits."""
    said = [f"Needs {LEAST_WIDTH} by {LEAST_HEIGHT};", f"this is {width} by {height}.", "Nothing is lost."]
    lines: list[Line] = [clip([("", one)], width) for one in said]
    return Page(lines[: max(1, height)])
