"""The bench runs, at a size that measures nothing: what it would say on a quiet machine is for people to read."""

import json
import math
import os
import sys
from pathlib import Path

import pytest

from tests.bench import __main__ as bench
from tests.bench import row as one_row
from tests.bench.mutations import SLIPS
from tests.bench.row import Row, growth, measured


def small_rows() -> list[Row]:
    before = os.environ.get(one_row.SMALL)
    os.environ[one_row.SMALL] = "1"
    try:
        return bench.rows()
    finally:
        if before is None:
            del os.environ[one_row.SMALL]


@pytest.mark.parametrize("row", small_rows(), ids=lambda row: row.name)
def test_every_row_runs_and_gives_a_ratio(row, monkeypatch):
    monkeypatch.setenv(one_row.SMALL, "1")
    mine, other = row.measure()
    assert math.isfinite(mine)
    assert mine >= 0
    assert other > 0
    assert row.work is None or len(growth(row)) == 2


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.name)
def test_every_slip_still_finds_its_place(slip):
    """One character changed in one place: the text it changes stands there exactly once."""
    assert (Path(__file__).parents[2] / slip.file).read_text(encoding="utf-8").count(slip.old) == 1


def test_no_two_rows_have_one_name():
    names = [row.name for row in small_rows()]
    assert len(set(names)) == len(names)


def test_a_row_holds_by_its_median_and_says_its_spread():
    """[identity] ratios 1, 2 and 6: the median is 2, whatever the mean."""
    pairs = iter([(1.0, 1.0), (6.0, 1.0), (4.0, 2.0)])
    got = measured(Row("invented", "one", lambda: next(pairs), at_most=2), rounds=3)
    assert (got["median"], got["least"], got["most"], got["holds"]) == (2, 1, 6, True)
    pairs = iter([(2.1, 1.0)])
    assert not measured(Row("invented", "one", lambda: next(pairs), at_most=2), rounds=1)["holds"]


def test_growth_is_the_cost_of_a_unit_so_linear_work_shows_ones(monkeypatch):
    """[identity] n squared costs 1, 10 and 100 times as much a unit."""
    monkeypatch.delenv(one_row.SMALL, raising=False)
    row = Row("invented", "one", lambda: (1, 1), 1, work=lambda n: 3.0 * n, unit=10)
    assert growth(row) == [1, 1, 1]
    assert growth(Row("invented", "one", lambda: (1, 1), 1, work=lambda n: float(n * n))) == [1, 10, 100]


def test_json_holds_all_a_row_tells(monkeypatch, capsys):
    monkeypatch.setenv(one_row.SMALL, "1")
    monkeypatch.setattr(
        sys, "argv", ["bench", "--only", "every number of a project, files read", "--rounds", "2", "--json"]
    )
    assert bench.main() == 0
    (got,) = json.loads(capsys.readouterr().out)
    assert set(got) == {"name", "compared_with", "median", "least", "most", "goal", "holds", "growth", "ours"}
    assert got["least"] <= got["median"] <= got["most"]
