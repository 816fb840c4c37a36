"""`c`: the layout changes half way: two blocks change places, a block is spoilt, a print ran out."""

import re
from collections import Counter
from collections.abc import Collection, Mapping
from typing import Any

from msgspec.structs import replace

from guide.follow.model import Ask, Moment, Turn, ask, ask_again, put_away
from guide.follow.noting import at_step
from guide.follow.order import make_in_hand
from guide.plan.layout.faces import Cell, swap
from guide.plan.layout.panels import Rearranged, cannot_cut, keep, rearrange, squares_needed, stock_left, to_clear
from guide.plan.model import Layout, Plan, Step
from guide.plan.parts import letters
from guide.read.spoken import counted
from guide.read.stage_keys import map_of
from guide.record.model import Record


def _numbers(text: str) -> list[int]:
    return [int(digits) for digits in re.findall(r"\d{1,3}", text)]


def _layout(at: Moment) -> Layout:
    assert at.plan.layout is not None  # who has none is not asked what changes
    return at.plan.layout


def _inside(layout: Layout) -> str:
    return f"Rows go from 1 to {layout.down}, columns from 1 to {layout.across}."


def spoilt_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Give the spoilt block new squares, the fewest cut again."""
    layout, numbers = _layout(at), _numbers(answer)
    if len(numbers) != 2:
        return ask_again(at, question, f"spoilt {answer}", "Write its row and column: spoilt 1 2.")
    cell = (numbers[0], numbers[1])
    if not (1 <= cell[0] <= layout.down and 1 <= cell[1] <= layout.across):
        return ask_again(at, question, f"spoilt {answer}", _inside(layout))
    _, begun = sewn_and_begun(at.plan, at.record)
    if cell not in begun:
        return _spoilt(at, layout, cell, ())
    stack = layout.stacks[cell]
    layers = tuple(f"{name}, front" if place == 0 else name for place, name in enumerate(stack))
    asked = f"Which layers of block {cell[0]},{cell[1]} are spoilt? Numbers, as 1 3; enter alone: all of them."
    return ask(at, Ask("spoilt_layers", "text", asked, layers_are, layers, data={"cell": cell}))


def layers_are(at: Moment, question: Ask, answer: str) -> Turn:
    """Cut the spoilt layers again, and let the block go through its steps once more."""
    layout, most = _layout(at), len(question.choices)
    layers = set(_numbers(answer))
    if (answer and not layers) or not layers <= set(range(1, most + 1)):
        return ask_again(at, question, answer, f"Numbers from 1 to {most}, with a space between; nothing: all of them.")
    return _spoilt(at, layout, question.data["cell"], layers or set(range(1, most + 1)))


def _spoilt(at: Moment, layout: Layout, cell: Cell, layers: Collection[int]) -> Turn:
    """Write a spoilt block: which squares are cut again, how the rest is laid, what is made once more.

    `layers`: those that are spoilt, from 1 in front; none of a block that was not begun, whose squares were only cut.
    """
    sewn, begun = sewn_and_begun(at.plan, at.record)
    stack = layout.stacks[cell]
    good = [name for place, name in enumerate(stack, 1) if layers and place not in layers]
    at_hand = _at_hand(layout, sewn | begun | {cell}) + Counter(good)
    found = _rearranged(at, sewn - {cell}, begun - {cell}, at_hand)
    again = _once_more(at, layout, cell, dict(found.cut_again), unpick=cell in sewn) if layers else {}
    return _laid(at, layout, found, f"Block {cell[0]},{cell[1]} is spoilt.", once_more=again)


def _once_more(at: Moment, layout: Layout, cell: Cell, cut: dict[str, int], *, unpick: bool) -> dict[str, Any]:
    """What the block goes through again: every step in which it was counted, one by one."""
    blocks = len(layout.blocks)
    place = (make_in_hand(at.plan, at.record) - 1) * blocks + (cell[0] - 1) * layout.across + cell[1] - 1
    every = blocks * max(1, at.plan.project.make)
    steps = [
        step.key
        for step in at.plan.steps
        if step.piece in {"block", "stack"} and step.pieces == every and step.count == "each"
        if _done(step, at.record) > place
    ]
    return {"again": {"block": f"{cell[0]},{cell[1]}", "steps": steps, "cut": cut, "unpick": unpick}}


def ran_out_is(at: Moment, question: Ask, answer: str) -> Turn:
    """Lay the blocks not begun without more of a print than there is."""
    layout = _layout(at)
    names = {sign: name for name, sign in letters(at.plan.project).items()}
    said = re.fullmatch(r"([A-Za-z]+)\W*(\d{1,5})", answer.strip())
    name = names.get(said[1].upper()) if said else None
    if said is None or name is None:
        known = ", ".join(f"{sign} {print_}" for sign, print_ in names.items())
        wrong = f"Write the print's letter and what is left: out A 3 ({known})."
        return ask_again(at, question, f"out {answer}", wrong)
    sewn, begun = sewn_and_begun(at.plan, at.record)
    at_hand, back = _at_hand(layout, sewn | begun), _back_takes(at, name)
    wanted = at_hand.get(name, 0) + back
    left = min(int(said[2]), wanted)
    if left == wanted:
        who = "The blocks not begun and the back take" if back else "The blocks not begun take"
        return put_away(at, f"{who} {left} of {name}: the layout stays as it is.")
    why, short = f"{name} ran out.", back - left
    if short > 0:
        why += f" The back wants {counted(short, 'more square')} of it: lay another print there, away from its like."
    elif back:
        why += f" {back} of it are kept for the back."
    there = at_hand | {name: max(left - back, 0)}
    return _laid(at, layout, _rearranged(at, sewn, begun, there, name), why, gone=(name,))


def _rearranged(at: Moment, sewn: set[Cell], begun: set[Cell], left: Mapping[str, int], *gone: str) -> Rearranged:
    stock, faces = stock_left(at.plan.project, _taken(at)), to_clear(at.plan.project)
    return rearrange(_layout(at), sewn, left, finished=begun - sewn, gone=gone, stock=stock, faces=faces)


def _back_takes(at: Moment, name: str) -> int:
    """How many squares of a print the back of the make in hand still takes: none once its seams are begun."""
    begun = any(
        at.record.step(step.key).pieces_done or at.record.step(step.key).over
        for step in at.plan.steps
        if step.piece == "seam" and map_of(step.picture) == "back"
    )
    backing = at.plan.backing
    if backing is None or begun:
        return 0
    return sum(block.stack.count(name) for block in backing.blocks)


def sewn_and_begun(plan: Plan, record: Record) -> tuple[set[Cell], set[Cell]]:
    """The blocks of the make in hand that are joined, and those whose stack is laid: (row, column), 1-based.

    Blocks and seams are made row by row from the top; a row seam joins two blocks, a panel seam two rows.
    """
    layout, makes = plan.layout, max(1, plan.project.make)
    if layout is None:
        return set(), set()
    # By counts alone, for nobody says which block is sewn: makes one after another, each row by row.
    before = make_in_hand(plan, record) - 1
    cells = [(block.row, block.column) for block in layout.blocks]
    in_rows, between = layout.down * (layout.across - 1), layout.down - 1
    begun: set[Cell] = set()
    sewn: set[Cell] = set()
    for step in plan.steps:
        each = step.pieces // makes
        done = max(0, min(each, _done(step, record) - before * each))
        if step.piece == "block" and each == len(cells):
            begun |= set(cells[:done])
        elif step.piece == "seam" and step.stage == "join" and each == in_rows:
            joined = [(row, column) for row in range(1, layout.down + 1) for column in range(1, layout.across)]
            sewn |= {(row, column + more) for row, column in joined[:done] for more in (0, 1)}
        elif step.piece == "seam" and step.stage == "join" and each == between and done:
            sewn |= {cell for cell in cells if cell[0] <= done + 1}
    return sewn, begun | sewn


def _done(step: Step, record: Record) -> int:
    made = record.step(step.key)
    return step.pieces if made.state == "done" else made.pieces_done


def _at_hand(layout: Layout, but: set[Cell]) -> Counter[str]:
    """The squares cut for blocks other than these."""
    return Counter(name for block in layout.blocks if (block.row, block.column) not in but for name in block.stack)


def _taken(at: Moment) -> Counter[str]:
    """The squares that all makes take, with those cut again so far."""
    project, record = at.plan.project, at.record
    cut = keep(project, record.cut_for) if record.cut_for else at.plan.layout
    return Counter(squares_needed(cut, at.plan.backing, max(1, project.make))) + Counter(record.cut_again)


def _laid(
    at: Moment,
    old: Layout,
    found: Rearranged,
    why: str,
    *,
    gone: Collection[str] = (),
    once_more: Mapping[str, Any] | None = None,
) -> Turn:
    """Write the new layout, or a note when the layout stays, only squares are cut again or none are left to cut."""
    # Whatever comes of it is one record, so that it is taken back as one.
    if told := cannot_cut(at.plan.project, found.cut_again, _taken(at), gone):
        text = f"{why} Nothing is laid again: that would take {told} in the project file."
        return put_away(at, text, at_step(at, {"what": "noted", "text": text}))
    cut = ", ".join(f"{count} of {name}" for name, count in found.cut_again.items())
    said = [why, f"Cut again: {cut}." if cut else "Nothing is cut again."]
    said += [f"Block {a[0]},{a[1]} goes to {b[0]},{b[1]}." for a, b in found.moved]
    if met := _likes(found.layout, at.plan):
        said.append(f"{met} alike meet; there is no better way with what is left.")
    more = ({"cut_again": dict(found.cut_again)} if found.cut_again else {}) | dict(once_more or {})
    if steps := (once_more or {}).get("again", {}).get("steps"):
        said.append(f"It goes through {counted(len(steps), 'step')} again, before joining.")
    stacks = [list(block.stack) for block in found.layout.blocks]
    stays = stacks == [list(block.stack) for block in old.blocks]
    said.insert(1, "The layout stays." if stays else "The rest is laid again.")
    text = " ".join(said)
    event = {"what": "noted"} if stays else {"what": "laid", "layout": stacks}
    return put_away(at, text, at_step(at, event | {"text": text} | ({"set": more} if more else {})))


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
    layout, numbers = _layout(at), _numbers(answer)
    if not answer:
        return put_away(at)
    if len(numbers) != 4:
        return ask_again(at, question, answer, "Write four numbers: row column, row column.")
    first, second = (numbers[0], numbers[1]), (numbers[2], numbers[3])
    try:
        new = swap(layout, first, second)
    except KeyError:
        return ask_again(at, question, answer, _inside(layout))
    if first == second:
        return ask_again(at, question, answer, "That is one block: write two.")
    event: dict[str, Any] = {"what": "laid", "layout": [list(block.stack) for block in new.blocks]}
    told, sewn = _met(at.plan, new), sewn_and_begun(at.plan, at.record)[0] & {first, second}
    if sewn:
        names = " and ".join(f"{row},{column}" for row, column in sorted(sewn))
        event["set"] = {"again": {"block": names, "unpick": True}}
        told += f" Block {names} is joined already: unpicking it is a step now."
    return put_away(at, told, event)


def _likes(layout: Layout, plan: Plan) -> int:
    """How often likes meet where they show: what lies inside a cushion does not."""
    return layout.front_matches + (layout.back_matches if to_clear(plan.project) == "both" else 0)


def _met(plan: Plan, new: Layout) -> str:
    was, now = _likes(plan.layout or new, plan), _likes(new, plan)
    both = to_clear(plan.project) == "both"
    if not now:
        return f"Changed: no two alike meet{'' if both else ' on the front'}."
    if not both:
        return f"Changed: {now} alike meet on the front ({was} before)."
    return f"Changed: {now} alike meet ({new.front_matches} in front, {new.back_matches} at the back; {was} before)."
