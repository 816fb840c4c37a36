"""`python -m tests.bench`: every measure of speed as a ratio of two things timed in turn in one run.

The goals are goals, not tests: a machine that is busy elsewhere moves both sides alike, so the ratio holds
where absolute times would not. Growth is the cost of a unit of work at 1, 10 and 100 times as much of it.
"""

import argparse
import importlib
import json
import sys
from pathlib import Path

from tests.bench.row import Row, measured

MODULES = sorted(path.stem for path in Path(__file__).parent.glob("*_rows.py"))


def rows() -> list[Row]:
    """Gather the rows of every bench file."""
    return [row for name in MODULES for row in importlib.import_module(f"tests.bench.{name}").rows()]


def _line(got: dict[str, object]) -> str:
    grown = " · ".join(f"{one:.2f}" for one in got["growth"])
    return (
        f"{got['name']:<62} {got['median']:>8.3g} × {got['compared_with']:<44} "
        f"[{got['least']:.3g} … {got['most']:.3g}]  goal {got['goal']:<12} "
        f"{'holds' if got['holds'] else 'MISSED'}{f'  grows {grown}' if grown else ''}"
    )


def main() -> int:
    """Run the benches and print a table or JSON."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--only", default="", metavar="NAME", help="only rows whose name holds this")
    parser.add_argument("--rounds", type=int, default=3, help="how often each row is measured (3)")
    parser.add_argument("--json", action="store_true", help="print a list of all figures instead of a table")
    parser.add_argument("--list", action="store_true", help="name the rows, measure nothing")
    said = parser.parse_args()
    chosen = [row for row in rows() if said.only.lower() in row.name.lower()]
    if said.list:
        print(*(row.name for row in chosen), sep="\n")
        return 0
    out = []
    for row in chosen:
        out.append(measured(row, said.rounds))
        if not said.json:
            print(_line(out[-1]), flush=True)
    if said.json:
        json.dump(out, sys.stdout, indent=1)
    else:
        print(f"{sum(bool(one['holds']) for one in out)} of {len(out)} goals hold")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
