"""`guide amend --enter`: times, sizes and notes typed in from a run sheet on paper."""

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from guide.commands.common import SESSIONS, clock, talk
from guide.commands.follow import lacking, opening
from guide.commands.on_shelf import open_here
from guide.commands.planned import plan_of
from guide.commands.sessions import after_a_finished, first_begun, project_folder, read_whole, under_way
from guide.commands.times import begun_by, tell
from guide.errors import GuideError, WrongUse
from guide.follow.noting import far_off, slip, wrong_path
from guide.plan.model import Plan
from guide.read.places import find_project, shown
from guide.read.spoken import counted
from guide.read.units import show_length
from guide.record.clock import spoken, wall_ms
from guide.record.enter import Paced, enter, tells_times
from guide.record.fold import Folder
from guide.record.journal import Journal, read_journal
from guide.record.lines import event_of
from guide.record.model import Event, Reading, Record
from guide.record.sessions import create, journals
from guide.show.words import by_name, named_steps

EXAMPLE = 'Write for example: guide amend --enter "steps 12-18, 10:00 to 11:20, 9 blocks"'


def enter_lines(session: str | None, lines: tuple[str, ...], *, anew: bool, maker: str = "") -> int:
    """Type in from paper: into the unfinished session, a new one, or what was forgotten into the last. All, or none."""
    texts = [line for one in lines for line in (sys.stdin.read().split("\n") if one == "-" else [one]) if line.strip()]
    if not texts:
        raise WrongUse(f"No line was given. {EXAMPLE}")
    clocks = clock()
    now = clocks.read()
    place, plan, begun = _session_for(session, anew=anew, maker=maker, timed=_timed(texts, now))
    events = [event_of(1, begun[0], now)] if begun else read_journal(place).events
    members, told = _read_lines(texts, plan, events, now, clocks.offset_at)
    days = [one["set"]["from"][:10] for one in members if "from" in one.get("set", {})]
    # What is refused has changed nothing.
    journal = create(place, begun[0], now, day=min(days, default="")) if begun else Journal.open(place, now)
    try:
        if not begun and journal.events != events:  # the torn tail was told of, or another window wrote
            members, told = _read_lines(texts, plan, journal.events, now, clocks.offset_at)
        journal.append_all(members, now)
    except BaseException:
        if begun:
            journal.take_away()
        raise
    finally:
        journal.close()
    for one in members:
        if one["what"] == "photo" and (folder := lacking(project_folder(journal.path), one["name"])):
            told.append(f"  There is no {one['name']} in {folder} yet; noted all the same.")
    talk("\n".join(told))
    talk(f"{counted(len(texts), 'line')} entered by hand; kept in {shown(journal.path)}.")
    return 0


def _read_lines(
    texts: list[str], plan: Plan, events: list[Event], now: Reading, offset_at: Callable[[int], int]
) -> tuple[list[dict[str, Any]], list[str]]:
    """Read all lines as events and say what each becomes; WrongUse for the first that cannot be."""
    steps = [
        Paced(
            s.key, s.pieces, s.piece, s.pace_s, None if s.waits_s is None else round(s.waits_s * 1000),
            measure=s.measure or "", makes=plan.project.make, count_in=s.count_in,
        )
        for s in plan.steps
    ]  # fmt: skip
    folder, names = Folder(events), named_steps(plan)
    found: list[dict[str, Any]] = []
    told: list[str] = []
    for text in texts:
        try:
            many = enter(text, steps, folder.record, now, offset_at)
            for one in (one for one in many if one["what"] == "measured"):
                if far_off(plan, one["name"], one["mm"]):
                    raise WrongUse(slip(plan, one["name"], one["mm"]))
            for one in (one for one in many if one["what"] == "photo"):
                if wrong := wrong_path(one["name"]):
                    raise WrongUse(wrong)
        except GuideError as error:
            raise WrongUse(f"{text.strip()}: {by_name(str(error), names)}\nNothing was entered.") from None
        for one in many:
            event = event_of(len(folder.events) + 1, one, now)
            folder.add(event)
            told.append(
                f"  {names[event.step]}: {_entered(event, plan)}" if event.step else f"  {_entered(event, plan)}"
            )
        found += many
    if _last_step_done(plan, folder.record, found):
        found.append({"what": "closed", "records": len(folder.events) + 1, "by_hand": True})
        told.append("  Every step is done: the session is closed.")
    return found, told


def _timed(texts: list[str], now: Reading) -> bool:
    """Whether any line tells of work; one that cannot be read might, and is refused in its turn."""
    try:
        return any(tells_times(text, now) for text in texts)
    except WrongUse:
        return True


def _last_step_done(plan: Plan, record: Record, members: list[dict[str, Any]]) -> bool:
    """Whether what is typed in finishes the session: as with the big key, it is closed then."""
    typed = any(one["what"] == "step_done" for one in members)
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
    return f"{event.count} of {of}, {spoken(took)}, {when}{counted_in}{done}"


def _session_for(
    session: str | None, *, anew: bool, maker: str, timed: bool
) -> tuple[Path, Plan, list[dict[str, Any]]]:
    """Find the journal to write into, and its plan; or the folder to begin one in, and its first record.

    `timed`: it tells of work. What does not belongs to the newest session, finished or not, and begins none.
    """
    if session is not None and Path(session).is_file() and session.endswith(".jsonl"):
        return Path(session), read_whole(Path(session)).plan, []
    here = open_here(find_project(session, SESSIONS))
    path = under_way(here.folder)
    if not timed and path is None:
        path = first_begun(reversed(journals(here.folder)))
        if path is None:
            raise WrongUse(f"{shown(here.folder)} has no session yet to put that in. {EXAMPLE}")
    if path is not None and not (anew and timed):
        return path, read_whole(path).plan, []
    if path is None and not anew and (said := after_a_finished(here.folder)):
        talk(said)
    plan = plan_of(here)
    kept_as, mine = begun_by(here.folder.parent, maker)
    tell(mine)
    return here.folder, plan, [opening(here, plan, "real", kept_as, "")]
