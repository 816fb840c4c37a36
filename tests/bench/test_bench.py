"""The bench runs, at a size that measures nothing: what it would say on a quiet machine is for people to read."""

import json
import math
import os
import sys
from pathlib import Path

import pytest

from tests.bench import __main__ as bench
from tests.bench import mutations
from tests.bench import row as one_row
from tests.bench.drawn import drawn
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


def test_most_slips_still_find_their_place():
    """A line that is not there any more is no fault, more than a fifth of them is: then new ones are to be drawn."""
    slips = mutations.pool()
    assert len(slips) >= 200
    assert all(slip.old != slip.new for slip in slips)
    assert len({(slip.file, slip.new) for slip in slips}) == len(slips)
    assert len(mutations.gone(slips)) <= mutations.MOST_GONE * len(slips), mutations.gone(slips)


def test_what_notices_a_slip_is_there_or_why_nothing_does():
    """The test named beside each slip is defined in the file named."""
    root = Path(__file__).parents[2]
    for slip in mutations.pool():
        file, _, name = slip.test.partition("::")
        assert [slip.test, slip.equivalent, slip.open].count("") == 2
        assert not name or f"def {name.split('[')[0]}(" in (root / file).read_text(encoding="utf-8"), slip.test


def test_slips_are_drawn_by_their_seed_and_shared_out_by_lines():
    """The same seed draws the same; what is drawn differs from its line in one place and stands once in its file."""
    some = drawn(3, 40)
    assert some == drawn(3, 40) != drawn(4, 40)
    assert len(some) == 40
    for file, old, new in some:
        lines = [line.strip() for line in (mutations.ROOT / file).read_text(encoding="utf-8").split("\n")]
        assert (lines.count(old), old != new) == (1, True)
    assert len({file.split("/")[1] for file, _, _ in some}) >= 7  # every package of guide has its share


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
