"""Readers have the writers' rule: a journal is an ordinary file of a stated size at most; anything else is told."""

import os
from pathlib import Path

import pytest

from guide.errors import CannotWrite, NeedsMending
from guide.record import journal as journal_module
from guide.record.journal import MOST_BYTES, Journal, read_journal
from tests.commands.worked import worked
from tests.fakes import FakeClock
from tests.record.keeping import kept, noted

DEMO = "sessions/window-seat-cushion"


def endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


def link(path: Path) -> None:
    path.symlink_to(path.with_name("2026-03-01.jsonl").resolve())


def pipe(path: Path) -> None:
    os.mkfifo(path)


def folder(path: Path) -> None:
    path.mkdir()


def huge(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)  # all holes: no disk is filled


ODD = {
    endless: "a link, and a journal must be an ordinary file",
    link: "a link, and a journal must be an ordinary file",
    pipe: "not an ordinary file",
    folder: "a folder",
    huge: "over 64 MiB",
}


@pytest.mark.parametrize("make", ODD)
def test_no_reader_takes_an_odd_file_for_a_journal(workshop, make):
    """Nor waits for it, nor fills the memory with it; the writers refuse it with the same words."""
    worked(DEMO, 0, lambda step: 60.0)
    odd = Path(DEMO) / "2026-03-02.jsonl"
    make(odd)
    with pytest.raises(NeedsMending, match=ODD[make]):
        read_journal(odd)
    with pytest.raises(CannotWrite, match=ODD[make]):
        Journal.open(odd, FakeClock().read())


@pytest.mark.parametrize("make", [endless, link, huge])
def test_check_says_what_is_odd(guide, make):
    """Exit 2, one sentence."""
    worked(DEMO, 0, lambda step: 60.0)
    odd = Path(DEMO) / "2026-03-02.jsonl"
    make(odd)
    said = guide("check", str(odd))
    assert (said.code, said.out) == (2, "")
    assert said.err.count("\n") == 1
    assert ODD[make] in said.err


@pytest.mark.parametrize("make", [link, huge])
def test_an_odd_file_does_not_stop_the_others(guide, make):
    """History, export, paces and plan read what else there is; exit 2 where sessions are what is shown."""
    worked(DEMO, 0, lambda step: 60.0)
    odd = Path(DEMO) / "2026-03-02.jsonl"
    make(odd)
    for argv, code in ((("history",), 2), (("export", "all"), 2), (("paces",), 0), (("plan", DEMO), 0)):
        said = guide(*argv)
        assert said.code == code, argv
        assert said.err.count(ODD[make]) == 1
        assert said.out.strip()


def test_a_journal_does_not_grow_over_what_can_be_read(tmp_path, monkeypatch):
    """The record that would be the last straw is refused and says so; all before it is read."""
    journal = kept(tmp_path / "a.jsonl")
    monkeypatch.setattr(journal_module, "MOST_BYTES", (tmp_path / "a.jsonl").stat().st_size + 200)
    journal.append(noted(4), FakeClock().read())
    with pytest.raises(CannotWrite, match="takes no more records"):
        journal.append(noted(5), FakeClock().read())
    journal.close()
    assert len(read_journal(tmp_path / "a.jsonl").events) == 4
