"""Following in lines as a program: pipes, signals, no input; the session is always kept."""

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import program

ROOT = Path(__file__).parents[2]
PROJECT = Path("sessions/window-seat-cushion")


@pytest.fixture
def home(tmp_path):
    """A folder of the maker's with the demo project in it."""
    folder = tmp_path / PROJECT
    folder.mkdir(parents=True)
    shutil.copy(ROOT / PROJECT / "project.yaml", folder)
    return tmp_path


def start(home, *more, **pipes):
    environ = {"PATH": "/usr/bin:/bin", "HOME": str(home), "PYTHONPATH": str(ROOT), "LANG": "C.UTF-8", "TERM": "xterm"}
    command = [sys.executable, *program("follow", str(PROJECT), *more)]
    return subprocess.Popen(command, cwd=home, env=environ, encoding="utf-8", **pipes)


def run(home, typed, *more):
    program = start(home, *more, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    out, err = program.communicate(typed, timeout=60)
    return program.returncode, out, err


def records(home):
    return read_journal(next((home / PROJECT).glob("*.jsonl"))).events


def test_piped_keys_are_followed(home):
    """No terminal: whole lines without being asked for, and every line of keys is taken, however fast."""
    code, out, err = run(home, "\n\n\nn the iron was cold\nq\n")
    assert code == 0, err
    assert "\x1b" not in out + err
    assert "Traceback" not in err
    whats = [event.what for event in records(home)]
    assert whats == ["opened", "step_started", "piece_done", "piece_done", "noted", "paused"]
    assert fold(records(home)).doing == "stopped"


def test_a_session_is_taken_up_where_it_was_left(home):
    """The second run says what was done, and goes on in the same file."""
    run(home, "\n\nq\n")
    code, out, _ = run(home, "\nq\n")
    assert code == 0
    assert "Last: " in out
    assert "On the table: " in out
    assert len(list((home / PROJECT).glob("*.jsonl"))) == 1
    assert fold(records(home)).sitting == 2


def test_what_is_saved_is_said_once(home):
    """In lines the goodbye says it, and the command does not say it again."""
    code, out, err = run(home, "\nq\n")
    assert code == 0
    assert len(re.findall(r"records are saved", out)) == 1
    assert "saved" not in err
    assert (out + err).count("Go on with: ") == 1


def test_no_input_ends_well(home):
    """stdin from nowhere: exit 0, and the session is kept."""
    program = start(home, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    out, err = program.communicate(timeout=60)
    assert program.returncode == 0
    assert "The input has ended." in out
    assert "Traceback" not in err


@pytest.mark.parametrize(("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)])
def test_a_signal_stops_the_session_and_says_which(home, number, code):
    """Ended from outside in the middle of a piece: the stop is on disk, the exit status names the signal."""
    program = start(home, "--plain", stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    program.stdin.write("\n")
    program.stdin.flush()
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline:
        found = list((home / PROJECT).glob("*.jsonl"))
        if found and len(read_journal(found[0]).events) >= 2:
            break
        time.sleep(0.05)
    program.send_signal(number)
    _, err = program.communicate(timeout=30)
    assert program.returncode == code, err
    assert "Traceback" not in err
    assert records(home)[-1].why == "stop"


def test_a_reader_that_goes_away_is_no_error(home):
    """`… | head -1`: no traceback, and the stop is written."""
    program = start(home, "--plain", stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    program.stdout.readline()
    program.stdout.close()
    try:
        program.stdin.write("\n" * 200)
        program.stdin.close()
    except BrokenPipeError:
        pass
    program.wait(timeout=60)
    with program.stderr:
        err = program.stderr.read()
    assert "Traceback" not in err
    assert "Exception ignored" not in err
    assert records(home)[-1].what in {"paused", "closed"}


KILLS = 50 if os.environ.get("FRAYWORK_FULL") else 4


@pytest.mark.parametrize("seed", range(KILLS))
def test_a_kill_loses_nothing_that_was_said(home, seed):
    """kill -9 at a random moment while notes are typed: every note that was said to be noted is in the file."""
    dice = Random(seed)
    program = start(home, "--plain", stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    program.stdin.write("\n" + "".join(f"n remark {number}\n" for number in range(2_000)))
    program.stdin.flush()
    said, stop = 0, dice.randint(1, 400)
    while said < stop:
        line = program.stdout.readline()
        assert line, f"it ended by itself, with {program.wait(timeout=30)}, after {said} of {stop} notes"
        said += "Noted." in line
    program.kill()
    said += program.stdout.read().count("Noted.\n")
    program.wait(timeout=30)
    with suppress(BrokenPipeError):
        program.stdin.close()
    program.stdout.close()
    noted = [event.text for event in records(home) if event.what == "noted"]
    assert said <= len(noted)
    assert noted == [f"remark {number}" for number in range(len(noted))]
