"""The plain face: the same letters and Enter, every answer a new line; no cursor is moved, nothing is redrawn."""

import re
import select
from collections.abc import Callable, Iterator
from typing import TextIO

from guide.follow.ahead import waits
from guide.follow.halting import MAKE_SAFE
from guide.follow.keys import TABLE
from guide.follow.model import Desk
from guide.follow.session import Session
from guide.show import plain_words
from guide.show.screen.text import clean

ENDED = 0
INTERRUPTED = 130
_LETTERS = frozenset(key.key for key in TABLE if len(key.key) == 1)
_ASKING = frozenset("nmvc")  # what is typed behind these answers their question
_COUNTED = re.compile(r"([0-9]{1,4}) ?([a-z])")
_TICK_S = 1.0


def follow(session: Session, lines: TextIO, out: TextIO, saved_in: str = "") -> int:
    """Follow a session line by line until it is left; gives the exit code.

    The end of the input, and a control-C, stop the session as `q` does: nothing is lost.
    """
    say = _speaker(session, out)
    say(plain_words.greeting(session, session.clock.read()))
    say(_where(session))
    code = ENDED
    try:
        for line in _read(session, lines, say):
            obey(session, line, say)
            if session.left:
                break
        else:
            say(["", "The input has ended."])
    except KeyboardInterrupt:
        say(["", "Stopped."])
        code = INTERRUPTED
    session.stop()
    say(_goodbye(session, saved_in))
    return code


def _speaker(session: Session, out: TextIO) -> Callable[[plain_words.Lines], None]:
    def say(lines: plain_words.Lines) -> None:
        for whole in plain_words.spoken_as(lines, session.plan.project.words):
            out.writelines(f"{clean(line)}\n" for line in whole.splitlines() or [""])
        out.flush()

    return say


def _where(session: Session) -> plain_words.Lines:
    """What lies on the desk when the face opens: a question, or what the big key does."""
    if session.desk.ask is not None:
        return plain_words.ask_lines(session.desk.ask)
    if session.record.doing in {"ready", "closed"}:
        return plain_words.ready(session, session.clock.read())
    return ["Enter goes on."]


def _goodbye(session: Session, saved_in: str) -> plain_words.Lines:
    where = f" in {saved_in}" if saved_in else ""
    out = [session.desk.problem] if session.desk.problem else []
    out.append(f"{session.record.count} records are saved{where}.")
    if session.record.doing != "closed":
        out.append("Make safe: " + ", ".join(MAKE_SAFE) + ". Run the same command to go on.")
    return out


def _read(session: Session, lines: TextIO, say: Callable[[plain_words.Lines], None]) -> Iterator[str]:
    """Give the lines typed; at a terminal, look after the clock while nothing is typed."""
    told: set[int] = set()
    while True:
        if lines.isatty():
            while not select.select([lines], [], [], _TICK_S)[0]:
                session.heartbeat()
                _tell_waits(session, told, say)
        line = lines.readline()
        if not line:
            return
        yield line.rstrip("\r\n")


def _tell_waits(session: Session, told: set[int], say: Callable[[plain_words.Lines], None]) -> None:
    """Say once that a wait is over."""
    for one in waits(session.plan, session.record, session.clock.read()):
        if one.over and one.n not in told:
            told.add(one.n)
            say([f"{one.step.title}: the wait is over."])


def obey(session: Session, line: str, say: Callable[[plain_words.Lines], None]) -> None:
    """Press the keys a line stands for, and say what came of them."""
    before = plain_words.before(session)
    pressed = keys_of(line, session.desk)
    if not pressed:
        say([f"{line.strip()} is no key here. ? shows the keys; a full stop leaves a question."])
        return
    for key in pressed:
        session.press(key)
    rest = _rest_of(line)
    if rest and session.desk.ask is not None and session.desk.ask.kind in {"text", "measure"}:
        for key in typed(rest):
            session.press(key)
    say(plain_words.after_key(session, session.clock.read(), before))


def keys_of(line: str, desk: Desk) -> list[str]:
    """The keys a line stands for.

    An empty line is the big key; a number and Enter counts that many; a letter is its key, and what stands
    behind it answers its question (`n the thread broke`, `m 13 1/4`); `7 i` is seven minutes of interruption.
    A full stop is escape. While a question takes text, the whole line is the answer.
    """
    text = line.strip()
    if desk.problem and len(text) == 1:
        return [text]
    if text == ".":
        return ["escape"]
    if desk.ask is not None and desk.ask.kind in {"text", "measure"}:
        return typed(text)
    if not text:
        return ["enter"]
    if text.isascii() and text.isdecimal():
        return list(text) if desk.ask is not None else [*text, "enter"]
    if counted := _COUNTED.fullmatch(text):
        return [*counted[1], counted[2]]
    letter, _, rest = text.partition(" ")
    return [letter] if letter in _LETTERS and (not rest or letter in _ASKING) else []


def typed(text: str) -> list[str]:
    """The keys of a text and the Enter behind it."""
    return [*("space" if letter == " " else letter for letter in text), "enter"]


def _rest_of(line: str) -> str:
    letter, _, rest = line.strip().partition(" ")
    return rest.strip() if letter in _ASKING else ""
