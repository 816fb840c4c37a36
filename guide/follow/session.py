"""One session at the machine: every key decided, saved, and only then shown."""

import itertools
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Protocol, Self

from msgspec.structs import replace

from guide import __version__
from guide.errors import CannotWrite, GuideError
from guide.follow import order
from guide.follow.counting import unmeasured
from guide.follow.keys import decide, writes
from guide.follow.model import Ask, Desk, Moment, Turn
from guide.follow.noting import changes, far_off, said_with, size_of, type_again
from guide.follow.order import left_of, make_in_hand, next_step, open_step, to_come, waits
from guide.plan.model import Plan, Step
from guide.read.kinds import KEPT_AS
from guide.read.units import BadLength
from guide.record.clock import Clock, Span, between, wall_ms
from guide.record.corrections import newest_pressed, undo_target
from guide.record.fold import Folder, Laid, at_machine, fold, laid_after, laid_of
from guide.record.lines import event_of
from guide.record.model import CHANGE, Event, Reading, Record

# The plan a session stands on: made again when a measure, the layout or the texts change, and only then.

Texts = tuple[str, dict[str, str]]  # the project file, the stage files by name
Needs = tuple[dict[str, float], Laid, Texts]
PlanMaker = Callable[[dict[str, float], Laid, Texts], Plan]
Changes = tuple[tuple[str, str, str], ...]


class Planning:
    """Gives the plan for what is measured, laid and written; remembers the last one made."""

    def __init__(self, make_plan: PlanMaker) -> None:
        self._make_plan = make_plan
        self._made: tuple[Needs, Plan] | None = None

    def plan(self, needs: Needs) -> Plan:
        """Make a plan, or give the last one made from the same needs. Raises GuideError."""
        if self._made is None or self._made[0] != needs:
            self._made = (needs, self._make_plan(*needs))
        return self._made[1]

    def foretold(self, plan: Plan, record: Record, needs: Needs, question: Ask) -> Changes:
        """What a size being typed or nudged would change; a size half typed is no size yet and changes nothing."""
        try:
            mm = size_of(plan, question, question.typed)
            if far_off(plan, question.name, mm):
                return ()
            measured, laid, texts = needs
            after = self.plan((measured | {question.name: mm}, laid, texts))
        except (BadLength, GuideError):
            return ()
        return changes(plan, after, to_come(plan, record))


def needs_of(record: Record, make: int) -> Needs:
    """What a plan is made from, as the record stands, for one of the makes."""
    return record.measured(make), laid_of(record), (record.project_text, record.stage_texts)


def needs_after(record: Record, make: int, event: dict[str, Any]) -> Needs:
    """The same, once this event will be written."""
    measured, laid, texts = needs_of(record, event.get("make", make))
    match event["what"]:
        case "measured":
            measured |= {event["name"]: event["mm"]}
        case "laid":
            laid = laid_after(record, event["layout"], event.get("set"))
        case "noted":
            laid = laid_after(record, record.layout, event.get("set"))
            texts = (texts[0], at_machine(texts[1], event.get("set")))
        case "texts":
            kept = {name: text for name, text in texts[1].items() if name == KEPT_AS}
            texts = (event["project"], event["stages"] | kept)
            laid = Laid(event["layout"]) if event.get("layout") else laid
    return measured, laid, texts


ALIVE_MS = 60_000  # one `alive` a minute at most: after a crash the open piece ends no later than that
TICK_MS = 1_000
LATE_MS = 5_000  # a tick this late: the computer slept, or the program was stopped
SLOW_MS = 250  # a disk slower than this is spoken of: a key seems to hang
SLEPT_MS = 60_000  # a sleep shorter than this is not asked about
_ELSEWHERE = "The clock runs in another window, at {}: press p there first."
_MEANWHILE = "The clock of {} has run since: that stays as it is; x sets a time right."
_MAY_START = frozenset({"step_started", "resumed", "voided", "amended"})  # what may set a clock going


__all__ = ["Clock", "Keeps", "PlanMaker", "Session", "Texts"]


_MARKS = itertools.count(1)


class Keeps(Protocol):
    """What a session needs of a journal."""

    events: list[Event]

    def append(self, members: dict[str, Any], reading: Reading) -> Event:
        """Save one event before giving it back."""

    def reopened(self, reading: Reading) -> Self:
        """Open the file again after a refusal."""

    def save_elsewhere(self, path: Path | str) -> Self:
        """Go on in another file."""

    def close(self) -> None:
        """Let the file go."""


class Session:
    """A session being followed. `record`, `plan` and `desk` are what is shown; `left` ends it.

    `make_plan` gives the plan for what was measured, the layout and the texts of the session. `elsewhere`
    is where the journal goes on when its own place takes no more. `paces` are the maker's own, s a piece, by step.
    `lacks` gives the folder a noted photo is not in yet, as the maker would type it, or "". `running` gives the project
    in whose session a clock of the same maker runs in another window, or with a moment (wall ms) has run after it, or
    "": nobody has two pairs of hands. `between`: the maker counts the time from one step's end to the next one's start.
    """

    def __init__(
        self,
        journal: Keeps,
        make_plan: PlanMaker,
        clock: Clock,
        *,
        desk: Desk | None = None,
        elsewhere: Path | None = None,
        paces: Mapping[str, float] | None = None,
        lacks: Callable[[str], str] = lambda _name: "",
        running: Callable[[int | None], str] = lambda _since: "",
        between: bool = False,
    ) -> None:
        self.journal = journal
        self.clock = clock
        self.left = False
        self.elsewhere = elsewhere
        self.lacks = lacks
        self.running = running
        self.between = between
        self.changing = False  # the maker goes over to the other project
        self.beside: Session | None = None  # that project's session, where two go in one window
        self.paces = paces or {}
        self.moved_to: Path | None = None  # where the journal went on, when its own place took no more
        self.mark = next(_MARKS)  # tells it from the other one of this window
        self.moves = 0  # keys and presses so far: a press from elsewhere says how many it knew of
        self._planning = Planning(make_plan)
        self._folder = Folder(journal.events)
        self._pending: tuple[Turn, Reading] | None = None
        self._tick: Reading | None = None
        self.desk = desk or Desk()
        self.plan = self._planning.plan(needs_of(self.record, 1))
        self._turn_to_make()
        self._planned_from = needs_of(self.record, self.desk.make)
        self.plan = self._planning.plan(self._planned_from)

    @property
    def unsaved(self) -> bool:
        """Whether a record waits that could not be saved."""
        return self._pending is not None

    @property
    def record(self) -> Record:
        """The session as it stands after its newest saved event."""
        return self._folder.record

    def take_up(self) -> None:
        """Begin a new sitting of an unfinished session; the card of coming back lies on the desk.

        Raises CannotWrite when the journal takes nothing: no work has begun then.
        """
        now = self.clock.read()
        sitting: dict[str, Any] = {"what": "resumed", "sitting": len(self.record.sittings) + 1, "version": __version__}
        if self.between:
            sitting["set"] = {"between": True}
        if self.desk.beginner:
            sitting["whom"] = "beginner"
        self._folder.add(self.journal.append(sitting, now))
        self.desk = replace(self.desk, view="back")

    @property
    def newest(self) -> int:
        """The number of the newest record that a key wrote."""
        return newest_pressed(self.journal.events)

    def press(self, key: str, by: str = "") -> Desk:
        """Decide a key, save what it leads to, and give the desk to be shown. `by`: the page it was pressed on."""
        now = self.clock.read()
        self.moves += 1
        if self._pending is not None:
            return self._mend(key.lower(), now)
        key = key if writes(self.desk) else key.lower()  # caps lock makes no key dead
        self._notice_sleep(now)
        self._look_beside(now)
        undo, sitting_n = self._undo(key)
        turn = decide(Moment(self.plan, self.record, self.desk, now, key, undo, sitting_n, self.paces))
        if by and turn.event is not None:
            turn = replace(turn, event=turn.event | {"by": by})
        self._carry_out(turn, now)
        return self.desk

    def with_beside(self, other: "Session") -> None:
        """Let this session know of the other one in the window: a key goes over to it."""
        self.beside = other
        self.desk = replace(self.desk, beside=other.plan.project.title)

    def _look_beside(self, now: Reading) -> None:
        """See what can be worked on at the other project now."""
        if (other := self.beside) is not None:
            step = order.at_hand(other.plan, other.record, now)
            self.desk = replace(self.desk, beside_step=step.title if step else "")

    def beside_waits(self) -> tuple[order.Running, ...]:
        """The waits that run at the other project of this window."""
        other = self.beside
        return order.waits(other.plan, other.record, self.clock.read()) if other is not None else ()

    def stop(self) -> None:
        """Stop for now, whatever lies on the desk: for a closed window, the end of the input, a signal."""
        if self.left or self._pending is not None:
            return
        self.desk = replace(self.desk, ask=None, locked=False, typed="")
        self.press("q")

    def _undo(self, key: str) -> tuple[Event | None, int]:
        """What `u` would take back; looked for only when it is asked."""
        asked = self.desk.ask is not None and self.desk.ask.about == "undo"
        if key != "u" and not asked:
            return None, 0
        events = self.journal.events
        sittings = (event.n for event in reversed(events) if event.what == "resumed" and event.sitting)
        target = undo_target(events)
        return (events[target - 1] if target else None), next(sittings, 0)

    def come_over(self) -> None:
        """Go on here after another project: the clock that stood meanwhile runs again, where nothing else halted it."""
        self.changing, said = False, f"Here: {self.plan.project.title}."
        if self.record.doing == "stopped":
            self.take_up()
        elif self.record.doing == "paused" and self.record.doing_why == CHANGE:
            now, event = self.clock.read(), {"what": "resumed"}
            if where := self._two_clocks(event, now):
                said += f" {where}"
            else:
                self.keep(event, now)
        self.desk = replace(self.desk, last_big_total=None, said=said)
        self._look_beside(self.clock.read())

    def _two_clocks(self, event: dict[str, Any], now: Reading) -> str:
        """What to say when this event would start a clock here while another of this maker's runs, or "".

        Taking a pause back counts the time since: none of it may have been worked elsewhere.
        """
        going = {"working", "trouble"}
        if self.record.doing in going or event["what"] not in _MAY_START:
            return ""
        back = event["what"] in {"voided", "amended"}
        since = wall_ms(self.journal.events[event["of"] - 1].at) if back else None
        if not (where := self.running(since)):
            return ""
        after = fold([*self.journal.events, event_of(len(self.journal.events) + 1, event, now)])
        if after.doing not in going:
            return ""
        return (_MEANWHILE if back and not self.running(None) else _ELSEWHERE).format(f"“{where}”")

    def _since_the_last(self, event: dict[str, Any]) -> dict[str, Any]:
        """The event of a start, saying so where the time since the last step was worked at another project."""
        since = self.record.doing_since
        if event["what"] != "step_started" or not self.record.between or since is None or not self.running(since.wall):
            return event
        return event | {"set": {"between": False}}

    def _carry_out(self, turn: Turn, now: Reading) -> None:
        took_ms = 0
        if turn.event is not None:
            if where := self._two_clocks(turn.event, now):
                self.desk = replace(self.desk, ask=None, said=where)
                return
            needs = needs_after(self.record, self.desk.make, turn.event)
            try:
                if needs != self._planned_from:
                    self._planning.plan(needs)
            except GuideError as wrong:  # what does not work out would shut the session for good: not written
                if turn.event["what"] == "measured":
                    self.desk = type_again(self.plan, self.desk, turn.event["name"], turn.event["mm"])
                else:
                    self.desk = replace(self.desk, said=f"Not written, for it does not work out: {wrong}")
                return
            begun = self.clock.read()
            try:
                event = self.journal.append(self._since_the_last(turn.event), now)
            except (OSError, CannotWrite) as refused:
                self._pending = (turn, now)
                self.desk = replace(self.desk, problem=self._problem(refused))
                return
            took_ms = between(begun, self.clock.read()).counted_ms
            self._folder.add(event)
        self._pending = None
        self.desk = replace(turn.desk, problem="")
        self.left, self.changing = turn.leave, turn.change
        self._plan_again()
        if turn.event is not None and turn.event["what"] == "photo" and (folder := self.lacks(turn.event["name"])):
            self.desk = replace(self.desk, said=f"There is no such file in {folder} yet; noted all the same.")
        if took_ms > SLOW_MS:
            slow = f"The disk took {took_ms / 1000:.1f} s to save this. It is saved."
            self.desk = replace(self.desk, said=f"{self.desk.said} {slow}".lstrip())

    def _problem(self, refused: Exception) -> str:
        away = ", e to save elsewhere" if self.elsewhere else ""
        return f"{refused} r to try again{away}, q to leave without it."

    def _mend(self, key: str, now: Reading) -> Desk:
        """Keys while a record is not saved: try again, save elsewhere, or leave without it."""
        turn, then = self._pending or (Turn(self.desk), now)
        try:
            if key == "r":
                self.journal = self.journal.reopened(now)
            elif key == "e" and self.elsewhere is not None:
                self.journal = self.journal.save_elsewhere(self.elsewhere)
                self.moved_to = self.elsewhere
            else:
                self.left = key == "q"
                return self.desk
        except (OSError, GuideError) as refused:
            self.desk = replace(self.desk, problem=self._problem(refused))
            return self.desk
        self._folder = Folder(self.journal.events)
        self._carry_out(turn, then)
        return self.desk

    def heartbeat(self) -> None:
        """Call once a second: leaves an `alive` a minute while a clock runs, and notices a sleep."""
        now = self.clock.read()
        self._look_beside(now)
        before, self._tick = self._tick, now
        if self._pending is not None or self.record.current is None:
            return
        if self.record.doing not in {"working", "trouble"} or self.record.last is None:
            return
        span = between(before, now) if before else None
        passed = span.counted_ms + span.asleep_ms if span else 0
        if span and passed > TICK_MS + LATE_MS:
            self._gap(span, now)
        elif between(self.record.last, now).counted_ms >= ALIVE_MS:
            self.keep({"what": "alive"}, now)

    def keep(self, members: dict[str, Any], now: Reading) -> bool:
        """Save what no key asked for; when it is refused the maker is told, and the next key tries itself."""
        try:
            self._folder.add(self.journal.append(members, now))
        except (OSError, CannotWrite) as refused:
            self.desk = replace(self.desk, problem=str(refused))
            return False
        return True

    def _notice_sleep(self, now: Reading) -> None:
        """Without ticks one learns of a sleep at the next key."""
        if self.record.last is None or not self.record.current or self.record.doing not in {"working", "trouble"}:
            return
        span = between(self.record.last, now)
        if span.asleep_ms >= LATE_MS:
            self._gap(span, now)

    def _gap(self, span: Span, now: Reading) -> None:
        asleep = span.asleep_ms
        self._tick = now  # told once, whoever notices first
        self.keep({"what": "gap", "ms": asleep or span.counted_ms}, now)
        if asleep >= SLEPT_MS:
            self.desk = replace(self.desk, slept_ms=asleep, slept_n=self.record.count)

    def _plan_again(self) -> None:
        """Work the plan out again when a measure, the layout or the texts have changed."""
        make = self.desk.make
        self._turn_to_make()
        needs, question = needs_of(self.record, self.desk.make), self.desk.ask
        if needs != self._planned_from:
            before, self._planned_from = self.plan, needs
            try:
                self.plan = self._planning.plan(needs)
            except GuideError as wrong:
                self.desk = replace(self.desk, said=f"The numbers stay as they were: {wrong}")
                return
            if self.desk.make == make:  # another make has sizes of its own: nothing was changed
                self._say_changes(before)
        elif question is not None and question.kind == "measure":
            foretold = self._planning.foretold(self.plan, self.record, needs, question)
            self.desk = replace(self.desk, changes=foretold)

    def _turn_to_make(self) -> None:
        if self.plan.project.make > 1:
            self.desk = replace(self.desk, make=make_in_hand(self.plan, self.record))

    def _say_changes(self, before: Plan) -> None:
        changed = changes(before, self.plan, to_come(self.plan, self.record))
        if changed:
            said = self.desk.said.rstrip(".")
            self.desk = replace(self.desk, changes=changed, said=said_with(said or "Changed", changed))


# A session played through on its own: an invented clock, the starter paces, the very same core and journal.

BETWEEN_MS = 2_000  # from a done card to the next start: on the clock, in no step
STUCK = 50  # presses that write nothing, in a row: the rehearsal would never end


class InventedClock:
    """A clock that stands still until it is told to run."""

    def __init__(self, wall: int, offset: int = 0, boot: str = "rehearsal") -> None:
        self._wall, self._offset, self._boot = wall, offset, boot
        self._run = 0

    def read(self) -> Reading:
        """Read the invented clocks."""
        return Reading(self._wall + self._run, self._offset, self._run, self._run, self._boot)

    def run(self, ms: int) -> None:
        """Let time pass."""
        self._run += ms


def rehearse(session: Session, clock: InventedClock) -> None:
    """Press the keys of a whole session until it is closed.

    The clock runs by each piece's starter pace, and by each wait after its step; a step that measures is
    answered as planned. Raises RuntimeError when the session comes to no end (our own mistake).
    """
    session.desk = replace(session.desk, guard_ms=0)  # nobody's sleeve is there, and a step may take no time at all
    idle, count = 0, session.record.count
    while not session.left:
        _play(session, clock)
        idle = idle + 1 if session.record.count == count else 0
        count = session.record.count
        if idle > STUCK:
            raise RuntimeError(f"the rehearsal stands still: {session.desk.problem or session.desk.said}")


def _play(session: Session, clock: InventedClock) -> None:
    """Do the next thing that a maker would do."""
    step = open_step(session.plan, session.record)
    if session.desk.ask is not None or step is None or session.record.doing != "working":
        _between_steps(session, clock)
    else:
        _work(session, clock, step)


def _between_steps(session: Session, clock: InventedClock) -> None:
    now = clock.read()
    running = [one for one in waits(session.plan, session.record, now) if not one.over]
    wait = max((one.left_ms for one in running), default=0)
    clock.run(max(wait, BETWEEN_MS if next_step(session.plan, session.record) else 0))
    session.press("space")


def _work(session: Session, clock: InventedClock, step: Step) -> None:
    """Work the open step on to its next press; the pieces' times add up to the step's, to the ms."""
    done = session.record.step(step.key).pieces_done
    now_done = done + 1 if step.count == "each" else step.pieces
    clock.run(_by(step, now_done) - _by(step, done))
    while _to_measure(session, clock, step):
        session.press("m")
        session.press("enter")
    session.press("space")
    if session.desk.ask is not None and session.desk.ask.about == "count_in":
        for key in ("0", "space", "0", "enter"):  # nobody pinned anything
            session.press(key)


def _by(step: Step, pieces: int) -> int:
    """Starter time of so many pieces, ms from the step's start."""
    return round(pieces * step.pace_s * 1000)


def _to_measure(session: Session, clock: InventedClock, step: Step) -> bool:
    at = Moment(session.plan, session.record, session.desk, clock.read())
    count = 1 if step.count == "each" else left_of(step, session.record)
    return unmeasured(at, step, count) is not None
