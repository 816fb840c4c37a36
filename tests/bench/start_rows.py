"""How soon a command answers: processor time over what importing its libraries alone takes, and the first screen.

Processor time, the best of some turns, because that hardly depends on what else a computer does.
"""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.bench.plan_rows import DEMO, LIBRARIES, ROOT, python, seconds
from tests.bench.row import Row, sized

DATA = "click, yaml, msgspec"  # what every command that reads a project cannot do without
PAGE = f"{DATA}, jinja2"
SCREEN = f"prompt_toolkit, prompt_toolkit.application, {DATA}"


def used_s(argv: list[str]) -> float:
    """Processor seconds of a whole process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    env = {**os.environ, "PYTHONDONTWRITEBYTECODE": ""}
    subprocess.run(argv, check=True, capture_output=True, cwd=ROOT, env=env)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def screen(argv: list[str], wait_for: str) -> tuple[float, float]:
    """Time a program on a terminal of its own until it shows a word: s on the clock, s of processor time."""
    import pexpect

    env = {**os.environ, "TERM": "xterm-256color", "PROMPT_TOOLKIT_NO_CPR": "1", "PYTHONDONTWRITEBYTECODE": ""}
    with tempfile.TemporaryDirectory() as folder:
        env["FRAYWORK_HOME"] = folder
        project = Path(folder) / "sessions" / "seat"  # whose sessions are all that lie beside it
        project.mkdir(parents=True)
        shutil.copy(Path(DEMO) / "project.yaml", project)
        start = time.perf_counter()
        child = pexpect.spawn(argv[0], [*argv[1:], str(project)], env=env, dimensions=(24, 80), timeout=60, cwd=ROOT)
        child.expect(wait_for)
        took = time.perf_counter() - start
        used = processor_s(child.pid)
        child.send("q")
        child.close(force=True)
        return took, used


def processor_s(pid: int) -> float:
    """Processor seconds of a running process so far, as Linux tells them."""
    told = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def guide(*argv: str) -> list[str]:
    """The program as it is started."""
    return [sys.executable, "-c", "from guide.cli import main; main()", *argv]


def over(ours: Callable[[], float], libraries: str) -> Callable[[], tuple[float, float]]:
    """Measure in turn ours and importing the libraries; the best of each."""

    def measure() -> tuple[float, float]:
        turns = [(ours(), used_s(python(f"import {libraries}"))) for _ in range(sized(7, 1))]
        return min(mine for mine, _ in turns), min(its for _, its in turns)

    return measure


def rows() -> list[Row]:
    """Give the rows of starting."""
    journal = str(next((ROOT / "sessions").rglob("*.jsonl")))
    commands = (
        ("plan", guide("plan", DEMO), DATA, 3.2),
        ("log", guide("log", journal, "-o", "-"), PAGE, 3.2),
        ("checklist", guide("checklist", DEMO, "-o", "-"), PAGE, 3.2),
    )
    return [
        Row(
            "first screen of guide follow, cold",
            "importing the libraries and a unit registry",
            lambda: (screen(guide("follow"), "keys")[0], seconds(python(LIBRARIES))),
            1.5,
        ),
        *(
            Row(
                f"processor time of guide {name}",
                f"importing {libraries}",
                over(lambda a=argv: used_s(a), libraries),
                most,
            )
            for name, argv, libraries, most in commands
        ),
        Row(
            "processor time of the first screen",
            "importing prompt_toolkit, click, yaml, msgspec",
            over(lambda: screen(guide("follow"), "keys")[1], SCREEN),
            1.6,
        ),
    ]
