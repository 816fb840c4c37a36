"""What Windows lacks, and what it has instead, as far as the program asks for it.

[source: Python's library reference, "Availability" of each name] for what is missing; [memory] of Microsoft's own for the rest.
"""

import ctypes
import errno
import fcntl
import os
import signal
import struct
import sys
import time
from types import SimpleNamespace

from tests.systems import REAL, module

PLATFORM, CODING = "win32", "cp1252"
MISSING = {
    os: [
        "O_CLOEXEC", "O_NOFOLLOW", "O_DIRECTORY", "O_NONBLOCK", "O_NOCTTY", "pread", "fchmod", "fchown", "chown", "tcgetpgrp",
    ],
    signal: ["SIGHUP", "SIGTSTP", "SIGQUIT"],
    time: ["clock_gettime", "clock_gettime_ns", *(name for name in dir(time) if name.startswith("CLOCK_"))],
}  # fmt: skip
OFD_GET, OFD_SET = 36, 37  # locks that belong to an open file, as all do on Windows [source: fcntl(2) of Linux]
BINARY = 0o100000_0000_0000  # a flag of no meaning on Linux: only that it was asked for is seen
ASKED = {"binary": 0, "text": 0}


def put_on() -> None:
    """Take away and put in, for all that is read after this."""
    os.O_BINARY = BINARY
    os.open = opened(os.open)
    os.replace, os.rename = not_over_an_open_file(REAL["replace"]), not_over_an_open_file(REAL["replace"])
    os.unlink = os.remove = not_an_open_file(REAL["unlink"])
    module("msvcrt", LK_NBLCK=2, LK_UNLCK=0, locking=locking)
    sys.modules["fcntl"] = sys.modules["pwd"] = None
    ctypes.windll = SimpleNamespace(kernel32=Kernel())
    for place, names in MISSING.items():
        for name in names:
            if hasattr(place, name):
                delattr(place, name)


def range_of(kind: int, start: int, size: int) -> bytes:
    return struct.pack("hhqqi4x", kind, os.SEEK_SET, start, size, 0)


def locking(fd: int, mode: int, size: int) -> None:
    """Lock or free bytes from where the file stands; another's are refused at once [source: Python, msvcrt.locking]."""
    kind = fcntl.F_UNLCK if mode == 0 else fcntl.F_WRLCK
    try:
        fcntl.fcntl(fd, OFD_SET, range_of(kind, os.lseek(fd, 0, os.SEEK_CUR), size))
    except OSError:
        raise PermissionError(errno.EACCES, "Permission denied") from None


def opened(real):
    """Open no folder, and no file whose bytes another has locked: a locked byte cannot be read there."""

    def asked(path, flags, mode=0o777, **more):
        ASKED["binary" if flags & BINARY else "text"] += 1
        if os.path.isdir(path):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        fd = real(path, flags & ~BINARY, mode, **more)
        found = fcntl.fcntl(fd, OFD_GET, range_of(fcntl.F_WRLCK, 0, max(os.fstat(fd).st_size, 1)))
        if struct.unpack_from("h", found)[0] != fcntl.F_UNLCK:
            os.close(fd)
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return fd

    return asked


def open_here(path) -> bool:
    """Whether this process has a file open."""
    try:
        wanted = REAL["stat"](path)
    except OSError:
        return False
    for fd in REAL["listdir"]("/proc/self/fd"):
        try:
            there = os.fstat(int(fd))
        except OSError:
            continue
        if (there.st_dev, there.st_ino) == (wanted.st_dev, wanted.st_ino):
            return True
    return False


def not_over_an_open_file(real):
    """Neither the file that is moved nor the one in its way may be open."""

    def asked(new, place, **more):
        if open_here(new) or open_here(place):
            raise PermissionError(errno.EACCES, "Access is denied", str(new), None, str(place))
        return real(new, place, **more)

    return asked


def not_an_open_file(real):
    """An open file is not deleted."""

    def asked(path, **more):
        if sys._getframe(1).f_globals["__name__"] == "tempfile":  # there it asks for files that go when closed
            return real(path, **more)
        if more.get("dir_fd") is None and open_here(path):
            raise PermissionError(errno.EACCES, "The process cannot access the file", str(path))
        return real(path, **more)

    return asked


class Kernel:
    """The clocks and drives of Windows' library."""

    def __init__(self):
        self.GetTickCount64 = Ticks()

    def QueryUnbiasedInterruptTime(self, into) -> int:
        into._obj.value = time.monotonic_ns() // 100
        return 1

    def GetDriveTypeW(self, anchor: str) -> int:
        return 4 if anchor == "N:\\" else 3


class Ticks:
    """Milliseconds since the start."""

    restype = None

    def __call__(self) -> int:
        return time.monotonic_ns() // 1_000_000
