"""The session's side of the page beside the machine: a process of its own is told what there is, and sends presses.

Nothing here waits for that process while a key is decided or saved: what is to be told lies in one place, the newest in
the place of the one before, and a thread sends it; presses come in by another thread. A server that is slow, stopped or
dead leaves the session as it is.
"""

import pickle
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any

import msgspec
from msgspec.structs import replace

from guide.beside.view import UNSAVED, View, why_not
from guide.errors import WrongUse
from guide.follow.keys import swallowed
from guide.follow.model import Ask, Desk, Moment, Turn
from guide.follow.order import Running, step_named, under_needle
from guide.follow.session import Session
from guide.plan.model import Plan
from guide.record.model import Event, Reading

STARTS_S = 20.0  # within which the server says where it listens
NEEDS = ("aiohttp", "segno", "PIL")
INSTALL = "pip install 'fraywork[beside]'"
GONE = "The page beside the machine is gone; nothing of the session is. guide follow --beside brings one back."
OTHER = "The other project is at the machine now: the photo was not kept. Look, and take it again."
UNKEPT = "The photo could not be kept, and nothing was noted: see to it at the computer."
HEAD = struct.Struct("!I")  # bytes of what follows
MOST_LINE = 4096  # bytes of a press


class Press(msgspec.Struct, frozen=True):
    """What a page asks for: a key as it saw the work, or a photo that lies beside the journal now."""

    id: int
    by: str
    of: int
    key: str = ""
    newest: int = 0
    moves: int = 0
    photo: str = ""
    step: str = ""


class Told(msgspec.Struct, frozen=True):
    """What the server is told: what is new since it was told last, and what lies on the desk now."""

    plan: Plan | None  # None: the one it knows
    anew: bool  # the events are those of another session, from its first
    events: list[Event]
    desk: Desk
    now: Reading
    of: int  # the session's mark
    newest: int
    moves: int
    journal: str
    paces: dict[str, float]
    rest: str
    beside_waits: tuple[Running, ...]
    answers: list[tuple[int, str]] = []  # of presses: why one was not taken, or ""


class Wanted(msgspec.Struct, frozen=True):
    """How the page is served: to this computer or at an address of its network, with presses or without."""

    host: str = "127.0.0.1"
    press: bool = False
    token: str = ""
    photo: bool = True  # whether photos are taken


def check_installed() -> None:
    """Raise WrongUse where what serves the page is not installed."""
    if any(find_spec(name) is None for name in NEEDS):
        raise WrongUse(f"The page beside the machine needs a little more: {INSTALL}. Without --beside all else works.")


# A page sees the work a moment late. It says what it saw, and what has moved on since takes no press of it: that would
# count twice, or on another step.


def _press(session: Session, press: Press) -> str:
    """Take a press into the session; gives why it was not taken, or ""."""
    if (press.of, press.newest, press.moves) != (session.mark, session.newest, session.moves):
        return "Too late: the work had gone on. Look, and press again."
    if why := UNSAVED if session.unsaved else why_not(session.desk):
        return why
    bounce = swallowed(session.desk, press.key, session.clock.read())
    session.press(press.key, press.by)
    return "Too soon after the last press: not counted." if bounce else ""


def _note_photo(session: Session, press: Press) -> str:
    """Note a photo that lies beside the journal at the step it was taken at; gives why it could not be, or ""."""
    if press.of != session.mark:
        return OTHER
    if session.unsaved:
        return UNSAVED
    here = step_named(session.plan, press.step) or under_needle(session.plan, session.record)
    event = {"what": "photo", "name": press.photo, "by": press.by} | ({"step": here.key} if here else {})
    session.moves += 1
    if not session.keep(event, session.clock.read()):
        return UNKEPT  # why it was refused stands at the computer: a page is told no place on its disk
    session.desk = replace(session.desk, said="Photo noted.")
    return ""


def at_rest(at: Moment, _question: Ask, _answer: str) -> Turn:
    """Stand in for what an answer leads to: that stays in the session's own process."""
    return Turn(at.desk)


class Beside:
    """The page's server, as the session knows it."""

    def __init__(self, wanted: Wanted) -> None:
        """Start it; `address` is where it listens once `wait` has come back."""
        self.wanted = wanted
        self.port = 0
        self.take: Callable[[Any], object] = lambda _press: None  # called in a thread of its own
        self._newest: Callable[[], object] = lambda: None  # makes what is sent, in the thread that sends it
        self._answers: list[tuple[int, str]] = []
        self._wake, self._lock, self._over = threading.Event(), threading.Lock(), False
        self._sent: tuple[Session | None, Plan | None, int] = (None, None, 0)
        self._child = subprocess.Popen(
            [sys.executable, "-P", "-m", "guide.beside.serve"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            process_group=0,  # control-C at the terminal is the session's
        )  # fmt: skip
        self._started, self._lost = threading.Event(), False
        self._in(msgspec.json.encode(wanted))
        self._threads = [threading.Thread(target=work, daemon=True) for work in (self._sending, self._hearing)]
        for one in self._threads:
            one.start()

    def wait(self) -> str:
        """Give the address, once it listens. Raises WrongUse where it does not begin to."""
        if not self._started.wait(STARTS_S) or not self.port:
            self.close()
            raise WrongUse("The page beside the machine could not be served; without --beside all else works.")
        return f"http://{self.wanted.host}:{self.port}/#{self.wanted.token}"

    def tell(self, session: Session, rest: str = "") -> None:
        """Lay down what there is to be seen now, in the place of what lay there; sent by a thread."""
        if self._child.poll() is not None and not self._lost:
            self._lost = True
            session.desk = replace(session.desk, said=GONE)
        events, desk = session.journal.events, session.desk
        if desk.ask is not None:
            own = at_rest if desk.ask.own_words else None
            desk = replace(desk, ask=replace(desk.ask, answer=at_rest, own_words=own))
        if self.wanted.token in desk.said:  # where the page is, its readers know
            desk = replace(desk, said="\n".join(one for one in desk.said.split("\n") if self.wanted.token not in one))
        members: dict[str, Any] = {
            "plan": session.plan,
            "events": events,
            "desk": desk,
            "now": session.clock.read(),
            "of": session.mark,
            "newest": session.newest,
            "moves": session.moves,
            "journal": str(session.moved_to or getattr(session.journal, "path", None) or ""),
            "paces": dict(session.paces),
            "rest": rest,
            "beside_waits": session.beside_waits(),
        }
        self._newest = partial(self._told, session, len(events), members)
        self._wake.set()

    def show(self, view: View) -> None:
        """Lay down a view that is made already: of a board, which no key of a page changes."""
        self._newest = lambda: view
        self._wake.set()

    def answer(self, press: Press, session: Session) -> None:
        """Take a press into the session, and tell the page what came of it."""
        why = (_note_photo if press.photo else _press)(session, press)
        with self._lock:
            self._answers.append((press.id, why))

    def close(self) -> None:
        """End the sitting: the server is told, and ends; one that does not is ended."""
        self._over = True
        self._wake.set()
        try:
            self._child.wait(1.0)
        except subprocess.TimeoutExpired:
            self._child.kill()
            with suppress(subprocess.TimeoutExpired):  # it goes in its own time
                self._child.wait(5.0)
        for one in self._threads:
            one.join(1.0)

    def _sending(self) -> None:
        try:
            while not self._over:
                self._wake.wait()
                self._wake.clear()
                if (newest := self._newest()) is not None:
                    self._in(pickle.dumps(newest, 5))
            self._in(b"")
        except OSError:  # it is gone: the session goes on without
            pass
        finally:
            with suppress(OSError):
                self._pipe().close()

    def _told(self, session: Session, count: int, members: dict[str, Any]) -> Told:
        """What is new of it, counted from what was sent last."""
        known, plan, sent = self._sent
        anew = known is not session or count < sent
        new = members | {
            "anew": anew,
            "events": members["events"][0 if anew else sent : count],
            "plan": None if plan is members["plan"] and not anew else members["plan"],
        }
        with self._lock:
            answers, self._answers = self._answers, []
        self._sent = session, members["plan"], count
        return Told(**new, answers=answers)

    def _pipe(self) -> IO[bytes]:
        assert self._child.stdin is not None
        return self._child.stdin

    def _in(self, data: bytes) -> None:
        pipe = self._pipe()
        pipe.write(HEAD.pack(len(data)) + data)
        pipe.flush()

    def _hearing(self) -> None:
        """Read what comes back: first the port, then presses."""
        assert self._child.stdout is not None
        with self._child.stdout as said:
            while line := said.readline(MOST_LINE):
                if not self.port:
                    self.port = int(line)
                    self._started.set()
                    continue
                try:
                    press = msgspec.json.decode(line, type=Press)
                except (msgspec.DecodeError, ValueError):  # a torn line is no press; the next one may be
                    continue
                self.take(press)
        self._started.set()


def photo_name(journal: Path, mark: str) -> str:
    """Where a photo lies that is taken at this session, as its journal names it: in the project's folder."""
    return f"photos/{journal.stem}-{mark}.jpg"
