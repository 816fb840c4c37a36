"""The terminal's answer about its ground: what it dyes, and that it is never a key."""

import asyncio

import pytest
from prompt_toolkit.input.vt100_parser import Vt100Parser

from guide.follow.model import Desk
from guide.show.screen.window import Answers
from tests.fakes import FakeClock
from tests.terminal.rig import Rig
from tests.terminal.runner import session_in

NO_GUARD = Desk(guard_ms=0)
ANSWER = "\x1b]11;rgb:fdfd/f6f6/e3e3\x1b\\"


@pytest.mark.parametrize("late", [False, True])
def test_the_terminals_answer_is_never_a_key(late):
    """Cut anywhere, all at once or with a pause between that makes an escape a key: nothing else is pressed by it."""
    for cut in range(len(ANSWER)):
        pressed, told = [], []
        parser = Vt100Parser(lambda key: pressed.append(key.data))  # noqa: B023 - used up in this turn
        answers = Answers(parser, told.append)
        for part in (ANSWER[:cut], ANSWER[cut:]):
            answers.feed(part)
            if late:
                answers.flush()
        assert told == ["rgb:fdfd/f6f6/e3e3"]
        assert pressed == (["\x1b"] if late and cut == 1 else [])
        answers.feed("7]1\x1b[A")
        assert pressed[-4:] == ["7", "]", "1", "\x1b[A"]


def test_the_screen_is_dyed_when_the_answer_comes(tmp_path):
    """It is asked once, waits for nothing, and its colours change with the answer."""

    async def play():
        async with Rig(session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)) as rig:
            assert rig.sink.raw.count("\x1b]11;?") == 1
            await rig.press(" ")
            assert "38;2;" not in rig.sink.raw
            await rig.press(ANSWER)
            assert rig.screen.window.ground == "light"
            assert rig.shown.record.doing == "working"
            assert "38;" in rig.sink.raw

    asyncio.run(play())


def test_the_ground_that_is_said_is_not_asked_for(tmp_path):
    """With --light or --dark nothing is asked."""

    async def play():
        async with Rig(session_in(tmp_path / "j.jsonl", FakeClock()), ground="dark") as rig:
            assert "\x1b]11" not in rig.sink.raw

    asyncio.run(play())
