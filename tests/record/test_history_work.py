"""What history costs: the laps of a session are gone through once, however many ways they are added up."""

import sys
from collections import Counter
from functools import partial
from types import FrameType

from guide.record.fold import fold
from guide.record.history import history
from guide.record.journal import read_journal
from guide.record.sessions import sessions_below
from tests.record.session import Session
from tests.record.test_sessions import write

LAPS = 120


def calls(work) -> int:
    """Count the Python functions called: the same on every machine, where seconds are not."""
    counts: Counter[str] = Counter()

    def called(_frame: FrameType, event: str, _arg: object) -> None:
        counts[event] += 1

    before = sys.getprofile()
    sys.setprofile(called)
    try:
        work()
    finally:
        sys.setprofile(before)
    return counts["call"]


def written(tmp_path, sessions: int) -> list:
    for number in range(1, sessions + 1):
        s = Session(day=number)  # each a day later: nobody works at two at once
        s.start()
        for _ in range(LAPS):
            s.run(60).piece()
        write(tmp_path / "a" / f"2026-03-{number:02d}.jsonl", s)
    return list(sessions_below(tmp_path))


def test_adding_up_takes_a_few_calls_a_lap_beside_reading_and_folding(tmp_path):
    """Two additions (step and day) and the days of its ends: at most six calls a lap, where there were once thirty."""
    (path,) = written(tmp_path, 1)
    folding = calls(lambda: list(fold(read_journal(path).events).worked()))
    whole = calls(lambda: history([path], modes=("practice",)))
    assert LAPS < whole - folding < 6 * LAPS + 100


def test_what_history_costs_grows_with_the_sessions_and_no_faster(tmp_path):
    """[identity] eight sessions alike cost eight times one, but for what is done once."""
    paths = written(tmp_path, 8)
    one, eight = (calls(partial(history, some, modes=("practice",))) for some in (paths[:1], paths))
    assert 7 * one < eight < 8.2 * one
