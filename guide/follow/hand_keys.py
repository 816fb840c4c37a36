"""The keys of a panel laid by hand: one table for screen, lines and documentation, and what a key leads to."""

from collections.abc import Callable

from msgspec.structs import replace

from guide.follow import by_hand
from guide.follow.by_hand import ARROWS, ByHand
from guide.follow.keys import Key
from guide.plan.parts import letters

Does = Callable[[ByHand], ByHand]


def _arrows(hand: ByHand) -> ByHand:
    return replace(hand, said="The arrow keys go from block to block.")


def _print_there(hand: ByHand) -> ByHand:
    return replace(hand, said="A print's own letter lays it: a capital one.")


TABLE: tuple[Key[Does], ...] = (
    Key("arrows", "go", "To the block beside, as the face in hand is seen.", _arrows),
    Key("A-Z", "lay", "A capital letter lays a square of that print on the layer in hand.", _print_there),
    Key("n", "next print", "Lay the next print that there is, in the project's order.", by_hand.next_print),
    Key("space", "swap", "Take up this block; at another one the two change places.", by_hand.swap),
    Key("f", "other face", "To the back, which is seen turned like a page, or to the front.", by_hand.other_face),
    Key("d", "deeper", "To the layer below; after the last the front again.", by_hand.deeper),
    Key("c", "copy", "Remember this stack.", by_hand.copy),
    Key("v", "lay copy", "Lay the remembered stack here.", by_hand.lay_copied),
    Key("t", "turn over", "Turn the stack over: its back becomes the front.", by_hand.turn_over),
    Key("o", "one on", "Let the stack begin with its next print.", by_hand.one_on),
    Key("m", "mirror", "Mirror the whole panel, left to right.", by_hand.mirror),
    Key("h", "half round", "Turn the whole panel half round.", by_hand.half_round),
    Key("x", "take off", "Take this block off; its squares can be laid elsewhere.", by_hand.lift),
    Key("e", "empty", "Take off every block that is not to stay.", by_hand.lift_all),
    Key("k", "stay", "Let this block stay when the others are taken off.", by_hand.keep),
    Key("r", "fill", "Fill the rest: lay what is empty, round what lies.", by_hand.fill),
    Key("u", "undo", "Take back the last change, and so on to the first.", by_hand.undo),
    Key("a", "again", "Do again what was taken back.", by_hand.redo),
    Key("l", "light", "Show light against dark in place of colours, and back.", by_hand.light),
    Key("s", "keep", "Keep it: the plan uses it from now on.", by_hand.save),
    Key("?", "keys", "Show all the keys.", by_hand.keys),
    Key("q", "leave", "Leave; with changes that are not kept it asks first.", by_hand.leave),
)  # fmt: skip
ROWS = {key.letter: key for key in TABLE} | {"enter": next(key for key in TABLE if key.letter == "space")}
LEAVING = (("1", "keep it and leave"), ("2", "leave, the plan stays as it was"), ("escape", "go on"))


def press(hand: ByHand, key: str) -> ByHand:
    """What one key leads to; a key that means nothing here changes nothing."""
    if hand.view == "keys":
        return replace(hand, view="faces")
    if hand.view == "leaving":
        return _leaving(hand, key)
    if key == "escape":
        return replace(hand, lifted=None, said="Put back where it lay." if hand.lifted is not None else "")
    name = next((name for name, letter in letters(hand.project).items() if letter == key), None)
    if name is not None:
        return by_hand.lay(hand, name)
    if key in ARROWS:
        return by_hand.move(hand, key)
    row = ROWS.get(key)
    return row.act(hand) if row else replace(hand, said=f"{key} is no key here: ? shows them all.")


def _leaving(hand: ByHand, key: str) -> ByHand:
    """The answer to whether what was changed is to be kept: nothing but its own keys answers it."""
    if key == "1":
        asked = by_hand.save(hand)
        return replace(asked, view="leaving") if asked.wants else asked
    if key == "2":
        return replace(hand, wants="leave")
    return replace(hand, view="faces", said="Not left: go on." if key == "escape" else "Not left: 1 and 2 would.")
