"""What years of sessions cost: history and paces against reading and folding each session once, and their memory."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from guide.commands.times import paces_of_all
from guide.record.fold import fold
from guide.record.history import history
from guide.record.journal import read_journal
from guide.record.sessions import sessions_below
from tests.bench.money_rows import journal
from tests.bench.row import Row, best_s, in_turn, sized

EVENTS = 250  # of a session, as the demo's cushion has


def _lay(root: Path, sessions: int) -> None:
    """Write so many invented sessions, a day after another, of four projects."""
    for number in range(sessions):
        folder = root / f"project-{number % 4}"
        folder.mkdir(exist_ok=True)
        journal(
            folder / f"{2026 + number // 336}-{number // 28 % 12 + 1:02d}-{number % 28 + 1:02d}.jsonl", number, EVENTS
        )


def _folded(root: Path) -> None:
    for path in sessions_below(root):
        fold(read_journal(path).events)


def _added(root: Path) -> None:
    history(sessions_below(root))


def _against_folding(work: Callable[[Path], object]) -> tuple[float, float]:
    with TemporaryDirectory() as folder:
        _lay(Path(folder), sized(1000, 3))
        return in_turn(lambda: work(Path(folder)), lambda: _folded(Path(folder)), turns=2)


def _cost_s(work: Callable[[Path], object], sessions: int) -> float:
    with TemporaryDirectory() as folder:
        _lay(Path(folder), sessions)
        return best_s(lambda: work(Path(folder)), 2)


def _peak_mb(command: str) -> float:
    """The most memory that looking back on 10,000 sessions takes, in a process of its own."""
    with TemporaryDirectory() as folder:
        _lay(Path(folder), sized(10_000, 4))
        code = (
            "import sys\nfrom pathlib import Path\nfrom guide.cli import run\n"
            f"ended = run([{command!r}, {folder!r}])\n"
            # its own peak: the one the system keeps of children is the greatest of all there ever were
            "print(Path('/proc/self/status').read_text(), file=sys.stderr)\n"
            "raise SystemExit(ended)"
        )
        done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)
        return next(int(line.split()[1]) for line in done.stderr.splitlines() if line.startswith(b"VmHWM")) / 1024


def rows() -> list[Row]:
    """What the bench prints about many sessions; what grows is their number."""
    folding = "reading and folding them once"
    return [
        Row(
            "history of 1,000 sessions", folding, lambda: _against_folding(_added), 1.5,
            work=lambda n: _cost_s(_added, n), unit=10,
        ),
        Row(
            "paces of 1,000 sessions", folding, lambda: _against_folding(paces_of_all), 1.6,
            work=lambda n: _cost_s(paces_of_all, n), unit=10,
        ),
        *(
            Row(f"{name} of 10,000 sessions, peak memory in MB", "300 MB", lambda name=name: (_peak_mb(name), 300.0), 1)
            for name in ("history", "paces")
        ),
    ]  # fmt: skip
