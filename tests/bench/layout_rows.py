"""How fast prints are dealt and how well they are spread, against a general solver on the same questions."""

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from guide.plan.deal import deal, meets
from guide.plan.field import Field
from guide.plan.layout import Supply, lay
from tests.bench.row import Row
from tests.plan.layout_cpsat import faces_model, solve, spread_objective
from tests.plan.layout_judges import likeness

DEMO = Path(__file__).parent.parent.parent / "sessions" / "window-seat-cushion"
ACROSS, DOWN = 12, 16
UNEVEN = ([110, 90, 70, 60, 40, 14], [100, 80, 60, 50, 40, 30, 24], [150, 100, 80, 54])
EIGHT = (0.25, 0.19, 0.15, 0.12, 0.11, 0.09, 0.06, 0.03)


def _seconds(work: Callable[[], object], times: int) -> float:
    """Processor seconds of one thread's work, so that a busy machine does not count; the best of some."""
    took = []
    for _ in range(times):
        begin = time.process_time()
        work()
        took.append(time.process_time() - begin)
    return min(took)


def _shares(places: int) -> list[int]:
    counts = [int(places * share) for share in EIGHT]
    counts[0] += places - sum(counts)
    return counts


def _dealt(field: Field, counts: list[int]) -> None:
    dealt = deal(field, counts)
    if dealt is None or meets(field, dealt):
        raise AssertionError("the deal did not come out clear")


def _against_solver() -> tuple[float, float]:
    """Median seconds for a layout without matches on either face, over uneven random totals."""
    rng = random.Random(5)
    field = Field(ACROSS, DOWN, 2)
    ours, theirs = [], []
    for _ in range(5):
        cuts = sorted(rng.sample(range(1, field.places), 5))
        counts = [high - low for low, high in zip([0, *cuts], [*cuts, field.places], strict=True)]
        while max(counts) > ACROSS * DOWN:  # no more of one print than can lie apart
            counts[counts.index(max(counts))] -= 20
            counts[counts.index(min(counts))] += 20
        ours.append(_seconds(lambda counts=counts: _dealt(field, counts), 5))
        model, _ = faces_model(ACROSS, DOWN, counts, 2)
        begin = time.perf_counter()
        word, _ = solve(model, 60)
        theirs.append(time.perf_counter() - begin)
        if word == "INFEASIBLE":
            raise AssertionError("the solver calls impossible what was dealt")
    return statistics.median(ours), statistics.median(theirs)


def _large() -> tuple[float, float]:
    field = Field(100, 100, 2)
    return _seconds(lambda: _dealt(field, _shares(field.places)), 3), 0.3


def _growth() -> tuple[float, float]:
    """Seconds per block, 200 × 200 and 50 × 50: linear means alike."""
    large, small = Field(200, 200, 2), Field(50, 50, 2)
    big = _seconds(lambda: _dealt(large, _shares(large.places)), 3) / 40_000
    return big, _seconds(lambda: _dealt(small, _shares(small.places)), 9) / 2_500


def _spread() -> tuple[float, float]:
    """Like prints on diagonals and two apart, three uneven shares together; the solver has 10 s for each."""
    ours, theirs = 0.0, 0.0
    for counts in UNEVEN:
        supplies = [Supply(f"print {i}", exact=count) for i, count in enumerate(counts)]
        layout = lay(ACROSS, DOWN, 2, supplies)
        if layout.outcome != "found":
            raise AssertionError(layout.reason)
        ours += likeness(layout)
        model, square = faces_model(ACROSS, DOWN, counts, 2)
        spread_objective(model, square)
        theirs += solve(model, 10)[1]
    return ours, theirs


def _throw() -> tuple[float, float]:
    """A throw of 40 × 50 blocks, 4 layers, 8 uneven prints: dealt, spread and filled."""
    supplies = [Supply(f"print {i}", exact=count) for i, count in enumerate(_shares(8_000))]
    return _seconds(lambda: lay(40, 50, 4, supplies), 3), 1.0


def _plan_of_a_throw() -> tuple[float, float]:
    """Processor seconds of a whole `guide plan` of a throw of 40 × 50 blocks in 8 uneven prints, and 2."""
    demo = yaml.safe_load((DEMO / "project.yaml").read_text(encoding="utf-8"))
    prints = [
        {"name": f"print {i}", "width": "44 in", "selvedge": "1/2 in", "at_most": count + 40}
        for i, count in enumerate(_shares(8_000))
    ]
    throw = {"kind": "throw", "back": "none", "closure": "none", "grid": {"across": 40, "down": 50}, "prints": prints}
    demo.pop("pad")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "throw"
        path.mkdir()
        (path / "project.yaml").write_text(yaml.safe_dump(demo | throw, sort_keys=False), encoding="utf-8")
        before = os.times()
        subprocess.run([sys.executable, "-m", "guide", "plan", str(path)], check=True, capture_output=True)
        after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system, 2.0


def rows() -> list[Row]:
    """What the bench prints about layout."""
    return [
        Row(
            "layout of 12 × 16, uneven prints, both faces clear", "CP-SAT, same question", "under 0.01", _against_solver
        ),
        Row("deal of 100 × 100, both faces", "0.3 s", "under 1", _large),
        Row("deal, cost per block of 200 × 200", "per block of 50 × 50", "under 1.5", _growth),
        Row("like prints near each other at 12 × 16", "CP-SAT in 10 s", "under 1.5", _spread),
        Row("whole layout of 40 × 50 in 8 uneven prints", "1 s", "under 1", _throw),
        Row(
            "guide plan of a throw of 40 × 50 in 8 uneven prints", "2 s of processor time", "under 1", _plan_of_a_throw
        ),
    ]
