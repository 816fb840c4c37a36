"""Following in lines on a real terminal: lines typed, end of input, control-C; the terminal is left as it was."""

import pytest

pexpect = pytest.importorskip("pexpect")

from tests.fakes import program  # noqa: E402
from tests.follow.test_lines_process import PROJECT, ROOT, home, records  # noqa: E402

pytestmark = pytest.mark.terminal
__all__ = ["home"]


def start(home):
    import sys

    environ = {"PATH": "/usr/bin:/bin", "HOME": str(home), "PYTHONPATH": str(ROOT), "LANG": "C.UTF-8", "TERM": "xterm"}
    command = program("follow", str(PROJECT), "--plain")
    child = pexpect.spawn(sys.executable, command, cwd=str(home), env=environ, encoding="utf-8", timeout=60)
    child.expect("Enter: start")
    return child


def test_keys_typed_at_a_terminal_are_answered_line_by_line(home):
    """Enter starts, n takes its note on the same line, control-D ends well with the stop written."""
    program = start(home)
    program.sendline("")
    program.expect("Step 1 of")
    program.sendline("n two threads short")
    program.expect("Noted")
    program.sendeof()
    program.expect("The input has ended")
    program.expect(pexpect.EOF)
    program.close()
    assert program.exitstatus == 0
    assert [event.what for event in records(home)] == ["opened", "step_started", "noted", "paused"]


def test_a_control_c_at_a_terminal_stops(home):
    """130, and the stop is on disk."""
    program = start(home)
    program.sendline("")
    program.expect("Step 1 of")
    program.sendintr()
    program.expect("Make safe")
    program.expect(pexpect.EOF)
    program.close()
    assert program.exitstatus == 130
    assert records(home)[-1].why == "stop"


def test_a_bounce_at_a_terminal_counts_once(home):
    """Two Enters at once, as a sleeve presses them: one piece."""
    program = start(home)
    program.send("\n\n\n")
    program.expect("Step 1 of")
    program.expect("Too soon after the last press")
    program.sendeof()
    program.expect(pexpect.EOF)
    program.close()
    assert [event.what for event in records(home)] == ["opened", "step_started", "paused"]
