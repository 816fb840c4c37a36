"""What a session holds: clock readings, events as they lie in the journal, and the record folded from them.

Times inside the record are whole milliseconds, so that sums are exact.
"""

from collections.abc import Iterator
from functools import partial
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta


class Reading(msgspec.Struct, frozen=True):
    """The clocks at one moment. Never taken inside the core: passed in."""

    wall: int  # ms since 1970, UTC
    offset: int  # local time minus UTC, minutes
    awake: int  # ms on a clock that stops when the computer sleeps
    total: int  # ms on a clock that does not
    boot: str  # changes at every boot; "" when unknown


# fmt: off
What = Literal[
    "opened", "texts", "laid", "closed",
    "step_started", "piece_done", "step_done", "step_skipped", "paused", "resumed",
    "measured", "noted", "photo", "acknowledged", "trouble", "interrupted", "waited",
    "voided", "amended", "gap", "alive", "recovered", "way",
]
# fmt: on


# What a line may hold: wider than any session, and small enough that nothing made of it can fail or never end.
Steady = Annotated[int, Meta(ge=0, le=10**13)]  # ms, some 300 years
Ms = Annotated[int, Meta(ge=-(10**13), le=10**13)]
Many = Annotated[int, Meta(ge=0, le=10**6)]
Number = Annotated[int, Meta(ge=0, le=2**53)]  # of a record
Minutes = Annotated[int, Meta(ge=-1439, le=1439)]
Size = Annotated[float, Meta(ge=-1e9, le=1e9)]
Stacks = Annotated[list[Annotated[list[str], Meta(max_length=24)]], Meta(max_length=250_000)]


class Written(msgspec.Struct, frozen=True, omit_defaults=True, gc=False):  # never in a cycle; read by the 100,000
    """What every line begins with, of a session or of the book: its number, and the clocks when it was written."""

    n: Number
    at: str  # 2026-03-01T09:30:00.120Z
    offset: Minutes
    awake: Steady
    total: Steady
    boot: str


class Event(Written, frozen=True):
    """One journal line. The first six members and `what` are always written; the rest when set.

    A kind of a later version is kept as it is, with a `what` that is not in What.
    """

    what: What
    step: str = ""  # stage/id
    count: Many = 0  # pieces finished since the last count (piece_done, step_done)
    make: Many = 0  # which make, 1-based (0: not said)
    name: str = ""  # measured: the quantity · acknowledged: the caution · photo: the path · way: how a group is worked
    mm: Size | None = None  # measured
    text: str = ""  # noted; what was typed
    why: str = ""  # skipped, trouble, paused (pause | stop | break), amended: the reason
    ms: Ms | None = None  # interrupted afterwards: how long; gap: how long; amended lengths
    of: Number = 0  # voided, amended: the record corrected
    set: dict[str, Any] | None = None  # amended: members to set
    by_hand: bool = False  # typed in afterwards from paper
    format: Number = 0  # opened
    version: str = ""  # opened, resumed: the program
    mode: str = ""  # opened: real | practice | rehearsal
    maker: str = ""  # opened
    whom: str = ""  # opened, resumed: "" | beginner
    title: str = ""  # opened
    project: str = ""  # opened, texts: the whole project file
    stages: dict[str, str] | None = None  # opened, texts: the whole stage files
    layout: Stacks | None = None  # opened (and laid): stacks row by row
    sitting: Many = 0  # resumed: a new sitting begins, its number
    records: Number = 0  # closed: how many records there are with this one
    file: str = ""  # recovered: where the torn bytes were set aside
    then: str = ""  # piece_done, step_done: the step begun with the same press
    by: str = ""  # the page beside the machine it was pressed or taken on; "" at the keyboard
    through: dict[str, Steady] | None = None  # piece_done, step_done: all steps the pieces went through, with the
    # usual ms of each, by which the lap's time is shared out among them


new_event = partial(Event, 0, "", 0, 0, 0, "")  # one not written yet: its number and moment are put in when it is


class Lap(msgspec.Struct, frozen=True, gc=False):  # never in a cycle; held by the 100,000
    """Time spent on one step between two presses, and the pieces it finished (0 when put aside)."""

    step: str
    pieces: int
    counted_ms: int  # hands on: less pauses, interruptions, waits; trouble is in it
    trouble_ms: int  # of that, in trouble: labour yes, paces no
    first: bool  # holds the first piece of its step
    start_n: int
    end_n: int
    start: int  # wall ms
    end: int
    offset: int  # minutes, at the end
    counted: bool = True  # False: the maker said not to count it
    sure: bool = False  # the maker said that it counts
    by_hand: bool = False
    make: int = 0
    typed: int = 0  # wall ms when a lap by hand was written down
    shift: int = 0  # minutes that clocks here went forward between start and end
    sat: tuple[tuple[int, int], ...] = ()  # (sitting, from 1, and its ms) where it went over more than one
    shared: tuple[str, ...] = ()  # the steps one press counted, whose time was shared out: this is one step's share
    between: bool = False  # from the end of the step before to the start of this one: labour, and in no pace

    @property
    def start_offset(self) -> int:
        """Local time minus UTC at the start, minutes."""
        return self.offset - self.shift


CHANGE = "change"  # why a clock was paused: the maker went over to another project
LATER = "later: at the end of the stage"  # why a step is skipped that comes round again


class StepRecord(msgspec.Struct):
    """What happened to one step."""

    key: str
    state: Literal["untouched", "open", "aside", "done", "skipped"] = "untouched"
    pieces_done: int = 0
    laps: list[Lap] = []
    started: int | None = None  # wall ms of the first start
    ended: int | None = None
    ended_n: int = 0
    why: str = ""  # why it was skipped

    def add(self, pieces: int) -> None:
        """Count pieces; nobody is at it now unless it is open."""
        self.pieces_done += pieces
        self.state = "aside" if self.state == "untouched" else self.state

    @property
    def counted_ms(self) -> int:
        """Hands-on time of the finished laps, trouble included."""
        return sum(lap.counted_ms for lap in self.laps if lap.counted)

    @property
    def put_off(self) -> bool:
        """Whether it was skipped for now only."""
        return self.state == "skipped" and self.why == LATER

    @property
    def over(self) -> bool:
        """Whether it needs nothing more: done, or skipped and not put off."""
        return self.state in {"done", "skipped"} and not self.put_off


class Measure(msgspec.Struct, frozen=True):
    """A measured quantity; `first_mm` is what was first written, when it was corrected since."""

    name: str
    mm: float
    make: int
    n: int
    at: int
    step: str
    first_mm: float | None = None
    offset: int = 0  # local time minus UTC then, minutes
    by_hand: bool = False  # typed in afterwards


class Remark(msgspec.Struct, frozen=True):
    """A note, photo, trouble, interruption, skip or acknowledged caution, in order of making."""

    kind: str
    n: int
    at: int  # wall ms
    step: str
    text: str
    ms: int | None = None
    offset: int = 0  # local time minus UTC then, minutes
    by_hand: bool = False  # typed in afterwards


class Wait(msgspec.Struct, frozen=True):
    """A wait that runs on its own, begun when its step was done."""

    step: str
    n: int
    begun: Reading
    over: bool = False  # the maker said so
    planned_ms: int | None = None  # as the plan said when it began


class Sitting(msgspec.Struct, frozen=True):
    """One sitting at the work: from opening or coming back to stopping (wall ms)."""

    number: int
    start: int
    end: int
    counted_ms: int
    offset: int  # minutes, at the end
    shift: int = 0  # minutes that clocks here went forward between start and end

    @property
    def start_offset(self) -> int:
        """Local time minus UTC at the start, minutes."""
        return self.offset - self.shift


class Correction(msgspec.Struct, frozen=True):
    """Something put right afterwards: what it was, what it is, when and why.

    `what` says step and aspect by the journal's names; a reader that knows the plan puts the step's title
    for `step` and `aspect` beside it, and says sizes in the project's units.
    """

    n: int
    of: int
    at: int
    what: str
    was: str
    now: str
    why: str
    step: str = ""  # "" when it is about no step
    aspect: str = ""  # length, end, taken back …
    sized: bool = False  # both sides are sizes, written in mm


WAYS = ("block", "each")  # one press a block through all its steps; one press a step, the next begun with it
Doing = Literal["ready", "working", "paused", "trouble", "interrupted", "stopped", "closed"]


class Record(msgspec.Struct):
    """A session as it stands after its newest event. Made by `guide.record.fold`, read by everyone."""

    header: Event
    doing: Doing = "ready"
    doing_why: str = ""
    doing_since: Reading | None = None
    current: str | None = None  # the one open hands-on step
    steps: dict[str, StepRecord] = {}
    order: list[str] = []  # keys in the order they were first touched
    measures: dict[str, list[Measure]] = {}  # by name, oldest first
    remarks: list[Remark] = []
    waits: list[Wait] = []
    acknowledged: list[tuple[str, int]] = []  # caution, sitting
    sittings: list[Sitting] = []
    sitting: int = 1
    project_text: str = ""
    stage_texts: dict[str, str] = {}
    layout: list[list[str]] | None = None
    cut_for: list[list[str]] | None = None  # the layout the cloth was cut for; None: the layout as it is
    cut_again: dict[str, int] = {}  # squares cut again since, by print
    again: list[dict[str, Any]] = []  # blocks that are made again, as the records say it
    corrections: list[Correction] = []
    assumed: list[str] = []  # sentences for the log: what was assumed about time
    unknown: list[Event] = []  # kinds this version does not know: kept and shown
    count: int = 0
    last: Reading | None = None  # of the newest live event: the last sign of life
    lap_ms: int = 0  # hands-on ms of the open lap up to `last`
    lap_trouble_ms: int = 0
    lap_start_n: int = 0
    way: str = ""  # how steps that go together are worked: "" step by step, or one of WAYS
    between: bool = False  # whether the time from one step's end to the next one's start counts, in this sitting
    open_lap: Lap | None = None  # the same time as a lap that has not ended (end_n 0), where there is any
    closed: bool = False

    @property
    def begun(self) -> bool:
        """Whether anything was started, measured or noted: reading cautions and looking ahead begin nothing."""
        noted = any(remark.kind != "acknowledged" for remark in self.remarks)
        return noted or bool(self.steps or self.measures or self.waits)

    def step(self, key: str) -> StepRecord:
        """The step's record, untouched when nothing happened to it."""
        return self.steps.get(key) or StepRecord(key)

    def laps(self) -> Iterator[Lap]:
        """All finished laps, step by step."""
        for step in self.steps.values():
            yield from step.laps

    def worked(self) -> Iterator[Lap]:
        """All that is labour: every lap, and last the open one, whose piece is not finished. No paces are in that."""
        yield from self.laps()
        if self.open_lap is not None:
            yield self.open_lap

    @property
    def counted_ms(self) -> int:
        """Hands-on time of everything worked that counts, trouble included: what is priced, logged and added up."""
        return sum(lap.counted_ms for lap in self.worked() if lap.counted)

    def measured(self, make: int = 1) -> dict[str, float]:
        """Newest measures of one make: name → mm (a measure without a make counts for the first)."""
        return {
            name: mine[-1].mm
            for name, all_ in self.measures.items()
            if (mine := [m for m in all_ if (m.make or 1) == make])
        }
