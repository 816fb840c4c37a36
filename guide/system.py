"""All that differs from system to system: Windows, macOS, Linux. Nothing else in the program asks which it is.

What can be told by what there is (a module, a flag, a clock) is told so; the rest by NAME. The stand-ins in
tests/systems take away and put in what another system has before this file is read. [memory] marks what a
system's own documentation is remembered to say, and nobody could try there.
"""

import errno
import importlib
import os
import queue
import re
import select
import signal
import stat
import sys
import threading
import time
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TextIO, TypeVar

NAME = {"win32": "windows", "darwin": "macos"}.get(sys.platform, "linux")


def _module(name: str) -> Any:
    """Give a module that only some systems have, or only some need; None where there is none."""
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


_fcntl, _msvcrt, _pwd = _module("fcntl"), _module("msvcrt"), _module("pwd")

# --- files ---------------------------------------------------------------------------------------------------

_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_BINARY = getattr(os, "O_BINARY", 0)  # else Windows writes \r\n for \n
_PLAIN = _NO_LINK | _BINARY | getattr(os, "O_NONBLOCK", 0)  # a pipe is not waited for
_FOLDER = getattr(os, "O_DIRECTORY", None)  # none: folders cannot be opened, nor synced
_LOCKED_BYTE = 0x7FFF_FFFE  # far beyond the end of any journal: on Windows a locked byte cannot be read
_TRIES, _PAUSE_S = 10, 0.05  # a scanner of viruses holds a new file for a moment


def open_plain(path: Path | str, flags: int, mode: int = 0o666) -> int:
    """Open a file as it lies there: no link followed, no pipe waited for, its bytes as they are. Raises OSError."""
    if not _NO_LINK and os.path.islink(path):  # noqa: PTH114 - a Path costs more, and this is a key's own way
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path))
    try:
        return os.open(path, flags | _PLAIN, mode)
    except PermissionError:
        if os.path.isdir(path):  # noqa: PTH112 - what Windows says of every folder
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path)) from None
        raise


def open_stream(path: Path) -> int:
    """Open a pipe or device to write into. Raises OSError."""
    return os.open(path, os.O_WRONLY | os.O_TRUNC | _BINARY | getattr(os, "O_NOCTTY", 0))


def read_at(fd: int, size: int, at: int) -> bytes:
    """Read from a place in a file whose writes all go to its end. Raises OSError."""
    if hasattr(os, "pread"):
        return os.pread(fd, size, at)
    os.lseek(fd, at, os.SEEK_SET)
    return os.read(fd, size)


def sync(fd: int) -> None:
    """Wait until a file is on the disk, not only in the drive's own memory. Raises OSError.

    macOS does that only when asked in full [memory: fsync(2) there], and some of its drives cannot be asked.
    """
    full = getattr(_fcntl, "F_FULLFSYNC", None)
    if full is not None:
        try:
            _fcntl.fcntl(fd, full)
        except OSError as bad:
            if bad.errno not in {errno.EINVAL, errno.ENOTSUP, errno.ENOTTY}:
                raise
        else:
            return
    os.fsync(fd)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder last; some network drives cannot, and only that is let pass. Raises OSError.

    On Windows a folder has nothing to sync: its disk keeps a journal of names [memory].
    """
    if _FOLDER is None:
        return
    fd = os.open(folder, os.O_RDONLY | _FOLDER)
    try:
        sync(fd)
    except OSError as bad:
        if bad.errno not in {errno.EINVAL, errno.ENOTSUP}:
            raise
    finally:
        os.close(fd)


def lock(fd: int) -> bool:
    """Take a file for oneself until it is let go, or its program dies; False where another has it. Raises OSError."""
    if _fcntl is not None:
        try:
            _fcntl.flock(fd, _fcntl.LOCK_EX | _fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
    os.lseek(fd, _LOCKED_BYTE, os.SEEK_SET)
    try:
        _msvcrt.locking(fd, _msvcrt.LK_NBLCK, 1)
    except OSError as bad:
        if bad.errno not in {errno.EACCES, errno.EAGAIN, errno.EDEADLK}:
            raise
        return False
    return True


def let_go(fd: int) -> None:
    """Close a locked file. Windows frees the lock of a closed file when it finds time [memory], so it is told first."""
    if _fcntl is None:
        with suppress(OSError):
            os.lseek(fd, _LOCKED_BYTE, os.SEEK_SET)
            _msvcrt.locking(fd, _msvcrt.LK_UNLCK, 1)
    os.close(fd)


def take_away(path: Path, fd: int) -> None:
    """Close and delete a file of ours; Windows deletes no open one, elsewhere it goes before anybody can open it."""
    if NAME != "windows":
        path.unlink(missing_ok=True)
    os.close(fd)
    if NAME == "windows":
        path.unlink(missing_ok=True)


def identity(there: os.stat_result) -> tuple[int, int]:
    """Tell a file from another put in its place; on Windows nothing can be, as long as the file is open."""
    return (0, 0) if NAME == "windows" else (there.st_dev, there.st_ino)


def put_in_place(new: Path, place: Path) -> None:
    """Put a finished file where another may be. PermissionError where a program on Windows holds that one open."""
    for _ in range(_TRIES if NAME == "windows" else 1):
        try:
            new.replace(place)
        except PermissionError as bad:
            held = bad
            time.sleep(_PAUSE_S if NAME == "windows" else 0)
        else:
            return
    if NAME == "windows":
        held.strerror = "another program has it open; close it there and try again"
    raise held


def like(fd: int, there: os.stat_result) -> None:
    """Give a new file the owner and mode of the one it takes the place of, as far as one may. Raises OSError."""
    mine = os.fstat(fd)
    if (mine.st_uid, mine.st_gid) != (there.st_uid, there.st_gid) and hasattr(os, "fchown"):
        with suppress(OSError):
            os.fchown(fd, there.st_uid, there.st_gid)
    if hasattr(os, "fchmod"):
        os.fchmod(fd, stat.S_IMODE(there.st_mode))


def names_an_open_file(path: Path) -> bool:
    """Whether this is a system's own name for an open file (a shell's >(…), /dev/stdout), no place in a folder."""
    return path.parent.parts[:2] == ("/", "proc") or path.parent == Path("/dev/fd")


def own_open_file(path: Path) -> int | None:
    """Give the number of our own open file that a path names; None when it names none."""
    ours = {Path(f"/proc/{os.getpid()}/fd"), Path(f"/proc/{os.getpid()}/task/{os.getpid()}/fd"), Path("/dev/fd")}
    return int(path.name) if path.parent in ours and path.name.isdecimal() else None


# --- drives --------------------------------------------------------------------------------------------------

MOUNTS = Path("/proc/self/mountinfo")
_MOUNT = "/sbin/mount"
_MOUNT_LINE = r".+? on (.+) \(([^,)]+)[^)]*\)"  # macOS: //host/share on /Volumes/share (smbfs, nodev)
_REMOTE = 4  # what Windows calls a drive on the network [memory: GetDriveTypeW]


def mounts(path: Path) -> Sequence[tuple[str, str]]:
    """Give where drives hang in and what kind each is, the later on top; of Windows the path's own, if on a network."""
    if NAME == "windows":
        return [(path.anchor, "network")] if _remote(path.anchor) else []
    if NAME == "macos":
        return [
            (found[1], found[2]) for line in _told_by(_MOUNT).splitlines() if (found := re.fullmatch(_MOUNT_LINE, line))
        ]
    try:
        return mounts_in(MOUNTS.read_text(encoding="utf-8", errors="surrogateescape"))
    except OSError:
        return []


def _told_by(program: str) -> str:
    try:
        said = importlib.import_module("subprocess").run([program], capture_output=True, check=False).stdout
    except OSError:
        return ""
    return str(said, "utf-8", "surrogateescape")


def mounts_in(text: str) -> Sequence[tuple[str, str]]:
    """Read Linux' own list of drives [source: proc_pid_mountinfo(5)]."""
    found = []
    for line in text.splitlines():
        before, _, after = line.partition(" - ")
        fields, last = before.split(), after.split()
        if len(fields) >= 5 and last:
            found.append((_unescaped(fields[4]), last[0]))
    return found


def _unescaped(text: str) -> str:
    """Undo the octal escapes of spaces, tabs, newlines and backslashes."""
    for code, char in (("\\040", " "), ("\\011", "\t"), ("\\012", "\n"), ("\\134", "\\")):
        text = text.replace(code, char)
    return text


def _remote(anchor: str) -> bool:
    library = _windows()
    return anchor.startswith("\\\\") or (library is not None and library.GetDriveTypeW(anchor) == _REMOTE)


def _windows() -> Any:
    """Give Windows' own library; None elsewhere."""
    return getattr(getattr(_module("ctypes"), "windll", None), "kernel32", None) if NAME == "windows" else None


# --- clocks --------------------------------------------------------------------------------------------------

_BOOT = Path("/proc/sys/kernel/random/boot_id")


def steady_ms() -> tuple[int, int]:
    """Read (awake, total), ms: the clock that stops in sleep and the one that does not; nobody can set either."""
    if hasattr(time, "CLOCK_UPTIME_RAW"):  # macOS; both of one source, so that they drift alike [memory]
        return _clock_ms("CLOCK_UPTIME_RAW"), _clock_ms("CLOCK_MONOTONIC_RAW")
    if hasattr(time, "CLOCK_BOOTTIME"):  # Linux
        return time.monotonic_ns() // 1_000_000, _clock_ms("CLOCK_BOOTTIME")
    if (library := _windows()) is not None:  # Windows; both count its interrupts [memory]
        ctypes = importlib.import_module("ctypes")
        awake = ctypes.c_ulonglong()
        library.QueryUnbiasedInterruptTime(ctypes.byref(awake))  # in 100 ns
        library.GetTickCount64.restype = ctypes.c_ulonglong
        return awake.value // 10_000, int(library.GetTickCount64())
    only = time.monotonic_ns() // 1_000_000
    return only, only


def _clock_ms(name: str) -> int:
    return time.clock_gettime_ns(getattr(time, name)) // 1_000_000


def boot() -> str:
    """Name the time since the computer was started; nothing where it has no name (Windows)."""
    if NAME == "macos":
        return _told_by_macos(b"kern.bootsessionuuid")
    try:
        return _BOOT.read_text(encoding="ascii").strip()
    except OSError:
        return ""


def _told_by_macos(name: bytes) -> str:
    try:
        ctypes = importlib.import_module("ctypes")
        text, size = ctypes.create_string_buffer(128), ctypes.c_size_t(128)
        failed = ctypes.CDLL(None).sysctlbyname(name, text, ctypes.byref(size), None, 0)
    except (ImportError, OSError, AttributeError):
        return ""
    return "" if failed else text.value.decode("ascii", "replace")


# --- the terminal --------------------------------------------------------------------------------------------

WINDOW_CLOSED = 129
STOPPING: Mapping[int, int] = {  # signal → the code a program ends with
    getattr(signal, name): code
    for name, code in (("SIGINT", 130), ("SIGTERM", 143), ("SIGHUP", WINDOW_CLOSED), ("SIGBREAK", WINDOW_CLOSED))
    if hasattr(signal, name)  # a closed window is SIGHUP, or SIGBREAK on Windows [memory]
}
TERM = "windows" if NAME == "windows" else ""  # what kind of terminal it is where nothing says so


class Typed:
    """Lines as they are typed, or as they lie in a file."""

    def __init__(self, lines: TextIO) -> None:
        """Read from here from now on, and nobody else does."""
        self._lines = lines
        self._read: queue.SimpleQueue[str] | None = None

    def within(self, seconds: float) -> str | None:
        """Give the next line, empty at the end; None when nobody has typed one in this time."""
        if not self._lines.isatty():
            return self._lines.readline()
        if NAME != "windows":
            return self._lines.readline() if select.select([self._lines], [], [], seconds)[0] else None
        if self._read is None:  # select knows no console there: a thread waits for the line
            self._read = queue.SimpleQueue()
            threading.Thread(target=self._reading, args=(self._read,), daemon=True).start()
        try:
            return self._read.get(timeout=seconds)
        except queue.Empty:
            return None

    def _reading(self, into: "queue.SimpleQueue[str]") -> None:
        """Read through a descriptor of its own: one that is waited on cannot be closed when the program ends."""
        with open(os.dup(self._lines.fileno()), encoding=self._lines.encoding, errors="replace") as own:  # noqa: PTH123
            while line := own.readline():
                into.put(line)
        into.put("")


def stand_back() -> None:
    """Let other programs have the processor first, where the system knows of it."""
    if hasattr(os, "nice"):
        os.nice(15)


def terminal_lost() -> bool:
    """Whether the window was closed: nothing can be asked of the terminal any more."""
    try:
        if hasattr(os, "tcgetpgrp"):
            os.tcgetpgrp(sys.stdin.fileno())
            return False
        return not os.isatty(sys.stdin.fileno())
    except (OSError, ValueError):
        return True


# --- the maker's folders, and names --------------------------------------------------------------------------

_HOME = "USERPROFILE" if NAME == "windows" else "HOME"
_RESERVED = {"con", "prn", "aux", "nul", "conin", "conout", "clock"} | {
    f"{port}{n}" for port in ("com", "lpt") for n in range(10)
}
_LONGEST = 60  # characters of a folder's name: under 255 bytes in any script


def data_folder(environ: Mapping[str, str]) -> str:
    """Give the folder for a program's own files, as the system would have it; `~/` stands for the home."""
    if NAME == "windows":
        return f"{environ.get('APPDATA') or '~'}/fraywork"
    if NAME == "macos":
        return "~/Library/Application Support/fraywork"
    data = environ.get("XDG_DATA_HOME", "")
    return f"{data if Path(data).is_absolute() else '~/.local/share'}/fraywork"


def odd_home(environ: Mapping[str, str]) -> str:
    """Say what is wrong with the home that is set; nothing when it is good, or the system is to be asked."""
    home = environ.get(_HOME)
    return "" if home is None or Path(home).is_absolute() else f"{_HOME} is no whole path"


def homes(environ: Mapping[str, str]) -> list[str]:
    """List what the maker's home is called: set, and known to the system."""
    found = [environ.get(name, "") for name in ("HOME", "USERPROFILE")]
    with suppress(AttributeError, KeyError):
        found.append(_pwd.getpwuid(os.getuid()).pw_dir)
    return [home for home in found if home]


def legal_name(text: str) -> str:
    """Make of any text a folder's name that every system takes, the same for all ways of writing it.

    Nothing when no letter or digit is left, or a device's name. Windows refuses nine signs, a dot or space at the
    end, and its devices' names whatever their ending [source: Microsoft, "Naming Files, Paths, and Namespaces"];
    small and large letters are one there and on a Mac.
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())
    name = re.sub(r"[^\w.-]+", "-", folded).strip("-._")
    return "" if name.partition(".")[0] in _RESERVED else name[:_LONGEST].rstrip("-._")


def same_name(one: str, other: str) -> bool:
    """Whether two names are one on a system that is blind to large and small letters."""
    plain = [unicodedata.normalize("NFC", name).casefold().rstrip(". ") for name in (one, other)]
    return plain[0] == plain[1]


Read = TypeVar("Read")


class Waiting:
    """Whether a line is waited for, and the code of the signal that has come."""

    def __init__(self) -> None:
        self.waiting = False  # for a line: only then may a signal break in, never while a record is saved
        self.signalled = 0

    def line(self, read: Callable[[], Read]) -> Read:
        """Wait for what is read; a signal breaks in only here. Raises KeyboardInterrupt when one came."""
        self.waiting = True
        try:
            if self.signalled:
                raise KeyboardInterrupt
            return read()
        finally:
            self.waiting = False


@contextmanager
def signals(wait: Waiting) -> Iterator[None]:
    """Let control-C, a hang-up or a request to end break in only while a line is waited for.

    Raises KeyboardInterrupt there.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def leave(number: int, _frame: object) -> None:
        wait.signalled = STOPPING[number]
        if wait.waiting:
            raise KeyboardInterrupt

    kept = {one: signal.signal(one, leave) for one in STOPPING}
    try:
        yield
    finally:
        for one, before in kept.items():
            signal.signal(one, before)
