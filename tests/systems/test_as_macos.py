"""What guide/system.py does where macOS has its own way; run by `python -m tests.systems`."""

import os
import time
from itertools import pairwise

import pytest

from guide import system
from guide.record.journal import Journal, shared_drive
from guide.show.pages.write import write_page
from tests.fakes import FakeClock
from tests.systems import WANTED

pytestmark = pytest.mark.skipif(os.environ.get(WANTED) != "macos", reason="run by python -m tests.systems")


def test_it_is_the_stand_in():
    """Else all the others would say nothing."""
    assert (system.NAME, hasattr(time, "CLOCK_BOOTTIME"), hasattr(time, "CLOCK_UPTIME_RAW")) == ("macos", False, True)


def test_a_record_and_a_page_are_synced_in_full(tmp_path):
    """A journal made: file and folder; a record: one; a page and its folder: two."""
    from tests.systems.macos import ASKED

    counts = [ASKED["in full"]]
    journal = Journal.create(tmp_path / "a.jsonl")
    counts.append(ASKED["in full"])
    journal.append({"what": "opened", "format": 1}, FakeClock().read())
    journal.close()
    counts.append(ASKED["in full"])
    write_page(tmp_path / "log.html", "page")
    counts.append(ASKED["in full"])
    assert [b - a for a, b in pairwise(counts)] == [2, 1, 2]


def test_a_drive_that_cannot_be_asked_is_synced_plainly(tmp_path, monkeypatch):
    """Some can only the plain one; every other refusal counts as one."""
    from tests.systems import macos

    asked = []
    monkeypatch.setattr(macos, "NO_FULL_SYNC", {tmp_path.stat().st_dev})
    monkeypatch.setattr(system.os, "fsync", asked.append)
    with (tmp_path / "a").open("wb") as file:
        system.sync(file.fileno())
        assert asked == [file.fileno()]


def test_the_clocks_and_the_boot_are_its_own(monkeypatch):
    """The clock that stops in sleep first, then the one that does not; the start has a name."""
    monkeypatch.setattr(
        time, "clock_gettime_ns", {time.CLOCK_UPTIME_RAW: 5_000_000, time.CLOCK_MONOTONIC_RAW: 7_000_000}.get
    )
    assert system.steady_ms() == (5, 7)
    assert system.boot() == "6B29FC40-CA47-1067-B31D-00DD010662DA"


MOUNT = """\
/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)
/dev/disk3s5 on /System/Volumes/Data (apfs, local, journaled, nobrowse)
//maker@host/shop on /Volumes/shop on the corner (smbfs, nodev, nosuid, mounted by maker)
/dev/disk5s1 on /Volumes/STICK (exfat, local, nodev, nosuid)
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/Users/maker/x", None),
        ("/Volumes/shop on the corner/x", "smbfs"),
        ("/Volumes/shop/x", None),
        ("/Volumes/STICK/x", None),
    ],
)
def test_a_drive_on_the_network_is_known(monkeypatch, path, kind):
    """By what `mount` says [memory: its layout]."""
    monkeypatch.setattr(system, "_told_by", lambda program: MOUNT if program == "/sbin/mount" else "")
    assert shared_drive(path) == kind


def test_the_makers_folder_is_where_macos_has_it():
    """[memory: the Library's Application Support]"""
    assert system.data_folder({"XDG_DATA_HOME": "/x"}) == "~/Library/Application Support/fraywork"
