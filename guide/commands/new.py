"""`guide new`: start a project."""

import os
import re
import signal
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from guide import system
from guide.commands.common import SESSIONS, say, talk
from guide.errors import CannotWrite, GuideError, WrongUse
from guide.plan.make import make_plan
from guide.plan.model import Plan
from guide.read.check import Language
from guide.read.model import mend
from guide.read.places import PROJECT_FILE, language_for, read_text, shipped_example, shown, to_type
from guide.read.project import read_project
from guide.read.project_keys import CLOSURES, KINDS, WHOM
from guide.read.write_project import ZIP_AT, Answers, project_text
from guide.record.clock import time_text
from guide.show.report_numbers import bought_text

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.buffer import Buffer
    from prompt_toolkit.key_binding import KeyBindings

QUESTIONS: tuple[tuple[str, str, str], ...] = (
    ("title", "What is it called", ""),
    ("kind", "What is made: cushion or throw", ""),
    ("for_whom", "For whom: anyone, child (under three) or infant (under one)", ""),
    ("units", "Show lengths as: inch or metric", ""),
    ("pad", "The pad you have, to plan from it", "such as 16 in or 14 x 20 in; empty: choose the blocks"),
    ("across", "Blocks in a row", ""),
    ("down", "Rows", ""),
    ("square", "Cut size of a square", "such as 6 in or 15 cm"),
    ("seam", "Seam allowance, also the fringe's height", "1/2 or 5/8 in, 12 or 15 mm"),
    ("above", "Squares over the wadding in each block", ""),
    ("below", "Squares under it", ""),
    ("wadding", "Wadding: yes or no", ""),
    ("prints", "Prints, with commas between", "three or more lie apart best"),
    ("cloth_width", "Width of the cloth", "44 in and 112 cm are usual"),
    (
        "washed_first",
        "Wash all cloth before cutting: yes or no",
        "then it shrinks no more; unwashed it puckers softly",
    ),
    ("shrinks", "What washing takes, length then width", "such as 4 %, 3 %; empty when never measured"),
    ("closure", "How it shuts: zip or envelope", "a throw has none"),
    ("zip_at", "Where the zip lies, as the back is seen", "after row 1, after column 2; empty: near the middle"),
    ("wadding_width", "Width of the wadding's roll", "empty: 90 in, or 220 cm"),
    ("spool", "Metres on a spool of thread", "empty: 100"),
    ("make", "How many to make", ""),
    ("hour", "What an hour of yours is worth", "leave it empty to do without prices"),
    ("cloth_price", "Price of the cloth", "9.60 / yd or 12 / m; empty: counted as nothing"),
    ("wadding_price", "Price of the wadding", "11 / yd or 9 / m; empty: counted as nothing"),
    ("spool_price", "Price of a spool of thread", "empty: counted as nothing"),
)
METRIC = {"square": "13 cm", "seam": "15 mm", "cloth_width": "112 cm"}
PRICES = ("cloth_price", "wadding_price", "spool_price")
THROW = {"closure": "none", "above": "1", "below": "1"}  # both faces show, and one layer each side is light to carry
LARGE = ("6 1/4 in", "16 cm")  # a throw's squares
YES_OR_NO = ("wadding", "washed_first")


@click.command(
    "new",
    epilog='\b\nExamples:\n  guide new\n  guide new "Reading chair cushion" --no-input --across 4 --square "6 in"\n'
    "  guide new --example",
)
@click.argument("title", required=False)
@click.option("--kind", type=click.Choice(KINDS), help="What is made.")
@click.option("--for", "for_whom", type=click.Choice(WHOM), help="Whom it is for.")
@click.option("--units", type=click.Choice(["inch", "metric"]), help="How lengths are shown.")
@click.option("--words", type=click.Choice(["british", "american"]), help="Whose words.")
@click.option("--pad", metavar="SIZE", help='The pad you have, to plan from it: "16 in", "14 x 20 in".')
@click.option("--across", help="Blocks in a row.")
@click.option("--down", help="Rows.")
@click.option("--square", help="Cut size of a square: 6 in, 15 cm.")
@click.option("--seam", help="Seam allowance.")
@click.option("--print", "prints", multiple=True, metavar="NAME", help="A print; once for each.")
@click.option("--width", "cloth_width", help="Width of the cloth.")
@click.option("--washed-first", type=click.Choice(["yes", "no"]), help="All cloth is washed before it is cut.")
@click.option("--shrinks", metavar="LENGTH,WIDTH", help='What washing takes from the cloth: "4 %, 3 %".')
@click.option("--closure", type=click.Choice(CLOSURES), help="How it shuts.")
@click.option("--zip-at", metavar="PLACE", help='Where the zip lies: "after row 1", "after column 2".')
@click.option("--cloth-price", metavar="AMOUNT/LENGTH", help="Price of the cloth: 9.60 / yd, 12 / m.")
@click.option("--wadding-price", metavar="AMOUNT/LENGTH", help="Price of the wadding; else none is reckoned.")
@click.option("--wadding-width", metavar="LENGTH", help="Width of the wadding's roll; else 90 in, or 220 cm.")
@click.option("--spool", metavar="METRES", help="Metres on a spool of thread; else 100.")
@click.option("--spool-price", metavar="AMOUNT", help="Price of a spool; else none is reckoned.")
@click.option("--make", help="How many.")
@click.option("--hour", help="What an hour is worth: 18.00.")
@click.option(
    "--into", type=click.Path(file_okay=False), default=str(SESSIONS), show_default=True, help="The sessions folder."
)
@click.option("--no-input", is_flag=True, help="Ask nothing; what is not given keeps its default.")
@click.option("--example", is_flag=True, help="Lay down the invented, priced example, as it is.")
def command(
    title: str | None, into: str, *, no_input: bool, example: bool, **given: str | tuple[str, ...] | None
) -> None:
    """Start a project called TITLE: asks in your own words and writes a commented project.yaml.

    Size, cloth and time are shown as the answers change. Nothing is written before the last answer, and a
    project that is there already is left as it is.
    """
    told = (given | {"title": title}).items()
    said = {name: _with_point(name, value) if isinstance(value, str) else value for name, value in told if value}
    if example and said:
        raise WrongUse("--example lays the example down as it is: leave the rest out, and change the file afterwards.")
    if "pad" in said and (said.get("kind") == "throw" or said.keys() & {"across", "down", "square"}):
        raise WrongUse("--pad plans a cushion's blocks from the pad: leave --across, --down, --square and throws out.")
    start = msgspec.structs.replace(_defaults(said), **said)
    language = language_for(None, os.environ)
    asks = not no_input and not example and sys.stdin.isatty()
    if not asks and not example and not said:
        raise WrongUse(
            'Nobody is here to ask. Give a title: guide new "Reading chair cushion" --no-input, or --example.'
        )
    text = read_text(shipped_example()) if example else project_text(_ask(start, language) if asks else start)
    plan = _planned(text, language)
    folder = Path(into) / folder_name(plan.project.title)
    _write(folder, text)
    say(shown(folder / PROJECT_FILE))
    talk(summary(plan))
    talk(f"Change what you like in it, then: guide plan {to_type(folder)} · guide follow {to_type(folder)}")


def _defaults(said: dict[str, str | tuple[str, ...]]) -> Answers:
    """Give defaults that fit what was said already: metric sizes, a throw's closure."""
    out = Answers()
    if said.get("units") == "metric":
        out = msgspec.structs.replace(out, **METRIC)
    if said.get("kind") == "throw":
        out = _large(msgspec.structs.replace(out, **THROW))
    return out


def _large(answers: Answers) -> Answers:
    """Give the blocks of a throw: a lap's, where nothing else is said."""
    return msgspec.structs.replace(answers, across="7", down="9", square=LARGE[answers.square.endswith("cm")])


def folder_name(title: str) -> str:
    """Name a folder after a title. Raises WrongUse where nothing of it can be a name."""
    name = system.legal_name(title)
    if not name:
        raise WrongUse(
            f"{title!r} makes no name for a folder on every computer; give a title with other letters in it."
        )
    return name


def _planned(text: str, language: Language) -> Plan:
    """Plan a project's text; a mistake in it is told as it would be in the file. Raises NeedsMending for it."""
    project, loaded = read_project(
        text, PROJECT_FILE, language.stages, beneath=language.machine, kinds=language.beside["cloths"]
    )
    if project is None:
        raise mend(loaded.problems, {PROJECT_FILE: text})
    return make_plan(project, language)


def summary(plan: Plan) -> str:
    """Say in one line what the answers come to: size, cloth, time."""
    from guide.show.words import text_of

    units = plan.project.units
    size = " × ".join(text_of(plan.quantities[name], units) for name in ("face_width", "face_height"))
    cloth = ", ".join(f"{bought_text(line)} {line.item}" for line in plan.shopping if line.counter == "cloth")
    time = time_text(sum(step.pace_s * step.pieces for step in plan.steps))
    return f"Comes to {size} · {cloth} · about {time} hands on"


def _write(folder: Path, text: str) -> None:
    """Write a new project into a folder of its own.

    Raises CannotWrite when there is one already, or none can be made.
    """
    from guide.show.pages.write import write_whole

    made = [one for one in (folder, *folder.parents) if not os.path.lexists(one)]
    if os.path.lexists(folder / PROJECT_FILE):
        raise CannotWrite(f"{shown(folder)} has a project already; it was left as it is. Give another title.")
    try:
        for other in folder.parent.iterdir() if folder.parent.is_dir() else ():
            if other.name != folder.name and system.same_name(other.name, folder.name):
                raise CannotWrite(
                    f"{shown(other)} differs from {folder.name} in large and small letters only, and on some computers "
                    "they are one folder; nothing was written. Give another title."
                )
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(f"{shown(folder)} cannot be made: {error.strerror}. Nothing was written.") from None
    try:
        write_whole(folder / PROJECT_FILE, text)
    except CannotWrite:
        with suppress(OSError):  # one that somebody has put something in meanwhile stays
            for one in made:
                one.rmdir()
        raise


def _ask(start: Answers, language: Language) -> Answers:
    """Ask one question after another; what the answers come to stands below.

    Raises KeyboardInterrupt when one is left with Ctrl-C.
    """
    from prompt_toolkit import PromptSession

    session: PromptSession[str] = PromptSession(key_bindings=_replacing())
    answers = start
    talk("Enter keeps what stands there; typing takes its place.\nCtrl-C leaves without writing anything.")
    left: list[bool] = []  # one that comes while an answer is taken, or as a question begins, is not lost
    before = signal.signal(signal.SIGINT, lambda *_: _leave(session, left))
    try:
        for name, question, hint in QUESTIONS:
            if not _settled(name, answers, start):
                asked = f"{question} ({hint}):" if hint else f"{question}:"
                answers = _asked(session, asked, (name, answers), language, left)
            if left:
                raise KeyboardInterrupt
    finally:
        signal.signal(signal.SIGINT, before)
    return answers


def _leave(session: "PromptSession[str]", left: list[bool]) -> None:
    """Keep that an interrupt came, and end the question that stands there."""
    left.append(True)
    if (app := session.app).is_running and app.loop is not None:
        app.loop.call_soon_threadsafe(lambda: _end(session))


def _end(session: "PromptSession[str]") -> None:
    if session.app.is_running and not session.app.is_done:
        session.app.exit(exception=KeyboardInterrupt())


def _asked(
    session: "PromptSession[str]", asked: str, of: tuple[str, Answers], language: Language, left: list[bool]
) -> Answers:
    """Ask one question until its answer works out; nothing is cut off at the terminal's edge."""
    from prompt_toolkit.validation import Validator

    from guide.show.screen.text import wrap

    def in_lines(text: str) -> str:
        return "\n".join(wrap(text, session.app.output.get_size().columns))

    name, answers = of
    now = getattr(answers, name)

    def below(so_far: Answers) -> str:
        return wrong(so_far, language) or summary(_planned(project_text(so_far), language))

    def begin() -> None:
        if left:
            _end(session)
        _select_all(session.default_buffer)

    text = session.prompt(
        lambda: f"{in_lines(asked)} ",
        default=", ".join(now) if isinstance(now, tuple) else now,
        validator=Validator.from_callable(
            lambda text: not wrong(answered(answers, name, text), language),
            error_message="see below: that does not work out yet",
            move_cursor_to_end=True,
        ),
        validate_while_typing=False,
        bottom_toolbar=lambda: in_lines(below(answered(answers, name, session.default_buffer.text))),
        pre_run=begin,
        handle_sigint=False,
    )
    return answered(answers, name, text)


def _select_all(buffer: "Buffer") -> None:
    """Select what stands there, so that typing takes its place and an arrow key keeps it."""
    if not buffer.text:
        return
    buffer.cursor_position = 0
    buffer.start_selection()
    buffer.cursor_position = len(buffer.text)
    if buffer.selection_state is not None:
        buffer.selection_state.enter_shift_mode()


def _replacing() -> "KeyBindings":
    """Let pasting and the keys that rub out act on what is selected, as typing does already."""
    from prompt_toolkit.filters import has_selection
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
    from prompt_toolkit.keys import Keys

    keys = KeyBindings()

    @keys.add(Keys.BracketedPaste, filter=has_selection)
    def paste(event: KeyPressEvent) -> None:
        event.current_buffer.cut_selection()
        event.current_buffer.insert_text(event.data)

    @keys.add("c-u", filter=has_selection)
    @keys.add("c-w", filter=has_selection)
    @keys.add("c-k", filter=has_selection)
    @keys.add("delete", filter=has_selection)
    def rub_out(event: KeyPressEvent) -> None:
        event.current_buffer.cut_selection()

    return keys


def _settled(name: str, answers: Answers, start: Answers) -> bool:
    """Whether a question need not be asked: said already, or it does not arise."""
    return (
        (name in {"closure", "pad"} and answers.kind == "throw")
        or (name in {"across", "down", "square"} and bool(answers.pad))
        or (name == "zip_at" and answers.closure != "zip")
        or (name == "title" and start.title != Answers().title)
        or (name == "shrinks" and answers.washed_first != "yes")
        or (name in {"wadding_width", "wadding_price"} and answers.wadding != "yes")
        or (name in PRICES and not answers.hour)
    )


def _with_point(name: str, text: str) -> str:
    """Take a decimal comma for what it is; a name keeps its own."""
    return text if name == "title" else re.sub(r"(?<=\d),(?=\d)", ".", text)


def answered(answers: Answers, name: str, text: str) -> Answers:
    """Put one answer in; what depends on it follows."""
    if name == "prints":
        names = tuple(part.strip() for part in text.split(",") if part.strip())
        return msgspec.structs.replace(answers, prints=names)
    out = msgspec.structs.replace(answers, **{name: _with_point(name, text.strip())})
    usual = Answers()
    if name == "units" and text.strip() == "metric" and answers.square in {usual.square, LARGE[0]}:
        out = msgspec.structs.replace(out, **METRIC)
        out = out if answers.square == usual.square else msgspec.structs.replace(out, square=LARGE[1])
    if name == "kind" and text.strip() == "throw":
        out = msgspec.structs.replace(out, closure="none")
        if (answers.above, answers.below) == (usual.above, usual.below):
            out = msgspec.structs.replace(out, **THROW)
        if (answers.across, answers.down) == (usual.across, usual.down) and answers.square in {
            usual.square,
            METRIC["square"],
        }:
            out = _large(out)
    if name in YES_OR_NO and text.strip() not in {"yes", "no"}:
        out = msgspec.structs.replace(out, **{name: "?"})
    return out


def wrong(answers: Answers, language: Language) -> str:
    """Say what is wrong with the answers so far, in one line; nothing when they can be made."""
    if "?" in {getattr(answers, name) for name in YES_OR_NO}:
        return "write yes or no"
    if answers.kind == "cushion" and answers.closure not in {"zip", "envelope"}:
        return "write zip or envelope"
    if answers.zip_at and not ZIP_AT.fullmatch(answers.zip_at):
        return "write after row 1, or after column 2"
    try:
        _planned(project_text(answers), language)
    except GuideError as error:
        return re.sub(r"^[^ ]+:\d+:\d+: (?:[\w.\[\]]+: )?", "", str(error).split("\n")[0])
    return ""
