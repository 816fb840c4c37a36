"""`guide class follow`: the board of a class at work, a line a key: mostly a seat's number and Enter."""

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from guide import __version__
from guide.commands.common import clock, say, talk
from guide.commands.teach import Class
from guide.errors import CannotWrite, GuideError, JournalDamaged
from guide.read.places import shown
from guide.read.units import minutes_ms
from guide.record.clock import local, time_text
from guide.record.journal import Journal, describe, read_journal
from guide.record.lines import FORMAT, written
from guide.record.model import Event, Reading, new_event
from guide.teach.board import (
    Board,
    after,
    board_of,
    ends_at,
    milestones,
    next_milestone,
    now_s,
    reached,
    replanned,
    speaks,
    undoable,
)
from guide.teach.model import Course, clock_of

if TYPE_CHECKING:
    from guide.commands.beside import Page
    from guide.teach.plan import Planned

MODE = "board"
HELP = (
    "3 Enter: seat 3 has come to its next milestone · 3 snipped: to that one · u undo · p pause, and on again · "
    "late 3 20: seat 3 comes 20 min late · home 3: seat 3 has gone home · Enter: how it stands · "
    "done: the class is over · q stop for now"
)
_NUMBER = re.compile(r"(\d{1,2})(?:\s+(.+))?")
_WORD = re.compile(r"(late|home)\s+(\d{1,2})(?:\s+(.+))?")


class Stands(NamedTuple):
    """How a board stands: what stands above it, (stitches, what is next) of each seat, and what must be said."""

    head: str
    seats: list[tuple[str, str]]
    told: list[str]


class Keeping:
    """A board with its journal: every key is saved before it is shown."""

    def __init__(self, of: Class, planned: "Planned", journal: Journal) -> None:
        """Take up a journal that is open."""
        self.of, self.journal = of, journal
        self.clock = clock()
        self.said = ""
        self._made: tuple[int, Planned] = (1, planned)  # as after so many records

    def board(self) -> Board:
        """What has been reached."""
        return board_of(self.journal.events)

    def now(self) -> float:
        """How long the class runs, s."""
        return now_s(self.journal.events, self.clock.read())

    def planned(self) -> "Planned":
        """The plan as it stands; what earlier records led to is not worked out again."""
        events, (since, made) = self.journal.events, self._made
        self._made = (len(events), after(made, events, since))
        return replanned(self._made[1], self.board(), self.now())

    def take(self, line: str) -> bool:
        """Take a line; False when it is the last. Nothing but a record changes anything."""
        self.said, typed = "", line.strip().lower()
        if typed in {"q", "quit"}:
            return False
        event = self._meant(typed)
        if event is not None:
            try:
                self.journal.append(event, self.clock.read())
            except CannotWrite as refused:
                self.said = str(refused)
        return event is None or event.what != "closed"

    def _meant(self, line: str) -> Event | None:
        """The record that a line leads to, if it leads to any."""
        if line == "u":
            newest = undoable(self.journal.events)
            self.said = "Taken back." if newest else "Nothing to take back."
            return new_event("voided", of=newest.n) if newest else None
        if line == "p":
            return new_event("resumed" if self.board().paused else "paused")
        if line == "done":
            return new_event("closed", records=len(self.journal.events) + 1)
        if found := _WORD.fullmatch(line):
            return self._word(*found.groups())
        if found := _NUMBER.fullmatch(line):
            return self._reached(int(found[1]), found[2] or "")
        self.said = (
            HELP if line in {"?", "h", "help"} else f"“{line[:20]}” is no key here: ? shows them." if line else ""
        )
        return None

    def _there(self, seat: int) -> bool:
        if 1 <= seat <= len(self.of.course.seats):
            return True
        self.said = f"There is no seat {seat}: 1 to {len(self.of.course.seats)}."
        return False

    def _reached(self, seat: int, name: str) -> Event | None:
        if not self._there(seat):
            return None
        board, planned = self.board(), self.planned()
        names = [one.name for one in milestones(planned.works[seat - 1])]
        coming = next_milestone(planned, board, seat)
        name = name or (coming.name if coming else "")
        if seat in board.gone:
            self.said = f"Seat {seat} has gone home; u takes that back."
        elif not name:
            self.said = f"Seat {seat} has come to the end."
        elif name not in names:
            self.said = f"Seat {seat} has no “{name[:20]}”: {', '.join(names)}."
        else:
            self.said = f"Seat {seat}: {name} ●"
            return new_event("step_done", make=seat, name=name)
        return None

    def _word(self, word: str, number: str, rest: str | None) -> Event | None:
        seat = int(number)
        if not self._there(seat):
            return None
        if word == "home":
            self.said = f"Seat {seat} has gone home."
            return new_event("step_skipped", make=seat, why="gone home")
        ms = minutes_ms(rest or "")
        if ms is None:
            self.said = "How late? Write it like: late 3 20"
            return None
        self.said = f"Seat {seat} comes in {time_text(ms / 1000, in_minutes=True)}."
        return new_event("interrupted", make=seat, ms=round(self.now() * 1000) + ms)

    def stands(self) -> Stands:
        """How it stands now."""
        return stands(self.of.course, self.planned(), self.board(), self.now())

    def lines(self) -> list[str]:
        """How it stands in lines: one row a seat, then what must be said."""
        now = self.stands()
        rows = (f"  {n:>2}  {stitches} {state}" for n, (stitches, state) in enumerate(now.seats, 1))
        said = [self.said] if self.said else []
        return [f"{self.of.course.title}: {now.head}", "", *rows, "", *now.told, *said]

    def show(self, page: "Page | None") -> None:
        """The same on pupils' pages, which change nothing."""
        if page is not None:
            from guide.beside.view import board_view

            now = self.stands()
            words = next(iter(self.of.plans.values())).project.words
            events = len(self.journal.events)
            page.server.show(board_view(self.of.course.title, now.head, now.seats, now.told, events, words=words))


def stands(course: Course, planned: "Planned", board: Board, now: float) -> Stands:
    """Say how a board stands, so many s after it began."""
    at, rows = clock_of(course), []
    for n in range(1, len(planned.works) + 1):
        behind = reached(planned, board, n)
        stitches = "".join("━ " if one.name in behind else "┄ " for one in milestones(planned.works[n - 1]))
        coming = next_milestone(planned, board, n)
        if n in board.gone:
            state = "gone home"
        elif coming is None:
            state = "ready ●"
        else:
            state = f"next: {coming.name}, about {at(ends_at(planned, n, coming))}"
        rows.append((stitches, state))
    head = "paused" if board.paused else f"{time_text(now, in_minutes=True)} since it began"
    return Stands(head, rows, [] if board.paused else speaks(planned, board, now, planned.plan.closing_s))


def follow_class(of: Class, page: "Page | None" = None) -> int:
    """Keep the board of a class until it is left; `page`: where pupils look at it."""
    planner = of.planner()
    planned = planner.planned()
    keeping = Keeping(of, planned, _journal(of, clock().read()))
    try:
        if page is not None:
            talk(f"{page.say()}/SEAT is a pupil's own: their row large.")
        keeping.show(page)
        say("\n".join([*keeping.lines(), HELP]))
        for line in sys.stdin:
            going_on = keeping.take(line)
            if not going_on:
                break
            keeping.show(page)
            say("\n".join(keeping.lines()))
    finally:
        keeping.journal.close()
    talk(f"Saved in {shown(keeping.journal.path)}. The same command goes on with it.")
    return 0


def boards(folder: Path) -> list[Path]:
    """The boards of a class, oldest first."""
    return sorted(folder.glob("board-*.jsonl"))


def _journal(of: Class, now: Reading) -> Journal:
    """Open the board that is not closed, or begin one. Its pupils are numbers; their names stay in the class file.

    Raises JournalDamaged for a board that is hurt, CannotWrite when the day has too many.
    """
    folder = of.path.parent
    for path in reversed(boards(folder)):
        found = read_journal(path)
        if found.damage is not None and found.damaged:
            raise JournalDamaged(describe(shown(path), found.damage))
        if found.events and not board_of(found.events).closed:
            _same_class(of, found.events[0], path)
            talk(f"Going on with {shown(path)}.")
            return Journal.open(path, now)
    first = {
        "what": "opened", "format": FORMAT, "version": __version__, "mode": MODE, "title": of.course.title,
        "set": {"seats": len(of.course.seats), "stations": dict(of.course.stations)},
    }  # fmt: skip
    _, line = written(1, first, now)
    day = f"{local(now.wall, now.offset):%Y-%m-%d}"
    for n in range(1, 100):
        path = folder / (f"board-{day}.jsonl" if n == 1 else f"board-{day}-{n}.jsonl")
        if not path.exists():
            return Journal.create(path, line)
    raise CannotWrite(f"{folder} holds 99 boards of {day} already; none was begun.")


def _same_class(of: Class, first: Event, path: Path) -> None:
    """Refuse to go on with a board of another number of seats: its records would speak of somebody else.

    Raises GuideError then.
    """
    seats = (first.set or {}).get("seats", 0)
    if seats > len(of.course.seats):
        raise GuideError(
            f"{shown(path)} was begun with {seats} seats, and the class file has {len(of.course.seats)}. "
            "Put them back, say home N for those who left, or move that file away."
        )
