"""P5, P6, P9, P10, P11, P15: one writer, and a plain word when the disk or the folder does not take a record."""

import errno
import os
import resource
import signal
import subprocess
import sys

import pytest

from guide.errors import CannotWrite, GuideError, OpenElsewhere
from guide.record import journal as journal_module
from guide.record.drives import shared_drive
from guide.record.journal import Journal, read_journal
from guide.record.lines import encode
from guide.record.sessions import create
from tests.fakes import FakeClock
from tests.record.faults import CODES, FULL, WRITER, FaultyOs, acknowledged

OPENED = {"what": "opened", "format": 1}


def noted(number: int) -> dict:
    return {"what": "noted", "text": f"{number} " + "x" * 30}


def kept(path, count=3) -> Journal:
    clock = FakeClock()
    journal = Journal.create(path)
    journal.append(OPENED, clock.read())
    for number in range(2, count + 1):
        journal.append(noted(number), clock.run(1))
    return journal


def test_p5_a_second_writer_is_refused(tmp_path):
    """In the same program and in another: exit 4, one sentence with the file, the file unchanged."""
    path = tmp_path / "a.jsonl"
    journal = kept(path)
    before = path.read_bytes(), os.stat(path).st_mtime_ns
    with pytest.raises(OpenElsewhere, match=r"a\.jsonl is open in another window") as refused:
        Journal.open(path)
    assert refused.value.exit_code == 4
    out = subprocess.run([sys.executable, str(WRITER), str(path), "1"], capture_output=True, text=True, check=False)
    assert out.returncode == 4
    assert (path.read_bytes(), os.stat(path).st_mtime_ns) == before
    journal.close()
    Journal.open(path).close()


def test_p5_a_killed_writer_leaves_no_lock(tmp_path):
    """The kernel frees it: nobody has to delete anything."""
    path = tmp_path / "a.jsonl"
    child = subprocess.Popen(
        [sys.executable, str(WRITER), str(path), "3", "hold"], stdout=subprocess.PIPE, stdin=subprocess.PIPE, text=True
    )
    for line in child.stdout:
        if line.strip() == "holding":
            break
    with pytest.raises(OpenElsewhere):
        Journal.open(path)
    assert len(read_journal(path).events) == 3, "readers need no lock"
    child.send_signal(signal.SIGKILL)
    child.communicate()
    journal = Journal.open(path)
    assert len(journal.events) == 3
    journal.close()


def use(path, clock) -> tuple[list[bytes], list[GuideError]]:
    """Write four records, trying each twice as a maker would; (lines said to be saved, refusals)."""
    said, refusals = [], []
    journal = None
    for number in range(1, 5):
        for _ in range(2):
            try:
                if journal is None:
                    journal = Journal.open(path, clock.read()) if path.exists() else Journal.create(path)
                journal.append(noted(number) if journal.events else OPENED, clock.run(1))
            except GuideError as bad:
                refusals.append(bad)
                if journal is not None and journal.poisoned:
                    journal.close()
                    journal = None
            else:
                said = [encode(event) for event in journal.events]
                break
    if journal is not None:
        journal.close()
    return said, refusals


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "for ever"])
@pytest.mark.parametrize("call", ["write", "fsync", "open", "ftruncate", "fstat"])
def test_p6_a_call_that_fails_loses_only_its_record(tmp_path, monkeypatch, call, lasting):
    """The Nth write, fsync, open … fails, once or for ever: all that was said to be saved is there, byte for byte."""
    refused = 0
    for code in CODES:
        for nth in range(1, 13 if FULL else 7):
            for partly in (0, 1, 10) if call == "write" else (0,):
                path = tmp_path / f"{code}-{nth}-{partly}.jsonl"
                monkeypatch.setattr(journal_module, "os", FaultyOs(call, nth, code, lasting=lasting, partly=partly))
                said, refusals = use(path, FakeClock())
                monkeypatch.undo()
                refused += len(refusals)
                assert all(bad.exit_code == 6 and str(path) in str(bad) for bad in refusals)
                assert (path.read_bytes() if path.exists() else b"").startswith(b"".join(said)), (code, nth, partly)
                if not lasting:
                    assert len(said) == 4, "tried again, everything is saved"
                if path.exists():
                    journal = Journal.open(path, FakeClock().read())
                    assert [encode(event) for event in journal.events[: len(said)]] == said
                    journal.close()
    assert refused or call == "ftruncate", "no fault was met: the test would say nothing"


def test_p6_when_the_half_line_cannot_be_taken_back_it_is_a_torn_tail(tmp_path, monkeypatch):
    """Two faults at once: nothing more is written here, and the next opening sets the half line aside."""

    class TwoFaults(FaultyOs):
        def ftruncate(self, fd, size):
            raise OSError(errno.EIO, "Input/output error")

    journal = kept(tmp_path / "a.jsonl")
    monkeypatch.setattr(journal_module, "os", TwoFaults("write", 1, errno.ENOSPC, lasting=False, partly=9))
    for says in ("the disk is full", "could not be taken back"):
        with pytest.raises(CannotWrite, match=says):
            journal.append(noted(4), FakeClock().read())
    monkeypatch.undo()
    again = journal.reopened(FakeClock().read())
    assert again.torn.read_bytes() == b'{"n":4,"a'
    assert [event.what for event in again.events] == ["opened", "noted", "noted", "recovered"]
    again.close()


def test_p6_the_record_can_be_saved_elsewhere(tmp_path, monkeypatch):
    """The good part is copied byte for byte, the refused event follows, the old file stays as it was."""
    clock = FakeClock()
    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    monkeypatch.setattr(journal_module, "os", FaultyOs("write", 1, errno.ENOSPC, lasting=False, partly=9))
    with pytest.raises(CannotWrite, match="the disk is full"):
        journal.append(noted(4), clock.read())
    other = journal.save_elsewhere(tmp_path / "stick" / "a.jsonl")
    other.append(noted(4), clock.read())
    other.close()
    assert (tmp_path / "a.jsonl").read_bytes() == before
    assert (tmp_path / "stick" / "a.jsonl").read_bytes().startswith(before)
    assert [event.n for event in read_journal(tmp_path / "stick" / "a.jsonl").events] == [1, 2, 3, 4]


def test_p6_saving_elsewhere_works_when_the_old_disk_gives_nothing_back(tmp_path, monkeypatch):
    """A pulled stick: what is in memory is written, the same bytes."""
    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    monkeypatch.setattr(journal_module, "os", FaultyOs("pread", 1, errno.EIO, lasting=True))
    journal.save_elsewhere(tmp_path / "b.jsonl").close()
    assert (tmp_path / "b.jsonl").read_bytes() == before


def test_p6_a_place_elsewhere_that_fills_up_leaves_nothing_half_written(tmp_path, monkeypatch):
    """The copy is taken away again, and the old journal is still there to try."""
    journal = kept(tmp_path / "a.jsonl")
    monkeypatch.setattr(journal_module, "os", FaultyOs("write", 1, errno.ENOSPC, lasting=False, partly=40))
    with pytest.raises(CannotWrite, match=r"b\.jsonl cannot be written: the disk is full"):
        journal.save_elsewhere(tmp_path / "b.jsonl")
    assert list(tmp_path.iterdir()) == [tmp_path / "a.jsonl"]
    journal.append(noted(4), FakeClock().read())
    journal.close()


def test_p6_an_interrupted_save_leaves_the_file_as_it_was(tmp_path, monkeypatch):
    """Whatever breaks in between (not only the disk), the file ends with the last saved record."""

    class Breaks(FaultyOs):
        def fsync(self, fd):
            raise KeyboardInterrupt

    journal = kept(tmp_path / "a.jsonl")
    before = (tmp_path / "a.jsonl").read_bytes()
    monkeypatch.setattr(journal_module, "os", Breaks("none", 1, 0, lasting=False))
    with pytest.raises(KeyboardInterrupt):
        journal.append(noted(4), FakeClock().read())
    monkeypatch.undo()
    assert (tmp_path / "a.jsonl").read_bytes() == before
    assert journal.append(noted(4), FakeClock().read()).n == 4
    journal.close()


def test_p10_a_folder_that_cannot_take_a_session_is_told_at_once(tmp_path, monkeypatch):
    """One refusal, one sentence: no heap of empty files."""
    monkeypatch.setattr(journal_module, "os", FaultyOs("fsync", 1, errno.EIO, lasting=True))
    with pytest.raises(CannotWrite, match="the disk reports a fault"):
        create(tmp_path, FakeClock().read())
    assert list(tmp_path.iterdir()) == []


def test_p6_a_refused_place_elsewhere_leaves_the_journal_open(tmp_path):
    """Nothing is lost by asking for a place that cannot be."""
    journal = kept(tmp_path / "a.jsonl")
    (tmp_path / "b.jsonl").write_text("mine")
    with pytest.raises(CannotWrite):
        journal.save_elsewhere(tmp_path / "b.jsonl")
    journal.append(noted(4), FakeClock().read())
    journal.close()
    assert (tmp_path / "b.jsonl").read_text() == "mine"


def in_child(run, *args) -> str:
    """Run a function in a child that may spoil its own limits and rights; gives what it printed last."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:  # pragma: no cover
        try:
            os.write(write, run(*args).encode())
        except BaseException as bad:
            os.write(write, repr(bad).encode())
        finally:
            os._exit(0)
    os.close(write)
    with os.fdopen(read) as told:
        said = told.read()
    os.waitpid(child, 0)
    return said


def grow_until_refused(path) -> str:
    resource.setrlimit(resource.RLIMIT_FSIZE, (1500, resource.RLIM_INFINITY))
    journal, clock = kept(path), FakeClock()
    for number in range(4, 100):
        try:
            journal.append(noted(number), clock.run(1))
        except CannotWrite as bad:
            saved = len(journal.events)
            resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
            journal.append(noted(number), clock.run(1))
            return f"{bad}|{saved}"
    return "never refused"


def test_p6_a_file_that_may_not_grow(tmp_path):
    """RLIMIT_FSIZE: refused with a reason, the half line taken back, and later it goes on."""
    said, _, saved = in_child(grow_until_refused, tmp_path / "a.jsonl").partition("|")
    assert "may not grow any further" in said
    found = read_journal(tmp_path / "a.jsonl")
    assert found.damage is None
    assert len(found.events) == int(saved) + 1


@pytest.fixture
def tiny_disk(tmp_path):
    place = tmp_path / "tiny"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("only root may mount a disk")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def fill(path):
    with path.open("wb", buffering=0) as big:
        while True:
            big.write(bytes(4096))


def note_on(journal, clock):
    for number in range(4, 200):
        journal.append(noted(number), clock.run(1))


def test_p6_a_really_full_disk(tiny_disk):
    """Filled to the last byte: the record is refused, all others are whole; with room again it goes on."""
    journal, clock = kept(tiny_disk / "a.jsonl"), FakeClock()
    ballast = tiny_disk / "ballast"
    with pytest.raises(OSError):
        fill(ballast)
    with pytest.raises(CannotWrite, match="the disk is full"):
        note_on(journal, clock)
    saved = len(journal.events)
    assert read_journal(tiny_disk / "a.jsonl").events == journal.events
    ballast.unlink()
    journal.append(noted(0), clock.run(1))
    journal.close()
    found = read_journal(tiny_disk / "a.jsonl")
    assert (len(found.events), found.damage) == (saved + 1, None)


def test_p10_a_disk_that_can_only_be_read(tiny_disk):
    """Said before any work starts, in one sentence; the journal stays as it is."""
    kept(tiny_disk / "a.jsonl").close()
    subprocess.run(["mount", "-o", "remount,ro", str(tiny_disk)], check=True)
    for call in (lambda: Journal.open(tiny_disk / "a.jsonl"), lambda: Journal.create(tiny_disk / "b.jsonl")):
        with pytest.raises(CannotWrite, match="the disk can only be read") as refused:
            call()
        assert refused.value.exit_code == 6
    assert len(read_journal(tiny_disk / "a.jsonl").events) == 3


def try_as_nobody(path) -> str:
    if os.geteuid() == 0:
        os.setegid(65534)
        os.seteuid(65534)
    try:
        Journal.create(path)
    except CannotWrite as bad:
        return str(bad)
    return "made"


def test_p10_a_folder_one_may_not_write_in(tmp_path):
    """The sentence names the file and the reason."""
    locked = tmp_path / "locked"
    locked.mkdir()
    for one in (tmp_path, *list(tmp_path.parents)[:2]):  # let nobody in as far as the locked folder
        one.chmod(0o755)
    locked.chmod(0o555)
    said = in_child(try_as_nobody, locked / "a.jsonl")
    assert said == f"{locked / 'a.jsonl'} cannot be written: the permission for it is missing. Nothing was written."
    locked.chmod(0o755)


def swap(path):
    (path.parent / "new").write_bytes(path.read_bytes())
    os.replace(path.parent / "new", path)


def rewrite(path):
    path.write_bytes(path.read_bytes().replace(b"noted", b"Noted") + b"\n")


def add(path):
    with path.open("ab") as other:
        other.write(b"mine\n")


HANDS = {
    "deleted": lambda path: path.unlink(),
    "renamed": lambda path: path.rename(path.with_name("b.jsonl")),
    "replaced": swap,
    "added to": add,
    "shortened": lambda path: os.truncate(path, 10),
    "edited": rewrite,
}


@pytest.mark.parametrize("hand", HANDS)
def test_p9_another_hand_in_the_file_is_noticed_at_the_next_record(tmp_path, hand):
    """An editor or a sync program: no record is written into the void; elsewhere all are safe."""
    path = tmp_path / "a.jsonl"
    journal = kept(path)
    before = path.read_bytes()
    HANDS[hand](path)
    after = path.read_bytes() if path.exists() else None
    for _ in range(2):
        with pytest.raises(CannotWrite, match="another program"):
            journal.append(noted(4), FakeClock().read())
    assert (path.read_bytes() if path.exists() else None) == after
    journal.save_elsewhere(tmp_path / "c.jsonl").close()
    assert (tmp_path / "c.jsonl").read_bytes() == before


def test_p11_odd_files_are_refused(tmp_path):
    """A link, a folder, a pipe: none is a journal, and none is touched or waited for."""
    kept(tmp_path / "a.jsonl").close()
    (tmp_path / "link.jsonl").symlink_to(tmp_path / "a.jsonl")
    (tmp_path / "dir.jsonl").mkdir()
    os.mkfifo(tmp_path / "pipe.jsonl")
    for name, says in (("link", "a link"), ("dir", "a folder"), ("pipe", "not an ordinary file")):
        with pytest.raises(CannotWrite, match=says):
            Journal.open(tmp_path / f"{name}.jsonl")
    with pytest.raises(CannotWrite, match="no such file"):
        Journal.open(tmp_path / "missing.jsonl")


MOUNTS = """\
22 28 0:20 / /proc rw - proc proc rw
28 1 254:0 / / rw,relatime - ext4 /dev/vda rw
40 28 0:50 / /home/maker/My\\040Cloud rw - fuse.synced synced rw
41 28 0:51 / /mnt/shop rw - nfs4 host:/shop rw
42 41 0:52 / /mnt/shop/local rw - xfs /dev/vdb rw
43 28 0:53 / /media/win rw - fuse.fuseblk /dev/sdc rw
44 28 0:54 / /mnt/share rw - cifs //host/share rw
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/maker/patchwork", None),
        ("/home/maker/My Cloud/patchwork", "fuse.synced"),
        ("/mnt/shop/cushions", "nfs4"),
        ("/mnt/shop/local/cushions", None),
        ("/mnt/shopping", None),
        ("/media/win/x", None),
        ("/mnt/share/a/b", "cifs"),
    ],
)
def test_p15_a_shared_drive_is_known(path, kind):
    """Less is promised there, and it can be said [source: proc_pid_mountinfo(5), its layout]."""
    assert shared_drive(path, MOUNTS) == kind


def test_p15_a_drive_that_cannot_sync_folders_is_let_pass(tmp_path, monkeypatch):
    """Some network drives answer EINVAL to a folder's fsync; only that is forgiven."""

    class NoFolderSync:
        def __getattr__(self, name):
            if name != "fsync":
                return getattr(os, name)

            def fsync(fd):
                if os.path.isdir(f"/proc/self/fd/{fd}"):
                    raise OSError(errno.EINVAL, "Invalid argument")
                os.fsync(fd)

            return fsync

    monkeypatch.setattr(journal_module, "os", NoFolderSync())
    kept(tmp_path / "deep" / "a.jsonl").close()
    assert len(read_journal(tmp_path / "deep" / "a.jsonl").events) == 3


def test_the_writer_of_these_tests_says_what_it_saved(tmp_path):
    """The numbers printed are the ones in the file."""
    out = subprocess.run(
        [sys.executable, str(WRITER), str(tmp_path / "a.jsonl"), "3"], capture_output=True, text=True, check=True
    )
    assert acknowledged(out.stdout) == [event.n for event in read_journal(tmp_path / "a.jsonl").events]
