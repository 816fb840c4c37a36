"""Keys that only look, write down, or guard: none of them loses the place."""

import pytest

from guide.follow import keys
from tests.follow.samples_session import Bench


def test_looking_ahead_and_back_keeps_the_place():
    """f f b: only what is looked at changes; the big key comes back and counts nothing."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("f", "f")
    assert (bench.desk.view, bench.desk.look) == ("look", "closure/glue")
    bench.press("b")
    assert bench.desk.look == "join/check"
    bench.press("space")
    assert (bench.desk.view, bench.desk.look) == ("step", None)
    assert len(bench.wrote) == count
    assert bench.record.current == "quilt/cross"
    bench.press("space")
    assert bench.newest.what == "piece_done"


def test_looking_ends_at_the_first_and_the_last_step():
    """There is nothing before the first step."""
    bench = Bench()
    bench.press("b")
    assert bench.said == "That is the first step."
    bench.press(*["f"] * 20)
    assert bench.said == "That is the last step."


@pytest.mark.parametrize(("key", "view"), [("w", "why"), ("?", "keys")])
def test_a_card_is_put_away_by_its_key_or_the_big_key(key, view):
    """w and ? open their card and close it; the big key closes it too and counts nothing."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press(key)
    assert bench.desk.view == view
    bench.press(key)
    assert bench.desk.view == "step"
    bench.press(key, "space")
    assert bench.desk.view == "step"
    assert len(bench.wrote) == count


def test_the_lock_holds_every_key_but_its_own():
    """Locked: nothing is written until l."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("l", "space", "a", "u", "q", "n", "7")
    assert len(bench.wrote) == count
    assert not bench.session.left
    bench.press("l", "space")
    assert bench.newest.what == "piece_done"


JOINED = "\U0001f469\u200d\U0001f9f5 heart \u2764\ufe0f \u0915\u094d\u200c\u0937"  # emoji and letters held together and apart


def test_a_note_keeps_what_joins_its_characters():
    """Joiner, non-joiner and variation selector are text [source: Unicode Standard, 23.2 and 23.4]."""
    bench = Bench().open("Sew the cross")
    bench.press("n")
    bench.type(JOINED)
    bench.press("enter")
    assert bench.newest.text == JOINED


@pytest.mark.parametrize("letter", ["\x1b", "\x85", "\u202e", "\u2066", "\u200f", "\u2028", "\ud83d"])
def test_a_note_takes_no_control(letter):
    """Controls, halves of characters and what turns the direction of writing stay out [identity]."""
    bench = Bench().open("Sew the cross")
    bench.press("n")
    bench.type(f"a{letter}b")
    bench.press("enter")
    assert bench.newest.text == "ab"


def test_a_note_is_written_at_its_step():
    """Spaces and capitals as typed."""
    bench = Bench().open("Sew the cross")
    bench.press("n")
    bench.type("Thread broke  twice, ½ m lost?")
    bench.press("enter")
    assert (bench.newest.what, bench.newest.text, bench.newest.step) == (
        "noted",
        "Thread broke  twice, ½ m lost?",
        "quilt/cross",
    )


@pytest.mark.parametrize("keys", [("n", "enter"), ("n", "a", "escape"), ("n", "space", "enter")])
def test_an_empty_note_is_none(keys):
    """Nothing typed, or escape: nothing written."""
    bench = Bench()
    bench.press(*keys)
    assert bench.wrote == ["opened"]
    assert bench.desk.ask is None


@pytest.mark.parametrize(
    "path", ["../x.jpg", "/etc/x.png", "~/x.png", "C:x.png", "a\\b.png", "https://x/y.png", "note.txt", "x.svg"]
)
def test_a_photo_lies_in_the_projects_folder(path):
    """What points elsewhere, or is no picture, is refused where it is typed."""
    bench = Bench()
    bench.press("v")
    bench.type(path)
    bench.press("enter")
    assert bench.wrote == ["opened"]
    assert bench.desk.ask is not None


def test_a_photos_path_is_written():
    """photos/front.jpg, at the step under the needle."""
    bench = Bench()
    bench.press("v")
    bench.type("photos/front.jpg")
    bench.press("enter")
    assert (bench.newest.what, bench.newest.name) == ("photo", "photos/front.jpg")


def test_two_blocks_change_places():
    """The layout of the record and of the plan changes, and what meets is said."""
    bench = Bench()
    stacks = [list(block.stack) for block in bench.session.plan.layout.blocks]
    bench.press("c")
    bench.type("1 1, 2 2")
    bench.press("enter")
    assert bench.newest.what == "laid"
    assert bench.record.layout == [stacks[3], stacks[1], stacks[2], stacks[0]]  # [identity]
    assert bench.session.plan.layout.blocks[0].stack == tuple(stacks[3])
    assert bench.said == "Changed: no two alike meet on the front."


def test_a_change_that_brings_likes_together_says_so():
    """Swapping neighbours puts oat stripe beside oat stripe."""
    bench = Bench()
    bench.press("c")
    bench.type("1 1, 1 2")
    bench.press("enter")
    # fronts become oat moss / oat clay: oat meets oat down the first column; what lies inside does not show [identity]
    assert bench.said == "Changed: 1 alike meet on the front (0 before)."


@pytest.mark.parametrize("text", ["1 1", "1 1, 9 9", "a b c d", "1 1, 1 1", "0 0, 1 1"])
def test_blocks_that_are_not_there_do_not_change(text):
    """The question stays, with what was typed."""
    bench = Bench()
    bench.press("c")
    bench.type(text)
    bench.press("enter")
    assert bench.wrote == ["opened"]
    assert bench.desk.ask.typed == text


def test_every_key_of_the_table_does_something_of_its_own():
    """Rows of one table: no letter twice, no act twice, each found by its letter; nothing hidden, nothing promised in vain."""
    assert len({key.letter for key in keys.TABLE}) == len({key.act for key in keys.TABLE}) == len(keys.TABLE)
    assert all(keys.named("7" if key.letter == "0-9" else key.letter) is key for key in keys.TABLE)
    assert keys.named("enter") is keys.named("space")
    assert keys.named("j") is None


def test_the_help_line_offers_only_what_applies():
    """Trouble is not offered on a done card."""
    bench = Bench()
    assert "t" not in dict(keys.help_line(bench.record))
    bench.press("space")
    assert dict(keys.help_line(bench.record))["t"] == "trouble"
    assert len(keys.card()) == len(keys.TABLE)


def test_an_unknown_key_is_safe():
    """h writes nothing and says where the keys are."""
    bench = Bench().open("Sew the cross")
    count = len(bench.wrote)
    bench.press("h", "H", "é", "up", "tab", "")
    assert len(bench.wrote) == count
