"""Small mixed cuttings against a general solver, which may place parts any way that keeps them apart."""

import os
import random
import statistics

import pytest
from ortools.sat.python import cp_model

from guide.plan.cutting.cut import cut
from guide.plan.cutting.strips import Bolt
from guide.plan.model import Part
from tests.plan.cutting_check import faults

FULL = os.environ.get("FRAYWORK_FULL") == "1"
CASES = 40 if FULL else 8
UNIT = 25.4 / 2


def small_case(seed):
    """Two or three kinds, four to eight parts, one-way or not, in half inches."""
    rng = random.Random(seed)
    width = rng.randint(24, 60)
    parts = [(rng.randint(6, 24), rng.randint(6, 24), rng.randint(1, 3)) for _ in range(rng.randint(2, 3))]
    return width, parts, rng.random() < 0.5


def shortest_apart(width, parts, one_way):
    """The least length with parts apart, edge-to-edge cuts or not, as far as it is proved. [source: OR-Tools CP-SAT]."""
    model = cp_model.CpModel()
    most = sum(max(w, h) * count for w, h, count in parts)
    length = model.new_int_var(0, most, "length")
    across, along = [], []
    for kind, (w, h, count) in enumerate(parts):
        for copy in range(count):
            name = f"{kind}.{copy}"
            turned = model.new_constant(0) if one_way or w == h else model.new_bool_var(f"turned {name}")
            wide, high = w + (h - w) * turned, h + (w - h) * turned
            x, y = model.new_int_var(0, width, f"x {name}"), model.new_int_var(0, most, f"y {name}")
            right, top = model.new_int_var(0, width, f"right {name}"), model.new_int_var(0, most, f"top {name}")
            model.add(right == x + wide)
            model.add(top == y + high)
            across.append(model.new_interval_var(x, wide, right, f"across {name}"))
            along.append(model.new_interval_var(y, high, top, f"along {name}"))
            model.add(top <= length)
    model.add_no_overlap_2d(across, along)
    model.minimize(length)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 5
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.solve(model)
    return round(solver.best_objective_bound)


@pytest.fixture(scope="module")
def ratios():
    """Our length over the solver's proved bound, for each case."""
    found = []
    for seed in range(CASES):
        width, sizes, one_way = small_case(seed)
        parts = [
            Part(f"part {n}", "moss check", w * UNIT, h * UNIT, count, one_way) for n, (w, h, count) in enumerate(sizes)
        ]
        done = cut("moss check", parts, Bolt(width * UNIT), [])
        assert faults(done, parts, Bolt(width * UNIT)) == []
        found.append(done.use_mm / UNIT / shortest_apart(width, sizes, one_way))
    return found


def test_no_plan_is_shorter_than_what_is_proved(ratios):
    """A plan below the solver's bound would be a plan that cannot be cut. [source: OR-Tools CP-SAT]"""
    assert min(ratios) >= 1 - 1e-9


def test_small_cuttings_come_near_the_least_length(ratios):
    """Strips cut edge to edge cost a twentieth at most on the mean over any placing at all. [source: OR-Tools CP-SAT]"""
    assert statistics.mean(ratios) <= 1.05
    assert max(ratios) <= 1.2
