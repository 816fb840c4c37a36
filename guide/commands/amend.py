"""`guide amend`: put a record right, or type times in from paper."""

import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import click

from guide.commands.common import say, talk
from guide.commands.follow import opening
from guide.commands.planned import plan_of
from guide.commands.sessions import At, read_session, session_path
from guide.errors import GuideError, WrongUse
from guide.plan.model import Plan
from guide.read.places import find_project, open_project, shown
from guide.record.amend import WORDS, correct, move_note, right_measure
from guide.record.clock import SystemClock, clock_face, spoken
from guide.record.enter import Paced, enter
from guide.record.fold import fold
from guide.record.journal import Journal
from guide.record.model import Reading, Record
from guide.record.sessions import create

HELP = "\n".join(f"  {words:<18}{means}" for words, means in WORDS.items())


@click.command(
    "amend",
    epilog=f"\b\nCorrections:\n{HELP}\n\n\b\nExamples:\n  guide amend sessions/window-seat-cushion\n"
    '  guide amend SESSION --record 27 --set "interrupted 7 min" --why "the door"\n'
    '  guide amend SESSION --record 31 --measure "20 3/8 in"\n'
    '  guide amend sessions/window-seat-cushion --enter "12-18, 10:00 to 11:20, 9 blocks"',
)
@click.argument("session", required=False, metavar="[SESSION|PROJECT]")
@click.option("--record", "number", type=int, metavar="N", help="The record to put right; see the list.")
@click.option("--set", "words", metavar="WORDS", help="The correction, in words.")
@click.option("--measure", metavar="LENGTH", help="What the measure should have been.")
@click.option("--move", metavar="STEP", help="Move a note to another step: stage/id.")
@click.option("--why", default="", help="Why, for the log.")
@click.option("--enter", "lines", multiple=True, metavar="LINE", help="Times from paper; - reads lines from stdin.")
@click.option("--new", "anew", is_flag=True, help="With --enter: begin a new session for them.")
def command(
    session: str | None,
    *,
    number: int | None,
    words: str | None,
    measure: str | None,
    move: str | None,
    why: str,
    lines: tuple[str, ...],
    anew: bool,
) -> int:
    """Put the record of SESSION right; nothing is rewritten, the original stays visible in the log.

    Without options it lists the laps, notes and measures by number, and asks.
    """
    if lines:
        return _enter(session, lines, anew=anew)
    path = session_path(session)
    at = read_session(path)
    assert at.record is not None
    if number is None:
        say("\n".join(list_lines(at.record)))
        if not sys.stdin.isatty():
            return at.exit_code
        number = click.prompt("Which number", type=int)
        words = click.prompt("What is right (start 10:05, took 7 min, void …)")
        why = click.prompt("Why", default="", show_default=False)
    _correct(path, number, (words, measure, move), why, at)
    return 0


def _correct(path: Path, number: int, said: tuple[str | None, str | None, str | None], why: str, at: At) -> None:
    from guide.read.lengths import BadLength, parse_length

    words, measure, move = said
    if sum(one is not None for one in said) != 1:
        raise WrongUse("Say one thing: --set WORDS, --measure LENGTH or --move STEP.")
    clock = SystemClock()
    journal = Journal.open(path, clock.read())
    try:
        record = fold(journal.events)
        if not 1 <= number <= record.count:
            raise WrongUse(f"There is no record {number}; there are {record.count}. Nothing was changed.")
        if measure is not None:
            try:
                members = right_measure(number, parse_length(measure, at.plan.project.units), why)
            except BadLength as error:
                raise WrongUse(f"--measure: {error}") from None
        elif move is not None:
            members = move_note(number, move, why)
        else:
            members = correct(words or "", record, number, clock.read(), why)
        journal.append(members, clock.read())
        after = fold(journal.events)
    finally:
        journal.close()
    if len(after.corrections) > len(record.corrections):
        newest = after.corrections[-1]
        talk(f"Record {newest.of}: {newest.what} was {newest.was}, is now {newest.now}. Kept in {shown(path)}.")
    else:
        talk(f"Record {number} is put right. Kept in {shown(path)}.")


def list_lines(record: Record) -> list[str]:
    """List what can be put right: laps by the record that ended them, measures, notes."""
    rows: list[tuple[int, str]] = []
    for step in record.steps.values():
        for lap in step.laps:
            begin, end = clock_face(lap.start, lap.offset), clock_face(lap.end, lap.offset)
            marks = ("" if lap.counted else ", not counted") + (", by hand" if lap.by_hand else "")
            rows.append(
                (lap.end_n, f"{begin} to {end}  {lap.step:<28} {lap.pieces:>3}  {spoken(lap.counted_ms)}{marks}")
            )
    rows += [(m.n, f"measured {m.name}") for many in record.measures.values() for m in many]
    rows += [(r.n, f"{r.kind} at {r.step}: {r.text}") for r in record.remarks]
    return [f"{n:>5}  {text}" for n, text in sorted(rows)]


def _enter(session: str | None, lines: tuple[str, ...], *, anew: bool) -> int:
    """Type times in from paper: into the unfinished session, or a new one."""
    texts = [line for one in lines for line in (sys.stdin.read().split("\n") if one == "-" else [one]) if line.strip()]
    clock = SystemClock()
    journal, plan = _journal_for(session, clock.read(), anew=anew)
    try:
        steps = [
            Paced(s.key, s.pieces, s.piece, s.pace_s, None if s.waits_s is None else round(s.waits_s * 1000))
            for s in plan.steps
        ]
        count = 0
        for text in texts:
            try:
                many = enter(text, steps, fold(journal.events), clock.read(), _offset_at())
            except GuideError as error:
                raise WrongUse(f"{text}: {error}\n{count} lines before it are kept in {shown(journal.path)}.") from None
            for members in many:
                journal.append(members, clock.read())
            count += 1
    finally:
        journal.close()
    talk(f"{count} line{'s' if count != 1 else ''} entered by hand; kept in {shown(journal.path)}.")
    return 0


def _journal_for(session: str | None, now: Reading, *, anew: bool) -> tuple[Journal, Plan]:
    from guide.commands.common import SESSIONS
    from guide.record.sessions import unfinished

    if session is not None and Path(session).is_file() and session.endswith(".jsonl"):
        return Journal.open(session, now), read_session(Path(session)).plan
    here = open_project(find_project(session, SESSIONS), os.environ)
    path = None if anew else unfinished(here.folder)
    if path is not None:
        return Journal.open(path, now), read_session(path).plan
    plan = plan_of(here)
    journal = create(here.folder, now)
    journal.append(opening(here, plan, "real", "", ""), now)
    return journal, plan


def _offset_at() -> Callable[[int], int]:
    """Give the maker's offset from UTC, minutes, at a moment."""

    def offset(wall: int) -> int:
        at = datetime.fromtimestamp(wall / 1000, UTC).astimezone().utcoffset()
        return round(at.total_seconds() / 60) if at is not None else 0

    return offset
