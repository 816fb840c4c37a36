"""The board of a class at work: what is pressed is kept, what is done or begun stays, the rest is placed anew."""

import io
import os
import random

from guide.record.clock import stamp
from guide.record.journal import Journal, read_journal
from guide.record.model import Event
from guide.record.sessions import journals
from guide.teach.board import (
    after,
    board_of,
    ends_at,
    milestones,
    next_milestone,
    reached,
    replanned,
    speaks,
    undoable,
)
from guide.teach.model import Hours, Sitting, Task
from guide.teach.plan import Planner
from tests.teach.classes import course


def as_it_stands(first, events, now):
    """The plan placed anew after every record, and now, as the board does."""
    return replanned(after(first, events), board_of(events), now)


START = 1_772_357_400_000  # 2026-03-01T09:30:00Z [identity: 20,513 days and 9.5 h after 1970]
KEYS = 3000 if os.environ.get("FRAYWORK_FULL") == "1" else 120


def cushion():
    """Two seats at one machine, in stages that have milestones."""
    of = course(2, hours=Hours((Sitting(0.0, 3 * 3600.0),)), stations={"machine": 1})
    work = [
        Task("quilt/cross", "Sew the cross", 10, 60.0, "machine"),
        Task("join/rows", "Sew rows", 10, 60.0, "machine", (0,)),
        Task("snip/rows", "Snip the rows", 10, 60.0, "table", (1,)),
        Task("closure/back_rows", "Sew the back", 5, 60.0, "machine"),
        Task("assemble/outer", "Sew the outer seam", 10, 60.0, "machine", (2, 3)),
    ]
    return Planner(of, [work, work], tries=20).planned()


def events(*pressed):
    """A board's journal: (s, what, members) one after another."""
    made = [("opened", 0.0, {"mode": "board", "title": "An invented class"}), *pressed]
    return [
        Event(n, stamp(START + round(at * 1000)), 0, round(at * 1000), round(at * 1000), "a", what, **more)
        for n, (what, at, more) in enumerate(made, 1)
    ]


def test_milestones_are_what_a_tutor_sees_from_across_the_room():
    """The end of each stage, and the back before it is shut."""
    assert [one.name for one in milestones(cushion().works[0])] == [
        "quilted",
        "joined",
        "snipped",
        "back made",
        "closed",
    ]


def test_a_milestone_says_that_all_before_it_is_done():
    """Snipped: quilted and joined too, by then; what is left begins no earlier than now."""
    first = cushion()
    now = 1500.0
    found = replanned(first, board_of(events(("step_done", now, {"make": 1, "name": "snipped"}))), now)
    mine = {op.of[0]: i for i, op in enumerate(found.room.ops) if op.seat == 0}
    assert all(found.schedule.ends[mine[n]] <= now for n in (0, 1, 2))
    assert found.schedule.starts[mine[4]] >= now


def test_what_is_done_or_begun_never_moves():
    """Whatever is pressed when, an operation that began before now begins when it did, or has not begun."""
    first = cushion()
    rng = random.Random(3)
    for _ in range(40):
        now = float(rng.randrange(0, 9000))
        pressed = [("step_done", now * rng.random(), {"make": 1 + rng.randrange(2), "name": "quilted"})]
        found = replanned(first, board_of(events(*pressed)), now)
        for i, start in enumerate(found.schedule.starts):
            assert start == first.schedule.starts[i] or start >= now
        again = replanned(found, board_of(events(*pressed)), now)
        assert again.schedule.starts == found.schedule.starts  # asked twice, it says the same


def test_the_same_journal_gives_the_same_plan_and_undo_takes_back():
    """Pressed and taken back is as if it had not been pressed, but for the time that went by."""
    first = cushion()
    told = events(("step_done", 600.0, {"make": 2, "name": "quilted"}), ("voided", 660.0, {"of": 2}))
    assert board_of(told).reached == {}
    assert undoable(told) is None
    assert as_it_stands(first, told, 700.0).schedule == as_it_stands(first, told, 700.0).schedule
    assert next_milestone(first, board_of(told), 2).name in {"quilted", "back made"}


def test_whoever_comes_back_has_their_work_again():
    """Gone home and taken back: all that was left for seat 1 is placed again, and takes what it takes."""
    first = cushion()
    told = events(("step_skipped", 60.0, {"make": 1, "why": "gone home"}), ("voided", 120.0, {"of": 2}))
    found = as_it_stands(first, told, 130.0)
    for i, op in enumerate(found.room.ops):
        spent = found.schedule.ends[i] - found.schedule.starts[i]
        assert spent >= op.work_s, i
    assert found.schedule.end <= first.schedule.end + 600.0


def test_a_milestone_pressed_carries_those_it_stands_on():
    """Snipped says quilted and joined too: neither is asked for again; the back made is another way, and is."""
    first = cushion()
    board = board_of(events(("step_done", 1500.0, {"make": 1, "name": "snipped"})))
    assert reached(first, board, 1) == {"quilted", "joined", "snipped"}
    assert next_milestone(first, board, 1).name == "back made"
    assert reached(first, board, 2) == set()


def test_nobody_waits_for_who_comes_late():
    """Seat 1 an hour late: seat 2 has the machine meanwhile, and is ready after its own 45 minutes. [identity]"""
    first = cushion()
    board = board_of(events(("interrupted", 0.0, {"make": 1, "ms": 3_600_000})))
    found = replanned(first, board, 0.0)
    mine = [end for op, end in zip(found.room.ops, found.schedule.ends, strict=True) if op.seat == 1]
    assert max(mine) == 45 * 60


def test_who_has_gone_home_leaves_the_machine_to_the_others():
    """Seat 1 leaves at once: seat 2 has the machine to itself and is ready after its own 45 minutes."""
    first = cushion()
    board = board_of(events(("step_skipped", 0.0, {"make": 1, "why": "gone home"})))
    found = replanned(first, board, 0.0)
    mine = [end for op, end in zip(found.room.ops, found.schedule.ends, strict=True) if op.seat == 1]
    assert max(mine) == 45 * 60  # [identity: 10 + 10 + 10 + 5 + 10 min, one after another]
    assert not any("seat 1" in line for line in speaks(found, board, 0.0, 10_800.0))


def test_only_long_waits_and_who_will_not_be_ready_are_spoken_of():
    """An hour late with everything, a seat will not be ready in an hour more."""
    first = cushion()
    board = board_of(events(("interrupted", 0.0, {"make": 2, "ms": 3_600_000})))
    found = replanned(first, board, 0.0)
    lines = speaks(found, board, 0.0, 3600.0)
    assert any(line.startswith("seat 2 waits 60 min") for line in lines)
    assert any(line.startswith("seat 2 will not be ready") for line in lines)


def test_who_will_not_be_ready_stands_in_one_line():
    """25 minutes for two cushions of 45 min each: one line for both, with how far each gets."""
    first = cushion()
    told = speaks(first, board_of([]), 0.0, 1500.0)
    (line,) = (one for one in told if "be ready" in one)
    assert line.startswith("nobody will be ready")
    for seat in (1, 2):
        there = [one for one in milestones(first.works[0]) if ends_at(first, seat, one) <= 1500.0]
        far = max(there, key=lambda one: ends_at(first, seat, one)).name if there else "no milestone"
        assert f"seat {seat} {far}" in line
    gone = board_of(events(("step_skipped", 0.0, {"make": 1, "why": "gone home"})))
    (line,) = (one for one in speaks(replanned(first, gone, 0.0), gone, 0.0, 1500.0) if "be ready" in one)
    assert line.startswith("seat 2 will not be ready: ")


def test_a_board_is_no_session(tmp_path):
    """Its file is never taken for a session's, so it teaches no pace and stands in no history."""
    Journal.create(tmp_path / "board-2026-03-01.jsonl").close()
    assert journals(tmp_path) == []


NEW = ["class", "new", "Two cushions", "--seats", "2", "--machines", "1"]


def test_the_board_is_kept_whatever_is_pressed(workshop, guide, monkeypatch):
    """Random keys: nothing is lost, the journal stays whole, and it is taken up where it was."""
    assert guide(*NEW).code == 0
    rng = random.Random(11)
    keys = ["1", "2", "1", "2", "u", "p", "", "3", "x", "late 1 20", "home 9", "1 quilted", "2 flown", "?", "late 2"]
    board = None
    for _ in range(3):
        typed = "\n".join(rng.choice(keys) for _ in range(KEYS // 3))
        monkeypatch.setattr("sys.stdin", io.StringIO(f"{typed}\nq\n"))
        done = guide("class", "follow")
        assert done.code == 0, done.err
        (path,) = (workshop / "sessions" / "two-cushions").glob("board-*.jsonl") if board is None else (board,)
        board = path
        found = read_journal(path)
        assert found.damage is None
    assert "Going on with" in done.err
    assert len(board_of(found.events).reached) <= 2
    assert all("seat" not in event.title for event in found.events[1:])
