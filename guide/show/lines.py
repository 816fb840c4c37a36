"""Following in lines: the same letters and Enter, every answer a new line; no cursor is moved, nothing is redrawn."""

import io
import queue
import re
from collections.abc import Iterator
from contextlib import suppress
from typing import NamedTuple, Self, TextIO

from msgspec.structs import replace

from guide import system
from guide.errors import CannotWrite
from guide.follow import order
from guide.follow.halting import make_safe, rest_due
from guide.follow.keys import named, swallowed
from guide.follow.model import OWN_WORDS, Desk
from guide.follow.noting import called
from guide.follow.order import piece_words, waits
from guide.follow.righting import ENDS_A_LAP
from guide.follow.session import Session
from guide.plan.model import Step
from guide.read.spoken import counted
from guide.record.clock import exact_text
from guide.record.model import Lap, Record
from guide.show import scene as seen
from guide.show.cards import NUDGE, Card, Keys, Row, card_of, cue_words, finish, led, row, told
from guide.show.report_cautions import caution
from guide.show.scene import Onlooker, Scene
from guide.show.table import clean
from guide.show.words import NO_BREAK

# How is a card said in lines? Its title, its rows and its keys, one under another, and what only a key has changed.

Lines = list[str]
_SIGNS = {"caution": "Caution: ", "safe": "Make safe: "}
_BIG = {"space": "Enter", "enter": "Enter", "escape": "A full stop"}


class Stood(NamedTuple):
    """What stood before a key, to say only what it changed."""

    desk: Desk
    doing: str
    open: str | None
    pieces: int

    @classmethod
    def of(cls, desk: Desk, record: Record) -> Self:
        """Keep what a key may change."""
        key = record.current
        return cls(desk, record.doing, key, record.step(key).pieces_done if key else 0)


def printed(scene: Scene, card: Card) -> Lines:
    """A card in lines. Of its keys all are told where they are its own; else letters are read with `?`."""
    done = ": done" if card.sign == "done" and scene.record.doing == "ready" and "," not in card.title else ""
    title = f"{_SIGNS.get(card.sign, '')}{card.title}{done}"
    rows = [line for one in [*card.rows, *card.spoken] for line in _row(scene, one)]
    return [title if title[-1:] in ".:?!…" else f"{title}.", *rows, *_keys(scene, card.keys)]


def _row(scene: Scene, one: Row) -> Lines:
    text = "".join(text for _, text in one.parts)
    if one.share is not None:
        return [text.replace("  ", ": ", 1)]
    if one.key:
        return [f"{one.key}: {text}"]
    return [f"Caution: {caution(name, scene.plan.project.words)}" for name in one.cautions] or (
        [f"{_SIGNS.get(one.sign, '')}{text}"] if text else []
    )


def _keys(scene: Scene, offered: Keys) -> Lines:
    """What Enter does, in a line; with a question, what else answers it."""
    own = scene.desk.ask is not None or bool(scene.desk.problem) or scene.desk.view in {"why", "keys", "drawing"}
    said = [(_BIG.get(key, key), word) for key, word in offered if key in _BIG or (own and key != NUDGE)]
    return [" ".join(f"{key}: {word}." for key, word in said)] if said else []


def step_card(scene: Scene, step: Step) -> Card:
    """A step whole: what to do, its numbers, its cautions, the piece in hand, what comes after."""
    plan, desk = scene.plan, scene.desk
    rows = [*told(scene, step), *(led(f"{head}:", text) for head, text in seen.hints(scene, step))]
    rows += [row(f"  {label}: {value}") for value, label in seen.figures(scene, step)]
    if step.tools:
        rows.append(row(f"Tools: {', '.join(step.tools)}."))
    rows.append(Row(cautions=seen.cautions(scene, step)))
    if piece := piece_words(plan, step, scene.record):
        rows.append(row(f"{piece[0].upper()}{piece[1:]}."))
    if desk.view != "look" and step.measure and step.measure in plan.quantities:
        rows.append(row(f"Measure {called(plan, step.measure)} here: m."))
    after = seen.after(scene, step)
    rows += [row(f"Next: {after.title}.")] if after else []
    if desk.view != "look" and (cues := cue_words(scene)):
        rows.append(row(f"Make ready: {cues}."))
    number = f"Step {order.number_of(plan, step)} of {len(plan.steps)}"
    return Card(f"{number}: {seen.title(scene, step)} ({step.stage_title})", rows)


def after_key(scene: Scene, was: Stood, *, ends_a_lap: bool) -> Lines:
    """What a key has changed, in lines: the answer, then where the work stands now."""
    desk = scene.desk
    if desk.problem:
        return standing(scene)
    out = [desk.said.replace("escape", "a full stop")] if desk.said else []
    if desk.ask is not None:
        known = was.desk.ask is not None and was.desk.ask.question == desk.ask.question
        again = ["Type it again; a full stop leaves it."] if seen.takes_text(desk) else []
        return [*out, *again] if known and out else out + standing(scene)
    if desk.typed and desk.typed != was.desk.typed:
        out.append(f"{desk.typed}: Enter counts that many.")
    if Stood.of(desk, scene.record)[1:] != was[1:]:
        out += [scene.rest] if scene.rest and ends_a_lap else []
        step = order.open_step(scene.plan, scene.record)
        working = step is not None and scene.record.doing == "working"
        if step is not None and working and step.key == was.open:
            return out + _piece(scene, step)
        if step is not None and working and scene.record.way == "each" and scene.record.step(step.key).pieces_done:
            return out + _turned(scene, step)
        return out + standing(scene)
    return out + (standing(scene) if (desk.view, desk.look) != (was.desk.view, was.desk.look) else [])


def standing(scene: Scene) -> Lines:
    """Where the work stands: the card that lies there, or the step in hand or looked at."""
    card, step = card_of(scene), seen.shown_step(scene)
    if card is not None or step is None:
        return printed(scene, card or finish(scene)) + _all_done(scene)
    lines = printed(scene, step_card(scene, step))
    if scene.desk.view != "look":
        return lines
    here = order.under_needle(scene.plan, scene.record)
    kept = f"Your place is kept: {here.title}. Enter goes back to it." if here else "Enter goes back."
    return ["Only looking.", *lines, kept]


def _all_done(scene: Scene) -> Lines:
    """Between two steps, when all will be done."""
    if not seen.is_between(scene) or order.next_step(scene.plan, scene.record) is None:
        return []
    return [f"All done about {seen.clock(scene, seen.estimate(scene).all_ends)}."]


def _piece(scene: Scene, step: Step) -> Lines:
    """After a piece: how many are done, how long the last took, which is next."""
    mine = scene.record.step(step.key)
    if step.pieces == 1:
        return [f"In hand: {step.title}."]
    piece = piece_words(scene.plan, step, scene.record)
    took = f", the last in {exact_text(_last_ms(scene, mine.laps[-1]) / 1000)}" if mine.laps else ""
    out = [f"{mine.pieces_done} of {counted(step.pieces, step.piece)} done{took}."]
    turn = order.turn_after(scene.plan, scene.record, step) if scene.record.way else step
    if turn not in order.through(scene.plan, scene.record, step):
        return [*out, f"Next: {turn.title}. Enter starts it."]
    return [*out, f"Now {piece}."] if piece else out


def _turned(scene: Scene, step: Step) -> Lines:
    """A press a step, after the trial: which step of which block is begun; its text was read at the first."""
    piece = piece_words(scene.plan, step, scene.record)
    return [f"Now {step.title[:1].lower()}{step.title[1:]}{f': {piece}' if piece else ''}."]


def _last_ms(scene: Scene, lap: Lap) -> int:
    """How long the press before took, whatever it was shared out among."""
    steps = (scene.record.step(key) for key in lap.shared or (lap.step,))
    return sum(one.counted_ms for step in steps for one in step.laps[-1:] if one.end_n == lap.end_n)


ENDED = 0
INTERRUPTED = 130
_COUNTED = re.compile(r"([0-9]{1,4}) ?([a-z])")
_TICK_S = 1.0
_PAGE_S = 0.1  # until a press of the page beside the machine is looked for


def follow(talk: "Talk", lines: TextIO, *, go_on: str = "Run the same command to go on.") -> int:
    """Follow a session line by line until it is left; gives the exit code.

    `go_on` says how the session is taken up again. The end of the input, control-C, a signal and a reader that
    has gone stop the session as `q` does: nothing is lost.
    """
    if not lines.isatty():  # a file of keys knows no bounce
        talk.session.desk = replace(talk.session.desk, guard_ms=0)
    code = ENDED
    with system.signals(talk):
        try:
            _converse(talk, lines)
        except KeyboardInterrupt:
            talk.ending, code = "Stopped.", talk.signalled or INTERRUPTED
        except BrokenPipeError:
            talk.out = io.StringIO()  # nobody reads it
        for one in filter(None, (talk.session, talk.beside)):
            one.stop()
    with suppress(BrokenPipeError):
        talk.say([talk.ending, *_goodbye(talk, go_on)])
    return code or (CannotWrite.exit_code if talk.session.desk.problem else ENDED)


class Talk(system.Waiting):
    """Where the lines go, and what they are said from."""

    def __init__(
        self,
        session: Session,
        out: TextIO,
        saved_in: str = "",
        beside: Session | None = None,
        onlooker: Onlooker | None = None,
    ) -> None:
        super().__init__()
        self.session, self.out, self.saved_in, self.beside = session, out, saved_in, beside
        self.onlooker = onlooker
        self.presses: queue.SimpleQueue[object] = queue.SimpleQueue()  # of the page beside the machine
        if onlooker is not None:
            onlooker.take = self.presses.put
        self.told: set[tuple[int, int]] = set()  # waits said to be over
        self.ending = ""

    def say(self, lines: Lines) -> None:
        """Print lines, cleaned."""
        for whole in lines:
            for line in whole.splitlines():
                self.out.write(f"{clean(line).replace(NO_BREAK, ' ')}\n")
        self.out.flush()

    def scene(self) -> Scene:
        """This moment."""
        at = self.session
        rest = rest_due(at.plan, at.record, beginner=at.desk.beginner)
        return seen.scene_of(at, saved_in=self.saved_in, rest=rest)

    def show_onlooker(self) -> None:
        """Whoever else looks on is told."""
        if self.onlooker is not None:
            self.onlooker.tell(self.session, self.scene().rest)


def _converse(talk: Talk, lines: TextIO) -> None:
    talk.say(["Enter is the big key. ? and Enter shows all keys.", *standing(talk.scene())])
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
    """Wait for a line; a signal breaks in."""
    while True:
        if (line := talk.line(lambda: lines.within(_TICK_S if talk.onlooker is None else _PAGE_S))) is not None:
            return line
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
        talk.say(after_key(talk.scene(), stood, ends_a_lap=ends_a_lap))


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
    if rest and seen.takes_text(session.desk):
        for key in typed(rest):
            session.press(key)
    if session.changing and talk.beside is not None:
        talk.session, talk.beside = talk.beside, session
        talk.session.come_over()
        talk.say([talk.session.desk.said, *standing(talk.scene())])
        return
    if session.left:
        talk.say([session.desk.said] if session.desk.said else [])
        return
    ends_a_lap = session.journal.events[-1].what in ENDS_A_LAP
    said = after_key(talk.scene(), stood, ends_a_lap=ends_a_lap)
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
    if desk.ask is not None and seen.takes_text(desk):
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
