"""Does a page beside the machine, or an attack on it, hold up a key?

Key to record is the time of a press in the session's own process, decided, synced and told to the page.
"""

import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from types import SimpleNamespace

from tests.bench.row import Row, sized
from tests.beside.served import TOKEN, Page, Served
from tests.beside.test_page import BEYOND_BOUNCES_S, Sitting
from tests.terminal.pty_term import ROOT


def _p95(took: list[float]) -> float:
    return statistics.quantiles(took, n=20)[18] if len(took) > 1 else took[0]


def _pressed(served: Served, count: int) -> list[float]:
    """Count pieces and take them back, a press every twentieth of a second."""
    took = []
    for turn in range(count):
        time.sleep(0.05)
        took += served.press("u" if turn % 2 else "space")
    return took


def _followed() -> tuple[float, float]:
    """From a key to what the twentieth page that looks on is sent, and to the terminal's own repaint."""
    with tempfile.TemporaryDirectory() as folder:
        sitting = Sitting(Path(folder))
        try:
            at = SimpleNamespace(port=sitting.port, pages=sitting.pages)
            pages = [Page(at, token=sitting.token) for _ in range(20)]
            sitting.send(" ", "step 1 of")
            painted, followed = [], []
            for turn in range(sized(60, 2)):
                sitting.term.pump(BEYOND_BOUNCES_S)
                key, number = ((b"f", "looking at step 2"), (b" ", "step 1"))[turn % 2]
                begun = time.perf_counter()
                os.write(sitting.term.child.child_fd, key)
                drawn = os.read(sitting.term.child.child_fd, 65536)
                painted.append(time.perf_counter() - begun)
                pages[-1].until(lambda view, number=number: view["number"].startswith(number))
                followed.append(time.perf_counter() - begun)
                sitting.term.raw += drawn
                sitting.term.stream.feed(drawn)
            return _p95(followed), _p95(painted)
        finally:
            sitting.close()


def _under_attack() -> tuple[float, float]:
    """The same presses while 2,000 connections dawdle and four send a hundred megabytes again and again, in turn."""
    with tempfile.TemporaryDirectory() as folder:
        served = Served(Path(folder))
        asked = [sys.executable, "-m", "tests.beside.attack", str(served.port), TOKEN, str(sized(2000, 50))]
        attack = subprocess.Popen(asked, cwd=ROOT)
        try:
            page = Page(served)
            served.through("Sew the cross")
            time.sleep(sized(3, 1))  # it has come to strength
            attacked: list[float] = []
            alone: list[float] = []
            for _ in range(sized(12, 1)):
                attack.send_signal(signal.SIGCONT)
                time.sleep(0.3)
                attacked += _pressed(served, sized(24, 2))
                attack.send_signal(signal.SIGSTOP)
                time.sleep(0.3)
                alone += _pressed(served, sized(24, 2))
            page.until(lambda view: view["moves"] == served.session.moves)
            return _p95(attacked), _p95(alone)
        finally:
            attack.kill()
            attack.wait()
            served.close()


def _with_a_page() -> tuple[float, float]:
    """Presses that three pages follow, and the same with none served: what laying it down for them costs."""
    with tempfile.TemporaryDirectory() as folder:
        served = Served(Path(folder))
        tell = served.beside.tell
        try:
            pages = [Page(served) for _ in range(3)]
            served.through("Sew the cross")
            shown: list[float] = []
            alone: list[float] = []
            for _ in range(sized(8, 1)):
                served.beside.tell = tell
                shown += _pressed(served, sized(24, 2))
                served.beside.tell = lambda *_: None
                alone += _pressed(served, sized(24, 2))
            served.beside.tell = tell
            assert len(pages) == 3
            return _p95(shown), _p95(alone)
        finally:
            served.close()


def rows() -> list[Row]:
    """The lines of the bench."""
    return [
        Row("key to the twentieth page, p95", "key to the terminal's repaint", _followed, 10),
        Row("key to record under attack, p95", "without, the same run", _under_attack, 1.25),
        Row("key to record with three pages, p95", "with none", _with_a_page, 1.5),
    ]
