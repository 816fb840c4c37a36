"""The screen as an application in this process: keys in, a terminal's text out, a real journal beneath."""

import asyncio
import os
import random

import pytest

from guide.follow.keys import TABLE
from guide.follow.model import Desk
from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import FakeClock
from tests.terminal.rig import KEYS, Rig
from tests.terminal.runner import session_in

FULL = bool(os.environ.get("FRAYWORK_FULL"))
NO_GUARD = Desk(guard_ms=0)


def told(record):
    """What a record says, as text to compare."""
    return repr({name: getattr(record, name) for name in record.__struct_fields__ if name != "header"})


def test_space_starts_counts_and_finishes(tmp_path):
    """One key does the next thing; each press is one record, and the screen shows what the journal holds."""

    async def play():
        clock = FakeClock()
        session = session_in(tmp_path / "j.jsonl", clock)
        async with Rig(session) as rig:
            assert "Press and straighten the cloth" in rig.text
            await rig.press(" ")
            clock.run(60)
            await rig.press(" ")
            assert "Press and straighten the cloth ●" in rig.text
            clock.run(1)
            await rig.press(" ")
            assert "0 of 7 strips" in rig.text
            clock.run(40)
            await rig.press(" ")
            assert "1 of 7 strips" in rig.text
            clock.run(40)
            await rig.press("4")
            assert "4  then space" in rig.text
            await rig.press(" ")
            assert "5 of 7 strips" in rig.text
            await rig.press("u")
            assert "1 of 7 strips" in rig.text
            await rig.press("q")
            await asyncio.wait_for(rig.task, 2)
            assert rig.task.result() == 0
        whats = [event.what for event in read_journal(tmp_path / "j.jsonl").events]
        assert whats == [
            "opened", "step_started", "step_done", "step_started", "piece_done", "piece_done", "voided", "paused",
        ]  # fmt: skip

    asyncio.run(play())


def test_two_presses_within_four_tenths_of_a_second_are_one(tmp_path):
    """A bounce of the pedal or a sleeve counts nothing."""

    async def play():
        clock = FakeClock()
        session = session_in(tmp_path / "j.jsonl", clock)
        async with Rig(session) as rig:
            await rig.press("   ")
            assert session.record.count == 2
            clock.run(0.5)
            await rig.press(" ")
            assert session.record.count == 3

    asyncio.run(play())


def test_the_cursor_sits_on_the_needle_and_in_what_is_typed(tmp_path):
    """A screen magnifier that follows the cursor sees the current item."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)
        async with Rig(session) as rig:
            await rig.press("   ")
            x, y = rig.cursor
            assert rig.lines[y][x] == "⟩"
            await rig.press("n")
            await rig.press("oat")
            x, y = rig.cursor
            assert rig.lines[y][x - 1] == "t"

    asyncio.run(play())


def test_escape_answers_within_a_twentieth_of_a_second(tmp_path):
    """Escape does not wait to see whether it is the beginning of an arrow key for longer than 50 ms."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        async with Rig(session) as rig:
            assert rig.app.ttimeoutlen == 0.05
            await rig.press("n")
            assert session.desk.ask is not None
            rig.input.send_text("\x1b")
            await asyncio.sleep(0.25)
            assert session.desk.ask is None

    asyncio.run(play())


def test_pasted_text_is_a_note_and_never_a_row_of_keys(tmp_path):
    """A paste into a note is its text, in one line; a paste onto a step does nothing at all."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        async with Rig(session) as rig:
            await rig.press("\x1b[200~qq  \x1b[201~")
            assert session.record.count == 1
            assert not session.left
            await rig.press("n")
            await rig.press("\x1b[200~frays\nfast\x07\x1b[201~")
            assert session.desk.ask.typed == "frays fast"

    asyncio.run(play())


def test_an_emoji_of_several_characters_stays_together_on_the_screen(tmp_path):
    """Typed or pasted, woman, joiner and spool of thread are kept as sent [source: Unicode Standard, 23.2]."""
    spool = "\U0001f469\u200d\U0001f9f5"

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        async with Rig(session) as rig:
            await rig.press("n")
            await rig.press(spool)
            await rig.press(f"\x1b[200~ {spool}\x1b[201~")
            assert session.desk.ask.typed == f"{spool}{spool}"

    asyncio.run(play())


def test_a_disk_that_takes_nothing_is_said_and_the_press_is_kept(tmp_path, monkeypatch):
    """No space left: the screen says so and shows nothing unsaved; mended, the same press is written."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)
        async with Rig(session) as rig:
            real = os.write

            def full(fd, data):
                if b'"what"' in data:
                    raise OSError(28, "No space left on device")
                return real(fd, data)

            with monkeypatch.context() as broken:
                broken.setattr(os, "write", full)
                await rig.press(" ")
            assert "Not written" in rig.text
            assert "step 1 of 22" not in rig.text
            assert session.record.current is None
            await rig.press("r")
            assert "step 1 of 22" in rig.text
            assert read_journal(tmp_path / "j.jsonl").events[-1].what == "step_started"

    asyncio.run(play())


def test_a_bug_of_ours_ends_the_screen_and_reaches_the_caller(tmp_path, capfd):
    """No traceback over the screen, no wait for Enter: the application ends and the caller has the exception."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        async with Rig(session) as rig:

            def broken(_key):
                raise ZeroDivisionError("ours")

            session.press = broken
            await rig.press(" ")
            with pytest.raises(ZeroDivisionError):
                await asyncio.wait_for(rig.task, 2)
            assert "Traceback" not in rig.sink.raw
            assert "ENTER" not in rig.sink.raw

    asyncio.run(play())
    assert "Traceback" not in "".join(capfd.readouterr())


def test_a_bug_while_drawing_ends_the_screen_too(tmp_path):
    """The same when it is a view that breaks."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        async with Rig(session) as rig:
            rig.screen.marks = None
            rig.app.invalidate()
            await rig.settle()
            with pytest.raises(AttributeError):
                await asyncio.wait_for(rig.task, 2)
            assert "Traceback" not in rig.sink.raw

    asyncio.run(play())


def test_nothing_is_drawn_when_nothing_changes(tmp_path):
    """A tick on a card without a clock draws nothing; on a step whose seconds run it draws."""

    async def play():
        clock = FakeClock()
        session = session_in(tmp_path / "j.jsonl", clock)
        async with Rig(session) as rig:
            before = rig.app.render_counter
            for _ in range(5):
                rig.screen.tick()
                await rig.settle()
            assert rig.app.render_counter == before
            await rig.press(" ")
            before = rig.app.render_counter
            clock.run(1)
            rig.screen.tick()
            await rig.settle()
            assert rig.app.render_counter == before + 1
            assert "so far 0:01" in rig.text

    asyncio.run(play())


def test_a_beginner_is_told_when_to_rest(tmp_path):
    """Five pieces of ten minutes at one station: take a break, said until the next piece. [practice]"""

    async def play():
        clock = FakeClock()
        session = session_in(tmp_path / "j.jsonl", clock, Desk(guard_ms=0, beginner=True))
        async with Rig(session) as rig:
            rig.screen.tick = lambda: None
            while session.record.current != "cut/strips":
                await rig.press("a" if session.record.current else " ")
            for minutes in (10, 20, 30, 40):
                clock.run(600)
                await rig.press(" ")
                assert "take ten minutes off" not in rig.text, minutes
            clock.run(600)
            await rig.press(" ")
            assert "Fifty minutes at the machine: take ten minutes off" in rig.text
            clock.run(60)
            await rig.press(" ")
            assert "take ten minutes off" not in rig.text

    asyncio.run(play())


def test_a_wait_that_is_over_rings_once(tmp_path):
    """The bell rings when a wait ends, and not again."""

    async def play():
        clock = FakeClock()
        session = session_in(tmp_path / "j.jsonl", clock, NO_GUARD)
        async with Rig(session) as rig:
            for _ in range(60):
                if session.record.waits:
                    break
                await rig.press("a" if session.record.current else " ")
                clock.run(1)
            assert session.record.waits
            assert "Spray and centre the wadding" in rig.text
            rig.screen.tick()
            await rig.settle()
            assert "\x07" not in rig.sink.raw
            clock.run(901)
            rig.screen.tick()
            rig.screen.tick()
            await rig.settle()
            assert rig.sink.raw.count("\x07") == 1
            assert "● Spray and centre the wadding: done" in rig.text

    asyncio.run(play())


def test_a_long_card_is_read_with_the_arrows(tmp_path):
    """At 40 by 12 the whole of why is there, a screenful further down; the step's text is never out of reach."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)
        async with Rig(session, 40, 12) as rig:
            for _ in range(200):
                if session.record.current == "quilt/cross":
                    break
                await rig.press("3" if session.desk.ask else "a" if session.record.current else " ")
            await rig.press("w")
            assert "down for more" in rig.text
            seen = rig.text
            for _ in range(4):
                await rig.press("\x1b[B")
                seen += rig.text
            assert "Look at the line ahead" in seen
            await rig.press("w")
            assert "0 of 12" in rig.text

    asyncio.run(play())


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40)])
def test_every_key_of_the_table_is_bound(tmp_path, size):
    """Each key of the one table reaches the session as its own word."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock())
        pressed = []
        session.press = pressed.append
        async with Rig(session, *size) as rig:
            for key in TABLE:
                await rig.press({"space": " ", "0-9": "7"}.get(key.letter, key.letter))
        assert pressed == [{"0-9": "7"}.get(key.letter, key.letter) for key in TABLE]

    asyncio.run(play())


@pytest.mark.parametrize("seed", range(2 if not FULL else 5))
def test_a_random_walk_never_crashes_and_shows_only_what_is_saved(tmp_path, seed):
    """Keys at random over whole sessions: every screen is drawn, and the record is the fold of the file."""

    async def play():
        rng = random.Random(seed)
        clock = FakeClock()
        path = tmp_path / "j.jsonl"
        session = session_in(path, clock, NO_GUARD)
        presses = 1000 if FULL else 500
        sizes = [(80, 24), (40, 12), (120, 40), (30, 8), (1, 1), (61, 19)]
        sittings = 0
        while presses > 0:
            async with Rig(session, *sizes[sittings % 3]) as rig:
                while presses > 0 and not rig.task.done():
                    presses -= 1
                    clock.run(rng.choice([0.1, 1, 5, 40, 400]))
                    if rng.random() < 0.01:
                        clock.suspend(rng.choice([30, 4000]))
                    if rng.random() < 0.02:
                        await rig.resize(*rng.choice(sizes))
                    rig.input.send_text(rng.choice(KEYS))
                    for _ in range(4):
                        await asyncio.sleep(0)
                    if presses % 50 == 0:
                        await rig.settle()
                        assert "Traceback" not in rig.sink.raw
                        assert told(session.record) == told(fold(read_journal(path).events))
                await rig.settle()
                if rig.task.done():
                    assert rig.task.result() == 0
            session.journal.close()
            assert told(session.record) == told(fold(read_journal(path).events))
            sittings += 1
            if session.record.closed:
                path = tmp_path / f"j{sittings}.jsonl"
            clock.run(60)
            session = session_in(path, clock, NO_GUARD)
        assert sittings > 1

    asyncio.run(play())
