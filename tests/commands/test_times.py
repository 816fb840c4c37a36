"""The maker's own times, as commands gather them from the sessions beside a project."""

import gc

from guide.commands import times
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
