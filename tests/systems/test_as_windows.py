"""What guide/system.py does where Windows has its own way; run by `python -m tests.systems`."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from guide import system
from guide.errors import CannotWrite, OpenElsewhere
from guide.record.journal import Journal, read_journal
from guide.show.pages.write import write_page
from tests.fakes import FakeClock
from tests.record.faults import WRITER
from tests.systems import WANTED

pytestmark = pytest.mark.skipif(os.environ.get(WANTED) != "windows", reason="run by python -m tests.systems")


def test_it_is_the_stand_in():
    """Else all the others would say nothing."""
    assert (system.NAME, system._fcntl, hasattr(os, "pread"), hasattr(time, "clock_gettime")) == (
        "windows", None, False, False,
    )  # fmt: skip
    assert set(system.STOPPING.values()) == {130, 143}


def test_a_locked_byte_cannot_be_read_so_none_of_the_journal_is_locked(tmp_path):
    """Another process is refused as a writer, and any reader gets all records; a lock at the start would stop him."""
    path = tmp_path / "a.jsonl"
    held = subprocess.Popen(
        [sys.executable, str(WRITER), str(path), "3", "hold"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert any(b"holding" in line for line in iter(held.stdout.readline, b""))
    assert len(read_journal(path).events) == 3
    with pytest.raises(OpenElsewhere):
        Journal.open(path, FakeClock().read())
    held.communicate()
    with Journal_open(path) as journal:
        os.lseek(journal._fd, 0, os.SEEK_SET)
        system._msvcrt.locking(journal._fd, system._msvcrt.LK_NBLCK, 1)
        with pytest.raises(PermissionError):
            os.open(path, os.O_RDONLY)


def test_what_is_let_go_is_free_at_once(tmp_path):
    """`reopened` closes and opens in one breath."""
    with Journal_open(tmp_path / "a.jsonl") as journal:
        journal.reopened(FakeClock().read()).close()


class Journal_open:
    """A journal for the length of a test."""

    def __init__(self, path):
        self.journal = Journal.open(path, FakeClock().read()) if path.exists() else Journal.create(path)

    def __enter__(self):
        return self.journal

    def __exit__(self, *_):
        self.journal.close()


def test_a_page_that_another_program_holds_open_is_left_and_said(tmp_path, monkeypatch):
    """A few tries, a sentence with the mend, and the old page as it was; closed, it is written."""
    monkeypatch.setattr(system, "_PAUSE_S", 0.001)
    page = tmp_path / "log.html"
    page.write_text("old", encoding="utf-8")
    with page.open("rb"), pytest.raises(CannotWrite, match="another program has it open; close it there and try again"):
        write_page(page, "new")
    assert {one.name: one.read_text(encoding="utf-8") for one in tmp_path.iterdir()} == {"log.html": "old"}
    write_page(page, "new")
    assert page.read_text(encoding="utf-8") == "new"


def test_every_file_is_opened_for_its_bytes(tmp_path):
    """Without O_BINARY a line would end with two bytes there, and no checksum or size would hold."""
    from tests.systems.windows import ASKED

    before = dict(ASKED)
    Journal.create(tmp_path / "a.jsonl").close()
    write_page(tmp_path / "log.html", "a\nb\n")
    read_journal(tmp_path / "a.jsonl")
    assert (ASKED["binary"] - before["binary"], ASKED["text"] - before["text"]) == (3, 0)


def test_a_folder_and_a_link_are_said_to_be_one(tmp_path):
    """Windows says of every folder that permission is missing, and has no flag against links."""
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(IsADirectoryError):
        system.open_plain(tmp_path, os.O_RDONLY)
    with pytest.raises(OSError, match="symbolic"):
        system.open_plain(tmp_path / "link", os.O_RDONLY | os.O_CREAT)
    assert not (tmp_path / "real").exists()


def test_the_clocks_are_windows_own(monkeypatch):
    """Awake in 100 ns of uninterrupted time, total in ms since the start; without a name of the boot, clocks tell."""
    library = system._windows()
    monkeypatch.setattr(library, "QueryUnbiasedInterruptTime", lambda into: setattr(into._obj, "value", 25_000_000))
    monkeypatch.setattr(library, "GetTickCount64", Ticking())
    assert system.steady_ms() == (2500, 9000)  # 25,000,000 × 100 ns = 2.5 s [identity]
    assert system.boot() == ""


class Ticking:
    restype = None

    def __call__(self):
        return 9000


def test_drives_on_the_network_are_known():
    """By what Windows says of the letter, or by two backslashes."""
    assert [system._remote(anchor) for anchor in ("N:\\", "C:\\", "\\\\host\\share\\")] == [True, False, True]


def test_the_makers_folder_is_where_windows_has_it():
    """[memory: APPDATA]; a home that is set to no whole path is said."""
    assert system.data_folder({"APPDATA": "D:/Data"}) == "D:/Data/fraywork"
    assert system.data_folder({}) == "~/fraywork"
    assert system.odd_home({"HOME": "here", "USERPROFILE": "/home/x"}) == ""
    assert system.odd_home({"USERPROFILE": "here"}) == "USERPROFILE is no whole path"


def test_lines_are_waited_for_by_a_thread(monkeypatch):
    """A console there cannot be asked whether a line is ready: nothing in time, then the line, then the end."""
    monkeypatch.setattr(system.select, "select", None)
    ours, theirs = os.openpty()
    with open(theirs, encoding="utf-8") as console:
        typed = system.Typed(console)
        assert typed.within(0.01) is None
        os.write(ours, "n ½ wide\n".encode())
        assert typed.within(10) == "n ½ wide\n"
        os.write(ours, b"\x04")
        assert typed.within(10) == ""
    os.close(ours)


def test_a_folder_is_not_synced(tmp_path):
    """It cannot be opened, and nothing is lost by that."""
    system.sync_folder(tmp_path)
    system.sync_folder(Path("not there"))
