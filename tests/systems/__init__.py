"""Two stand-ins for systems that are not at hand: what they lack is taken away, what they have is put in.

What they show is that the program asks for nothing that is missing there and takes what is there; they are no proof
that the real system keeps what its documentation says. Each must be put on before `guide` is read.
"""

import builtins
import importlib
import io
import os
import sys
from collections.abc import Callable
from types import ModuleType

WANTED = "FRAYWORK_STAND_IN"  # windows or macos; a process started by a test puts on the same

REAL = {name: getattr(os, name) for name in ("open", "stat", "lstat", "readlink", "listdir", "replace", "unlink")}
LIBRARIES = (
    "asyncio",
    "click",
    "ctypes",
    "prompt_toolkit.application",
    "shutil",
    "subprocess",
    "tempfile",
)  # look first


def put_on(name: str, *, streams: bool = True) -> None:
    """Make this process look like another system to a program that is not yet read; its streams too, unless pytest's."""
    if "guide" in sys.modules:
        raise RuntimeError("the program was read before its system was changed")
    os.environ[WANTED] = name
    if name == "windows":
        from tests.systems import windows as system
    else:
        from tests.systems import macos as system
    for library in LIBRARIES:
        importlib.import_module(library)
    with_platform = sys.platform
    hide_proc()
    system.put_on()
    for stream in (sys.stdin, sys.stdout, sys.stderr) if streams and system.CODING else ():
        stream.reconfigure(encoding=system.CODING, errors="strict")
    sys.platform = system.PLATFORM
    try:
        import guide.system  # noqa: F401 - it looks at the platform now; every other library has looked before
    finally:
        sys.platform = with_platform


def hide_proc() -> None:
    """There is no /proc, whoever asks by a path."""

    def hiding(real: Callable) -> Callable:
        def asked(path, *args, **kwargs):
            if not isinstance(path, int) and os.fspath(path).startswith("/proc"):
                raise FileNotFoundError(2, os.strerror(2), path)
            return real(path, *args, **kwargs)

        return asked

    for name in ("open", "stat", "lstat", "readlink", "listdir"):
        setattr(os, name, hiding(REAL[name]))
    builtins.open = io.open = hiding(io.open)


def as_wanted() -> None:
    """Put on what the environment says, in a process that a test started; nothing when it says nothing."""
    if name := os.environ.get(WANTED):
        put_on(name)


def module(name: str, **members: object) -> ModuleType:
    """Give a module of our own making, for every later import of that name."""
    made = ModuleType(name)
    vars(made).update(members)
    sys.modules[name] = made
    return made
