"""What is on the screen at this moment? The step, or the card that covers it, from 40 by 12 up; less is said so."""

from guide.show import scene as seen
from guide.show.cards import card_of, finish
from guide.show.scene import Scene
from guide.show.screen.card_page import card_page
from guide.show.screen.layout import Page
from guide.show.screen.marks import plain_letters
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
    card, step = card_of(scene), seen.shown_step(scene)
    if card is not None or step is None:
        return card_page(scene, card or finish(scene), width, height)
    return step_page(scene, step, width, height)


def _too_small(width: int, height: int) -> Page:
    """Less room than the smallest layout: said in whatever fits."""
    said = [f"Needs {LEAST_WIDTH} by {LEAST_HEIGHT};", f"this is {width} by {height}.", "Nothing is lost."]
    lines: list[Line] = [clip([("", one)], width) for one in said]
    return Page(lines[: max(1, height)])
