"""How quick a plan and the commands are, against what they cannot do without."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path

from tests.bench.row import Row, sized

ROOT = Path(__file__).parent.parent.parent
DEMO = str(ROOT / "sessions" / "window-seat-cushion")
LIBRARIES = "import prompt_toolkit, prompt_toolkit.application, pint, jinja2, yaml, click; pint.UnitRegistry()"


def seconds(argv: list[str]) -> float:
    """Time a whole process, s of wall clock."""
    start = time.perf_counter()
    subprocess.run(argv, check=True, capture_output=True, cwd=ROOT, env={**os.environ, "PYTHONDONTWRITEBYTECODE": ""})
    return time.perf_counter() - start


def command(*argv: str) -> list[str]:
    """Give the argv of one of our commands."""
    return [sys.executable, "-c", f"from guide.cli import run; raise SystemExit(run({list(argv)!r}))"]


def python(code: str) -> list[str]:
    """Give the argv of some Python."""
    return [sys.executable, "-c", code]


def against(ours: list[str], other: list[str]) -> Callable[[], tuple[float, float]]:
    """Time two processes in turn, a few times; the middle of each, for one alone may meet whatever else starts."""

    def measure() -> tuple[float, float]:
        pairs = [(seconds(ours), seconds(other)) for _ in range(sized(7, 1))]
        return statistics.median(mine for mine, _ in pairs), statistics.median(its for _, its in pairs)

    return measure


@cache
def planner():
    """Load the demo once."""
    from guide.plan.make import make_plan
    from guide.read.places import open_project

    here = open_project(Path(DEMO), os.environ)
    return here, make_plan


def plans(count: int) -> float:
    """Plan the demo with layout and cutting so many times, s of processor time."""
    here, make_plan = planner()
    start = time.process_time()
    for _ in range(count):
        make_plan(here.project, here.language)
    return time.process_time() - start


def one_plan() -> tuple[float, float]:
    """Processor seconds of one plan in a row of them, and the limit."""
    count = sized(30, 1)
    return plans(count) / count, 0.020


def rows() -> list[Row]:
    """Give the rows of planning and starting."""
    libraries = "importing the libraries and a unit registry"
    return [
        Row("guide --version", "python -c 'import click'", against(command("--version"), python("import click")), 1.3),
        Row("guide plan of the demo, cold", libraries, against(command("plan", DEMO), python(LIBRARIES)), 1.0),
        Row("a cushion planned, layout and cutting", "20 ms", one_plan, 1, work=plans, unit=10),
    ]
