"""P1, P2, P7, P8, P12: what is said to be saved is on the disk [source: strace(1) injects the faults]."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from guide.errors import CannotWrite
from guide.record.journal import Journal, read_journal
from tests.fakes import FakeClock
from tests.record.faults import FULL, WRITER, FaultyOs, acknowledged, faulty, strace, traced

needs_strace = pytest.mark.skipif(strace() is None, reason="no strace that may trace here")
NTH = range(1, 41) if FULL else (1, 2, 3, 5)


@needs_strace
@pytest.mark.parametrize("nth", NTH)
@pytest.mark.parametrize("call", ["write", "fsync", "openat"])
def test_p1_killed_at_any_write_loses_nothing_acknowledged(tmp_path, call, nth):
    """Death at the Nth write, fsync or open: all acknowledged records are there, at most one more."""
    path = tmp_path / "2026-03-01.jsonl"
    out = traced(path, max(NTH) + 1, f"signal=SIGKILL:when={nth}", call)
    said = acknowledged(out.stdout)
    found = read_journal(path).events if path.exists() else []
    assert [event.n for event in found][: len(said)] == said
    assert len(found) <= len(said) + 1
    if call != "openat":
        assert out.returncode != 0, "the writer was not killed: the test would say nothing"


def test_p1_the_line_is_synced_before_the_record_is_given_back(tmp_path, monkeypatch):
    """One write of the whole line, then fsync, then the event: in this order."""
    seen = []

    class Watched:
        def __getattr__(self, name):
            real = getattr(os, name)
            if name not in {"write", "fsync"}:
                return real

            def call(*args):
                seen.append((name, bytes(args[1]) if name == "write" else b""))
                return real(*args)

            return call

    kept = Journal.create(tmp_path / "a.jsonl")
    faulty(monkeypatch, Watched())
    kept.append({"what": "opened", "format": 1}, FakeClock().read())
    assert [name for name, _ in seen] == ["write", "fsync"]
    assert seen[0][1] == (tmp_path / "a.jsonl").read_bytes()
    kept.close()


def test_p2_a_new_session_file_does_not_vanish(tmp_path, monkeypatch):
    """The file and its folder, new ones too, are synced before any work begins."""
    synced = []

    class Watched:
        def __getattr__(self, name):
            if name != "fsync":
                return getattr(os, name)

            def fsync(fd):
                synced.append(os.path.realpath(f"/proc/self/fd/{fd}"))
                os.fsync(fd)

            return fsync

    if not os.path.isdir("/proc/self/fd"):
        pytest.skip("descriptors have no names here")
    faulty(monkeypatch, Watched())
    path = tmp_path / "window" / "rehearsals" / "2026-03-01.jsonl"
    Journal.create(path).close()
    assert synced == [str(one) for one in (tmp_path, tmp_path / "window", path, path.parent)]


def test_p2_an_existing_file_is_never_made_anew(tmp_path):
    """Creating refuses what is there."""
    path = tmp_path / "2026-03-01.jsonl"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(CannotWrite, match="is there already"):
        Journal.create(path)
    assert path.read_text(encoding="utf-8") == "mine"


def test_p7_a_failed_fsync_closes_the_journal_to_writing(tmp_path, monkeypatch):
    """It is not tried again on the same descriptor; opened anew, it goes on with what was saved."""
    clock = FakeClock()
    kept = Journal.create(tmp_path / "a.jsonl")
    kept.append({"what": "opened", "format": 1}, clock.read())
    faulty(monkeypatch, FaultyOs("fsync", 1, 5, lasting=False))
    for _ in range(3):
        with pytest.raises(CannotWrite, match="not saved, the record before it is safe"):
            kept.append({"what": "noted", "text": "once"}, clock.run(1))
    again = kept.reopened(clock.read())
    again.append({"what": "noted", "text": "once"}, clock.read())
    again.close()
    assert [event.what for event in read_journal(tmp_path / "a.jsonl").events] == ["opened", "noted"]


@needs_strace
def test_p7_with_a_real_fsync_that_fails(tmp_path):
    """The kernel says EIO: the writer stops with a sentence and exit 6, what was acknowledged is there."""
    path = tmp_path / "2026-03-01.jsonl"
    out = traced(path, 5, "error=EIO:when=3", "fsync")
    assert out.returncode == 6
    assert "the disk reports a fault" in out.stdout
    assert [event.n for event in read_journal(path).events] == acknowledged(out.stdout) == [1]


@needs_strace
@pytest.mark.parametrize("call", ["write", "fsync"])
def test_p8_interrupted_calls_are_harmless(tmp_path, call):
    """EINTR is tried again by Python itself [source: PEP 475]."""
    path = tmp_path / "2026-03-01.jsonl"
    out = traced(path, 4, "error=EINTR:when=2", call)
    assert acknowledged(out.stdout) == [1, 2, 3, 4]
    assert [event.n for event in read_journal(path).events] == [1, 2, 3, 4]


@needs_strace
def test_p12_a_slow_disk_loses_nothing(tmp_path):
    """Every fsync takes a quarter of a second longer: all records are there, none is acknowledged early."""
    path = tmp_path / "2026-03-01.jsonl"
    out = traced(path, 3, "delay_exit=250000", "fsync")
    assert acknowledged(out.stdout) == [1, 2, 3]
    assert len(read_journal(path).events) == 3


def test_p1_the_writer_really_writes(tmp_path):
    """Without faults the program of these tests keeps all it says, and goes on where it stopped."""
    path = tmp_path / "2026-03-01.jsonl"
    for expected in ([1, 2, 3], [4, 5]):
        out = subprocess.run(
            [sys.executable, str(WRITER), str(path), str(len(expected))],
            capture_output=True,
            encoding="utf-8",
            check=True,
        )
        assert acknowledged(out.stdout) == expected
    assert len(read_journal(path).events) == 5


def test_a_folder_that_another_program_makes_meanwhile_is_taken(tmp_path, monkeypatch):
    """It was missing when we looked and is there when we make it: no reason to refuse."""
    folder, there = tmp_path / "sessions", Path.exists

    def looked(self):
        if self == folder and not there(self):
            self.mkdir()
            return False
        return there(self)

    monkeypatch.setattr(Path, "exists", looked)
    Journal.create(folder / "2026-03-01.jsonl").close()
    assert there(folder / "2026-03-01.jsonl")
