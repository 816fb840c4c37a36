"""The journal file: one session (or the book), appended to by one writer, read by anyone.

A record is on the disk before `append` returns. Saved bytes are never touched again; bytes that were never
acknowledged (a torn tail) are set aside in a file of their own, by a writer.
"""

import errno
import os
import stat
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Generic, Self
from zlib import crc32

from guide import system
from guide.errors import CannotWrite, JournalDamaged, NeedsMending, OpenElsewhere
from guide.record.lines import SESSION, Damage, Form, L, Scan, encode
from guide.record.model import Event, Reading

MOST_BYTES = 1 << 26  # of a journal: some 400,000 records, and a file that has no end is none
_WRITE = os.O_RDWR | os.O_APPEND


def read_journal(path: Path | str) -> Scan[Event]:
    """Read the good part of a session's journal and what stops it, touching nothing. NeedsMending as `read_lines`."""
    return read_lines(path, SESSION)


def read_lines(path: Path | str, form: Form[L]) -> Scan[L]:
    """Read the good part of a file of lines and what stops it, touching nothing.

    NeedsMending when it is of a newer format, no ordinary file, or cannot be read at all.
    """
    found = form.scan(contents(path))
    if found.damage and found.damage.kind == "newer":
        raise _newer(Path(path), found.damage)
    return found


def contents(path: Path | str, *, first_line: bool = False) -> bytes:
    """Read the bytes of a journal, or of its first line only. NeedsMending when it cannot be one."""
    try:
        with os.fdopen(system.open_plain(path, os.O_RDONLY), "rb") as file:
            if odd := _odd(os.fstat(file.fileno())):
                raise NeedsMending(f"{path} cannot be read: {odd}. Nothing was changed.")
            return file.readline(MOST_BYTES) if first_line else file.read(MOST_BYTES)
    except OSError as bad:
        raise NeedsMending(f"{path} cannot be read: {_reason(bad)}. Nothing was changed.") from bad


def _odd(there: os.stat_result) -> str:
    """Say why a file can be no journal; nothing when it can."""
    if stat.S_ISDIR(there.st_mode):
        return _REASONS[errno.EISDIR]
    if not stat.S_ISREG(there.st_mode):
        return "it is not an ordinary file; a journal must be one"
    return f"it is over {MOST_BYTES >> 20} MiB, and no journal grows so large" if there.st_size > MOST_BYTES else ""


def describe(path: Path | str, damage: Damage) -> str:
    """Say in one plain sentence what is wrong with a journal and what is safe."""
    if damage.kind == "empty":
        return f"{path} holds no record: a session was begun there and nothing was saved. It can be deleted."
    safe = _kept(damage.line - 1)
    if damage.kind == "torn":
        return f"{path}:{damage.line}: the last record was cut off while it was being saved; {safe}."
    return f"{path}:{damage.line}: damaged at byte {damage.byte} ({damage.why}); {safe}, nothing was changed."


def _kept(count: int) -> str:
    if not count:
        return "no record comes before it"
    return "the record before it is safe" if count == 1 else f"the {count} records before it are safe"


def _newer(path: Path, damage: Damage) -> NeedsMending:
    return NeedsMending(
        f"{path} was written by a newer guide: {damage.why}. Nothing was changed; update fraywork to go on with it."
    )


class Appended(Generic[L]):
    """A file of lines of one form, open for writing and locked until `close`."""

    def __init__(self, path: Path, fd: int, form: Form[Any]) -> None:
        """Take over a locked descriptor; made by `create` and `open`."""
        self.path, self.form = path, form
        self.events: list[L] = []
        self.torn: Path | None = None  # where a torn tail was set aside on opening
        self.poisoned = ""  # why nothing more may be written, in words
        self._fd = fd
        self._size = 0
        self._kept: int | None = None  # how many records stay when one of several is refused
        self._name, self._inode = str(path), (0, 0)  # the inode stays ours as long as the file is open

    @classmethod
    def create(cls, path: Path | str, records: bytes = b"", form: Form[Any] = SESSION) -> Self:
        """Make a new journal, and the folder for it. CannotWrite when there is one or it cannot be made.

        records: lines to begin with, a session's first or those copied from another journal; they and the file
        come into being together.
        """
        path = Path(path)
        try:
            _make_folder(path.parent)
            fd = system.open_plain(path, _WRITE | os.O_CREAT | os.O_EXCL, 0o644)
        except FileExistsError:
            raise CannotWrite(f"{path} is there already; it was left as it is.") from None
        except OSError as bad:
            raise _cannot(path, bad, "nothing was written") from bad
        journal = cls(path, fd, form)
        try:
            journal._lock()
            journal._write(records)
            journal.events, journal._size = form.scan(records).events, len(records)
            system.sync_folder(path.parent)
        except BaseException as bad:
            system.take_away(path, fd)  # nothing was said to be in it, so nothing is lost
            reason = bad.__cause__ if isinstance(bad, CannotWrite) else bad
            if isinstance(reason, OSError):
                raise _cannot(path, reason, "nothing was written") from bad
            raise
        return journal

    @classmethod
    def open(cls, path: Path | str, reading: Reading, form: Form[Any] = SESSION) -> Self:
        """Open a journal to go on with it; a torn tail is set aside and told by a `recovered` event.

        reading: the clocks for that event. Raises OpenElsewhere, JournalDamaged (damage before
        the tail: nothing is changed), NeedsMending (a newer format), CannotWrite.
        """
        path = Path(path)
        try:
            fd = system.open_plain(path, _WRITE)
        except OSError as bad:
            raise _cannot(path, bad, "it was left as it is") from bad
        try:
            journal = cls(path, fd, form)
            journal._lock()
            journal._take_up(reading)
        except BaseException as bad:
            os.close(fd)
            if isinstance(bad, OSError):
                raise _cannot(path, bad, "what was saved in it is safe") from bad
            raise
        return journal

    @staticmethod
    def is_open(path: Path) -> bool:
        """Whether some program has a journal open for writing; the file is left as it is."""
        with suppress(OSError):
            fd = system.open_plain(path, _WRITE)
            try:
                return not system.lock(fd)
            finally:
                os.close(fd)
        return False

    def _lock(self) -> None:
        """Take the file for this program alone.

        Raises CannotWrite when it is no journal's, OpenElsewhere when another has it.
        """
        there = os.fstat(self._fd)
        if odd := _odd(there):
            raise CannotWrite(f"{self.path} cannot be written: {odd}. It was left as it is.")
        self._inode = system.identity(there)
        if not system.lock(self._fd):
            raise OpenElsewhere(
                f"{self.path} is open in another window; it was left as it is. Go on there, or close it there first."
            )

    def _take_up(self, reading: Reading) -> None:
        """Read what is in it, and set a torn tail aside.

        Raises NeedsMending for a newer format, JournalDamaged for a hurt one.
        """
        data = _all_bytes(self._fd)
        found = self.form.scan(data)
        if found.damage and found.damage.kind == "newer":
            raise _newer(self.path, found.damage)
        if found.damage and found.damaged:
            raise JournalDamaged(describe(self.path, found.damage))
        self.events, self._size = found.events, found.size
        if not found.damage or found.damage.kind == "empty":
            return
        cut = data[found.size :]
        self.torn = _set_aside(self.path, len(found.events) + 1, cut)
        os.ftruncate(self._fd, found.size)
        system.sync(self._fd)
        if self.events:
            told = {"what": "recovered", "file": self.torn.name, "text": f"{len(cut)} bytes"}
            self.append(told, reading)

    def append(self, members: dict[str, Any] | L, reading: Reading) -> L:
        """Save one event: one write, fsync, and only then give it back.

        members: `what` and whatever else the event has, or such an event. CannotWrite when it is not saved; all
        earlier records are safe then, and the same call may be tried again unless `poisoned` says why not.
        """
        event: L
        event, data = self.form.written(len(self.events) + 1, members, reading)
        self.poisoned = self.poisoned or self._hand()  # another program's is noticed before anything is added
        if self.poisoned:
            raise self._no_more(self.poisoned)
        if self._size + len(data) > MOST_BYTES:
            raise self._no_more(f"it would grow over {MOST_BYTES >> 20} MiB")
        self._write(data)
        self._size += len(data)
        self.events.append(event)
        return event

    def append_all(self, many: Iterable[dict[str, Any] | L], reading: Reading) -> None:
        """Save several events one after another, or none: where one is refused, those before it are taken back.

        Each is synced before the next is written, so that a crash leaves no more than one torn.
        """
        self._kept = len(self.events)
        size = self._size
        try:
            for members in many:
                self.append(members, reading)
        except BaseException:
            if not self._hand():
                del self.events[self._kept :]
                self._size = size
                self._take_back()
            raise
        finally:
            self._kept = None

    def _no_more(self, why: str) -> CannotWrite:
        return CannotWrite(f"{self.path} takes no more records: {why}; {self._safe()}.")

    def _hand(self) -> str:
        """Say what another program did to the file; nothing where it is as it was left."""
        try:
            there = os.stat(self._name)  # noqa: PTH116 - a Path's own takes twice as long, for every record
        except OSError:
            there = None
        if there is None or system.identity(there) != self._inode:
            return "another program moved, replaced or deleted the file"
        return "another program changed the file" if there.st_size != self._size else ""

    def _write(self, data: bytes) -> None:
        """Put bytes on the disk, all or none. Raises CannotWrite when they are not there."""
        written = False
        try:
            done = 0
            while done < len(data):  # one write in practice; a disk filling up may take a part only
                done += os.write(self._fd, data[done:])
            written = True
            system.sync(self._fd)
        except BaseException as bad:
            if written and isinstance(bad, OSError):
                # Never tried again on this descriptor: the system may have marked the lost pages as clean.
                self.poisoned = "the disk did not confirm a record"
            self._take_back()
            if isinstance(bad, OSError):
                raise _cannot(self.path, bad, self._safe()) from bad
            raise

    def _take_back(self) -> None:
        """Cut an unsaved line off again, so that the file ends with the last saved record."""
        try:
            os.ftruncate(self._fd, self._size)
        except OSError:
            self.poisoned = self.poisoned or "a half-written record could not be taken back"

    def _safe(self) -> str:
        if self._kept is not None:
            return f"none of them is saved, {_kept(self._kept)}"
        return f"this record is not saved, {_kept(len(self.events))}"

    def reopened(self, reading: Reading) -> Self:
        """Close and open again, with a new look at the file: the way to try again after a refusal."""
        self.close()
        return type(self).open(self.path, reading, self.form)

    def save_elsewhere(self, path: Path | str) -> Self:
        """Copy the saved records byte for byte into a new journal, close this one, and go on there.

        The refused event is appended to the journal that is given back. CannotWrite leaves this one open.
        """
        try:
            good = _all_bytes(self._fd)[: self._size]
        except OSError:
            good = b""
        if self.form.scan(good).events != self.events:  # the old disk no longer gives them back: memory does
            good = b"".join(encode(event) for event in self.events)
        other = type(self).create(path, good, self.form)
        self.close()
        return other

    def take_away(self) -> None:
        """Close and delete a journal that was just begun; what another program made of it, or put there, is left."""
        if self._hand():
            self.close()
        else:
            system.take_away(self.path, self._fd)
            self._fd = -1

    def close(self) -> None:
        """Give the file and its lock free; harmless when done already."""
        if self._fd >= 0:
            system.let_go(self._fd)
            self._fd = -1
            self.poisoned = self.poisoned or "it is closed"


Journal = Appended[Event]


def _all_bytes(fd: int) -> bytes:
    parts: list[bytes] = []
    at = 0
    while part := system.read_at(fd, 1 << 22, at):
        parts.append(part)
        at += len(part)
    return b"".join(parts)


def _set_aside(path: Path, n: int, cut: bytes) -> Path:
    """Keep the bytes of a torn tail beside the journal, safely, before they are taken out of it."""
    side = path.with_name(f"{path.name}.torn-{n}-{crc32(cut):08x}")
    fd = system.open_plain(side, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    try:
        done = 0
        while done < len(cut):
            done += os.write(fd, cut[done:])
        system.sync(fd)
    except BaseException:
        system.take_away(side, fd)  # all of it is still in the journal
        raise
    os.close(fd)
    system.sync_folder(path.parent)
    return side


def _make_folder(folder: Path) -> None:
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for new in reversed(missing):
        new.mkdir(exist_ok=True)
        system.sync_folder(new.parent)


_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is used up",
    errno.EFBIG: "the file may not grow any further",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "the permission for it is missing",
    errno.EPERM: "the permission for it is missing",
    errno.EIO: "the disk reports a fault",
    errno.ENOENT: "there is no such file or folder",
    errno.ELOOP: "it is a link, and a journal must be an ordinary file",
    errno.EISDIR: "it is a folder",
    errno.ENOTDIR: "a part of its path is not a folder",
}


def _reason(bad: OSError) -> str:
    return _REASONS.get(bad.errno or 0, bad.strerror or str(bad))


def _cannot(path: Path, bad: OSError, safe: str) -> CannotWrite:
    return CannotWrite(f"{path} cannot be written: {_reason(bad)}. {safe[:1].upper()}{safe[1:]}.")


_SHARED = ("nfs", "cifs", "smb", "fuse.", "9p", "ceph", "afs", "ncpfs", "glusterfs", "webdav", "network")
_LOCAL_FUSE = frozenset({"fuse.fuseblk", "fuse.lxcfs"})


def shared_drive(path: Path | str, mounts: Sequence[tuple[str, str]] | None = None) -> str | None:
    """Give the kind of network or synced drive a path is on; None for an own disk or when it is not known.

    mounts: where drives hang in and what kind each is (default: this system's).
    """
    at = Path(path).absolute()
    best, kind = -1, ""
    for where, what in system.mounts(at) if mounts is None else mounts:
        root = Path(where)
        if at.is_relative_to(root) and len(root.parts) >= best:  # of two on one place, the later one lies on top
            best, kind = len(root.parts), what
    return kind if kind.startswith(_SHARED) and kind not in _LOCAL_FUSE else None
