"""How soon the first screen of `guide follow` is there."""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.plan_rows import DEMO, LIBRARIES, python, seconds
from tests.bench.row import Row


def first_screen() -> float:
    """Time from the command to its first screen on a terminal of its own, s."""
    import pexpect

    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(Path(DEMO) / "project.yaml", folder)
        env = {**os.environ, "TERM": "xterm-256color", "PROMPT_TOOLKIT_NO_CPR": "1", "FRAYWORK_HOME": folder}
        code = f"from guide.cli import run; raise SystemExit(run(['follow', {folder!r}]))"
        start = time.perf_counter()
        child = pexpect.spawn(sys.executable, ["-c", code], env=env, dimensions=(24, 80), timeout=20)
        child.expect("keys")
        took = time.perf_counter() - start
        child.send("q")
        child.close(force=True)
        return took


def rows() -> list[Row]:
    """Give the row of the first screen."""
    libraries = "importing the libraries and a unit registry"
    return [
        Row("first screen of guide follow, cold", libraries, lambda: (first_screen(), seconds(python(LIBRARIES))), 1.5)
    ]
