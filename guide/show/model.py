"""The report of a session and of a day at a plan, and the whole report that holds them beside the plan's."""

import msgspec

from guide.money.model import Row
from guide.plan.learnt import Learnt
from guide.plan.model import Advice, Layout, Warned
from guide.plan.parts import StackMap
from guide.show.model_plan import (
    BuyReport,
    ChoiceReport,
    CostReport,
    CuttingReport,
    ForecastReport,
    Group,
    Left,
    PrintReport,
    ProjectReport,
    QuantityReport,
    Ready,
    Sittings,
    StepReport,
    Value,
    WantedSize,
    Work,
)


class Moment(msgspec.Struct, frozen=True):
    """A moment in the maker's local time: `1 March 2026`, `10:41`, `1 Mar 10:41`."""

    iso: str
    day: str
    clock: str
    short: str


class StepMade(msgspec.Struct, frozen=True):
    """A step as it was asked for, and how it went. `number` is None and `gone` true where the plan has it no more."""

    key: str
    number: int | None
    stage: str
    stage_title: str
    title: str
    pieces: int
    piece: str
    gone: bool = False
    safety: bool = False
    state: str = "untouched"
    state_text: str = ""
    pieces_done: int = 0
    counted_s: float = 0.0
    trouble_s: float = 0.0
    between_s: float = 0.0  # of it, from the end of the step before to its own start
    planned_s: float = 0.0
    waits_s: float | None = None
    waits_text: str = ""
    started: Moment | None = None
    ended: Moment | None = None
    by_hand: bool = False
    shared: bool = False  # its share of one press for several steps
    why: str = ""
    counted_text: str = ""  # with the others', so that they add up
    planned_text: str = ""


class StageMade(msgspec.Struct, frozen=True):
    """The sums of one stage."""

    stage: str
    title: str
    counted_s: float
    planned_s: float
    counted_text: str = ""
    planned_text: str = ""


class UnderNeedle(msgspec.Struct, frozen=True):
    """The time worked on a piece that is not finished: in no step's pieces, but in the total."""

    key: str
    title: str
    counted_s: float
    counted_text: str = ""


class Totals(msgspec.Struct, frozen=True):
    """What a session comes to."""

    counted_s: float
    waits_s: float
    interrupted_s: float
    counted_text: str
    planned_text: str
    steps: int
    steps_done: int


class SittingReport(msgspec.Struct, frozen=True):
    """One sitting at the table; one day on paper has no number."""

    number: int | None
    start: Moment
    end: Moment
    counted_s: float
    counted_text: str = ""


class MeasureReport(msgspec.Struct, frozen=True):
    """What was measured beside what was planned; None: nothing was planned, or no limit was set."""

    name: str
    label: str
    make: int
    mm: float
    text: str
    planned_mm: float | None
    planned_text: str
    off_mm: float | None
    off_text: str
    within_mm: float | None
    good: bool | None
    step: str
    at: Moment
    first_text: str


class Changed(msgspec.Struct, frozen=True):
    """A number that moved because something was measured; a text and a value a make."""

    name: str
    label: str
    planned_text: str
    texts: tuple[str, ...]
    planned: Value
    values: tuple[Value, ...]


class StepCompared(msgspec.Struct, frozen=True):
    """What a step's forecast said before the session, and what it took, s."""

    likely_s: float
    low_s: float
    high_s: float
    actual_s: float
    within: bool
    range_text: str
    ratio: float | None


class Compared(msgspec.Struct, frozen=True):
    """Forecast beside actual of the finished steps, by key, and how many lay inside their range."""

    steps: dict[str, StepCompared]
    within: int
    of: int
    says: str


class Skipped(msgspec.Struct, frozen=True):
    """A step that was left out, and why."""

    key: str
    title: str
    why: str


class Unsafe(msgspec.Struct, frozen=True):
    """A check that protects others and was not done."""

    key: str
    skipped: bool
    text: str


class CorrectionReport(msgspec.Struct, frozen=True):
    """What was put right: what it was, what it is, and why."""

    what: str
    was: str
    now: str
    why: str
    at: Moment


class Unknown(msgspec.Struct, frozen=True):
    """A record of a kind this version does not know."""

    n: int
    what: str


class RemarkReport(msgspec.Struct, frozen=True):
    """A note, a photo, a trouble, an interruption."""

    n: int
    step: str
    step_title: str
    text: str
    seconds: float | None
    time_text: str
    at: Moment


class AsMade(msgspec.Struct, frozen=True):
    """How the panel came out beside what its cloth was cut for; places are (row, column), from 1.

    `moved`: blocks that hold another stack; `again`: blocks that were made once more; `says`: what was said of it then.
    """

    moved: tuple[tuple[int, int], ...] = ()
    again: tuple[tuple[int, int], ...] = ()
    says: tuple[RemarkReport, ...] = ()


class Times(msgspec.Struct, frozen=True):
    """How often something was written down."""

    text: str
    times: int


class Colophon(msgspec.Struct, frozen=True):
    """What a log rests on."""

    program: str
    format: int
    records: int
    checksum: str


class DaySewn(msgspec.Struct, frozen=True):
    """A day on which it was worked at: `2026-03-01`, `1 March 2026`."""

    iso: str
    day: str


class When(msgspec.Struct, frozen=True):
    """The days of the work, its sittings, and what was kept on paper; `typed_in`: on which days."""

    first_day: Moment
    last_day: Moment
    sittings: tuple[SittingReport, ...]
    paper: tuple[SittingReport, ...]
    typed_in: tuple[str, ...]
    days: tuple[DaySewn, ...] = ()  # on which anything was worked, the first one first

    @property
    def several_days(self) -> bool:
        """Whether the log must tell on which day something was done."""
        return self.first_day.day != self.last_day.day


class SessionReport(msgspec.Struct, frozen=True):
    """What was made, how big it came out, what it took, and what was written down."""

    title: str
    mode: str
    maker: str
    opened: Moment
    closed: bool
    when: When
    steps: tuple[StepMade, ...]
    stages: tuple[StageMade, ...]
    under_needle: UnderNeedle | None
    totals: Totals
    measures: tuple[MeasureReport, ...]
    changed: tuple[Changed, ...]
    makes: tuple[int, ...]
    skipped: tuple[Skipped, ...]
    unsafe: tuple[Unsafe, ...]
    corrections: tuple[CorrectionReport, ...]
    assumed: tuple[str, ...]
    unknown: tuple[Unknown, ...]
    colophon: Colophon
    notes: tuple[RemarkReport, ...]
    photos: tuple[RemarkReport, ...]
    trouble: tuple[RemarkReport, ...]
    interruptions: tuple[RemarkReport, ...]
    troubles: tuple[Times, ...] = ()  # how often each
    otherwise: tuple[RemarkReport, ...] = ()  # of the notes, what the maker would do otherwise
    counts: tuple[RemarkReport, ...] = ()  # of the notes, what was counted out and in again
    as_made: AsMade = AsMade()
    damage: str = ""  # what is wrong with the journal, where only its good part could be read
    compared: Compared | None = None  # forecast against actual, where past sessions were asked


class Window(msgspec.Struct, frozen=True):
    """A window of a day, and the step it is for; `title` is the step's where there is one."""

    row: Row
    step: StepReport | None
    title: str
    length_text: str
    notes: tuple[str, ...]  # breaks and rests that are in it, and the factor on the practised maker's pace
    pieces_text: str


class Decision(msgspec.Struct, frozen=True):
    """By when to decide, when, and what to do then; `at_s` from the day's start."""

    by: str
    when: str
    then: str
    at_s: float = 0.0


class Setting(msgspec.Struct, frozen=True):
    """A label and its text; nothing where it is to be written in."""

    label: str
    text: str


class Explained(msgspec.Struct, frozen=True):
    """A word of the trade and what it means; its American word, where it differs, is in `guide.read.spoken`."""

    word: str
    means: str


class Day(msgspec.Struct, frozen=True):
    """A day of work, or several, window by window; `decisions` by the step after which they fall."""

    rows: tuple[Window, ...]
    start: str
    end_text: str
    days: int
    hands_on_text: str
    resting_text: str
    beginner: bool
    decisions: dict[str, Decision]
    kit: tuple[str, ...]
    settings: tuple[Setting, ...]
    jam: tuple[str, ...]
    broken_needle: tuple[str, ...]
    words: tuple[Explained, ...]
    rests_on: str = ""  # whose times they are, where it is known


class Report(msgspec.Struct, frozen=True, omit_defaults=True):
    """A plan; with it the session, a day at it, what past makings taught, and what was asked beyond the plan."""

    format: int
    project: ProjectReport
    wanted: WantedSize | None
    quantities: dict[str, QuantityReport]
    groups: tuple[Group, ...]
    told: tuple[Setting, ...]  # what is told of the plan beyond its numbers
    prints: tuple[PrintReport, ...]
    layout: Layout | None
    backing: Layout | None
    cutting: tuple[CuttingReport, ...]
    ready: tuple[Ready, ...]
    shopping: tuple[BuyReport, ...]
    steps: tuple[StepReport, ...]
    work: Work
    forecast: ForecastReport
    cost: CostReport | None
    cautions: tuple[str, ...]
    minding: tuple[str, ...]  # cautions that go with the piece because of whom it is for
    warnings: tuple[Warned, ...]
    advice: tuple[Advice, ...]
    session: SessionReport | None = None
    day: Day | None = None
    learnt: tuple[Learnt, ...] | None = None
    backwards: tuple[ChoiceReport, ...] | None = None
    left: Left | None = None
    sittings: Sittings | None = None
    stack_map: StackMap | None = None
