"""What the times of a maker say: paces, forecasts, costs and prices.

Times are seconds, shares are fractions (4 % is 0.04), money is `Decimal` in the project's currency.
"""

from decimal import Decimal
from typing import Literal

import msgspec

from guide.money import stats

Rests = Literal["starter pace", "own times", "own times and starter pace", "done"]
LEVEL = 0.80  # every interval of time and price is meant to hold this often


class Timed(msgspec.Struct, frozen=True, gc=False):
    """One lap as the paces see it: hands-on seconds without trouble, and the pieces it finished."""

    seconds: float
    pieces: int
    n: int  # journal record that ended it
    first: bool = False  # the first piece of its step, with more to follow: not in the pace
    by_hand: bool = False
    sure: bool = False  # the maker said that it counts
    starts: bool = False  # several pieces in one lap, with their step's first among them


class Seen(msgspec.Struct, frozen=True, gc=False):
    """What one session says about one step on one day."""

    step: str  # as in the journal: stage/id or stage/id:row
    base: str  # stage/id: the name the pace is learnt under
    session: str  # when the session was opened
    maker: str
    whom: str  # "" or beginner
    day: int  # the maker's own calendar day, as an ordinal
    laps: tuple[Timed, ...]
    counted_s: float  # labour on it: trouble and first piece too
    starter_s: float | None = None  # the starter pace per piece at that session's sizes
    effort: float | None = None  # per piece
    noun: str = ""
    title: str = ""
    make: int = 1  # articles the session made
    share: float | None = None  # of starter_s, what grows with a piece's effort there; None: its texts do not say


class Flag(msgspec.Struct, frozen=True):
    """Laps left out of the paces: a forgotten timer, or keys pressed through; labour keeps them."""

    step: str
    session: str
    n: int  # record of the lap, or of the first of several
    pace_s: float  # per piece, as recorded
    usual_s: float  # per piece, what it was held against
    says: str
    took_s: float = 0.0  # all that was left out


class Then(msgspec.Struct, frozen=True):
    """A step's pace in one session, s a piece, at the sizes it was last worked at; first pieces are not in it."""

    session: str  # when it was opened
    day: str  # 2026-03-01, the maker's own, of the first work on the step
    pace_s: float
    pieces: int


class Pace(msgspec.Struct, frozen=True):
    """The usual pace of one step, at the sizes it was last worked at."""

    step: str
    title: str
    usual_s: float  # per piece
    low_s: float  # 80 %: the next day's pace
    high_s: float
    starter_s: float | None
    per_effort_s: float | None  # per metre or other unit of effort
    noun: str
    pieces: int  # own pieces behind it
    days: int  # days it was worked on
    by_hand: int  # laps of them that were typed in afterwards
    starter_share: float  # how much of the usual pace is still the starter pace, 0 … 1
    trend: float | None  # change per day it is worked (−0.03: 3 % quicker each time); None: no clear trend
    log_ratio: float  # ln(usual / starter)
    mean_var: float  # of log_ratio, without the day's and the tempo's part
    spread: float  # own day-to-day variance over what is usual for as many pieces
    freedom: float  # degrees of freedom behind it
    own_s: float = 0.0  # per piece by the own times alone, good and bad days evened out
    share: float | None = None  # of the starter pace, what grows with a piece's effort, at the sizes worked so far
    tilt: float = 0.0  # ln of how much slower the maker is at that part than at handling, beside the starter
    tilt_var: float = 0.0
    handling_s: float | None = None  # of usual_s; None where the effort takes no part of it
    rate_s: float | None = None  # for each metre or other unit of effort, beside the handling
    by_session: tuple[Then, ...] = ()  # the oldest first, where they were asked for
    time_more: int | None = None  # laps still to time until it is good to 10 %; None: too few to say
    first: float = 0.0  # what a first piece takes beyond the pace, in pieces
    piece: float = 1.0  # how far its pieces scatter within a day, as a variance beside the guess


class Trouble(msgspec.Struct, frozen=True):
    """How often trouble comes, and how long it is: what was seen, with what is believed before."""

    events: float
    hours: float  # in which they came
    long_s: float  # in the mean
    seen: float  # how many that mean counts for

    @property
    def share(self) -> float:
        """What it adds to the hours: events an hour times their length."""
        return self.events / self.hours * self.long_s / 3600


class Paces(msgspec.Struct, frozen=True):
    """All that one maker's sessions say about pace. Without sessions: the starter paces."""

    maker: str = ""
    sessions: int = 0
    days: int = 0
    steps: dict[str, Pace] = {}
    flags: tuple[Flag, ...] = ()
    tempo: float = 0.0  # ln of the maker's time over the starter paces', over all steps
    tempo_var: float = stats.TEMPO_VAR  # shared by all steps, timed or not
    lean_var: float = 0.0  # of the tempo beyond that: shared by all that leans on the starter paces
    day_var: float = stats.DAY_VAR  # of a day's own factor, shared by the steps of that day (log)
    day_freedom: float = stats.DAY_FREEDOM
    spread: float = 1.0  # of steps, over what is usual
    trouble: Trouble | None = None  # None before anything is timed: the starter paces are all told
    first: float = 0.0  # what a first piece takes beyond its step's pace, in pieces, over all steps
    scatter: float = 1.0  # of pieces within a day, as a variance beside the guess
    curve: stats.Curve | None = None
    makes: int = 0  # articles made so far
    held: tuple[int, int] = (0, 0)  # days inside what the days before them said, and of how many
    pressed: tuple[int, int] = (0, 0)  # sessions left out as keys pressed through: whole, and in part


class Span(msgspec.Struct, frozen=True):
    """A likely figure and the 80 % interval round it."""

    likely: float
    low: float
    high: float


class StepForecast(msgspec.Struct, frozen=True):
    """What one step of a plan will take."""

    key: str
    title: str
    pieces: int
    left: int  # pieces still to do
    pace_s: float
    hands_on: Span  # of what is left
    waits_s: float
    rests_on: Rests
    rests: tuple[float, ...] = ()  # where the hands rest, s into its likely time


class Forecast(msgspec.Struct, frozen=True):
    """What a plan, or the rest of one, will take."""

    hands_on: Span  # done so far and still to do
    clock: Span  # the same with waits; at the table when sittings are given
    done_s: float
    waiting_s: float
    steps: tuple[StepForecast, ...]
    sitting_s: float | None
    sittings: Span | None  # still to come
    chances: tuple[float, ...]  # chance to be done within 1, 2, … sittings
    rests_on: str
    says: tuple[str, ...]  # what the figures assume, in sentences
    today: float  # the day's factor so far, 1.1: 10 % slower than usual
    resting_s: float = 0.0  # the hands' rests in what is left: on the clock, not hands on


class Line(msgspec.Struct, frozen=True):
    """One line of a cost: rounded to the cent, so that a printed column adds up."""

    name: str
    amount: Decimal
    how: str = ""  # in figures


class Costs(msgspec.Struct, frozen=True):
    """What the making costs, for all the articles of a plan."""

    currency: str
    make: int
    lines: tuple[Line, ...]
    materials: Decimal  # cloth used, thread used, notions
    bought: Decimal  # the same as the shops sell it
    labour: Decimal  # with its allowance
    overhead: Decimal
    cost: Decimal
    hours: float  # hands on
    resting_s: float = 0.0  # the hands' rests beside them: in the allowance, or paid where that is less
    given: bool = True  # whether any price or rate is given at all
    says: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()  # what has no price and is counted as nothing


class Price(msgspec.Struct, frozen=True):
    """One article's price taken apart. The buyer pays `paid`; `before_tax` is what the maker keeps of it."""

    paid: Decimal
    before_tax: Decimal
    tax: Decimal
    fee: Decimal
    fee_each: Decimal
    packing: Decimal
    cost: Decimal
    profit: Decimal
    margin: float | None  # profit / before_tax; None at a price of nothing
    markup: float | None  # profit / all costs
    hourly: Decimal | None  # what an hour of the maker's earns, all told, profit in it; None: no hours
    part: Decimal = Decimal(0)  # that a shop keeps
    unsold: Decimal = Decimal(0)  # what is made in vain for each one sold
    selling: Decimal = Decimal(0)  # the maker's time for one sale
    pitch: Decimal = Decimal(0)  # a sale's share of a day at a stall, and of its hours
    day: Decimal = Decimal(0)


class Quote(msgspec.Struct, frozen=True):
    """What to ask for one article, and why."""

    currency: str
    make: int
    costs: Costs  # of all
    each: Decimal  # cost of one
    price: Price  # of one, rounded up
    exact: Decimal  # what the buyer would pay before rounding up
    low: Decimal | None  # 80 %: price at the quickest and slowest likely making
    high: Decimal | None
    basis: Literal["forecast", "session"]
    says: tuple[str, ...] = ()
    unpriced: bool = False  # the project gives no price at all: there is nothing to ask or to quote
    given: bool = False  # someone else set the price: it is as it is, whatever has no price
    weight_g: float | None = None  # of one, dry, by its cloth: an estimate

    @property
    def at_least(self) -> bool:
        """Whether the price is too low by what has none of its own."""
        return bool(self.costs.missing) and not self.given


class Row(msgspec.Struct, frozen=True):
    """One row of a paced checklist: a window of a day, in seconds from the start and as clock times."""

    kind: Literal["step", "break", "wait", "meal", "night", "aside", "change"]  # aside, change: in a class
    key: str
    title: str
    start_s: float
    end_s: float
    start: str  # 10:05; past midnight of its day: 10:05 +1
    end: str
    hands_on_s: float = 0.0
    factor: float = 1.0  # on the practised maker's pace
    inner_breaks_s: float = 0.0
    inner_rests_s: float = 0.0  # of the hands alone
    day: int = 1  # the day it begins on
    begun: bool = False  # a step that goes on from an earlier window
    finished: bool = True  # a step that ends here
    pieces: tuple[int, int] = (1, 1)  # of a step: the first and last piece worked on
    meal: bool = False  # a wait long enough, and late enough, to eat in


class StepActual(msgspec.Struct, frozen=True):
    """Forecast against what a step really took."""

    key: str
    forecast: Span
    actual_s: float
    ratio: float | None  # actual / likely
    within: bool  # inside the 80 % interval
