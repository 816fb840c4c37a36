"""A pedal on the screen: whatever it sends is the big key, and never letters in a text."""

import asyncio

import pytest
from msgspec.structs import replace

from guide.errors import WrongUse
from guide.follow.counting import measured_or_done
from guide.follow.model import Ask, Desk
from guide.show.screen.app import Screen
from tests.fakes import FakeClock
from tests.terminal.rig import Rig
from tests.terminal.runner import session_in

NO_GUARD = Desk(guard_ms=0)


@pytest.mark.parametrize(("pedal", "sent"), [("f13", "\x1b[25~"), ("b", "b")])
def test_a_pedal_is_not_stuck_behind_the_size_a_step_ends_with(tmp_path, pedal, sent):
    """Nothing is typed there: the foot goes on, and no size is written. [practice]"""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)
        async with Rig(session, pedal=pedal) as rig:
            await rig.press(sent)
            question = Ask(
                "measure_done",
                "measure",
                "Panel width",
                measured_or_done,
                name="panel_width",
                nudged_mm=500.0,
                data={"count": 1},
                optional=True,
            )
            session.desk = replace(session.desk, ask=question)
            await rig.press(sent)
            assert session.desk.ask is None
            assert not session.record.measures

    asyncio.run(play())


@pytest.mark.parametrize(("pedal", "sent"), [("f13", "\x1b[25~"), ("pagedown", "\x1b[6~"), ("b", "b"), ("c-b", "\x02")])
def test_a_pedal_is_the_big_key(tmp_path, pedal, sent):
    """Whatever key a pedal sends does the next thing; a letter stays a letter while a note is typed."""

    async def play():
        session = session_in(tmp_path / "j.jsonl", FakeClock(), NO_GUARD)
        async with Rig(session, pedal=pedal) as rig:
            await rig.press(sent)
            assert session.record.current == "cut/press"
            await rig.press("n")
            await rig.press(sent)
            assert session.desk.ask.typed == ("b" if pedal == "b" else "")

    asyncio.run(play())


def test_a_pedal_key_that_is_none_is_refused(tmp_path):
    """`--pedal foot` says what to write instead, before the screen opens."""
    session = session_in(tmp_path / "j.jsonl", FakeClock())
    with pytest.raises(WrongUse, match="f13"):
        Screen(session, pedal="foot")
