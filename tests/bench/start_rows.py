"""How soon the first screen of `guide follow` is there, and what years of sessions cost to look back on."""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path

from tests.bench.plan_rows import DEMO, LIBRARIES, python, seconds
from tests.bench.row import Row, sized

EVENTS = 300


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


@cache
def one_session() -> bytes:
    """Give the bytes of one invented session of 300 records, written by the journal itself."""
    from guide.record.journal import Journal
    from tests.fakes import FakeClock

    clock = FakeClock()
    with tempfile.TemporaryDirectory() as folder:
        journal = Journal.create(Path(folder) / "2026-03-01.jsonl")
        journal.append(
            {"what": "opened", "format": 1, "mode": "real", "title": "Invented", "project": "x: 1"}, clock.read()
        )
        step = 0
        while len(journal.events) < EVENTS:
            step += 1
            journal.append({"what": "step_started", "step": f"quilt/s{step}"}, clock.read())
            for _ in range(11):
                clock.run(60)
                journal.append({"what": "piece_done", "step": f"quilt/s{step}", "count": 1}, clock.read())
            clock.run(60)
            journal.append({"what": "step_done", "step": f"quilt/s{step}", "count": 1}, clock.read())
        journal.close()
        return journal.path.read_bytes()


def years(root: Path, count: int) -> None:
    """Lay sessions out below a root: one file's bytes under many names, ten to a project."""
    first = root / "first.bytes"
    first.write_bytes(one_session())
    for number in range(count):
        folder = root / f"p{number // 10}"
        folder.mkdir(exist_ok=True)
        os.link(first, folder / f"2026-03-{number % 10 + 1:02d}.jsonl")


def look_back(count: int) -> tuple[float, float]:
    """Run `guide history` over so many sessions in a process of its own: (CPU s, peak memory MB)."""
    with tempfile.TemporaryDirectory() as folder:
        years(Path(folder), count)
        code = (
            "import sys\nfrom pathlib import Path\nfrom guide.cli import run\n"
            f"ended = run(['history', {folder!r}, '--by', 'project'])\n"
            # its own peak: the one the system keeps of children is the greatest of all there ever were
            "print(Path('/proc/self/status').read_text(), file=sys.stderr)\n"
            "raise SystemExit(ended)"
        )
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        peak_kb = next(int(line.split()[1]) for line in done.stderr.splitlines() if line.startswith(b"VmHWM"))
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, peak_kb / 1024


def rows() -> list[Row]:
    """Give the rows of first screen and history."""
    many = sized(10_000, 20)
    libraries = "importing the libraries and a unit registry"
    return [
        Row("first screen of guide follow, cold", libraries, lambda: (first_screen(), seconds(python(LIBRARIES))), 1.5),
        Row(
            f"history, CPU of one session of {EVENTS} events among 10,000",
            "of one among a thousand",
            lambda: (look_back(many)[0] / many, look_back(many // 10)[0] / (many // 10)),
            1.3,
            work=lambda n: look_back(n)[0],
            unit=100,
        ),
        Row("history of 10,000 sessions, peak memory in MB", "300 MB", lambda: (look_back(many)[1], 300.0), 1),
    ]
