"""Laying by hand is a fold of keys: squares never run over, every state goes back to the first, no key destroys."""

import os
import random
from collections import Counter

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from guide.errors import GuideError
from guide.follow import by_hand
from guide.follow.by_hand import TABLE, ByHand, begun, layout_of, press
from guide.plan.layout.faces import meetings
from guide.plan.layout.panels import within_stock
from guide.plan.make import make_plan
from guide.read.model import Given, Place
from guide.show.hand_lines import hints, pressed
from tests.plan.random_projects import projects
from tests.plan.sums_of import read, shipped
from tests.show.screen_samples import plan as sample

FULL = bool(os.environ.get("FRAYWORK_FULL"))
KEYS = [key.letter for key in TABLE if key.letter not in {"arrows", "A-Z"}]
ALL = [*KEYS, *by_hand.ARROWS, *by_hand.ARROWS, *"AAABBCrr", "escape", "enter", "backspace", "z", "7", "布", "1", "2"]
STOCK = {"moss check": 18, "oat stripe": 20, "clay dot": None}


def hand_of(across=4, down=3, stock=STOCK) -> ByHand:
    """A panel of 4 by 3 in stacks of four, 16 squares a print, of two prints hardly more than that."""
    at = sample(across, down)
    prints = tuple(replace(one, at_most=stock.get(one.name)) for one in at.project.prints)
    square = Given("square", 152.4, "length", place=Place("project.yaml", 1))
    return begun(replace(at.project, prints=prints, given={"square": square}), at.layout, frozenset())


def squares(hand: ByHand) -> Counter:
    return Counter(name for stack in hand.laid.stacks for name in stack)


def served(hand: ByHand) -> ByHand:
    """What whoever shows it does: writes, and never leaves for good."""
    if hand.wants == "save":
        hand = by_hand.kept(hand, "Kept.")
    return replace(hand, wants="", view="faces") if hand.wants == "leave" else hand


def to_the_first(hand: ByHand) -> ByHand:
    """Undo until there is nothing more to take back."""
    hand = replace(hand, lifted=None, view="faces")
    for _ in range(len(hand.past)):
        hand = press(hand, "u")
    assert press(hand, "u").laid == hand.laid
    return hand


def test_random_keys_never_lay_more_than_there_is_and_all_go_back_to_the_first():
    """Every state: stock kept to, whole or empty stacks of known prints, and as many undos as changes lead to the first."""
    stock = {"moss check": 16, "oat stripe": 17, "clay dot": None}  # 16 of each lie at first
    rng, first = random.Random(24), hand_of(stock=stock)
    hand, seen, refused = first, set(), 0
    for number in range(2_000 if FULL else 300):
        key = rng.choice(ALL)
        after = served(press(hand, key))
        there = squares(after)
        assert all(most is None or there[name] <= most for name, most in stock.items()), (number, key)
        assert {len(stack) for stack in after.laid.stacks} <= {0, 4}
        assert set(there) <= set(stock)
        if after.laid != hand.laid and key not in "ua":
            assert press(replace(after, lifted=None), "u").laid == hand.laid, key
            assert press(press(replace(after, lifted=None), "u"), "a").laid == after.laid, key
        if FULL or number % 10 == 0:
            assert to_the_first(after).laid == first.laid
        hand = after
        seen.add(hand.laid)
        refused += "Not enough" in hand.said
    assert len(seen) > (300 if FULL else 60)
    assert refused, "the stock was never tried"


@settings(max_examples=400 if FULL else 40)
@given(st.lists(st.sampled_from(ALL), max_size=40))
def test_the_same_keys_come_to_the_same(keys):
    """A fold: nothing outside is looked at; and what was undone and done again is as it was."""
    one = other = hand_of()
    for key in keys:
        one, other = served(press(one, key)), served(press(other, key))
    assert one == other
    assert to_the_first(one).laid == hand_of().laid


@pytest.mark.parametrize("key", ["z", "Z", "7", "布", "backspace", "escape", "1", "2", "y", "tab"])
def test_a_wrong_key_changes_nothing_and_says_where_the_keys_are(key):
    """Nothing that lies, nothing that can be undone; a capital that is no print's letter too."""
    hand = press(hand_of(), "right")
    after = press(hand, key)
    assert (after.laid, after.past, after.at, after.wants) == (hand.laid, hand.past, hand.at, "")
    assert key == "escape" or "? shows them all" in after.said
    assert "Capital B lays oat stripe." in press(hand, "b").said


@pytest.mark.parametrize("key", ["q", "space", "enter", "x", "u", "s", "y", "backspace", "3", "left"])
def test_leaving_with_changes_asks_and_only_its_own_keys_answer(key):
    """q asks; 1 keeps and leaves, 2 leaves; whatever else is pressed goes back to the panel as it was."""
    hand = press(press(hand_of(), "m"), "q")
    assert (hand.view, hand.wants) == ("leaving", "")
    after = press(hand, key)
    assert (after.view, after.wants, after.laid, after.past) == ("faces", "", hand.laid, hand.past)
    assert press(hand, "2").wants == "leave"
    asked = press(hand, "1")
    assert asked.wants == "save"
    assert by_hand.kept(asked, "Kept.").wants == "leave"
    failed = by_hand.not_kept(asked, "The disk is full.")
    assert (failed.wants, failed.view, failed.laid, failed.said) == ("", "faces", hand.laid, "The disk is full.")


def test_leaving_without_changes_does_not_ask():
    """Also once the changes are kept, or taken back."""
    assert press(hand_of(), "q").wants == "leave"
    assert press(press(press(hand_of(), "m"), "u"), "q").wants == "leave"
    assert press(by_hand.kept(press(press(hand_of(), "m"), "s"), ""), "q").wants == "leave"


def test_nothing_is_kept_while_places_are_empty():
    """s and 1 say so; filled, it can be kept, and the layout is whole."""
    hand = press(press(hand_of(), "m"), "x")
    assert press(hand, "s").wants == press(press(hand, "q"), "1").wants == ""
    assert "1 block is empty" in press(hand, "s").said
    assert press(press(hand, "r"), "s").wants == "save"


def test_a_block_is_changed_as_its_key_says():
    """By hand: the first stack is A B C A; what each key makes of it."""
    hand = hand_of()
    moss, oat, clay = (one.name for one in hand.project.prints)
    assert hand.stack == (moss, oat, clay, moss)
    assert press(hand, "B").stack == (oat, oat, clay, moss)
    assert press(press(hand, "d"), "C").stack == (moss, clay, clay, moss)
    assert press(press(hand, "f"), "C").stack == (moss, oat, clay, clay)
    assert press(hand, "o").stack == (oat, clay, moss, moss)
    assert press(press(hand, "o"), "t").stack == (moss, moss, clay, oat)
    assert press(hand, "n").stack == (oat, oat, clay, moss)
    copied = press(press(press(hand, "c"), "right"), "v")
    assert copied.stack == hand.stack
    assert press(hand, "x").stack == ()


def test_the_whole_panel_is_mirrored_and_turned():
    """Numbered by hand: a row of stacks 0 1 2 3 becomes 3 2 1 0; half round, the last block of the last row comes first."""
    hand = hand_of()
    old = hand.laid.stacks
    assert press(hand, "m").laid.stacks == (*old[3::-1], *old[7:3:-1], *old[11:7:-1])
    assert press(hand, "h").laid.stacks == old[::-1]
    stays = press(press(press(hand, "right"), "k"), "m")
    assert stays.laid.kept == {2}
    assert press(stays, "m").laid.kept == press(press(stays, "e"), "e").laid.kept ^ {1, 2} == {1}


def test_two_blocks_change_places_and_one_that_is_put_back_does_not():
    """space, go, space; escape and u put a block back without a change."""
    hand = hand_of()
    swapped = press(press(press(press(hand, "space"), "right"), "down"), "space")
    assert swapped.laid.stacks[0] == hand.laid.stacks[5]
    assert swapped.laid.stacks[5] == hand.laid.stacks[0]
    for key in ("escape", "u"):
        back = press(press(hand, "space"), key)
        assert (back.lifted, back.laid, back.past) == (None, hand.laid, ())


@pytest.mark.parametrize(("marked", "then"), [({0}, {5}), ({5}, {0}), ({0, 5}, {0, 5}), ({3}, {3}), ({0, 3}, {3, 5})])
def test_a_block_that_stays_stays_where_it_is_swapped_to(marked, then):
    """By hand: blocks 0 and 5 change places, and whoever is to stay is so at its new place; u takes that back too."""
    hand = press(replace(hand_of(), at=5), "o")
    assert hand.laid.stacks[0] != hand.laid.stacks[5]
    for place in sorted(marked):
        hand = press(replace(hand, at=place), "k")
    swapped = press(press(press(press(replace(hand, at=0), "space"), "right"), "down"), "space")
    assert swapped.laid.kept == then
    assert [swapped.laid.stacks[place] for place in (0, 5)] == [hand.laid.stacks[place] for place in (5, 0)]
    assert press(swapped, "u").laid == hand.laid


def test_arrows_follow_the_face_that_is_seen():
    """On the back, turned like a page, right is the column before: [identity] across + 1 - c counts down."""
    hand = press(hand_of(), "right")
    assert hand.cell == (1, 2)
    assert press(press(hand, "f"), "right").cell == (1, 1)
    assert press(press(hand, "f"), "left").cell == (1, 3)
    assert press(press(hand, "d"), "right").cell == (1, 3)
    corner = press(press(press(hand_of(), "left"), "up"), "right")
    assert corner.cell == (1, 2)


def test_stock_is_counted_down_and_the_last_square_is_the_last():
    """18 of moss check, 16 lie: two more can be laid, the third is refused with both figures, nothing changed."""
    hand, name = hand_of(), "moss check"
    assert by_hand.left(hand) == {name: 2, "oat stripe": 4, "clay dot": None}
    places = [place for place, stack in enumerate(hand.laid.stacks) if stack[0] != name][:3]
    for number, place in enumerate(places[:2]):
        hand = press(replace(hand, at=place), "A")
        assert by_hand.left(hand)[name] == 1 - number
    refused = press(replace(hand, at=places[2]), "A")
    assert refused.laid == hand.laid
    assert "18 are there, this takes 19" in refused.said


def test_the_rest_is_filled_round_what_lies_and_nothing_meets():
    """Half the panel taken off and filled again: what lay lies still, and no two alike meet on the front."""
    hand = hand_of()
    stays = [0, 5, 10]
    for place in stays:
        hand = press(replace(hand, at=place), "k")
    lay = {place: hand.laid.stacks[place] for place in stays}
    empty = press(hand, "e")
    assert empty.empty == 9
    full = press(empty, "r")
    assert full.empty == 0
    assert {place: full.laid.stacks[place] for place in stays} == lay
    assert meetings(layout_of(full)[0], faces=1) == []
    assert "Nothing is empty" in press(full, "r").said


@pytest.mark.parametrize(("line", "keys"), [
    ("2,3 A", [(2, 3), "A"]), ("a", ["a"]), ("swap 1,1 2,3", [(1, 1), "space", (2, 3), "space"]),
    ("2, 3 A", [(2, 3), "A"]), ("swap 1 ,1  2 , 3", [(1, 1), "space", (2, 3), "space"]), ("1234,5", ["1234,5"]),
    ("1,2 turn over", [(1, 2), "t"]), ("turn over 1,2", [(1, 2), "t"]), ("Moss Check 1,1", [(1, 1), "A"]),
    ("fill", ["r"]), ("undo undo", ["u", "u"]), ("keep", ["s"]), ("k", ["k"]), ("nonsense", ["nonsense"]), ("", []),
])  # fmt: skip
def test_a_line_says_the_same_by_words(line, keys):
    """Blocks first, then keys by letter or word, prints by letter or name."""
    assert pressed(hand_of(), line) == keys


def test_every_key_is_said_at_the_foot_and_has_a_sentence():
    """All of them, each once; none has two meanings."""
    assert [key for key, _ in hints(hand_of())] == [key.letter for key in TABLE]
    assert len({key.letter for key in TABLE} | {key.word for key in TABLE}) == 2 * len(TABLE)
    assert all(key.help.endswith(".") and len(key.help) <= 74 for key in TABLE)


@settings(max_examples=200 if FULL else 6)
@given(projects(), st.lists(st.sampled_from(ALL), min_size=10, max_size=30))
def test_what_is_kept_of_any_project_can_be_planned(data, pressed_keys):
    """Every kind, stock and number of makes: filled and kept after random keys, the plan takes it, with its back."""
    try:
        plan = make_plan(read(data), shipped())
    except GuideError:
        assume(False)
    if plan.layout is None:
        return
    hand = begun(plan.project, plan.layout, frozenset())
    for key in [*pressed_keys, "escape", "r", "m", "s"]:
        hand = served(press(hand, key))
    if hand.empty:  # what lies leaves too little for the rest: it is said, and nothing can be kept
        assert "Not enough" in press(hand, "r").said
        return
    layout, _ = layout_of(hand)
    again = make_plan(read(data), shipped(), None, [list(block.stack) for block in layout.blocks])
    within_stock(again.project, again.layout, again.backing, kept=True)
    assert again.layout.blocks == layout.blocks
    assert (again.layout.front_matches, again.layout.outcome) == (layout.front_matches, layout.outcome)
