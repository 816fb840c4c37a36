"""How fast prints are dealt and how well they are spread, against a general solver on the same questions."""

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import yaml

from guide.plan.layout.colouring import by_parity, side_matches
from guide.plan.layout.counts import Grid
from guide.plan.layout.lay import Supply, lay
from tests.bench.row import Row, best_s, sized
from tests.plan.layout_cpsat import faces_model, solve, spread_objective
from tests.plan.layout_judges import likeness

DEMO = Path(__file__).parent.parent.parent / "sessions" / "window-seat-cushion"
ACROSS, DOWN = 12, 16
UNEVEN = ([110, 90, 70, 60, 40, 14], [100, 80, 60, 50, 40, 30, 24], [150, 100, 80, 54])
EIGHT = (0.25, 0.19, 0.15, 0.12, 0.11, 0.09, 0.06, 0.03)


def _shares(places: int) -> list[int]:
    counts = [int(places * share) for share in EIGHT]
    counts[0] += places - sum(counts)
    return counts


def _dealt(grid: Grid, counts: list[int]) -> None:
    dealt = by_parity(grid, counts)
    if dealt is None or side_matches(grid, dealt):
        raise AssertionError("laying by parity did not come out clear")


def _against_solver() -> tuple[float, float]:
    """Median seconds for a layout without matches on either face, over uneven random totals."""
    rng = random.Random(5)
    grid = Grid(ACROSS, DOWN, 2)
    ours, theirs = [], []
    for _ in range(sized(5, 1)):
        cuts = sorted(rng.sample(range(1, grid.places), 5))
        counts = [high - low for low, high in zip([0, *cuts], [*cuts, grid.places], strict=True)]
        while max(counts) > ACROSS * DOWN:  # no more of one print than can lie apart
            counts[counts.index(max(counts))] -= 20
            counts[counts.index(min(counts))] += 20
        ours.append(best_s(lambda counts=counts: _dealt(grid, counts), 5))
        model, _ = faces_model(ACROSS, DOWN, counts, 2)
        begin = time.perf_counter()
        word, _ = solve(model, 60)
        theirs.append(time.perf_counter() - begin)
        if word == "INFEASIBLE":
            raise AssertionError("the solver calls impossible what was dealt")
    return statistics.median(ours), statistics.median(theirs)


def _dealing(side: int) -> float:
    """Seconds to deal a square of so many blocks a side, both faces."""
    grid = Grid(side, side, 2)
    return best_s(lambda: _dealt(grid, _shares(grid.places)), 3)


def _spread() -> tuple[float, float]:
    """Like prints on diagonals and two apart, three uneven shares together; the solver has 10 s for each."""
    ours, theirs = 0.0, 0.0
    for counts in UNEVEN[: sized(3, 1)]:
        supplies = [Supply(f"print {i}", at_least=count, at_most=count) for i, count in enumerate(counts)]
        layout = lay(ACROSS, DOWN, 2, supplies)
        if layout.outcome != "found":
            raise AssertionError(layout.reason)
        ours += likeness(layout)
        model, square = faces_model(ACROSS, DOWN, counts, 2)
        spread_objective(model, square)
        theirs += solve(model, sized(10, 2))[1]
    return ours, theirs


def _laying(across: int, down: int) -> float:
    """Seconds for a throw of so many blocks, 4 layers, 8 uneven prints: dealt, spread and filled."""
    supplies = [
        Supply(f"print {i}", at_least=count, at_most=count) for i, count in enumerate(_shares(4 * across * down))
    ]
    return best_s(lambda: lay(across, down, 4, supplies), 3)


def _proposing(across: int, down: int) -> tuple[float, float]:
    """Processor seconds of `guide layout --proposals` against `guide layout`: four panels against one."""
    with tempfile.TemporaryDirectory() as folder:
        path = _throw(Path(folder), across, down)
        return _spent("layout", str(path), "--proposals"), _spent("layout", str(path))


def _planning(across: int, down: int) -> float:
    """Processor seconds of a whole `guide plan` of a throw of so many blocks in 8 uneven prints."""
    with tempfile.TemporaryDirectory() as folder:
        return _spent("plan", str(_throw(Path(folder), across, down)))


def _throw(folder: Path, across: int, down: int) -> Path:
    """A throw of so many blocks in 8 uneven prints, as a project in a folder."""
    demo = yaml.safe_load((DEMO / "project.yaml").read_text(encoding="utf-8"))
    prints = [
        {"name": f"print {i}", "width": "44 in", "selvedge": "1/2 in", "at_most": count + 40}
        for i, count in enumerate(_shares(4 * across * down))
    ]
    grid = {"across": across, "down": down}
    throw = {"kind": "throw", "back": "none", "closure": "none", "grid": grid, "prints": prints}
    demo.pop("pad")
    path = folder / "throw"
    path.mkdir()
    (path / "project.yaml").write_text(yaml.safe_dump(demo | throw, sort_keys=False), encoding="utf-8")
    return path


def _spent(*argv: str) -> float:
    """Processor seconds of a command."""
    before = os.times()
    subprocess.run([sys.executable, "-m", "guide", *argv], check=True, capture_output=True)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def _forty_by_fifty() -> tuple[int, int]:
    return sized(40, 4), sized(50, 5)


def rows() -> list[Row]:
    """What the bench prints about layout; what grows is the number of blocks."""
    return [
        Row("layout of 12 × 16, uneven prints, both faces clear", "CP-SAT, same question", _against_solver, 0.01),
        Row(
            "deal of 100 × 100, both faces",
            "0.3 s",
            lambda: (_dealing(sized(100, 10)), 0.3),
            1,
            work=lambda blocks: _dealing(round((400 * blocks) ** 0.5)),
        ),
        Row("like prints near each other at 12 × 16", f"CP-SAT in {sized(10, 2)} s", _spread, 1.5),
        Row(
            "whole layout of 40 × 50 in 8 uneven prints",
            "1 s",
            lambda: (_laying(*_forty_by_fifty()), 1.0),
            1,
            work=lambda blocks: _laying(5 * blocks, 4),
        ),
        Row("four proposals of a throw of 12 × 16", "guide layout of it", lambda: _proposing(12, 16), 2),
        Row("four proposals of 4 × 3 blocks", "guide layout of them", lambda: _proposing(4, 3), 2),
        Row(
            "guide plan of a throw of 40 × 50 in 8 uneven prints",
            "2 s of processor time",
            lambda: (_planning(*_forty_by_fifty()), 2.0),
            1,
        ),
    ]
