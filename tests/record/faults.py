"""An `os` whose calls fail on demand, and a strace that makes the real ones fail."""

import errno
import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

from guide import system
from guide.record import journal as journal_module

FULL = bool(os.environ.get("FRAYWORK_FULL"))
WRITER = Path(__file__).with_name("writer.py")


class FaultyOs:
    """Like `os`, but the Nth call of one function fails, once or from then on."""

    def __init__(self, call: str, nth: int, code: int, *, lasting: bool, partly: int = 0):
        self.call, self.nth, self.code, self.lasting, self.partly = call, nth, code, lasting, partly
        self.calls = 0

    def __getattr__(self, name):
        real = getattr(os, name)
        if name != self.call:
            return real

        def failing(*args, **kwargs):
            self.calls += 1
            if self.calls == self.nth or (self.lasting and self.calls > self.nth):
                if name == "write" and self.partly:
                    real(args[0], args[1][: self.partly])
                raise OSError(self.code, os.strerror(self.code))
            return real(*args, **kwargs)

        return failing


CODES = (errno.ENOSPC, errno.EIO, errno.EROFS, errno.EDQUOT)


@cache
def strace() -> str | None:
    """The path of a strace that may trace; None when there is none."""
    found = shutil.which("strace")
    if not found:
        return None
    tried = subprocess.run([found, "-qq", "-o", os.devnull, "true"], capture_output=True, check=False)
    return found if tried.returncode == 0 else None


def traced(path: Path, count: int, inject: str, call: str) -> subprocess.CompletedProcess:
    """Run the writer with faults put into one kind of call on the journal."""
    command = [
        strace(),
        "-qq",
        "-o",
        os.devnull,
        "-P",
        str(path),
        "-e",
        f"trace={call}",
        "-e",
        f"inject={call}:{inject}",
    ]
    return subprocess.run(
        [*command, sys.executable, str(WRITER), str(path), str(count)],
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )


def acknowledged(out: str) -> list[int]:
    """The numbers the writer said were saved."""
    return [int(line) for line in out.splitlines() if line.isdigit()]


def faulty(monkeypatch, world) -> None:
    """Put another `os` in the place of the one that the journal writes through, and what it asks of the system."""
    for module in (journal_module, system):
        monkeypatch.setattr(module, "os", world)
