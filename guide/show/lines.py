"""Following in lines: the same letters and Enter, every answer a new line; no cursor is moved, nothing is redrawn."""

import io
import queue
import re
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

from msgspec.structs import replace

from guide import system
from guide.errors import CannotWrite
from guide.follow.halting import make_safe, rest_due
from guide.follow.keys import named, swallowed
from guide.follow.model import OWN_WORDS, Desk
from guide.follow.order import waits
from guide.follow.righting import ENDS_A_LAP
from guide.follow.session import Session
from guide.show import card_lines
from guide.show.card_lines import Lines, Stood
from guide.show.columns import clean
from guide.show.onlooker import Onlooker
from guide.show.scene import Scene
from guide.show.words import NO_BREAK

ENDED = 0
INTERRUPTED = 130
_COUNTED = re.compile(r"([0-9]{1,4}) ?([a-z])")
_TICK_S = 1.0
_PAGE_S = 0.1  # until a press of the page beside the machine is looked for


def follow(
    session: Session,
    lines: TextIO,
    out: TextIO,
    saved_in: str = "",
    *,
    go_on: str = "Run the same command to go on.",
    beside: Session | None = None,
    onlooker: Onlooker | None = None,
) -> int:
    """Follow a session line by line until it is left; gives the exit code.

    `go_on` says how the session is taken up again. The end of the input, control-C, a signal and a reader that
    has gone stop the session as `q` does: nothing is lost.
    """
    if not lines.isatty():  # a file of keys knows no bounce
        session.desk = replace(session.desk, guard_ms=0)
    talk = Talk(session, out, saved_in, beside, onlooker)
    code = ENDED
    with _signals(talk):
        try:
            _converse(talk, lines)
        except KeyboardInterrupt:
            talk.ending, code = "Stopped.", talk.signalled or INTERRUPTED
        except BrokenPipeError:
            talk.hush()
        for one in filter(None, (talk.session, talk.beside)):
            one.stop()
    with suppress(BrokenPipeError):
        talk.say([talk.ending, *_goodbye(talk, go_on)])
    return code or (CannotWrite.exit_code if talk.session.desk.problem else ENDED)


class Talk:
    """Where the lines go, and what they are said from."""

    def __init__(
        self,
        session: Session,
        out: TextIO,
        saved_in: str = "",
        beside: Session | None = None,
        onlooker: Onlooker | None = None,
    ) -> None:
        self.session, self.out, self.saved_in, self.beside = session, out, saved_in, beside
        self.onlooker = onlooker
        self.presses: queue.SimpleQueue[object] = queue.SimpleQueue()  # of the page beside the machine
        if onlooker is not None:
            onlooker.take = self.presses.put
        self.told: set[tuple[int, int]] = set()  # waits said to be over
        self.ending = ""
        self.waiting = False  # for a line: only then may a signal break in, never while a record is saved
        self.signalled = 0

    def say(self, lines: Lines) -> None:
        """Print lines, cleaned."""
        for whole in lines:
            for line in whole.splitlines():
                self.out.write(f"{clean(line).replace(NO_BREAK, ' ')}\n")
        self.out.flush()

    def scene(self) -> Scene:
        """This moment."""
        at = self.session
        now, rest = at.clock.read(), rest_due(at.plan, at.record, beginner=at.desk.beginner)
        return Scene(
            at.plan, at.record, at.desk, now, paces=at.paces, saved_in=self.saved_in, rest=rest,
            beside_waits=at.beside_waits(),
        )  # fmt: skip

    def show_onlooker(self) -> None:
        """Whoever else looks on is told."""
        if self.onlooker is not None:
            self.onlooker.tell(self.session, self.scene().rest)

    def hush(self) -> None:
        """Say nothing more: nobody reads it."""
        self.out = io.StringIO()


@contextmanager
def _signals(talk: Talk) -> Iterator[None]:
    """Let control-C, a hang-up or a request to end break in only between two keys."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def leave(number: int, _frame: object) -> None:
        talk.signalled = system.STOPPING[number]
        if talk.waiting:
            raise KeyboardInterrupt

    kept = {one: signal.signal(one, leave) for one in system.STOPPING}
    try:
        yield
    finally:
        for one, before in kept.items():
            signal.signal(one, before)


def _converse(talk: Talk, lines: TextIO) -> None:
    talk.say(card_lines.greeting(talk.scene()))
    talk.show_onlooker()
    for line in _read(talk, lines):
        obey(talk, line)
        talk.show_onlooker()
        if talk.session.left:
            return
    talk.ending = "" if talk.session.left else "The input has ended."


def _goodbye(talk: Talk, go_on: str) -> Lines:
    session = talk.session
    place = str(session.moved_to or talk.saved_in)
    where = f" in {place}" if place else ""
    out = [session.desk.problem] if session.desk.problem else []
    count = session.record.count
    out.append(f"{count} record{'s are' if count != 1 else ' is'} saved{where}.")
    if session.record.doing != "closed":
        out.append(f"Make safe: {', '.join(make_safe(session.plan))}. {go_on}")
    return out


def _read(talk: Talk, lines: TextIO) -> Iterator[str]:
    """Give the lines typed; at a terminal, look after the clock while nothing is typed."""
    typed_here = system.Typed(lines)
    while line := _line(talk, typed_here):
        yield line.rstrip("\r\n")


def _line(talk: Talk, lines: system.Typed) -> str:
    while True:
        talk.waiting = True
        try:
            if talk.signalled:
                raise KeyboardInterrupt
            if (line := lines.within(_TICK_S if talk.onlooker is None else _PAGE_S)) is not None:
                return line
        finally:
            talk.waiting = False
        while not talk.presses.empty():
            _pressed_elsewhere(talk, talk.presses.get())
            if talk.session.left:
                return ""
        talk.session.heartbeat()
        talk.show_onlooker()
        _tell_waits(talk)


def _tell_waits(talk: Talk) -> None:
    """Say once that a wait is over."""
    session = talk.session
    for at, name in ((session, ""), (session.beside, f"{session.desk.beside}, ")):
        for one in waits(at.plan, at.record, at.clock.read()) if at else ():
            if one.over and (id(at), one.n) not in talk.told:
                talk.told.add((id(at), one.n))
                talk.say([f"{name}{one.step.title}: the wait is over."])


def _pressed_elsewhere(talk: Talk, press: object) -> None:
    """Take a press of the page beside the machine, and say what it changed."""
    session, onlooker = talk.session, talk.onlooker
    assert onlooker is not None
    stood, count = Stood.of(session.desk, session.record), session.record.count
    onlooker.answer(press, session)
    if session.record.count > count:
        ends_a_lap = session.journal.events[-1].what in ENDS_A_LAP
        talk.say(card_lines.after_key(talk.scene(), stood, ends_a_lap=ends_a_lap))


def obey(talk: Talk, line: str) -> None:
    """Press the keys a line stands for, and say what came of them."""
    session = talk.session
    stood = Stood.of(session.desk, session.record)
    pressed = keys_of(line, session.desk)
    bounce = pressed[:1] == ["enter"] and swallowed(session.desk, "enter", session.clock.read())
    if not pressed:
        talk.say([f"{line.strip()} is no key here. ? shows the keys; a full stop leaves a question."])
        return
    for key in pressed:
        session.press(key)
    if bounce:
        talk.say(["Too soon after the last press: not counted."])
        return
    rest = _rest_of(line) if len(pressed) == 1 else ""  # of a letter that asks; else the line was an answer itself
    if rest and session.desk.ask is not None and session.desk.ask.kind in {"text", "measure"}:
        for key in typed(rest):
            session.press(key)
    if session.changing and talk.beside is not None:
        talk.session, talk.beside = talk.beside, session
        talk.session.come_over()
        talk.say([talk.session.desk.said, *card_lines.standing(talk.scene())])
        return
    if session.left:
        talk.say([session.desk.said] if session.desk.said else [])
        return
    ends_a_lap = session.journal.events[-1].what in ENDS_A_LAP
    said = card_lines.after_key(talk.scene(), stood, ends_a_lap=ends_a_lap)
    talk.say(said or ["Nothing changed. ? shows the keys."])


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
    if desk.ask is not None and desk.ask.kind == "confirm" and text in {"y", "n"}:
        return [text]
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
    key = named(letter.lower())
    return rest.strip() if key and key.takes_words else ""
