"""The main job under each stand-in, process by process: what a maker on that system would type, and what it leaves."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import program
from tests.systems import WANTED

ROOT = Path(__file__).parents[2]
DEMO = Path("sessions/window-seat-cushion")
pytestmark = pytest.mark.skipif(WANTED in os.environ, reason="starts the stand-ins itself")


@pytest.fixture(params=["windows", "macos"])
def guide(request, tmp_path):
    """Start the program in a folder with the demo in it: `guide("follow", typed="q\\n")`, or held open."""
    (tmp_path / DEMO).mkdir(parents=True)
    shutil.copy(ROOT / DEMO / "project.yaml", tmp_path / DEMO)
    env = {
        "PATH": os.environ["PATH"], "HOME": str(tmp_path), "APPDATA": str(tmp_path / "data"), "PYTHONPATH": str(ROOT),
        WANTED: request.param,
    }  # fmt: skip

    def start(*argv):
        command = [sys.executable, *program(*argv)]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        return subprocess.Popen(command, cwd=tmp_path, env=env, **pipes)

    def call(*argv, typed="", code=0):
        run = start(*argv)
        out, err = (said.decode("utf-8") for said in run.communicate(typed.encode(), timeout=120))
        assert (run.returncode, "Traceback" in err) == (code, False), f"{argv}: {run.returncode}\n{out}{err}"
        return out, err

    call.start, call.folder = start, tmp_path / DEMO
    return call


def test_the_main_job_goes_through(guide):
    """Rehearsed; followed in plain lines, with signs that cp1252 has otherwise; taken up; logged; priced."""
    page = Path(guide("follow", str(DEMO), "--rehearse")[0].strip())
    assert "Make" in (guide.folder.parents[1] / page).read_text(encoding="utf-8")
    guide("follow", str(DEMO), "--plain", typed="\n\n\nn the iron at ½, \u201ecool\u201c \u263a\nq\n")
    (journal,) = guide.folder.glob("*.jsonl")
    events = read_journal(journal).events
    assert [event.what for event in events] == ["opened", "step_started", "piece_done", "piece_done", "noted", "paused"]
    assert events[4].text == "the iron at ½, \u201ecool\u201c \u263a"
    assert b"\r" not in journal.read_bytes()
    said, _ = guide("follow", str(DEMO), "--plain", typed="\nq\n")
    assert "Last: " in said
    assert fold(read_journal(journal).events).sitting == 2
    (written,) = re.findall(r"\S+\.html", guide("log", str(DEMO))[0])
    assert "\u201ecool\u201c \u263a" in (guide.folder.parents[1] / written).read_text(encoding="utf-8")
    assert "0.528 yd × 9.60" in guide("price", str(DEMO))[0]  # × is another byte in cp1252 than in UTF-8
    assert not (guide.folder.parents[1] / "data" / "fraywork").exists()  # no crash report


def test_a_session_open_in_one_window_is_read_and_refused_in_another(guide):
    """The lock keeps a second writer out (4) and no reader: the log is written while the session is open."""
    held = guide.start("follow", str(DEMO), "--plain")
    held.stdin.write(b"\n\n")
    held.stdin.flush()
    said = iter(held.stdout.readline, b"")
    assert any(b"done, the last in" in line for line in said), held.stderr.read()
    _, err = guide("follow", str(DEMO), "--plain", code=4)
    assert "open in another window" in err
    guide("log", str(DEMO))
    out, err = held.communicate(b"q\n", timeout=60)
    assert held.returncode == 0, err
    assert b"Make safe" in out
