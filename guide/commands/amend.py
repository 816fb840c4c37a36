"""`guide amend`: put a record right, or type times in from paper."""

import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path

import click
from msgspec import Struct
from msgspec.structs import replace

from guide.commands.ask import argument, asks, maker, option
from guide.commands.common import SESSIONS, clock, say, talk
from guide.commands.follow import lacking, opening
from guide.commands.sessions import (
    At,
    after_a_finished,
    first_begun,
    open_here,
    plan_of,
    plan_session,
    project_folder,
    read_session,
    read_whole,
    session_path,
    under_way,
)
from guide.commands.times import begun_by, tell
from guide.errors import GuideError, WrongUse
from guide.follow.noting import far_off, slip, unbelieved, wrong_path
from guide.plan.model import Plan
from guide.read.places import find_project, shown
from guide.read.spoken import counted
from guide.read.units import BadLength, Units, parse_length, show_length
from guide.record.amend import WORDS, Members, correct, measure_of, move_note, right_measure, tried
from guide.record.clock import clock_face, exact_text, local, time_text, wall_ms
from guide.record.enter import Paced, enter, tells_times
from guide.record.fold import Folder, fold
from guide.record.journal import Journal, read_journal
from guide.record.lines import event_of
from guide.record.model import Correction, Event, Lap, Measure, Reading, Record, new_event
from guide.record.sessions import create, journals
from guide.show.table import Column, lines, table
from guide.show.words import by_name, name_correction, named_steps, sides

HELP = "\n".join(f"  {words:<18}{means}" for words, means in WORDS.items())


class Asked(Struct, frozen=True):
    """What is to be put right of which record, one of words, measure and move; or what is typed in from paper."""

    session: str | None = argument(required=False, metavar="[SESSION|PROJECT]")
    record: int | None = option("The record to put right; see the list.", "N", type=int)
    words: str | None = option("The correction, in words.", "WORDS", "--set")
    measure: str | None = option("What the measure should have been.", "LENGTH")
    move: str | None = option("Move a note to another step: stage/id.", "STEP")
    why: str = option("Why, for the log.")
    lines: tuple[str, ...] = option("Times, sizes, notes from paper; - for stdin.", "LINE", "--enter")
    anew: bool = option("With --enter: begin a new session for them.", None, "--new")
    maker: str = maker("Whose a session is that --enter begins.")


@click.command(
    "amend",
    epilog=f"\b\nCorrections:\n{HELP}\n\n\b\nExamples:\n  guide amend sessions/window-seat-cushion\n"
    '  guide amend SESSION --record 27 --set "interrupted 7 min" --why "the door"\n'
    '  guide amend SESSION --record 31 --measure "20 3/8 in"\n'
    '  guide amend sessions/window-seat-cushion --enter "steps 12-18, 10:00 to 11:20, 9 blocks"\n'
    '  guide amend --enter "step 20, yesterday, 16:30 to 16:35, 20 1/4 in, note: a little narrow"\n'
    '  guide amend --enter "panel width 20 1/4 in"\n'
    "  guide amend --enter - < written-on-paper.txt",
)
@asks(Asked)
def command(said: Asked) -> int:
    """Put the record of SESSION right; nothing is rewritten, the original stays visible in the log.

    What --enter types in goes into the unfinished session, else it begins one, named for the day it tells of and
    closed with the last step. A size, a note or a photo alone needs no times and begins none: a finished session
    takes it.

    Without options it lists the laps, notes and measures by number, and asks.
    """
    if said.lines:
        return enter_lines(said)
    path = session_path(said.session)
    listing = said.record is None and not sys.stdin.isatty()
    at = read_session(path) if listing else read_whole(path)
    assert at.record is not None
    if said.record is None:
        say("\n".join(list_lines(at.record, named_steps(at.plan), at.plan.project.units)))
        if listing:
            return at.exit_code
        number = click.prompt("Which number", type=int)
        words = click.prompt("What is right (start 10:05, took 7 min, void …)")
        said = replace(said, record=number, words=words, why=click.prompt("Why", default="", show_default=False))
    _correct(path, said, said.record or 0, at)
    return 0


def _correct(path: Path, asked: Asked, number: int, at: At) -> None:
    """Try the correction on the record, write it when it holds, and say what it changed.

    Raises WrongUse when not exactly one thing is said.
    """
    if [asked.words, asked.measure, asked.move].count(None) != 2:
        raise WrongUse("Say one thing: --set WORDS, --measure LENGTH or --move STEP.")
    now, events = clock().read(), read_journal(path).events
    members, after = _tried(asked, number, at, events, now)
    journal = Journal.open(path, now)  # only now: what is refused has changed nothing, a torn tail neither
    try:
        if journal.events != events:  # the torn tail was told of, or another window wrote
            members, after = _tried(asked, number, at, journal.events, now)
        journal.append(members, now)
    finally:
        journal.close()
    newest = max(after.corrections, key=lambda one: one.n)
    told = _put_right(newest, named_steps(at.plan), at.plan.project.units)
    talk(f"Record {number}: {told}. Kept in {shown(path)}.")


def _tried(asked: Asked, number: int, at: At, events: Sequence[Event], now: Reading) -> tuple[Members, Record]:
    """Read a correction and try it on the record; give its event and the record after it. Raises WrongUse."""
    record = fold(events)
    if not 1 <= number <= record.count:
        raise WrongUse(f"There is no record {number}; there are {record.count}. Nothing was changed.")
    members = _members(asked, number, at, record, now) | ({"why": asked.why} if asked.why else {})
    try:
        after = tried(events, record, members, now, {step.key: step.pieces for step in at.plan.steps})
    except WrongUse as error:
        raise WrongUse(by_name(str(error), named_steps(at.plan))) from None
    if asked.measure is not None:
        _works_out(at, after, measure_of(after, number))
    return members, after


def _members(asked: Asked, number: int, at: At, record: Record, now: Reading) -> Members:
    """Read what is to be put right as the members of an event. Raises WrongUse."""
    if asked.move is not None:
        return move_note(number, asked.move, record, [step.key for step in at.plan.steps])
    if asked.measure is None:
        try:
            return correct(asked.words or "", record, number, now)
        except WrongUse as error:
            raise WrongUse(by_name(str(error), named_steps(at.plan))) from None
    units, name = at.plan.project.units, measure_of(record, number).name
    try:
        mm = parse_length(asked.measure, units)
    except BadLength as error:
        raise WrongUse(f"--measure: {error}") from None
    if far_off(at.plan, name, mm):
        raise WrongUse(f"{slip(at.plan, name, mm)} Nothing was changed.")
    return right_measure(number, mm, record)


def _works_out(at: At, after: Record, measure: Measure) -> None:
    """Refuse a size that no plan can be made with: it would shut the session for good.

    Raises WrongUse for such a size.
    """
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


def list_lines(record: Record, names: Mapping[str, str], units: Units) -> list[str]:
    """List what can be put right: laps by the record that ended them, measures, notes; names: steps by key."""
    laps = list(record.laps())
    dated = len(set(map(_days, laps))) > 1
    times = [_from_to(lap, dated=dated) for lap in laps]
    worked = [
        Column[tuple[Lap, str]]("", lambda row: row[1]),
        Column[tuple[Lap, str]]("", lambda row: names.get(row[0].step, row[0].step)),
        Column[tuple[Lap, str]]("", lambda row: f"{row[0].pieces}", number=True, least=4, gap=1),
        # What is to be put right is told as it is kept.
        Column[tuple[Lap, str]]("", lambda row: exact_text(row[0].counted_ms / 1000), number=True, least=7),
        Column[tuple[Lap, str]]("", lambda row: _marks(row[0]), gap=0),
    ]
    told = lines(table(worked, [zip(laps, times, strict=True)]), indent=0)
    rows = [(lap.end_n, line) for lap, line in zip(laps, told, strict=True)]
    rows += [(m.n, _measured(m, units)) for many in record.measures.values() for m in many]
    for one in record.remarks:
        at = f"{one.kind} at {names.get(one.step, one.step) or 'no step'}"
        rows.append((one.n, f"{at}: {one.text}" if one.text else at))
    return [f"{n:>5}  {text}" for n, text in sorted(rows)]


def _marks(lap: Lap) -> str:
    return ("" if lap.counted else ", not counted") + (", by hand" if lap.by_hand else "")


def _measured(one: Measure, units: Units) -> str:
    make = f", make {one.make}" if one.make > 1 else ""
    return f"measured {one.name.replace('_', ' ')}{make}: {show_length(one.mm, units)}"


def _days(lap: Lap) -> tuple[date, date]:
    return local(lap.start, lap.start_offset).date(), local(lap.end, lap.offset).date()


def _from_to(lap: Lap, *, dated: bool) -> str:
    """Say when a lap was worked: `10:05 to 10:12`, with its day where there are several."""
    first, last = (f"{day.day} {day:%b} " for day in _days(lap))
    begin, end = clock_face(lap.start, lap.start_offset), clock_face(lap.end, lap.offset)
    over = first != last
    return f"{first if dated or over else ''}{begin} to {last if over else ''}{end}"


# `guide amend --enter`: times, sizes and notes typed in from a run sheet on paper.

EXAMPLE = 'Write for example: guide amend --enter "steps 12-18, 10:00 to 11:20, 9 blocks"'


def enter_lines(said: Asked) -> int:
    """Type in from paper: into the unfinished session, a new one, or what was forgotten into the last. All, or none.

    Raises WrongUse when no line is given.
    """
    given = [sys.stdin.read().split("\n") if one == "-" else [one] for one in said.lines]
    texts = [line for lines in given for line in lines if line.strip()]
    if not texts:
        raise WrongUse(f"No line was given. {EXAMPLE}")
    clocks = clock()
    now = clocks.read()
    place, plan, begun = _session_for(said, timed=_timed(texts, now))
    events = [event_of(1, begun, now)] if begun else read_journal(place).events
    typed, told = _read_lines(texts, plan, events, now, clocks.offset_at)
    days = [one.set["from"][:10] for one in typed if one.set and "from" in one.set]
    # What is refused has changed nothing.
    journal = create(place, begun, now, day=min(days, default="")) if begun else Journal.open(place, now)
    try:
        if not begun and journal.events != events:  # the torn tail was told of, or another window wrote
            typed, told = _read_lines(texts, plan, journal.events, now, clocks.offset_at)
        journal.append_all(typed, now)
    except BaseException:
        if begun:
            journal.take_away()
        raise
    finally:
        journal.close()
    for one in typed:
        if one.what == "photo" and (folder := lacking(project_folder(journal.path), one.name)):
            told.append(f"  There is no {one.name} in {folder} yet; noted all the same.")
    talk("\n".join(told))
    talk(f"{counted(len(texts), 'line')} entered by hand; kept in {shown(journal.path)}.")
    return 0


def _read_lines(
    texts: list[str], plan: Plan, events: list[Event], now: Reading, offset_at: Callable[[int], int]
) -> tuple[list[Event], list[str]]:
    """Read all lines as events and say what each becomes; WrongUse for the first that cannot be."""
    steps = [
        Paced(
            s.key, s.pieces, s.piece, s.pace_s, None if s.waits_s is None else round(s.waits_s * 1000),
            measure=s.measure or "", makes=plan.project.make, count_in=s.count_in,
        )
        for s in plan.steps
    ]  # fmt: skip
    folder, names = Folder(events), named_steps(plan)
    told: list[str] = []
    for text in texts:
        try:
            many = [event_of(1, one, now) for one in enter(text, steps, folder.record, now, offset_at)]
            for one in many:
                if one.what == "measured" and far_off(plan, one.name, one.mm or 0.0):
                    raise WrongUse(slip(plan, one.name, one.mm or 0.0))
                if one.what == "photo" and (wrong := wrong_path(one.name)):
                    raise WrongUse(wrong)
        except GuideError as error:
            raise WrongUse(f"{text.strip()}: {by_name(str(error), names)}\nNothing was entered.") from None
        for one in many:
            folder.add(replace(one, n=len(folder.events) + 1))
            told.append(f"  {names[one.step]}: {_entered(one, plan)}" if one.step else f"  {_entered(one, plan)}")
    found = [*folder.events[len(events) :]]
    if _last_step_done(plan, folder.record, found):
        found.append(new_event("closed", records=len(folder.events) + 1, by_hand=True))
        told.append("  Every step is done: the session is closed.")
    return found, told


def _timed(texts: list[str], now: Reading) -> bool:
    """Whether any line tells of work; one that cannot be read might, and is refused in its turn."""
    try:
        return any(tells_times(text, now) for text in texts)
    except WrongUse:
        return True


def _last_step_done(plan: Plan, record: Record, entered: list[Event]) -> bool:
    """Whether what is typed in finishes the session: as with the big key, it is closed then."""
    typed = any(one.what == "step_done" for one in entered)
    return typed and not record.closed and all(record.step(step.key).over for step in plan.steps)


def _entered(event: Event, plan: Plan) -> str:
    """Say what was taken from the paper."""
    if event.what == "measured":
        units = plan.project.units
        planned = plan.quantities[event.name].planned or plan.quantities[event.name].value
        beside = f", planned {show_length(planned, units)}" if isinstance(planned, float) else ""
        return f"{event.name.replace('_', ' ')} {show_length(event.mm or 0.0, units)}{beside}"
    if event.what == "noted":
        return f"note: {event.text}"
    if event.what == "photo":
        return f"photo: {event.name}"
    lap = event.set or {}
    took = wall_ms(lap["to"]) - wall_ms(lap["from"]) - lap.get("less", 0)
    of = next(step.pieces for step in plan.steps if step.key == event.step)
    day = date.fromisoformat(lap["from"][:10])
    when = f"{day.day} {day:%B} {lap['from'][11:16]} to {lap['to'][11:16]}"
    counted_in = f", {event.text}" if event.text else ""
    done = "" if event.what == "step_done" else ", not finished"
    return f"{event.count} of {of}, {time_text(took / 1000)}, {when}{counted_in}{done}"


def _session_for(said: Asked, *, timed: bool) -> tuple[Path, Plan, dict[str, object]]:
    """Find the journal to write into, and its plan; or the folder to begin one in, and its first record.

    `timed`: it tells of work. What does not belongs to the newest session, finished or not, and begins none.
    Raises WrongUse when there is no session yet for what tells of no work.
    """
    if said.session is not None and Path(said.session).is_file() and said.session.endswith(".jsonl"):
        return Path(said.session), read_whole(Path(said.session)).plan, {}
    here = open_here(find_project(said.session, SESSIONS))
    path = under_way(here.folder)
    if not timed and path is None:
        path = first_begun(reversed(journals(here.folder)))
        if path is None:
            raise WrongUse(f"{shown(here.folder)} has no session yet to put that in. {EXAMPLE}")
    if path is not None and not (said.anew and timed):
        return path, read_whole(path).plan, {}
    if path is None and not said.anew and (told := after_a_finished(here.folder)):
        talk(told)
    plan = plan_of(here)
    kept_as, mine = begun_by(here.folder.parent, said.maker)
    tell(mine)
    return here.folder, plan, opening(here, plan, "real", kept_as, "")
