"""P5, P9, P10, P11, P15: one writer, no strangers, and a plain word before any work starts."""

import errno
import os
import signal
import subprocess
import sys

import pytest

from guide import system
from guide.errors import CannotWrite, OpenElsewhere
from guide.record.journal import Journal, read_journal, shared_drive
from guide.record.sessions import create
from tests.fakes import FakeClock
from tests.record.faults import WRITER, FaultyOs, acknowledged, faulty
from tests.record.keeping import OPENED, in_child, kept, noted


def test_p5_a_second_writer_is_refused(tmp_path):
    """In the same program and in another: exit 4, one sentence with the file, the file unchanged."""
    path = tmp_path / "a.jsonl"
    journal = kept(path)
    before = path.read_bytes(), os.stat(path).st_mtime_ns
    with pytest.raises(OpenElsewhere, match=r"a\.jsonl is open in another window") as refused:
        Journal.open(path, FakeClock().read())
    assert refused.value.exit_code == 4
    out = subprocess.run(
        [sys.executable, str(WRITER), str(path), "1"], capture_output=True, encoding="utf-8", check=False
    )
    assert out.returncode == 4
    assert (path.read_bytes(), os.stat(path).st_mtime_ns) == before
    journal.close()
    Journal.open(path, FakeClock().read()).close()


def test_p5_a_killed_writer_leaves_no_lock(tmp_path):
    """The kernel frees it: nobody has to delete anything."""
    path = tmp_path / "a.jsonl"
    child = subprocess.Popen(
        [sys.executable, str(WRITER), str(path), "3", "hold"],
        stdout=subprocess.PIPE,
        stdin=subprocess.PIPE,
        encoding="utf-8",
    )
    for line in child.stdout:
        if line.strip() == "holding":
            break
    with pytest.raises(OpenElsewhere):
        Journal.open(path, FakeClock().read())
    assert len(read_journal(path).events) == 3, "readers need no lock"
    child.send_signal(signal.SIGKILL)
    child.communicate()
    journal = Journal.open(path, FakeClock().read())
    assert len(journal.events) == 3
    journal.close()


def test_p10_a_folder_that_cannot_take_a_session_is_told_at_once(tmp_path, monkeypatch):
    """One refusal, one sentence: no heap of empty files."""
    faulty(monkeypatch, FaultyOs("fsync", 1, errno.EIO, lasting=True))
    with pytest.raises(CannotWrite, match="the disk reports a fault"):
        create(tmp_path, OPENED, FakeClock().read())
    assert list(tmp_path.iterdir()) == []


def test_p10_a_disk_that_can_only_be_read(tiny_disk):
    """Said before any work starts, in one sentence; the journal stays as it is."""
    kept(tiny_disk / "a.jsonl").close()
    subprocess.run(["mount", "-o", "remount,ro", str(tiny_disk)], check=True)
    for call in (
        lambda: Journal.open(tiny_disk / "a.jsonl", FakeClock().read()),
        lambda: Journal.create(tiny_disk / "b.jsonl"),
    ):
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
            Journal.open(tmp_path / f"{name}.jsonl", FakeClock().read())
    with pytest.raises(CannotWrite, match="no such file"):
        Journal.open(tmp_path / "missing.jsonl", FakeClock().read())


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
    assert shared_drive(path, system.mounts_in(MOUNTS)) == kind


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

    faulty(monkeypatch, NoFolderSync())
    kept(tmp_path / "deep" / "a.jsonl").close()
    assert len(read_journal(tmp_path / "deep" / "a.jsonl").events) == 3


def test_the_writer_of_these_tests_says_what_it_saved(tmp_path):
    """The numbers printed are the ones in the file."""
    out = subprocess.run(
        [sys.executable, str(WRITER), str(tmp_path / "a.jsonl"), "3"], capture_output=True, encoding="utf-8", check=True
    )
    assert acknowledged(out.stdout) == [event.n for event in read_journal(tmp_path / "a.jsonl").events]
