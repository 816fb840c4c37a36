"""The panel laid by hand as a terminal shows it: what is shown is what is kept, on any size, by mark and not by colour."""

import asyncio
import os
import random

import pytest
from msgspec.structs import replace

from guide.errors import CannotWrite
from guide.follow import by_hand
from guide.follow.by_hand import TABLE, press
from guide.plan.parts import letters
from guide.show.screen.by_hand import HandScreen, page
from guide.show.screen.text import ASCII, STITCHED, flat
from tests.follow.test_by_hand import ALL, hand_of
from tests.terminal.rig import Rig

CLOTH = "To buy, 13.65 EUR: A 5/8 yd  B 1/4 yd  C 5/8 yd"


def shown(hand, cols=80, rows=24, marks=STITCHED):
    return [flat(line) for line in page(hand, CLOTH, cols, rows, marks).lines]


def faces_of(lines, across, down):
    """The letters of both faces as they stand on a screen of letters alone, row by row; posts and blanks left out."""
    width = 2 * across + 1
    rows = [line.ljust(80) for line in lines[2 : 2 + down]]
    sides = [(row[1 : 1 + width], row[3 + width : 3 + 2 * width]) for row in rows]
    return [["".join(one for one in side if one.isalnum() or one == ".") for side in pair] for pair in sides]


def letters_of(hand):
    """The same by the stacks: the front, and the other face mirrored."""
    names = letters(hand.project)
    rows = [hand.laid.stacks[at : at + hand.across] for at in range(0, len(hand.laid.stacks), hand.across)]
    sign = lambda stack, layer: names[stack[layer]] if stack else "."  # noqa: E731
    return [["".join(sign(s, 0) for s in row), "".join(sign(s, -1) for s in row[::-1])] for row in rows]


def test_a_throw_of_12_by_16_fits_80_by_24_with_both_faces_stock_cost_and_every_key():
    """Nothing gives way there: every letter of both faces, the block in hand, what is left, the cloth, all keys."""
    hand = hand_of(12, 16, {"moss check": 300})
    lines = shown(hand)
    text = "\n".join(lines)
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    assert faces_of(lines, 12, 16) == letters_of(hand)
    assert "256, 44 left" in text
    assert CLOTH.replace("  ", " ") in text
    assert all(f"{key.letter} {key.word}" in text for key in TABLE)


@pytest.mark.parametrize(("cols", "rows"), [(40, 12), (60, 18), (80, 24), (132, 50)])
@pytest.mark.parametrize("size", [(4, 3), (12, 16), (40, 30), (1, 1)])
def test_the_block_in_hand_is_always_in_sight(cols, rows, size):
    """Wherever it is, on either face, in any size of window: its post or its double outline is there, ? and q too."""
    hand = hand_of(*size, stock={})
    for at in (0, len(hand.laid.stacks) // 2, len(hand.laid.stacks) - 1):
        for layer in (0, 3):
            for marks in (STITCHED, ASCII):
                lines = shown(replace(hand, at=at, layer=layer), cols, rows, marks)
                assert len(lines) <= rows
                assert max(map(len, lines)) <= cols
                text = "\n".join(lines)
                assert marks.double[1] in text
                assert "? keys" in text
                assert "q leave" in text


def test_likes_that_meet_are_marked_at_once_and_said():
    """[practice] By crosses on the edge between them and in words, so a grey terminal shows them too."""
    hand = hand_of()
    assert "××" not in "\n".join(shown(hand))
    met = press(press(press(hand, "right"), "A"), "down")
    text = "\n".join(shown(met))
    assert text.count("×") >= 3
    assert "2 on the front" in text
    assert "No two alike meet" in "\n".join(shown(press(met, "u")))


def test_light_against_dark_is_told_in_figures():
    """The tens of L*: #333333 is 21, #cccccc 82, #cfcfcf 83 [source: CIE 1976 by sRGB]; 82 and 83 read as one."""
    hand = hand_of(3, 1)
    dyed = tuple(
        replace(one, colour=c) for one, c in zip(hand.project.prints, ("#333333", "#cccccc", "#cfcfcf"), strict=True)
    )
    hand = press(replace(hand, project=replace(hand.project, prints=dyed)), "l")
    lines = shown(hand)
    patches = "".join(line[:52] for line in lines[2:7])
    assert (patches.count("2"), patches.count("8")) == (2, 4)  # on both faces
    assert "×" in patches
    text = "\n".join(lines)
    assert ["L* 21" in text, "L* 82" in text, "L* 83" in text] == [True] * 3


def test_a_window_too_small_says_so():
    """No map is cut to nothing."""
    assert shown(hand_of(), 20, 6) == ["Make the window larg"]


class Hands(Rig):
    """What is kept goes into a list."""

    def __init__(self, hand, *size, **more):
        super().__init__(hand, *size, make=self.screen_of, **more)
        self.written = []

    def screen_of(self, hand, *, keeps=None, reckons=lambda _hand: CLOTH, **more):
        return HandScreen(hand, keeps or self.keeps, reckons, **more)

    def keeps(self, hand):
        self.written.append(hand.laid)
        return "Kept in layout.json."


SENT = {"left": "\x1b[D", "right": "\x1b[C", "up": "\x1b[A", "down": "\x1b[B", "space": " ", "enter": "\r",
        "backspace": "\x7f"}  # fmt: skip


def test_what_is_kept_is_what_the_terminal_shows():
    """Random keys through a real terminal's bytes at 80 by 24; each time s is taken, the letters shown are those kept."""

    async def play():
        rng = random.Random(5)
        many = 400 if os.environ.get("FRAYWORK_FULL") else 60
        async with Hands(hand_of(12, 16, {"moss check": 300})) as at:
            for _ in range(many):
                key = rng.choice([one for one in ALL if one not in {"escape", "q", "e", "l", "?", "2", "1"}])
                await at.press(SENT.get(key, key))
            await at.press("rs")
            for _ in range(4):  # to the front again, whatever was looked at
                if at.screen.hand.layer:
                    await at.press("d")
            hand = at.screen.hand
            assert at.written
            assert at.written[-1] == hand.laid == hand.saved
            assert faces_of(at.lines, 12, 16) == letters_of(hand)

    asyncio.run(play())


def test_leaving_asks_and_a_failed_write_loses_nothing():
    """q, 1 with a full disk: the panel is still there, told why; then the write works, and it is left."""
    fail = [True]

    def keeps(_hand):
        if fail.pop():
            fail.append(False)
            raise CannotWrite("layout.json could not be written (No space left on device).")
        fail.append(False)
        return "Kept."

    async def play():
        async with Hands(hand_of(), keeps=keeps) as at:
            await at.press("m")
            await at.press("q")
            assert "not kept yet" in "\n".join(at.lines)
            await at.press("1")
            assert "No space left" in "\n".join(at.lines)
            assert not at.task.done()
            await at.press("q")
            await at.press("1")
            assert await asyncio.wait_for(at.task, 2) == 0

    asyncio.run(play())


def test_control_c_asks_first_and_leaves_with_130_the_second_time():
    """The plan stays as it was."""

    async def play():
        async with Hands(hand_of()) as at:
            await at.press("m\x03")
            assert "not kept yet" in "\n".join(at.lines)
            await at.press("\x03")
            assert await asyncio.wait_for(at.task, 2) == 130
            assert at.written == []

    asyncio.run(play())


@pytest.mark.parametrize("size", [(40, 12), (80, 24)])
def test_what_was_not_kept_last_time_is_asked_about_first(size):
    """With its keys; nothing else answers. Taken up it lies there, and u goes back to what is kept."""

    async def play():
        kept = hand_of()
        other = press(kept, "m").laid
        async with Hands(replace(kept, offered=other, view="offered"), *size) as at:
            await at.press("mAzu ")
            assert "A panel lies here from last time." in "\n".join(at.lines)
            assert all(word in "\n".join(at.lines) for word in ("1 go on with it", "2 drop it", "q leave"))
            assert by_hand.to_be_offered(at.screen.hand) is None
            await at.press("1")
            assert at.screen.hand.laid == other
            assert by_hand.to_be_offered(at.screen.hand) is True
            await at.press("u")
            assert at.screen.hand.laid == kept.laid
            assert by_hand.to_be_offered(at.screen.hand) is False

    asyncio.run(play())


def test_a_bug_ends_the_screen_and_is_raised():
    """What goes wrong with us is not swallowed."""

    async def play():
        async with Hands(hand_of()) as at:
            at.screen.marks = None
            await at.press("m")
            with pytest.raises(AttributeError):
                await asyncio.wait_for(at.task, 2)

    asyncio.run(play())


def test_a_bug_while_the_cloth_is_reckoned_is_raised_too():
    """Beside the keys, in a thread of its own: no traceback over the screen, the command ends and reports it."""

    def reckons(_hand):
        raise ZeroDivisionError

    async def play():
        async with Hands(hand_of(), reckons=reckons) as at:
            with pytest.raises(ZeroDivisionError):
                await asyncio.wait_for(at.task, 5)
            assert "Traceback" not in at.sink.raw

    asyncio.run(play())


def test_the_cloth_is_reckoned_once_for_the_same_squares(monkeypatch):
    """A panel that is mirrored takes no other cloth; another print does."""
    monkeypatch.setattr("guide.show.screen.by_hand.QUIET_S", 0.03)
    asked = []

    def reckons(hand):
        asked.append(by_hand.taken(hand))
        return f"To buy: number {len(asked)}"

    async def play():
        async with Hands(hand_of(), reckons=reckons) as at:
            await asyncio.sleep(0.2)
            for keys in ("m", "A"):
                await at.press(keys)
                await asyncio.sleep(0.2)
            await at.press("\x1b[C" + "A")
            await asyncio.sleep(0.2)
            assert "To buy: number 2" in "\n".join(at.lines)
            assert len(asked) == 2

    asyncio.run(play())


def test_prints_stand_on_their_own_colours_where_the_terminal_has_them():
    """[source] ECMA-48 with ISO 8613-6: 48;2;R;G;B is a background; 0x7a8b6c is 122, 139, 108. Letters stay."""
    hand = hand_of()
    prints = tuple(replace(one, colour="#7a8b6c") for one in hand.project.prints)
    hand = replace(hand, project=replace(hand.project, prints=prints))

    async def play(true):
        async with Hands(hand, true=true) as at:
            assert "A" in at.lines[3]
            return "48;2;122;139;108" in at.sink.raw

    assert asyncio.run(play(True)) is True
    assert asyncio.run(play(False)) is False
