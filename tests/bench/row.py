"""One line of the bench: two things measured in turn, the ratio they must keep, and how the cost grows."""

import os
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

SMALL = "FRAYWORK_BENCH_SMALL"  # set: every row at a size that proves it runs and measures nothing


@dataclass(frozen=True)
class Row:
    """`measure` gives (ours, the other's); the row holds when their ratio lies in the goal.

    work: does so many units of it and gives the cost; `unit` of them at 1 ×, then 10 and 100 times as many.
    """

    name: str
    compared_with: str
    measure: Callable[[], tuple[float, float]]
    at_most: float
    at_least: float = 0.0
    work: Callable[[int], float] | None = None
    unit: int = 1

    @property
    def goal(self) -> str:
        """In words: `≤ 1.3`, `0.95 to 1.05`."""
        return f"{self.at_least:g} to {self.at_most:g}" if self.at_least else f"≤ {self.at_most:g}"


def sized(full: int, small: int) -> int:
    """Give the size a bench is meant for, or the one that only proves that it runs."""
    return small if os.environ.get(SMALL) else full


def best_s(work: Callable[[], object], turns: int = 5) -> float:
    """Processor seconds of one thread's work, so that a busy machine does not count; the best of some turns."""
    took = []
    for _ in range(sized(turns, 1)):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return max(min(took), 1e-9)


def in_turn(ours: Callable[[], object], other: Callable[[], object], turns: int = 5) -> tuple[float, float]:
    """Time both, a turn each; the best of each, s of processor time."""
    pairs = [(best_s(ours, 1), best_s(other, 1)) for _ in range(sized(turns, 1))]
    return min(mine for mine, _ in pairs), min(its for _, its in pairs)


def growth(row: Row) -> list[float]:
    """Cost of a unit at 1, 10 and 100 times the work, by that at 1 ×: all ones means linear."""
    if row.work is None:
        return []
    unit, factors = (1, (1, 2)) if os.environ.get(SMALL) else (row.unit, (1, 10, 100))
    each = [row.work(unit * times) / times for times in factors]
    return [one / each[0] for one in each]


def measured(row: Row, rounds: int) -> dict[str, object]:
    """Measure one row: the median and spread of its ratio, whether it holds, and how its cost grows."""
    pairs = [row.measure() for _ in range(rounds)]
    ratios = [mine / other for mine, other in pairs]
    middle = statistics.median(ratios)
    return {
        "name": row.name,
        "compared_with": row.compared_with,
        "median": middle,
        "least": min(ratios),
        "most": max(ratios),
        "goal": row.goal,
        "holds": row.at_least <= middle <= row.at_most,
        "growth": growth(row),
        "ours": statistics.median(mine for mine, _ in pairs),
    }
