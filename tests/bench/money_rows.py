"""Do the intervals hold, and does reading a thousand sessions stay cheap?

The makers are simulated from figures of their own, not from those in `guide.money.prior`: each has a
speed, each step its own scatter, each day a good or bad run shared by all steps of that day, first pieces
go slower and now and then something goes wrong.
"""

import math
import random
import time
from dataclasses import dataclass, field

from guide.money.forecast import forecast
from guide.money.glean import counted_labour_s, glean
from guide.money.model import Forecast, Seen, Span
from guide.money.paces import learn
from guide.record.model import Record
from tests.bench.row import Row
from tests.money.hand import lap, plan, record, step

PIECES = (1, 1, 1, 2, 4, 6, 9, 9, 12, 12, 3, 1)
STARTERS = (180, 300, 150, 480, 45, 75, 60, 20, 15, 40, 120, 240)
PAST = (1, 3, 10, 30)


@dataclass
class Maker:
    """One simulated maker: known true paces."""

    rng: random.Random
    days: int  # a session is spread over
    means: list[float] = field(default_factory=list)  # s per piece
    scatters: list[tuple[float, float]] = field(default_factory=list)  # (a step's day, a piece)
    day_sd: float = 0.0

    def __post_init__(self) -> None:
        rng = self.rng
        speed = rng.gauss(0, 0.3)
        self.day_sd = rng.uniform(0.05, 0.2)
        self.means = [starter * math.exp(speed + rng.gauss(0, 0.3)) for starter in STARTERS]
        self.scatters = [(rng.uniform(0.03, 0.15), rng.uniform(0.10, 0.35)) for _ in STARTERS]

    def session(self, number: int) -> Record:
        """One making, piece by piece."""
        rng, laps = self.rng, []
        runs = [rng.gauss(0, self.day_sd) for _ in range(self.days)]
        for place, pieces in enumerate(PIECES):
            day = place * self.days // len(PIECES)
            of_step, of_piece = self.scatters[place]
            today = self.means[place] * math.exp(runs[day] + rng.gauss(0, of_step))
            trouble_at = rng.randrange(pieces) if rng.random() < 0.05 else -1
            for piece in range(pieces):
                seconds = today * math.exp(rng.gauss(0, of_piece)) * (1.2 if piece == 0 and pieces > 1 else 1)
                trouble_s = rng.uniform(60, 240) if piece == trouble_at else 0.0
                laps.append(
                    lap(f"s/{place}", seconds + trouble_s, trouble_s=trouble_s, first=piece == 0, day=number * 3 + day)
                )
        return record(*laps, session=number)


SHOP = plan(*(step(f"s/{place}", pieces, float(STARTERS[place])) for place, pieces in enumerate(PIECES)))


@dataclass
class Tally:
    """How often the truth lay inside, of steps and of totals, and how wide the totals' intervals were.

    The `half_` ones ask the same of intervals of half the width.
    """

    steps: list[bool] = field(default_factory=list)
    totals: list[bool] = field(default_factory=list)
    half_steps: list[bool] = field(default_factory=list)
    half_totals: list[bool] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)

    def add(self, told: Forecast, truth: Record) -> None:
        """Hold one forecast against what came."""
        for one in told.steps:
            actual_s = truth.steps[one.key].counted_ms / 1000
            self.steps.append(_inside(actual_s, one.hands_on))
            self.half_steps.append(_inside(actual_s, one.hands_on, 0.5))
        labour_s = counted_labour_s(truth)
        self.totals.append(_inside(labour_s, told.hands_on))
        self.half_totals.append(_inside(labour_s, told.hands_on, 0.5))
        self.widths.append((told.hands_on.high - told.hands_on.low) / told.hands_on.likely)


def _inside(actual: float, span: Span, width: float = 1.0) -> bool:
    low, high = (span.likely + (edge - span.likely) * width for edge in (span.low, span.high))
    return low <= actual <= high


def calibration(makers: int, past: tuple[int, ...] = PAST, *, draws: int = 300, seed: int = 7) -> dict[int, Tally]:
    """How often the 80 % intervals hold the next session, by number of past sessions."""
    tallies = {n: Tally() for n in past}
    for number in range(makers):
        maker = Maker(random.Random(seed * 1_000_003 + number), days=1 + number % 2)
        seen: list[Seen] = []
        for done in range(max(past)):
            seen += glean(maker.session(done), SHOP.steps)
            if done + 1 in tallies:
                truth = maker.session(done + 1)
                told = forecast(SHOP, learn(seen), seed=number, draws=draws, sitting_s=_sitting(maker))
                tallies[done + 1].add(told, truth)
    return tallies


def _sitting(maker: Maker) -> float | None:
    """Those who spread the work over two days say so."""
    if maker.days == 1:
        return None
    return sum(mean * pieces for mean, pieces in zip(maker.means, PIECES, strict=True)) * 0.55


def share(held: list[bool]) -> float:
    """How often it held."""
    return sum(held) / len(held)


def _held(makers: int, which: str) -> float:
    """The share of the next sessions the 80 % intervals held, after three past ones."""
    tally = calibration(makers, (3,))[3]
    return share(tally.steps if which == "steps" else tally.totals)


def _sessions(count: int, laps: int = 100) -> list[Record]:
    """Sessions of so many laps, each lap three events of a journal."""
    rng = random.Random(1)
    return [
        record(
            *(
                lap(f"s/{place % 40}", 60 * math.exp(rng.gauss(0, 0.3)), first=place < 40, day=n, n=place)
                for place in range(laps)
            ),
            session=n,
        )
        for n in range(count)
    ]


def _learn_s(records: list[Record]) -> float:
    """Seconds to learn the paces of these sessions; best of three."""
    steps = [step(f"s/{place}", 3, 60.0) for place in range(40)]
    took = []
    for _ in range(3):
        begin = time.perf_counter()
        learn([one for done in records for one in glean(done, steps)])
        took.append(time.perf_counter() - begin)
    return min(took)


def _cost_by_length() -> tuple[float, float]:
    """Per session, a thousand against a hundred: linear means alike."""
    many, few = _sessions(1000), _sessions(100)
    return _learn_s(many) / 1000, _learn_s(few) / 100


def rows() -> list[Row]:
    """What the bench prints about money."""
    return [
        Row(
            "80 % interval of a step, three past sessions, 500 makers",
            "four in five",
            "0.95 to 1.05",
            lambda: (_held(500, "steps"), 0.80),
        ),
        Row(
            "80 % interval of the total, three past sessions, 500 makers",
            "four in five",
            "0.95 to 1.05",
            lambda: (_held(500, "totals"), 0.80),
        ),
        Row(
            "paces of 1,000 sessions of 300 events",
            "2 s",
            "under 1",
            lambda: (_learn_s(_sessions(1000)), 2.0),
        ),
        Row("paces, cost per session of 1,000", "per session of 100", "under 1.3", _cost_by_length),
    ]
