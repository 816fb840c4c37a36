"""The stand-ins from a shell.

python -m tests.systems                         both, over the journal's tests and those of the door that writes pages
python -m tests.systems windows pytest TESTS    some tests under one of them
python -m tests.systems macos guide plan …      the program under one of them, by a clock of ours
"""

import os
import runpy
import subprocess
import sys
import time
from pathlib import Path

from tests.systems import WANTED

NAMES = ("windows", "macos")
TESTS = ("tests/systems", "tests/record", "tests/show/test_pages_write.py")


def both() -> int:
    """Run both side by side; say how many tests each ran, and which it could not and why."""
    begun, argv = time.monotonic(), ["pytest", "-q", "-rs", "-p", "no:cacheprovider", "-m", "not terminal", *TESTS]
    runs = {
        name: subprocess.Popen(
            [sys.executable, "-m", "tests.systems", name, *argv], stdout=subprocess.PIPE, encoding="utf-8"
        )
        for name in NAMES
    }
    said = {name: run.communicate()[0] for name, run in runs.items()}
    for name, out in said.items():
        ended = [line for line in out.splitlines() if line and line.strip(".sFEx []%0123456789")]
        print(f"as {name}:", *(ended if runs[name].returncode == 0 else [out]), sep="\n  ")
    print(
        f"{time.monotonic() - begun:.0f} s together; what needs a terminal of its own is left out (-m 'not terminal')"
    )
    return max(run.returncode for run in runs.values())


def main() -> int:
    if len(sys.argv) == 1:
        return both()
    _, name, what, *argv = sys.argv
    if what == "pytest":
        import pytest

        os.environ[WANTED] = name
        return pytest.main(["-p", "tests.systems.trying", *argv])
    os.environ[WANTED] = name
    clocked = Path(__file__).parent.parent / "clocked.py"
    sys.argv = [str(clocked), str(time.monotonic_ns()), *argv]
    runpy.run_path(str(clocked), run_name="__main__")
    return 0


if __name__ == "__main__":
    sys.exit(main())
