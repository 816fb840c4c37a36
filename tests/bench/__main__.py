"""`python -m tests.bench`: every measure of speed as a ratio of two things timed in turn in one run.

Options: `--only NAME` (part of a row's name), `--rounds N`, `--json`, `--list`. The goals are goals, not tests:
a machine that is busy elsewhere moves both sides alike, so the ratio holds where absolute times would not.
"""

import argparse
import importlib
import json
import statistics
import sys
from pathlib import Path

from tests.bench.row import Row

MODULES = sorted(path.stem for path in Path(__file__).parent.glob("*_rows.py"))


def rows() -> list[Row]:
    """Gather the rows of every bench file."""
    return [row for name in MODULES for row in importlib.import_module(f"tests.bench.{name}").rows()]


def measured(row: Row, rounds: int) -> dict[str, object]:
    """Measure one row: the median and spread of its ratio."""
    ratios, ours = [], []
    for _ in range(rounds):
        mine, other = row.measure()
        ratios.append(mine / other if other else float("inf"))
        ours.append(mine)
    return {
        "name": row.name,
        "compared_with": row.compared_with,
        "goal": row.goal,
        "median": statistics.median(ratios),
        "least": min(ratios),
        "most": max(ratios),
        "ours_s": statistics.median(ours),
    }


def main() -> int:
    """Run the benches and print a table or JSON."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--only", default="", help="only rows whose name holds this")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--list", action="store_true", help="name the rows, measure nothing")
    said = parser.parse_args()
    chosen = [row for row in rows() if said.only.lower() in row.name.lower()]
    out = []
    for row in chosen:
        if said.list:
            print(row.name)
            continue
        result = measured(row, said.rounds)
        out.append(result)
        if not said.json:
            print(
                f"{result['name']:<58} {result['median']:>9.3g} × {result['compared_with']:<44} "
                f"[{result['least']:.3g} … {result['most']:.3g}]  goal {result['goal']}",
                flush=True,
            )
    if said.json:
        json.dump(out, sys.stdout, indent=1)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
