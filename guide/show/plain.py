"""The plain face: the same letters and Enter, every answer a new line; no cursor is moved, nothing is redrawn."""

import io
import re
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

from msgspec.structs import replace

from guide import system
from guide.errors import CannotWrite
from guide.follow.ahead import waits
from guide.follow.asking import OWN_WORDS
from guide.follow.decide import swallowed
from guide.follow.halting import MAKE_SAFE
from guide.follow.keys import named
from guide.follow.model import Desk
from guide.follow.session import Session
from guide.show import plain_words
from guide.show.columns import clean
from guide.show.words import NO_BREAK

ENDED = 0
INTERRUPTED = 130
_COUNTED = re.compile(r"([0-9]{1,4}) ?([a-z])")
_TICK_S = 1.0


def follow(
    session: Session,
    lines: TextIO,
    out: TextIO,
    saved_in: str = "",
    *,
    go_on: str = "Run the same command to go on.",
) -> int:
    """Follow a session line by line until it is left; gives the exit code.

    `go_on` says how the session is taken up again. The end of the input, control-C, a signal and a reader that
    has gone stop the session as `q` does: nothing is lost.
    """
    if not lines.isatty():  # a file of keys knows no bounce
        session.desk = replace(session.desk, guard_ms=0)
    face = Face(session, out)
    code = ENDED
    with _signals(face):
        try:
            _converse(face, lines)
        except KeyboardInterrupt:
            face.ending, code = "Stopped.", face.signalled or INTERRUPTED
        except BrokenPipeError:
            face.hush()
        session.stop()
    with suppress(BrokenPipeError):
        face.say([face.ending, *_goodbye(session, saved_in, go_on)])
    return code or (CannotWrite.exit_code if session.desk.problem else ENDED)


class Face:
    """Where the lines go, and what they are said from."""

    def __init__(self, session: Session, out: TextIO) -> None:
        self.session, self.out = session, out
        self.told: set[int] = set()  # waits said to be over
        self.ending = ""
        self.waiting = False  # for a line: only then may a signal break in, never while a record is saved
        self.signalled = 0

    def say(self, lines: plain_words.Lines) -> None:
        """Print lines, cleaned."""
        for whole in lines:
            for line in whole.splitlines():
                self.out.write(f"{clean(line).replace(NO_BREAK, ' ')}\n")
        self.out.flush()

    def hush(self) -> None:
        """Say nothing more: nobody reads it."""
        self.out = io.StringIO()


@contextmanager
def _signals(face: Face) -> Iterator[None]:
    """Let control-C, a hang-up or a request to end break in only between two keys."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def leave(number: int, _frame: object) -> None:
        face.signalled = system.STOPPING[number]
        if face.waiting:
            raise KeyboardInterrupt

    kept = {one: signal.signal(one, leave) for one in system.STOPPING}
    try:
        yield
    finally:
        for one, before in kept.items():
            signal.signal(one, before)


def _converse(face: Face, lines: TextIO) -> None:
    session = face.session
    face.say([*plain_words.greeting(session, session.clock.read()), *_where(face)])
    for line in _read(face, lines):
        obey(face, line)
        if session.left:
            return
    face.ending = "The input has ended."


def _where(face: Face) -> plain_words.Lines:
    """What lies on the desk when the face opens: a question, or what the big key does."""
    session = face.session
    if session.desk.ask is not None:
        return plain_words.ask_lines(session.desk.ask)
    if session.desk.view == "back":
        return ["Enter goes on."]
    return plain_words.ready(session, session.clock.read(), session.paces)


def _goodbye(session: Session, saved_in: str, go_on: str) -> plain_words.Lines:
    place = str(session.moved_to or saved_in)
    where = f" in {place}" if place else ""
    out = [session.desk.problem] if session.desk.problem else []
    count = session.record.count
    out.append(f"{count} record{'s are' if count != 1 else ' is'} saved{where}.")
    if session.record.doing != "closed":
        out.append(f"Make safe: {', '.join(MAKE_SAFE)}. {go_on}")
    return out


def _read(face: Face, lines: TextIO) -> Iterator[str]:
    """Give the lines typed; at a terminal, look after the clock while nothing is typed."""
    typed_here = system.Typed(lines)
    while line := _line(face, typed_here):
        yield line.rstrip("\r\n")


def _line(face: Face, lines: system.Typed) -> str:
    while True:
        face.waiting = True
        try:
            if face.signalled:
                raise KeyboardInterrupt
            if (line := lines.within(_TICK_S)) is not None:
                return line
        finally:
            face.waiting = False
        face.session.heartbeat()
        _tell_waits(face)


def _tell_waits(face: Face) -> None:
    """Say once that a wait is over."""
    session = face.session
    for one in waits(session.plan, session.record, session.clock.read()):
        if one.over and one.n not in face.told:
            face.told.add(one.n)
            face.say([f"{one.step.title}: the wait is over."])


def obey(face: Face, line: str) -> None:
    """Press the keys a line stands for, and say what came of them."""
    session = face.session
    before = plain_words.before(session)
    pressed = keys_of(line, session.desk)
    bounce = pressed[:1] == ["enter"] and swallowed(session.desk, "enter", session.clock.read())
    if not pressed:
        face.say([f"{line.strip()} is no key here. ? shows the keys; a full stop leaves a question."])
        return
    for key in pressed:
        session.press(key)
    if bounce:
        face.say(["Too soon after the last press: not counted."])
        return
    rest = _rest_of(line)
    if rest and session.desk.ask is not None and session.desk.ask.kind in {"text", "measure"}:
        for key in typed(rest):
            session.press(key)
    face.say(plain_words.after_key(session, session.clock.read(), before, session.paces))


def keys_of(line: str, desk: Desk) -> list[str]:
    """The keys a line stands for.

    An empty line is the big key; a number and Enter counts that many; a letter is its key, and what stands
    behind it answers its question (`n the thread broke`, `m 13 1/4`); `7 i` is seven minutes of interruption.
    A full stop is escape. While a question takes text, the whole line is the answer; so it is where a reason to
    skip is asked for and no number is given.
    """
    text = line.strip()
    if desk.problem and len(text) == 1:
        return [text]
    if text == ".":
        return ["escape"]
    if desk.ask is not None and desk.ask.kind in {"text", "measure"}:
        return [*["backspace"] * len(desk.ask.typed if text else ""), *typed(text)]  # what was refused is not kept
    if not text:
        return ["enter"]
    if desk.ask is not None and desk.ask.own_words and not text.isdecimal():
        return ["escape", "q"] if text in {"q", "Q"} else [OWN_WORDS, *typed(text)]
    if text.isascii() and text.isdecimal():
        return list(text) if desk.ask is not None else [*text, "enter"]
    if counted := _COUNTED.fullmatch(text.lower()):
        return [*counted[1], counted[2]]
    letter, _, rest = text.partition(" ")
    key = named(letter.lower()) if len(letter) == 1 else None
    return [key.letter] if key and (not rest or key.takes_words) else []


def typed(text: str) -> list[str]:
    """The keys of a text and the Enter behind it."""
    return [*("space" if letter == " " else letter for letter in text), "enter"]


def _rest_of(line: str) -> str:
    letter, _, rest = line.strip().partition(" ")
    key = named(letter)
    return rest.strip() if key and key.takes_words else ""
