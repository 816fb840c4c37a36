"""A session that was begun and in which nothing was saved is no session: none is left behind, and none hides another."""

import errno
import io
from pathlib import Path

import pytest

from guide.record.journal import read_journal
from tests.commands.worked import worked
from tests.record.faults import FaultyOs, faulty

DEMO = "sessions/window-seat-cushion"
NOTHING = "holds no record: a session was begun there and nothing was saved"


@pytest.fixture
def real(workshop) -> Path:
    """The demo, worked until its back; and stopped."""
    return worked(DEMO, 0, lambda step: 60.0, until="closure/zip_seam")


@pytest.fixture(params=[b"", b'{"n":1,"at":"2026-03-0', bytes(200)], ids=["empty", "torn", "zeros"])
def blank(real, request) -> Path:
    """A newer journal that holds no record."""
    path = real.with_name("2026-03-05.jsonl")
    path.write_bytes(request.param)
    return path


@pytest.mark.parametrize(
    "argv",
    [
        ("log", DEMO, "--markdown", "-o", "-"),
        ("price", DEMO),
        ("export", "all"),
        ("export", DEMO, "--json"),
        ("history",),
        ("paces",),
        ("plan", "--rest", DEMO),
        ("layout", DEMO),
        ("amend", DEMO),
    ],
)
def test_a_blank_journal_hides_no_session_and_is_told_once(guide, real, blank, argv):
    """The session before it is what is shown; exit 0, and neither file is touched."""
    before = real.read_bytes(), blank.read_bytes()
    said = guide(*argv)
    assert said.code == 0, said.err
    assert said.err.count(blank.name) == 1
    assert (f"{blank.name} {NOTHING}" in said.err) is (before[1] == b"")
    if argv[0] in {"log", "amend"} or "--rest" in argv:
        assert f"Session: {real}" in said.err
    assert (real.read_bytes(), blank.read_bytes()) == before


def test_the_session_before_a_blank_journal_is_taken_up(guide, real, blank, monkeypatch):
    """Following goes on where the work is."""
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    before = blank.read_bytes()
    said = guide("follow", DEMO, "--plain")
    assert said.code == 0
    assert blank.name in said.err
    assert [event.what for event in read_journal(real).events].count("resumed") == 1
    assert blank.read_bytes() == before


def test_a_blank_journal_named_itself_holds_no_session(guide, blank):
    """Exit 2, as for any file that is none."""
    for argv in (("log", str(blank)), ("price", str(blank)), ("check", str(blank))):
        said = guide(*argv)
        assert said.code == 2
        assert blank.name in said.out + said.err


@pytest.mark.parametrize("call", ["write", "fsync"])
@pytest.mark.parametrize("nth", [1, 2])
def test_a_disk_that_takes_no_first_record_leaves_no_journal(guide, real, monkeypatch, call, nth):
    """Full, or broken, at the opening of a session: exit 6, and the folder is as it was."""
    before = sorted(Path(DEMO).iterdir())
    faulty(monkeypatch, FaultyOs(call, nth, errno.ENOSPC, lasting=True, partly=10))
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    said = guide("follow", DEMO, "--plain", "--new")
    if call == "write" and nth == 2:  # the first record was taken: there is a session, and only it is there
        (new,) = set(Path(DEMO).iterdir()) - set(before)
        assert [event.what for event in read_journal(new).events] == ["opened"]
        return
    assert said.code == 6
    assert "cannot be written: the disk is full. Nothing was written." in said.err
    assert sorted(Path(DEMO).iterdir()) == before
