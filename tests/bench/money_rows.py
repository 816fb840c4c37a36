"""Do the intervals hold, and does reading a thousand sessions stay cheap?

The makers are simulated from figures of their own, not from those in `guide.money.stats`: each has a
speed, each step its own scatter, each day a good or bad run shared by all steps of that day, first pieces
go slower and now and then something goes wrong.
"""

import json
import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from guide.money.forecast import forecast
from guide.money.glean import counted_labour_s, glean
from guide.money.model import Forecast, Paces, Seen, Span
from guide.money.paces import learn
from guide.record.fold import fold
from guide.record.journal import read_journal
from guide.record.lines import encode, event_of
from guide.record.model import Record
from tests.bench.row import Row, in_turn, sized
from tests.fakes import NINE, FakeClock
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


def calibration(
    makers: int,
    past: tuple[int, ...] = PAST,
    *,
    tweak: Callable[[Paces], Paces] = lambda paces: paces,
    draws: int = 300,
    seed: int = 7,
) -> dict[int, Tally]:
    """How often the 80 % intervals hold the next session, by number of past sessions.

    `tweak` spoils the paces on purpose, to see that it is found out.
    """
    tallies = {n: Tally() for n in past}
    for number in range(makers):
        maker = Maker(random.Random(seed * 1_000_003 + number), days=1 + number % 2)
        seen: list[Seen] = []
        for done in range(max(past)):
            seen += glean(maker.session(done), SHOP.steps)
            if done + 1 in tallies:
                truth = maker.session(done + 1)
                told = forecast(SHOP, tweak(learn(seen)), seed=number, draws=draws, sitting_s=_sitting(maker))
                tallies[done + 1].add(told, truth)
    return tallies


def _sitting(maker: Maker) -> float | None:
    """Those who spread the work over two days say so."""
    if maker.days == 1:
        return None
    return sum(mean * pieces for mean, pieces in zip(maker.means, PIECES, strict=True)) * 0.6


def share(held: list[bool]) -> float:
    """How often it held."""
    return sum(held) / len(held)


def _held(makers: int, which: str) -> float:
    """The share of the next sessions the 80 % intervals held, after three past ones."""
    tally = calibration(makers, (3,))[3]
    return share(tally.steps if which == "steps" else tally.totals)


def journal(path: Path, session: int, events: int) -> None:
    """One invented session of so many events, written as a journal writes them."""
    clock, rng = FakeClock(wall=NINE + session * 86_400_000), random.Random(session)
    members: list[dict[str, Any]] = [
        {"what": "opened", "format": 1, "version": "0", "mode": "real", "maker": "Ada", "title": "Invented"}
    ]
    while len(members) < events - 1:
        key = f"s/{len(members) % 40}"
        members.append({"what": "step_started", "step": key})
        members += [{"what": "piece_done", "step": key, "count": 1} for _ in range(7)]
        members.append({"what": "step_done", "step": key})
    members[events - 1 :] = [{"what": "closed", "records": events}]
    lines = [encode(event_of(n, one, clock.run(60 * math.exp(rng.gauss(0, 0.3))))) for n, one in enumerate(members, 1)]
    path.write_bytes(b"".join(lines))


def _cold_s(sessions: int, events: int) -> float:
    """Seconds of work to read, fold and learn so many journals, none of them seen before."""
    return _cold_and_json(sessions, events)[0]


def _learnt_and_folded(sessions: int, events: int) -> tuple[float, float]:
    """The same, and seconds to read and fold them and learn nothing."""
    steps = [step(f"s/{place}", 8, 60.0) for place in range(40)]
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{n}.jsonl" for n in range(sessions)]
        for n, path in enumerate(paths):
            journal(path, n, events)
        return in_turn(
            lambda: learn([one for path in paths for one in glean(fold(read_journal(path).events), steps)]),
            lambda: [fold(read_journal(path).events).counted_ms for path in paths],
            turns=2,
        )


def _cold_and_json(sessions: int, events: int) -> tuple[float, float]:
    """The same as `_cold_s`, and seconds to read the same lines as JSON and do nothing with them."""
    steps = [step(f"s/{place}", 8, 60.0) for place in range(40)]
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{n}.jsonl" for n in range(sessions)]
        for n, path in enumerate(paths):
            journal(path, n, events)
        begin = time.process_time()
        learn([one for path in paths for one in glean(fold(read_journal(path).events), steps)])
        cold = time.process_time() - begin
        begin = time.process_time()
        for path in paths:
            with path.open("rb") as lines:
                for line in lines:
                    json.loads(line)
        return cold, time.process_time() - begin


def rows() -> list[Row]:
    """What the bench prints about money; what grows is the number of sessions."""

    def held(which: str) -> Callable[[], tuple[float, float]]:
        return lambda: (_held(sized(500, 20), which), 0.80)

    def learnt() -> tuple[float, float]:
        return _cold_s(sized(1000, 3), 300), 2.0

    def against_json() -> tuple[float, float]:
        return _cold_and_json(sized(1000, 3), 300)

    def against_folding() -> tuple[float, float]:
        return _learnt_and_folded(sized(1000, 3), 300)

    def longer() -> tuple[float, float]:
        long, short = sized(1200, 60), sized(150, 30)
        return _cold_s(sized(100, 2), long) / long, _cold_s(sized(100, 2), short) / short

    return [
        Row("80 % interval of a step, three past sessions, 500 makers", "four in five", held("steps"), 1.05, 0.95),
        Row("80 % interval of the total, three past sessions, 500 makers", "four in five", held("totals"), 1.05, 0.95),
        Row(
            "1,000 sessions of 300 events read, folded and learnt",
            "2 s of processor time",
            learnt,
            1,
            work=lambda n: _cold_s(n, 300),
            unit=10,
        ),
        Row("the thousand against reading the lines as JSON alone", "json.loads, line by line", against_json, 2),
        Row(
            "the thousand against reading and folding alone", "the same journals, nothing learnt", against_folding, 1.5
        ),
        Row("the thousand, cost of an event in sessions of 1,200", "in sessions of 150", longer, 1.3),
    ]
