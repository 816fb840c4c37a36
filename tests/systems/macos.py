"""What macOS lacks, and what it has instead, as far as the program asks for it. [memory] of its manual pages."""

import ctypes
import errno
import fcntl
import os
import sys
import time
from types import SimpleNamespace

from tests.systems import module

PLATFORM, CODING = "darwin", ""
FULL_SYNC = 51  # F_FULLFSYNC
NO_FULL_SYNC: set[int] = set()  # devices that cannot be asked
ASKED = {"in full": 0}
UUID = b"6B29FC40-CA47-1067-B31D-00DD010662DA"  # an invented one
UPTIME, RAW = 8, 4


def put_on() -> None:
    """Take away and put in, for all that is read after this."""
    real, clock = vars(fcntl), time.clock_gettime_ns

    def asked(fd, what, *more):
        if what != FULL_SYNC:
            return fcntl.fcntl(fd, what, *more)
        if os.fstat(fd).st_dev in NO_FULL_SYNC:
            raise OSError(errno.ENOTSUP, "Operation not supported")
        ASKED["in full"] += 1
        sys.modules["guide.system"].os.fsync(fd)  # faults that a test puts in come through
        return 0

    module("fcntl", **{**real, "fcntl": asked, "F_FULLFSYNC": FULL_SYNC})
    for name in [name for name in dir(time) if name.startswith("CLOCK_BOOT")]:
        delattr(time, name)
    time.CLOCK_UPTIME_RAW, time.CLOCK_MONOTONIC_RAW = UPTIME + 100, RAW + 100
    time.clock_gettime_ns = lambda which: time.monotonic_ns() if which > 100 else clock(which)
    real_library = ctypes.CDLL
    ctypes.CDLL = lambda name, *args, **kwargs: (
        SimpleNamespace(sysctlbyname=sysctlbyname) if name is None else real_library(name, *args, **kwargs)
    )


def sysctlbyname(name, text, size, _new, _length) -> int:
    if name != b"kern.bootsessionuuid":
        return -1
    text.value = UUID
    size._obj.value = len(UUID) + 1
    return 0
