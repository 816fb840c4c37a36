"""`c`: the layout changes half way: two blocks change places, a block is spoilt, a print ran out."""

import re

from msgspec.structs import replace

from guide.follow.asking import ask, ask_again, put_away
from guide.follow.model import Ask, Moment, Turn
from guide.follow.relaying import ran_out_is, spoilt_is
from guide.plan.layout.faces import swap
from guide.plan.model import Layout

_QUESTION = (
    "Which two blocks change places? Like 1 2, 3 4: row column, row column. Or one that is spoilt: spoilt 1 2. "
    "Or a print of which only 3 squares are left: out A 3."
)


def change(at: Moment) -> Turn:
    """Ask what changes."""
    layout = at.plan.layout
    if layout is None or len(layout.blocks) < 2:
        return Turn(replace(at.desk, typed="", said="There are no two blocks to change."))
    return ask(at, Ask("swap", "text", _QUESTION, change_is))


def change_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Write the new layout, and say whether any two alike meet in it."""
    word, _, rest = answer.strip().partition(" ")
    if word.lower() in {"spoilt", "spoiled"}:
        return spoilt_is(at, question, rest)
    if word.lower() == "out":
        return ran_out_is(at, question, rest)
    layout = at.plan.layout
    numbers = [int(digits) for digits in re.findall(r"\d{1,3}", answer)]
    if not answer or layout is None:
        return put_away(at)
    if len(numbers) != 4:
        return ask_again(at, question, answer, "Write four numbers: row column, row column.")
    first, second = (numbers[0], numbers[1]), (numbers[2], numbers[3])
    try:
        new = swap(layout, first, second)
    except KeyError:
        rows = f"Rows go from 1 to {layout.down}, columns from 1 to {layout.across}."
        return ask_again(at, question, answer, rows)
    if first == second:
        return ask_again(at, question, answer, "That is one block: write two.")
    event = {"what": "laid", "layout": [list(block.stack) for block in new.blocks]}
    return replace(put_away(at, _met(layout, new)), event=event)


def _met(old: Layout, new: Layout) -> str:
    was, now = old.front_matches + old.back_matches, new.front_matches + new.back_matches
    if not now:
        return "Changed: no two alike meet."
    return f"Changed: {now} alike meet ({new.front_matches} in front, {new.back_matches} at the back; {was} before)."
