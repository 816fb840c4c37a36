"""The screen on a real pseudo-terminal: keys, signals, the shell's job control, sizes, a slow disk, a sudden end."""

import os
import random
import re
import shutil
import signal
import time

import pytest

from guide.record.fold import fold
from guide.record.journal import read_journal
from tests.fakes import BEGUN, program
from tests.terminal.pty_term import ROOT, Term
from tests.terminal.rig import KEYS

pytestmark = pytest.mark.terminal
FULL = bool(os.environ.get("FRAYWORK_FULL"))
RUNNER = ["-m", "tests.terminal.runner", str(BEGUN)]


@pytest.fixture
def start(tmp_path):
    """Start the screen on a journal in a folder of its own; everything started is ended afterwards."""
    begun = []

    def begin(*more, cols=80, rows=24, name="j.jsonl", **given):
        term = Term([*RUNNER, str(tmp_path / name), *more], cols=cols, rows=rows, **given)
        begun.append(term)
        return term

    yield begin
    for term in begun:
        term.close()


def whats(tmp_path, name="j.jsonl"):
    """The kinds of the events on the disk."""
    return [event.what for event in read_journal(tmp_path / name).events]


def at_the_strips(term):
    """Through the first step, to the strips that are counted."""
    term.wait("space start").send(" ").wait("step 1 of 22").send("a").wait("cloth ●").send(" ").wait("0 of 7")
    return term


def test_start_count_undo_and_quit(start, tmp_path):
    """The whole way by keys; the terminal is given back whole, with exit status 0."""
    term = at_the_strips(start("--no-guard"))
    term.send(" ").wait("1 of 7").send("3 ").wait("4 of 7").send("u").wait("1 of 7").send("q")
    assert term.exit_code() == 0
    assert all(term.whole().values()), term.whole()
    assert whats(tmp_path)[-4:] == ["piece_done", "piece_done", "voided", "paused"]
    assert "Make safe: foot off the pedal" in term.text


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130), ("\x03", 130)]
)
def test_a_signal_stops_the_session_and_gives_the_terminal_back(start, tmp_path, number, code):
    """Stopped from outside, or by Ctrl-C: the stop is recorded, the screen is whole, the status says which."""
    term = at_the_strips(start("--no-guard"))
    term.send("n").wait("Note").send("half a thou")
    if isinstance(number, str):
        term.send(number)
    else:
        term.child.kill(number)
    assert term.exit_code() == code
    assert all(term.whole().values()), term.whole()
    assert whats(tmp_path)[-1] == "paused"
    assert read_journal(tmp_path / "j.jsonl").events[-1].why == "stop"
    assert b"Traceback" not in term.raw


def test_a_window_that_is_closed_loses_nothing(start, tmp_path):
    """The terminal is gone: the stop is recorded and the program ends with 129."""
    term = at_the_strips(start("--no-guard"))
    term.send(" ").wait("1 of 7")
    term.child.ptyproc.fileobj.close()
    end = time.monotonic() + 8
    while time.monotonic() < end:
        gone, status = os.waitpid(term.child.pid, os.WNOHANG)
        if gone:
            break
        time.sleep(0.02)
    term.child.ptyproc.terminated = True
    assert gone, "still running without a terminal"
    assert os.waitstatus_to_exitcode(status) == 129
    assert whats(tmp_path)[-2:] == ["piece_done", "paused"]


def test_to_the_shell_and_back(start, tmp_path):
    """Ctrl-Z leaves the alternate screen, `fg` draws the step again, and the time away is a gap, not work."""
    term = Term(["--norc", "-i"], command="/bin/bash", env={"PS1": "shell$ "})
    try:
        term.wait("shell$").send(
            f"{os.sys.executable} -m tests.terminal.runner {BEGUN} {tmp_path / 'j.jsonl'} --no-guard\n"
        )
        at_the_strips(term)
        term.send("\x1a").wait("Stopped")
        assert term.raw.rfind(b"\x1b[?1049l") > term.raw.rfind(b"\x1b[?1049h")
        time.sleep(0.3)
        term.send("fg\n").wait("0 of 7").send(" ").wait("1 of 7").send("q").wait("left with 0")
        assert whats(tmp_path)[-2:] == ["piece_done", "paused"]
    finally:
        term.close()


def test_resized_to_one_cell_and_back(start):
    """Down to 1 by 1 and up to 120 by 40: never a crash, and the step is there again."""
    term = at_the_strips(start("--no-guard"))
    for cols, rows in ((40, 12), (20, 4), (1, 1), (2, 60), (120, 40)):
        term.resize(cols, rows)
        term.pump(0.15)
        assert term.child.isalive()
    term.wait("0 of 7 strips")
    term.resize(80, 24)
    term.send(" ").wait("1 of 7 strips").send("q")
    assert term.exit_code() == 0
    assert b"Traceback" not in term.raw


def test_nothing_is_shown_before_it_is_on_the_disk(start, tmp_path):
    """With every sync slowed to 0.3 s the count on the screen never runs ahead of the syncs that came back."""
    marks = tmp_path / "j.jsonl.synced"
    term = start("--no-guard", "--slow", "0.3")
    term.wait("space start").send(" ").wait("step 1 of 22").send("a").wait("cloth ●").send(" ").wait("0 of 7")
    term.pump(0.1)
    before = marks.stat().st_size
    term.send("  ")
    seen, end = set(), time.monotonic() + 5
    while 2 not in seen and time.monotonic() < end:
        term.pump(0.02)
        shown = re.search(r"(\d) of 7", term.text)
        if shown:
            seen.add(int(shown[1]))
            assert marks.stat().st_size - before >= int(shown[1])
    assert seen >= {0, 2}
    term.send("q")
    assert term.exit_code() == 0


@pytest.mark.parametrize(("env", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False)])
def test_without_colour_the_screen_says_the_same(start, env, coloured):
    """NO_COLOR: not one colour code, and every word, needle and caution still there. [source] no-color.org

    The ground is said, since this terminal answers nothing: text on an unknown ground is in the terminal's own colour.
    """
    term = at_the_strips(start("--no-guard", "--dark", env=env))
    assert bool(re.search(rb"\x1b\[[0-9;]*[34][0-8](;5;\d+)?[0-9;]*m", term.raw)) == coloured
    assert "⟩ ┄ ┄ ┄ ┄ ┄ ┄    0 of 7 strips" in term.text
    assert "▲ Blade shut after every cut." in term.text


@pytest.mark.parametrize("seed", range(50 if FULL else 3))
def test_a_sudden_end_loses_nothing_that_was_shown(start, tmp_path, seed):
    """Killed at any moment: every piece the screen ever showed is in the journal, and the next start goes on."""
    rng = random.Random(seed)
    term = at_the_strips(start("--no-guard"))
    shown, end = 0, time.monotonic() + rng.uniform(0.05, 0.4)
    while time.monotonic() < end and shown < 6:
        term.send(" ")
        term.pump(rng.uniform(0.01, 0.05))
        found = re.search(r"(\d) of 7", term.text)
        shown = max(shown, int(found[1]) if found else 0)
    term.child.kill(signal.SIGKILL)
    term.pump(0.2)
    found = re.search(r"(\d) of 7", term.text)
    shown = max(shown, int(found[1]) if found else 0)
    term.exit_code()
    record = fold(read_journal(tmp_path / "j.jsonl").events)
    assert record.step("cut/strips").pieces_done >= shown
    again = start("--no-guard")
    again.wait("Welcome back").send("q")
    assert again.exit_code() == 0


def test_a_random_walk_on_a_terminal(start, tmp_path):
    """Keys at random, and a resize now and then: no traceback, and what the file holds is a session."""
    rng = random.Random(7)
    term = start("--no-guard").wait("space start")
    for press in range(500 if FULL else 150):
        term.send(rng.choice([key for key in KEYS if key != "q"]))
        term.pump(0.02 if press % 5 else 0.06)
        if press % 40 == 39:
            term.resize(*rng.choice([(80, 24), (40, 12), (120, 40), (1, 1)]))
        if not term.child.isalive():
            assert term.exit_code() == 0
            term = start("--no-guard")
            term.pump(0.5)
    term.resize(80, 24)
    term.pump(0.5)
    term.child.kill(signal.SIGTERM)
    assert term.exit_code() in {143, 0}
    assert b"Traceback" not in term.raw
    assert fold(read_journal(tmp_path / "j.jsonl").events).count > 10


def test_guide_follow_opens_the_screen_and_takes_the_session_up_again(tmp_path):
    """The command itself, on the shipped example: begin, stop, come back; the status is 0 and the place is kept."""
    project = tmp_path / "cushion"
    project.mkdir()
    shutil.copy(ROOT / "sessions" / "window-seat-cushion" / "project.yaml", project)
    term = Term(program("follow", str(project)), env={"FRAYWORK_HOME": str(tmp_path / "home")})
    try:
        term.wait("space start", 20).send(" ").wait("step 1 of").send("q")
        assert term.exit_code() == 0
        assert all(term.whole().values())
        assert "everything so far is saved" in term.text
    finally:
        term.close()
    again = Term(program("follow", str(project)), cols=40, rows=12, env={"FRAYWORK_HOME": str(tmp_path / "home")})
    try:
        again.wait("Welcome back", 20).send(" ").wait("Press and straighten the cloth").send("\x03")
        assert again.exit_code() == 130
    finally:
        again.close()


def test_a_pedal_key_that_is_none_opens_no_session(tmp_path):
    """`guide follow --pedal foot` is wrong use, status 2, and leaves no journal behind."""
    project = tmp_path / "cushion"
    project.mkdir()
    shutil.copy(ROOT / "sessions" / "window-seat-cushion" / "project.yaml", project)
    term = Term(program("follow", str(project), "--pedal", "foot"), env={"FRAYWORK_HOME": str(tmp_path / "home")})
    try:
        assert term.exit_code(20) == 2
        assert "no key" in term.text
        assert [path.name for path in project.iterdir()] == ["project.yaml"]
    finally:
        term.close()
