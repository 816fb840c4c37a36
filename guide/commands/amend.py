"""`guide amend`: put a record right, or type times in from paper."""

import os
import sys
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from guide.commands.common import SESSIONS, say, talk
from guide.commands.follow import opening
from guide.commands.planned import plan_of, plan_session
from guide.commands.sessions import At, read_session, read_whole, session_path, under_way
from guide.errors import GuideError, WrongUse
from guide.follow.measuring import far_off, unbelieved
from guide.plan.model import Plan
from guide.read.lengths import BadLength, Units, parse_length, show_length
from guide.read.places import find_project, open_project, shown
from guide.record.amend import WORDS, correct, measure_of, move_note, right_measure, tried
from guide.record.clock import SystemClock, clock_face, spoken, wall_ms
from guide.record.enter import Paced, enter
from guide.record.fold import Folder, fold
from guide.record.journal import Journal
from guide.record.lines import event_of
from guide.record.model import Correction, Event, Measure, Reading, Record
from guide.record.sessions import create
from guide.show.columns import cells, fill
from guide.show.named import by_name, name_correction, named_steps, sides

EXAMPLE = 'Write for example: guide amend --enter "12-18, 10:00 to 11:20, 9 blocks"'
HELP = "\n".join(f"  {words:<18}{means}" for words, means in WORDS.items())


@click.command(
    "amend",
    epilog=f"\b\nCorrections:\n{HELP}\n\n\b\nExamples:\n  guide amend sessions/window-seat-cushion\n"
    '  guide amend SESSION --record 27 --set "interrupted 7 min" --why "the door"\n'
    '  guide amend SESSION --record 31 --measure "20 3/8 in"\n'
    '  guide amend sessions/window-seat-cushion --enter "12-18, 10:00 to 11:20, 9 blocks"\n'
    '  guide amend --enter "20, yesterday, 16:30 to 16:35, 20 1/4 in, note: a little narrow"\n'
    "  guide amend --enter - < written-on-paper.txt",
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
    listing = number is None and not sys.stdin.isatty()
    at = read_session(path) if listing else read_whole(path)
    assert at.record is not None
    if number is None:
        say("\n".join(list_lines(at.record, named_steps(at.plan))))
        if listing:
            return at.exit_code
        number = click.prompt("Which number", type=int)
        words = click.prompt("What is right (start 10:05, took 7 min, void …)")
        why = click.prompt("Why", default="", show_default=False)
    _correct(path, number, (words, measure, move), why, at)
    return 0


def _correct(path: Path, number: int, said: tuple[str | None, str | None, str | None], why: str, at: At) -> None:
    """Try the correction on the record, write it when it holds, and say what it changed."""
    if sum(one is not None for one in said) != 1:
        raise WrongUse("Say one thing: --set WORDS, --measure LENGTH or --move STEP.")
    clock, names = SystemClock(), named_steps(at.plan)
    journal = Journal.open(path, clock.read())
    try:
        record, now = fold(journal.events), clock.read()
        if not 1 <= number <= record.count:
            raise WrongUse(f"There is no record {number}; there are {record.count}. Nothing was changed.")
        members = _members(number, said, at, record, now) | ({"why": why} if why else {})
        try:
            after = tried(journal.events, record, members, now, {step.key: step.pieces for step in at.plan.steps})
        except WrongUse as error:
            raise WrongUse(by_name(str(error), names)) from None
        if said[1] is not None:
            _works_out(at, after, measure_of(after, number))
        written = journal.append(members, now)
    finally:
        journal.close()
    newest = next(one for one in after.corrections if one.n == written.n)
    talk(f"Record {number}: {_put_right(newest, names, at.plan.project.units)}. Kept in {shown(path)}.")


def _members(
    number: int, said: tuple[str | None, str | None, str | None], at: At, record: Record, now: Reading
) -> dict[str, Any]:
    """Read what is to be put right as the members of an event. Raises WrongUse."""
    words, measure, move = said
    if move is not None:
        return move_note(number, move, record, [step.key for step in at.plan.steps])
    if measure is None:
        try:
            return correct(words or "", record, number, now)
        except WrongUse as error:
            raise WrongUse(by_name(str(error), named_steps(at.plan))) from None
    units, name = at.plan.project.units, measure_of(record, number).name
    try:
        mm = parse_length(measure, units)
    except BadLength as error:
        raise WrongUse(f"--measure: {error}") from None
    if far_off(at.plan, name, mm):
        raise WrongUse(f"{_slip(at.plan, name, mm)} Nothing was changed.")
    return right_measure(number, mm, record)


def _slip(plan: Plan, name: str, mm: float) -> str:
    return (
        f"{unbelieved(plan, name, mm)}: is it a slip? Measure again, and write it with its unit; keep what cannot be "
        "believed as a note."
    )


def _works_out(at: At, after: Record, measure: Measure) -> None:
    """Refuse a size that no plan can be made with: it would shut the session for good."""
    try:
        plan_session(after, at.plan.project, at.language, after.measured(measure.make or 1))
    except GuideError:
        raise WrongUse(f"{unbelieved(at.plan, measure.name, measure.mm)}. Nothing was changed.") from None


def _put_right(one: Correction, names: Mapping[str, str], units: Units) -> str:
    """Say what a correction changed."""
    if one.aspect == "taken back":
        return f"{names.get(one.step, one.step)}: taken back: {one.was}" if one.step else f"taken back: {one.was}"
    was, now = sides(one, names, units)
    return f"{name_correction(one, names)} was {was or 'not said'}, is now {now or 'not said'}"


def list_lines(record: Record, names: Mapping[str, str]) -> list[str]:
    """List what can be put right: laps by the record that ended them, measures, notes; names: steps by key."""
    wide = max((cells(names.get(key, key)) for key in record.steps), default=0) + 1
    rows: list[tuple[int, str]] = []
    for step in record.steps.values():
        name = names.get(step.key, step.key)
        for lap in step.laps:
            begin, end = clock_face(lap.start, lap.start_offset), clock_face(lap.end, lap.offset)
            marks = ("" if lap.counted else ", not counted") + (", by hand" if lap.by_hand else "")
            rows.append(
                (lap.end_n, f"{begin} to {end}  {fill(name, wide)}{lap.pieces:>4}  {spoken(lap.counted_ms)}{marks}")
            )
    rows += [(m.n, f"measured {m.name.replace('_', ' ')}") for many in record.measures.values() for m in many]
    rows += [(r.n, f"{r.kind} at {names.get(r.step, r.step) or 'no step'}: {r.text}") for r in record.remarks]
    return [f"{n:>5}  {text}" for n, text in sorted(rows)]


def _enter(session: str | None, lines: tuple[str, ...], *, anew: bool) -> int:
    """Type times in from paper: into the unfinished session, or a new one. All the lines, or none of them."""
    texts = [line for one in lines for line in (sys.stdin.read().split("\n") if one == "-" else [one]) if line.strip()]
    if not texts:
        raise WrongUse(f"No line was given. {EXAMPLE}")
    now = SystemClock().read()
    place, plan, begun = _session_for(session, anew=anew)
    journal = None if begun else Journal.open(place, now)
    try:
        events = [event_of(1, begun[0], now)] if journal is None else list(journal.events)
        members, told = _read_lines(texts, plan, events, now)
        if journal is None:
            journal = create(place, now)
        for one in [*begun, *members]:
            journal.append(one, now)
    finally:
        if journal is not None:
            journal.close()
    talk("\n".join(told))
    talk(f"{len(texts)} line{'s' if len(texts) != 1 else ''} entered by hand; kept in {shown(journal.path)}.")
    return 0


def _read_lines(
    texts: list[str], plan: Plan, events: list[Event], now: Reading
) -> tuple[list[dict[str, Any]], list[str]]:
    """Read all lines as events and say what each becomes; WrongUse for the first that cannot be."""
    steps = [
        Paced(
            s.key, s.pieces, s.piece, s.pace_s, None if s.waits_s is None else round(s.waits_s * 1000),
            measure=s.measure or "", makes=plan.project.make,
        )
        for s in plan.steps
    ]  # fmt: skip
    folder, names = Folder(events), named_steps(plan)
    found: list[dict[str, Any]] = []
    told: list[str] = []
    for text in texts:
        try:
            many = enter(text, steps, folder.record, now, _offset_at())
            for one in (one for one in many if one["what"] == "measured"):
                if far_off(plan, one["name"], one["mm"]):
                    raise WrongUse(_slip(plan, one["name"], one["mm"]))
        except GuideError as error:
            raise WrongUse(f"{text.strip()}: {by_name(str(error), names)}\nNothing was entered.") from None
        for one in many:
            event = event_of(len(folder.events) + 1, one, now)
            folder.add(event)
            told.append(f"  {names[event.step]}: {_entered(event, plan)}")
        found += many
    return found, told


def _entered(event: Event, plan: Plan) -> str:
    """Say what was taken from the paper."""
    if event.what == "measured":
        units = plan.project.units
        planned = plan.quantities[event.name].planned or plan.quantities[event.name].value
        beside = f", planned {show_length(planned, units)}" if isinstance(planned, float) else ""
        return f"{event.name.replace('_', ' ')} {show_length(event.mm or 0.0, units)}{beside}"
    if event.what == "noted":
        return f"note: {event.text}"
    lap = event.set or {}
    took = wall_ms(lap["to"]) - wall_ms(lap["from"]) - lap.get("less", 0)
    of = next(step.pieces for step in plan.steps if step.key == event.step)
    return f"{event.count} of {of}, {spoken(took)}" + ("" if event.what == "step_done" else ", not finished")


def _session_for(session: str | None, *, anew: bool) -> tuple[Path, Plan, list[dict[str, Any]]]:
    """Find the journal to write into, and its plan; or the folder to begin one in, and its first record."""
    if session is not None and Path(session).is_file() and session.endswith(".jsonl"):
        return Path(session), read_whole(Path(session)).plan, []
    here = open_project(find_project(session, SESSIONS), os.environ)
    path = under_way(here.folder)
    if path is not None and not anew:
        return path, read_whole(path).plan, []
    plan = plan_of(here)
    return here.folder, plan, [opening(here, plan, "real", "", "")]


def _offset_at() -> Callable[[int], int]:
    """Give the maker's offset from UTC, minutes, at a moment."""

    def offset(wall: int) -> int:
        at = datetime.fromtimestamp(wall / 1000, UTC).astimezone().utcoffset()
        return round(at.total_seconds() / 60) if at is not None else 0

    return offset
