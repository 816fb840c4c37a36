"""A real pseudo-terminal with a screen behind it."""

import os
import sys
import termios
import time
from pathlib import Path

import pexpect
import pyte

ROOT = Path(__file__).parents[2]


class Term:
    """A program on a terminal of its own; `text` is what a person would see."""

    def __init__(self, args, cols=80, rows=24, env=None, command=None):
        environ = {k: v for k, v in os.environ.items() if k not in {"COLUMNS", "LINES", "NO_COLOR", "ACCESSIBLE"}}
        environ |= {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT)} | (env or {})
        self.screen = pyte.Screen(cols, rows)
        self.stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self.child = pexpect.spawn(
            command or sys.executable, args, dimensions=(rows, cols), env=environ, echo=True, timeout=5, cwd=str(ROOT)
        )
        self.child.delaybeforesend = None
        self.child.ptyproc.delayafterclose = self.child.ptyproc.delayafterterminate = 0.01

    def pump(self, seconds=0.03):
        """Take in what the program has drawn; False when it has gone."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                got = self.child.read_nonblocking(65536, timeout=0.01)
            except pexpect.TIMEOUT:
                continue
            except (pexpect.EOF, OSError):
                return False
            self.raw += got
            self.stream.feed(got)
            if b"\x1b[6n" in got:  # where is the cursor?
                self.child.send(f"\x1b[{self.screen.cursor.y + 1};{self.screen.cursor.x + 1}R")
        return True

    def wait(self, text, seconds=20):
        """Until a text is on the screen."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            alive = self.pump()
            if text in self.text:
                return self
            if not alive:
                break
        raise AssertionError(f"{text!r} is not on the screen:\n{self.text}")

    def send(self, keys):
        self.child.send(keys)
        return self

    def resize(self, cols, rows):
        self.screen.resize(rows, cols)
        self.child.setwinsize(rows, cols)

    @property
    def text(self):
        return "\n".join(self.screen.display)

    def exit_code(self, seconds=20):
        """The exit status, once it has gone; a signal's number negative."""
        end = time.monotonic() + seconds
        while time.monotonic() < end and self.child.isalive():
            self.pump(0.02)
        self.pump(0.05)
        assert not self.child.isalive(), f"still running:\n{self.text}"
        return -self.child.signalstatus if self.child.signalstatus else self.child.exitstatus

    def whole(self):
        """Whether the terminal was given back: alternate screen, cursor, line mode, echo."""
        flags = termios.tcgetattr(self.child.child_fd)[3]
        return {
            "alternate": self.raw.rfind(b"\x1b[?1049l") > self.raw.rfind(b"\x1b[?1049h"),
            "cursor": self.raw.rfind(b"\x1b[?25h") >= self.raw.rfind(b"\x1b[?25l"),
            "lines": bool(flags & termios.ICANON),
            "echo": bool(flags & termios.ECHO),
        }

    def close(self):
        if self.child.isalive():
            self.child.kill(9)
        self.child.close(force=True)
