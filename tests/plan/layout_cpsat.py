"""The same questions put to a general solver, OR-Tools CP-SAT."""

from typing import Any

from ortools.sat.python import cp_model


def faces_model(across: int, down: int, counts: list[int], faces: int, prints: int = 0) -> tuple[Any, dict]:
    """A model of faces with these counts and no side matches; the squares by (face, row, column)."""
    model = cp_model.CpModel()
    square = {
        (f, r, c): [model.new_bool_var("") for _ in range(prints or len(counts))]
        for f in range(faces)
        for r in range(down)
        for c in range(across)
    }
    for choices in square.values():
        model.add_exactly_one(choices)
    for i, count in enumerate(counts):
        model.add(sum(choices[i] for choices in square.values()) == count)
    for (f, r, c), choices in square.items():
        for other in ((f, r, c + 1), (f, r + 1, c)):
            for a, b in zip(choices, square.get(other, ()), strict=False):
                model.add_bool_or(a.negated(), b.negated())
    return model, square


def fixed_model(across: int, down: int, most: list[int], fixed: dict[tuple[int, int], tuple[int, ...]]) -> Any:
    """Blocks of two squares (both are faces), some fixed: no side matches, no print on more than `most`."""
    model, square = faces_model(across, down, [], 2, prints=len(most))
    for i, count in enumerate(most):
        model.add(sum(choices[i] for choices in square.values()) <= count)
    for (row, column), stack in fixed.items():
        for face, i in enumerate(stack):
            model.add(square[face, row - 1, column - 1][i] == 1)
    return model


def spread_objective(model: Any, square: dict) -> None:
    """Ask for the fewest alike on diagonals and two apart."""
    alike = []
    for (f, r, c), choices in square.items():
        for other in ((f, r + 1, c + 1), (f, r + 1, c - 1), (f, r, c + 2), (f, r + 2, c)):
            if other in square:
                met = model.new_bool_var("")
                alike.append(met)
                for a, b in zip(choices, square[other], strict=True):
                    model.add_bool_or(a.negated(), b.negated(), met)
    model.minimize(sum(alike))


def solve(model: Any, seconds: float) -> tuple[str, float]:
    """The solver's word (OPTIMAL, FEASIBLE, INFEASIBLE, UNKNOWN) and the value it reached."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    word = solver.status_name(solver.solve(model))
    return word, solver.objective_value if word in {"OPTIMAL", "FEASIBLE"} else float("inf")
