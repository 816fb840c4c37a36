"""The maker's own times, as commands gather them from the sessions beside a project."""

import gc

import pytest
from msgspec.structs import replace

from guide.commands import times
from guide.commands.paces import paces_lines
from guide.money.model import Pace
from guide.money.paces import NONE
from guide.record.fold import fold
from guide.record.model import Record
from tests.record.test_sessions import making, write


def test_all_sessions_are_read_one_at_a_time(tmp_path, monkeypatch):
    """While one is folded, no more than the one before is still there; each is folded once."""
    for day in range(1, 7):
        write(tmp_path / "a" / f"2026-03-{day:02d}.jsonl", making("A", closed=True))
    held = []

    def folded(events):
        held.append(sum(type(one) is Record for one in gc.get_objects()))
        return fold(events)

    gc.collect()
    monkeypatch.setattr(times, "fold", folded)
    before = sum(type(one) is Record for one in gc.get_objects())
    assert times.paces_of_all(tmp_path).steps["cut/squares"].pieces == 6 * 4
    assert len(held) == 6
    assert max(held) - before <= 1


@pytest.mark.parametrize(
    ("effort_s", "noun", "end"), [(120.0, "metre", "2:00 a metre"), (None, "metre", ""), (120.0, "", "")]
)
def test_a_pace_by_what_it_takes_is_told_where_both_are_known(effort_s, noun, end):
    """[identity] 120 s are 2:00; without a length of a seam there is no pace by the metre."""
    pace = Pace("join/rows", "Join", 60.0, 50.0, 70.0, None, effort_s, noun, 3, 1, 0, 0.0, None, 0.0, 0.0, 0.0, 0.0)
    told = next(line for line in paces_lines(replace(NONE, steps={pace.step: pace})) if "Join" in line)
    assert told.endswith(end)
    assert (" a " in told) == bool(end)
