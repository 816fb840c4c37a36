"""`c`: two blocks change places, in the layout and for every later step."""

import re

from msgspec.structs import replace

from guide.follow.asking import ask, put_away
from guide.follow.model import Ask, Moment, Turn
from guide.plan.faces import swap
from guide.plan.model import Layout


def change_places(at: Moment) -> Turn:
    """Ask which two blocks change places."""
    layout = at.plan.layout
    if layout is None or len(layout.blocks) < 2:
        return Turn(replace(at.desk, typed="", said="There are no two blocks to change."))
    return ask(at, Ask("swap", "text", "Which two blocks change places? Row and column of each, like 1 2, 3 4:"))


def places_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the new layout, and say whether any two alike meet in it."""
    layout = at.plan.layout
    numbers = [int(digits) for digits in re.findall(r"\d{1,3}", answer)]
    if not answer or layout is None:
        return put_away(at)
    if len(numbers) != 4:
        return _again(at, question, answer, "Write four numbers: row column, row column.")
    first, second = (numbers[0], numbers[1]), (numbers[2], numbers[3])
    try:
        new = swap(layout, first, second)
    except KeyError:
        rows = f"Rows go from 1 to {layout.down}, columns from 1 to {layout.across}."
        return _again(at, question, answer, rows)
    if first == second:
        return _again(at, question, answer, "That is one block: write two.")
    event = {"what": "laid", "layout": [list(block.stack) for block in new.blocks]}
    return replace(put_away(at, _met(layout, new)), event=event)


def _again(at: Moment, question: Ask, answer: str, said: str) -> Turn:
    return Turn(replace(at.desk, ask=replace(question, typed=answer), said=said))


def _met(old: Layout, new: Layout) -> str:
    was, now = old.front_matches + old.back_matches, new.front_matches + new.back_matches
    if not now:
        return "Changed: no two alike meet."
    return f"Changed: {now} alike meet ({new.front_matches} in front, {new.back_matches} at the back; {was} before)."
