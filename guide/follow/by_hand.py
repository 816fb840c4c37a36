"""Laying a panel by hand: a fold of keys over a panel as it stands; the screen and the lines only show it.

Every key gives another `ByHand` and touches nothing else, so what a row of keys comes to is always the same, and every
change can be taken back to the first. Nothing is kept before `s`: whoever shows the panel then writes it and says so.
Squares of a print are counted down as they are laid, and none is laid that is not there.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from functools import lru_cache, partial
from typing import Literal, NamedTuple

import msgspec
from msgspec.structs import replace

from guide.follow.keys import Key
from guide.plan.layout.faces import Cell, Stack, judged, panel_of
from guide.plan.layout.panels import lay_front, stock_of
from guide.plan.model import Block, Layout
from guide.plan.parts import letters
from guide.read.model import Project
from guide.read.spoken import are, counted

ARROWS = {"left": (0, -1), "right": (0, 1), "up": (-1, 0), "down": (1, 0)}


FIRST = "Arrows go to a block; a capital letter lays that print there; u takes back."


class Laid(NamedTuple):
    """What lies: stacks place by place in the panel's order, none where it is empty; and the blocks that stay."""

    stacks: tuple[Stack, ...]
    kept: frozenset[int] = frozenset()


class ByHand(msgspec.Struct, frozen=True):
    """A panel under the maker's hands: what lies, what lay before, where the hand is, and what it has said."""

    project: Project
    laid: Laid
    saved: Laid  # what the plan uses now
    stock: tuple[tuple[str, int | None], ...]  # squares of each print for one make; None: as many as are wanted
    past: tuple[Laid, ...] = ()
    undone: tuple[Laid, ...] = ()
    at: int = 0  # place in the panel's order
    layer: int = 0  # 0: the front
    lifted: int | None = None  # the block that is to change places
    copied: Stack = ()
    said: str = ""
    view: Literal["faces", "keys", "leaving", "offered"] = "faces"
    offered: Laid | None = None  # what lay when the window was closed, until it is answered for
    by_light: bool = False  # prints are told apart by how light they are, no colours
    wants: Literal["", "save", "leave"] = ""  # what whoever shows this is to do

    @property
    def across(self) -> int:
        """Blocks in a row."""
        return self.project.across or 0

    @property
    def down(self) -> int:
        """Rows."""
        return self.project.down or 0

    @property
    def depth(self) -> int:
        """Squares in a block."""
        return self.project.above + self.project.below

    @property
    def cell(self) -> Cell:
        """Row and column of the hand, 1-based, front seen."""
        return self.at // self.across + 1, self.at % self.across + 1

    @property
    def turned(self) -> bool:
        """Whether the hand is on the other face, which is seen mirrored."""
        return self.depth > 1 and self.layer == self.depth - 1

    @property
    def stack(self) -> Stack:
        """What lies under the hand; nothing where it is empty."""
        return self.laid.stacks[self.at]

    @property
    def empty(self) -> int:
        """How many places nothing lies on."""
        return sum(not stack for stack in self.laid.stacks)


def begun(project: Project, layout: Layout, kept: frozenset[Cell], unkept: Laid | None = None) -> ByHand:
    """A panel as the plan has it; `kept` are the blocks that are to stay, 1-based; `unkept` is asked about first."""
    places = frozenset((row - 1) * layout.across + column - 1 for row, column in kept)
    laid = Laid(tuple(block.stack for block in sorted(layout.blocks, key=lambda b: (b.row, b.column))), places)
    stocks = ((cloth.name, stock_of(cloth, project)) for cloth in project.prints)
    stock = tuple((name, None if some is None else some // project.make) for name, some in stocks)
    hand = ByHand(project, laid, laid, stock, said=FIRST)
    return hand if unkept in {None, laid} else replace(hand, offered=unkept, view="offered", said="")


def stays(hand: ByHand) -> frozenset[Cell]:
    """The blocks that are to stay, 1-based."""
    return frozenset((place // hand.across + 1, place % hand.across + 1) for place in hand.laid.kept)


def bare(hand: ByHand) -> Layout:
    """What lies as a layout that nobody has judged; places may be empty."""
    blocks = tuple(Block(at // hand.across + 1, at % hand.across + 1, s) for at, s in enumerate(hand.laid.stacks))
    return Layout(hand.across, hand.down, hand.project.seed, blocks, 0, 0, 0, "found")


def layout_of(hand: ByHand) -> tuple[Layout, frozenset[Cell]]:
    """What lies as a layout, with the blocks that are to stay. Nothing may be empty."""
    return judged(bare(hand), faces=panel_of(hand.project).faces, by_hand=True), stays(hand)


@lru_cache(maxsize=32)
def _taken(stacks: tuple[Stack, ...]) -> Counter[str]:
    return Counter(name for stack in stacks for name in stack)


def left(hand: ByHand) -> dict[str, int | None]:
    """How many squares more of each print may lie in one make's panel; None: as many as are wanted."""
    taken = _taken(hand.laid.stacks)
    return {name: None if most is None else most - taken[name] for name, most in hand.stock}


def taken(hand: ByHand) -> dict[str, int]:
    """How many squares of each print lie in one make's panel."""
    lie = _taken(hand.laid.stacks)
    return {cloth.name: lie[cloth.name] for cloth in hand.project.prints}


def lacking(hand: ByHand, stacks: tuple[Stack, ...]) -> str:
    """Say which print there is too little of for these stacks; nothing when all is there."""
    lie = _taken(stacks)
    for name, most in hand.stock:
        if most is not None and lie[name] > most:
            each = " for each" if hand.project.make > 1 else ""
            return f"Not enough {name}: {most} {are(most)} there{each}, this takes {lie[name]}. Nothing was changed."
    return ""


def _changed(hand: ByHand, laid: Laid, said: str = "") -> ByHand:
    """Another panel, the one before remembered; what takes more squares than there are is refused."""
    if laid == hand.laid:
        return replace(hand, lifted=None, said=said or "That changes nothing.")
    if too_few := lacking(hand, laid.stacks):
        return replace(hand, said=too_few)
    return replace(hand, laid=laid, past=(*hand.past, hand.laid), undone=(), lifted=None, said=said)


def _put(hand: ByHand, stack: Stack, kept: frozenset[int] | None = None, said: str = "") -> ByHand:
    stacks = list(hand.laid.stacks)
    stacks[hand.at] = stack
    return _changed(hand, Laid(tuple(stacks), hand.laid.kept if kept is None else kept), said)


def lay(hand: ByHand, name: str) -> ByHand:
    """Lay a square of a print on the layer in hand; an empty place gets a whole stack, of what there is most of."""
    if hand.stack:
        return _put(hand, (*hand.stack[: hand.layer], name, *hand.stack[hand.layer + 1 :]))
    there = {one: 10**6 if some is None else some for one, some in left(hand).items()}
    there[name] -= 1
    stack = [""] * hand.depth
    stack[hand.layer] = name
    for place in range(hand.depth):
        if not stack[place]:
            best = max(there, key=lambda one: (there[one] > 0, one not in stack, there[one]))
            stack[place] = best
            there[best] -= 1
    return _put(hand, tuple(stack))


def next_one(hand: ByHand) -> ByHand:
    """Lay the next print that there is, in the project's order."""
    if not hand.stack:
        return replace(hand, said="Nothing lies here: a print's letter lays a stack.")
    names, there = [cloth.name for cloth in hand.project.prints], left(hand)
    start = names.index(hand.stack[hand.layer])
    turn = (names[(start + step) % len(names)] for step in range(1, len(names)))
    name = next((one for one in turn if there[one] is None or (there[one] or 0) > 0), None)
    return lay(hand, name) if name else replace(hand, said="There is no square of another print left.")


def move(hand: ByHand, key: str) -> ByHand:
    """Go to the block beside, as the face in hand is seen; at an edge the hand stays."""
    rows, columns = ARROWS[key]
    row, column = divmod(hand.at, hand.across)
    row, column = row + rows, column + (-columns if hand.turned else columns)
    inside = 0 <= row < hand.down and 0 <= column < hand.across
    return replace(hand, at=row * hand.across + column if inside else hand.at, said="")


def go(hand: ByHand, cell: Cell) -> ByHand:
    """Go to a block by its row and column, 1-based; a word when there is none."""
    row, column = cell
    if not (1 <= row <= hand.down and 1 <= column <= hand.across):
        said = f"{row},{column} is no block: rows go from 1 to {hand.down}, columns from 1 to {hand.across}."
        return replace(hand, said=said)
    return replace(hand, at=(row - 1) * hand.across + column - 1, said="")


def swap(hand: ByHand) -> ByHand:
    """Take up a block, or let the one taken up and this one change places."""
    if hand.lifted is None:
        return replace(hand, lifted=hand.at, said="Go to another block; space again, and the two change places.")
    if hand.lifted == hand.at:
        return replace(hand, lifted=None, said="Put back where it lay.")
    order = list(range(len(hand.laid.stacks)))
    order[hand.lifted], order[hand.at] = hand.at, hand.lifted
    return _moved(hand, order, "The two changed places.")


def other_face(hand: ByHand) -> ByHand:
    """From the front to the back, or to the front again."""
    if hand.depth == 1:
        return replace(hand, said="Single squares have one face.")
    return replace(hand, layer=0 if hand.layer else hand.depth - 1, said="")


def deeper(hand: ByHand) -> ByHand:
    """To the layer below; after the last the front again."""
    return replace(hand, layer=(hand.layer + 1) % hand.depth, said="")


def copy(hand: ByHand) -> ByHand:
    """Remember this stack, to be laid elsewhere."""
    if not hand.stack:
        return replace(hand, said="Nothing lies here that could be laid elsewhere.")
    return replace(hand, copied=hand.stack, said="This stack is remembered: v lays it wherever you go.")


def lay_copied(hand: ByHand) -> ByHand:
    """Lay the stack that was remembered."""
    return _put(hand, hand.copied) if hand.copied else replace(hand, said="c remembers a stack first.")


def turn_over(hand: ByHand) -> ByHand:
    """Turn the stack over: its back becomes the front."""
    return _put(hand, hand.stack[::-1]) if hand.stack else replace(hand, said="Nothing lies here to turn.")


def one_on(hand: ByHand) -> ByHand:
    """Let the stack begin with its next print: its front goes to the back."""
    stack = hand.stack[1:] + hand.stack[:1]
    return _put(hand, stack) if stack else replace(hand, said="Nothing lies here to turn.")


def _moved(hand: ByHand, order: Sequence[int], said: str) -> ByHand:
    """The panel in another order of its places; blocks that stay stay with their stacks."""
    came = {old: new for new, old in enumerate(order)}
    stacks = tuple(hand.laid.stacks[old] for old in order)
    return _changed(hand, Laid(stacks, frozenset(came[place] for place in hand.laid.kept)), said)


def mirror(hand: ByHand) -> ByHand:
    """Turn the order of the columns about, left to right."""
    rows = range(0, len(hand.laid.stacks), hand.across)
    order = [row + column for row in rows for column in reversed(range(hand.across))]
    return _moved(hand, order, "Mirrored, left to right.")


def half_round(hand: ByHand) -> ByHand:
    """Turn the whole panel half round: the last block comes first."""
    return _moved(hand, range(len(hand.laid.stacks))[::-1], "Turned half round.")


def lift(hand: ByHand) -> ByHand:
    """Take the block off the panel: its squares can be laid elsewhere."""
    if not hand.stack:
        return replace(hand, said="It is empty already.")
    return _put(hand, (), hand.laid.kept - {hand.at}, "Taken off: r fills what is empty.")


def lift_all(hand: ByHand) -> ByHand:
    """Take off every block that is not to stay."""
    stacks = tuple(stack if place in hand.laid.kept else () for place, stack in enumerate(hand.laid.stacks))
    return _changed(hand, hand.laid._replace(stacks=stacks), "Taken off: r fills what is empty, u lays it all back.")


def keep(hand: ByHand) -> ByHand:
    """Let this block stay when all are taken off, or not any more."""
    if not hand.stack and hand.at not in hand.laid.kept:
        return replace(hand, said="Nothing lies here that could stay.")
    stays = hand.at not in hand.laid.kept
    said = "This block stays, whatever is laid again." if stays else "This block need not stay any more."
    return _changed(hand, hand.laid._replace(kept=hand.laid.kept ^ {hand.at}), said)


def fill(hand: ByHand) -> ByHand:
    """Lay what is empty, round what lies, from the squares there are, so that no two alike meet where that can be."""
    if not hand.empty:
        return replace(hand, said="Nothing is empty: x takes a block off, e all that are not to stay.")
    fixed = {(place // hand.across + 1, place % hand.across + 1): s for place, s in enumerate(hand.laid.stacks) if s}
    laid = lay_front(hand.project, fixed)
    stacks = tuple(block.stack for block in sorted(laid.blocks, key=lambda b: (b.row, b.column)))
    said = "Filled." if laid.outcome == "found" else f"Filled, but {laid.reason}."
    return _changed(hand, hand.laid._replace(stacks=stacks), said)


def undo(hand: ByHand) -> ByHand:
    """Take back the last change, and the one before it, to the first."""
    if hand.lifted is not None:
        return replace(hand, lifted=None, said="Put back where it lay.")
    if not hand.past:
        return replace(hand, said="Nothing more to take back: this is how it was at first.")
    *past, before = hand.past
    return replace(hand, laid=before, past=tuple(past), undone=(*hand.undone, hand.laid), said="Taken back.")


def redo(hand: ByHand) -> ByHand:
    """Do again what was taken back."""
    if not hand.undone:
        return replace(hand, said="Nothing was taken back that could be done again.")
    *undone, after = hand.undone
    return replace(
        hand, laid=after, undone=tuple(undone), past=(*hand.past, hand.laid), lifted=None, said="Done again."
    )


def light(hand: ByHand) -> ByHand:
    """Show how light each print is in place of its colour, and back."""
    return replace(hand, by_light=not hand.by_light, said="")


def save(hand: ByHand) -> ByHand:
    """Ask for what lies to be kept; not while places are empty."""
    if hand.empty:
        said = f"{counted(hand.empty, 'block')} {are(hand.empty)} empty: r fills them, u takes back; then s keeps it."
        return replace(hand, view="faces", said=said)
    if hand.laid == hand.saved:
        return replace(hand, view="faces", said="It is kept already, as it lies here.")
    return replace(hand, view="faces", wants="save")


def kept(hand: ByHand, said: str) -> ByHand:
    """What lies was written; what was asked for is done."""
    return replace(hand, saved=hand.laid, wants="leave" if hand.view == "leaving" else "", said=said)


def not_kept(hand: ByHand, problem: str) -> ByHand:
    """What lies could not be written: nothing is lost, and nobody has left."""
    return replace(hand, wants="", view="faces", said=problem)


def leave(hand: ByHand) -> ByHand:
    """Leave; with changes that are not kept it is asked first."""
    if hand.laid == hand.saved:
        return replace(hand, wants="leave")
    return replace(hand, view="leaving", lifted=None, said="")


def keys(hand: ByHand) -> ByHand:
    """Show all the keys."""
    return replace(hand, view="keys", said="")


# The keys of a panel laid by hand: one table for screen, lines and documentation, and what a key leads to.

Does = Callable[[ByHand], ByHand]


def _say(hand: ByHand, said: str) -> ByHand:
    return replace(hand, said=said)


_ARROWS = partial(_say, said="The arrow keys go from block to block.")
_PRINTS = partial(_say, said="A print's own letter lays it: a capital one.")
TABLE: tuple[Key[Does], ...] = (
    Key("arrows", "go", "To the block beside, as the face in hand is seen.", _ARROWS),
    Key("A-Z", "lay", "A capital letter lays a square of that print on the layer in hand.", _PRINTS),
    Key("n", "next print", "Lay the next print that there is, in the project's order.", next_one),
    Key("space", "swap", "Take up this block; at another one the two change places.", swap),
    Key("f", "other face", "To the back, which is seen turned like a page, or to the front.", other_face),
    Key("d", "deeper", "To the layer below; after the last the front again.", deeper),
    Key("c", "copy", "Remember this stack.", copy),
    Key("v", "lay copy", "Lay the remembered stack here.", lay_copied),
    Key("t", "turn over", "Turn the stack over: its back becomes the front.", turn_over),
    Key("o", "one on", "Let the stack begin with its next print.", one_on),
    Key("m", "mirror", "Mirror the whole panel, left to right.", mirror),
    Key("h", "half round", "Turn the whole panel half round.", half_round),
    Key("x", "take off", "Take this block off; its squares can be laid elsewhere.", lift),
    Key("e", "empty", "Take off every block that is not to stay.", lift_all),
    Key("k", "stay", "Let this block stay when the others are taken off.", keep),
    Key("r", "fill", "Fill the rest: lay what is empty, round what lies.", fill),
    Key("u", "undo", "Take back the last change, and so on to the first.", undo),
    Key("a", "again", "Do again what was taken back.", redo),
    Key("l", "light", "Show in figures how light each print is, and back.", light),
    Key("s", "keep", "Keep it: the plan uses it from now on.", save),
    Key("?", "keys", "Show all the keys.", keys),
    Key("q", "leave", "Leave; with changes that are not kept it asks first.", leave),
)  # fmt: skip
ROWS = {key.letter: key for key in TABLE} | {"enter": next(key for key in TABLE if key.letter == "space")}
QUESTIONS: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {  # what is asked in a view, and the keys that answer
    "leaving": (
        "What you changed is not kept yet.",
        (("1", "keep it and leave"), ("2", "leave, the plan stays as it was"), ("escape", "go on")),
    ),
    "offered": (
        "A panel lies here from last time.",
        (("1", "go on with it"), ("2", "drop it"), ("q", "leave, be asked again")),
    ),
}


def press(hand: ByHand, key: str) -> ByHand:
    """What one key leads to; a key that means nothing here changes nothing."""
    if hand.view == "keys":
        return replace(hand, view="faces")
    if hand.view == "leaving":
        return _leaving(hand, key)
    if hand.view == "offered":
        return _offered(hand, key)
    if key == "escape":
        return replace(hand, lifted=None, said="Put back where it lay." if hand.lifted is not None else "")
    named = {letter: name for name, letter in letters(hand.project).items()}
    if key in named:
        return lay(hand, named[key])
    if key in ARROWS:
        return move(hand, key)
    if (row := ROWS.get(key)) is not None:
        return row.act(hand)
    meant = f" Capital {key.upper()} lays {named[key.upper()]}." if key.upper() in named else ""
    return replace(hand, said=f"{key} is no key here: ? shows them all.{meant}")


def _leaving(hand: ByHand, key: str) -> ByHand:
    """The answer to whether what was changed is to be kept: nothing but its own keys answers it."""
    if key == "1":
        asked = save(hand)
        return replace(asked, view="leaving") if asked.wants else asked
    if key == "2":
        return replace(hand, wants="leave")
    return replace(hand, view="faces", said="Not left: go on." if key == "escape" else "Not left: 1 and 2 would.")


def _offered(hand: ByHand, key: str) -> ByHand:
    """The answer to whether what was not kept last time is gone on with: nothing but its own keys answers it."""
    if hand.offered is None or key not in {"1", "2", "q"}:
        return hand
    if key == "q":
        return replace(hand, wants="leave")
    taken_up = replace(hand, offered=None, view="faces")
    if key == "1":
        return _changed(taken_up, hand.offered, "Here it lies again: s keeps it, u goes back to what is kept.")
    return replace(taken_up, undone=(hand.offered,), said="Dropped; until you leave, a lays it after all.")


def to_be_offered(hand: ByHand) -> bool | None:
    """Whether what lies at the end is to be offered next time; None where nobody has answered for the last."""
    if hand.offered is not None:
        return None
    return hand.laid != hand.saved and hand.wants != "leave"
