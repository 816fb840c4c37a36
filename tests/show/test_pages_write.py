"""A page is there whole or not at all."""

import os
import stat
import threading
from pathlib import Path

import pytest

from guide.errors import CannotWrite
from guide.show.pages.write import put_away, write_page, write_whole


def test_a_page_is_written_and_nothing_is_left_beside_it(tmp_path, umask):
    """UTF-8, line ends as given, no temporary file, readable by others as any new file would be."""
    path = write_page(tmp_path / "log.html", "½ in\n")
    assert path.read_bytes() == "½ in\n".encode()
    assert [one.name for one in tmp_path.iterdir()] == ["log.html"]
    assert path.stat().st_mode & 0o777 == 0o644


@pytest.mark.parametrize("broken", ["write", "fsync", "replace"])
def test_a_failure_leaves_the_old_page_and_no_litter(tmp_path, monkeypatch, broken):
    """Disk full while writing, syncing or putting in place: the old page is whole, the error names the page."""
    path = tmp_path / "log.html"
    path.write_text("old", encoding="utf-8")

    def fail(*_args, **_more):
        raise OSError(28, "No space left on device")

    if broken == "replace":
        monkeypatch.setattr(Path, "replace", fail)
    elif broken == "fsync":
        monkeypatch.setattr(os, "fsync", fail)
    else:
        monkeypatch.setattr("guide.show.pages.write.os.fdopen", fail)
    with pytest.raises(CannotWrite, match="No space left") as refused:
        write_page(path, "new")
    assert "log.html" in str(refused.value)
    assert path.read_text(encoding="utf-8") == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["log.html"]


def test_a_folder_that_is_not_there_is_said_plainly(tmp_path):
    """No folder: CannotWrite (exit 6) with what to do, and nothing made."""
    with pytest.raises(CannotWrite, match="Choose another place"):
        write_page(tmp_path / "none" / "log.html", "x")
    assert not (tmp_path / "none").exists()


@pytest.fixture
def umask():
    """A umask of the test's own: what a new file may be is the maker's to say."""
    before = os.umask(0o022)
    yield os.umask
    os.umask(before)


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_a_new_file_is_as_open_as_the_makers_other_files(tmp_path, umask, mask, mode):
    """0666 less the umask, as POSIX has it for any new file. [source: POSIX.1-2017, open() and umask()]"""
    umask(mask)
    assert write_page(tmp_path / "log.html", "x").stat().st_mode & 0o777 == mode


@pytest.mark.parametrize("mode", [0o700, 0o755, 0o600, 0o664, 0o4711])
def test_what_is_written_anew_keeps_its_mode(tmp_path, umask, mode):
    """A script of 0700 stays one that others cannot read."""
    path = tmp_path / "log.html"
    path.write_text("old", encoding="utf-8")
    path.chmod(mode)
    write_page(path, "new")
    assert (path.read_text(encoding="utf-8"), stat.S_IMODE(path.stat().st_mode)) == ("new", mode)


@pytest.mark.skipif(os.getuid() != 0, reason="only root may give a file away")
def test_what_is_written_anew_keeps_its_owner(tmp_path):
    """Written by root, a maker's page is still the maker's."""
    path = tmp_path / "log.html"
    path.write_text("old", encoding="utf-8")
    os.chown(path, 1234, 2345)
    write_page(path, "new")
    assert (path.stat().st_uid, path.stat().st_gid) == (1234, 2345)


def test_a_file_that_may_not_be_written_is_not_put_out_of_its_place(tmp_path, monkeypatch):
    """Its folder would let another be put there: it is refused as it would be by any other program."""
    path = tmp_path / "log.html"
    path.write_text("old", encoding="utf-8")
    path.chmod(0o444)
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)  # as it is for all but root
    with pytest.raises(CannotWrite, match="ermission"):
        write_page(path, "new")
    assert path.read_text(encoding="utf-8") == "old"


@pytest.mark.parametrize("there", [True, False])
def test_a_link_stays_and_what_it_leads_to_is_written(tmp_path, there):
    """Through two links, one of them relative, also where the file is still to come; it keeps its mode."""
    (tmp_path / "kept").mkdir()
    kept = tmp_path / "kept" / "real.html"
    if there:
        kept.write_text("old", encoding="utf-8")
        kept.chmod(0o640)
    (tmp_path / "kept" / "one.html").symlink_to("real.html")
    (tmp_path / "log.html").symlink_to(Path("kept", "one.html"))
    write_page(tmp_path / "log.html", "new")
    assert kept.read_text(encoding="utf-8") == "new"
    assert not there or stat.S_IMODE(kept.stat().st_mode) == 0o640
    assert (tmp_path / "log.html").is_symlink()
    assert (tmp_path / "kept" / "one.html").is_symlink()
    assert sorted(one.name for one in kept.parent.iterdir()) == ["one.html", "real.html"]


def test_a_link_to_a_project_or_a_journal_is_not_written_through(tmp_path):
    """Whatever the link is called: what it leads to is never written over."""
    for name in ("project.yaml", "2026-03-01.jsonl", "layout.json", "layout.before.json", "layout.before-2.json"):
        (tmp_path / name).write_text("kept", encoding="utf-8")
        link = tmp_path / f"{name}.html"
        link.symlink_to(name)
        with pytest.raises(CannotWrite, match="not written over"):
            write_page(link, "new")
        assert (tmp_path / name).read_text(encoding="utf-8") == "kept"


def test_links_in_a_circle_are_refused(tmp_path):
    (tmp_path / "a.html").symlink_to("b.html")
    (tmp_path / "b.html").symlink_to("a.html")
    with pytest.raises(CannotWrite, match="symbolic links"):
        write_page(tmp_path / "a.html", "new")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["a.html", "b.html"]


def test_a_pipe_is_written_into_and_stays_a_pipe(tmp_path):
    """Who reads it gets the whole page, also a part at a time."""
    pipe, got = tmp_path / "log.html", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: got.append(pipe.read_text(encoding="utf-8")))
    reader.start()
    write_page(pipe, (f"½ {i}\n" for i in range(20_000)))
    reader.join(10)
    assert got == ["".join(f"½ {i}\n" for i in range(20_000))]
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert [one.name for one in tmp_path.iterdir()] == ["log.html"]


@pytest.mark.skipif(os.getuid() != 0, reason="only root makes devices")
def test_a_device_is_written_into_and_stays_a_device(tmp_path):
    """A null device of the test's own: as root, the system's was put out of its place by a page."""
    null = tmp_path / "null"
    os.mknod(null, stat.S_IFCHR | 0o666, os.makedev(1, 3))
    before = null.stat()
    write_page(null, "new")
    after = null.stat()
    assert (after.st_ino, after.st_mode, after.st_rdev) == (before.st_ino, before.st_mode, before.st_rdev)
    assert [one.name for one in tmp_path.iterdir()] == ["null"]


@pytest.mark.skipif(os.getuid() != 0, reason="only root makes devices")
def test_a_disk_is_refused(tmp_path):
    """A page written over a disk's first blocks would be the end of what is on it: a device of no driver stands for one."""
    os.mknod(tmp_path / "disk", stat.S_IFBLK | 0o600, os.makedev(240, 99))
    with pytest.raises(CannotWrite, match="no file that can be written"):
        write_page(tmp_path / "disk", "new")


def test_a_folder_is_refused(tmp_path):
    """Also through a link; nothing is left in it."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to("folder")
    for name in ("folder", "link", "folder/."):
        with pytest.raises(CannotWrite, match="is a folder"):
            write_page(tmp_path / name, "new")
    assert list((tmp_path / "folder").iterdir()) == []
    assert sorted(one.name for one in tmp_path.iterdir()) == ["folder", "link"]


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="this system has no such names for open files")
@pytest.mark.parametrize("append", [True, False])
def test_a_name_of_an_open_file_is_written_into_where_it_stands(tmp_path, append):
    """`-o /dev/stdout >> file`, which puts nothing in the file's place, and what is printed afterwards comes after it."""
    path = tmp_path / "all.txt"
    path.write_text("before\n", encoding="utf-8")
    handle = os.open(path, os.O_WRONLY | (os.O_APPEND if append else os.O_TRUNC))
    try:
        os.write(handle, b"said\n")
        inode = path.stat().st_ino
        write_whole(f"/dev/fd/{handle}", "a page\n")
        os.write(handle, b"said after\n")
    finally:
        os.close(handle)
    assert path.read_text(encoding="utf-8") == ("before\n" if append else "") + "said\na page\nsaid after\n"
    assert path.stat().st_ino == inode


def test_a_shells_own_pipe_is_written_into(tmp_path):
    """`-o >(…)` hands over /dev/fd/63."""
    read, write = os.pipe()
    try:
        write_page(f"/dev/fd/{write}", "new")
        assert os.read(read, 10) == b"new"
    finally:
        os.close(read)
        os.close(write)


def test_a_name_that_is_too_long_is_said(tmp_path):
    """255 bytes are the most that Linux lets a name have; with 5,000 the door says so and no more."""
    with pytest.raises(CannotWrite, match="File name too long"):
        write_page(tmp_path / ("a" * 5000), "new")
    longest = tmp_path / ("ö" * 127 + "a")
    assert write_page(longest, "new").read_text(encoding="utf-8") == "new"


def test_a_file_is_put_away_or_the_reason_said(tmp_path):
    """There or not, it is gone afterwards, and stands under its other name; what cannot be moved is left as it is."""
    path, aside = tmp_path / "layout.json", tmp_path / "layout.before.json"
    path.write_text("{}", encoding="utf-8")
    put_away(path, aside)
    put_away(path, aside)
    assert [(one.name, one.read_text(encoding="utf-8")) for one in tmp_path.iterdir()] == [("layout.before.json", "{}")]
    path.mkdir()
    with pytest.raises(CannotWrite, match="left as it is"):
        put_away(path, aside)
    assert aside.read_text(encoding="utf-8") == "{}"


def test_what_cannot_be_read_is_not_laid_at_the_door(tmp_path):
    """A file that the text is made from fails in the middle: that is what is said, and the old page stays."""
    path = tmp_path / "times.csv"
    path.write_text("old", encoding="utf-8")

    def text():
        yield "a line\n"
        raise PermissionError(13, "Permission denied", "2026-03-01.jsonl")

    with pytest.raises(PermissionError, match=r"2026-03-01\.jsonl"):
        write_page(path, text())
    assert path.read_text(encoding="utf-8") == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["times.csv"]
