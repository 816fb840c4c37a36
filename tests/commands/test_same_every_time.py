"""The same project gives the same words on every run, whatever seed Python hashes its texts with."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = str(ROOT / "sessions" / "window-seat-cushion")
ASKED = {
    "plan": ["plan", DEMO, "--json"],
    "page": ["plan", DEMO, "--page", "-"],
    "why": ["why", "zip_cut", DEMO],
    "layout": ["layout", DEMO],
    "price": ["price", DEMO],
    "checklist": ["checklist", DEMO, "--start", "10:00", "-o", "-"],
    "sheet": ["sheet", DEMO, "-o", "-"],
    "schema": ["schema", "project"],
    "words": ["words"],
}
ALL = """
import contextlib, io, json, sys
sys.path.insert(0, sys.argv[1])
from tests.fakes import run
out = {}
for name, argv in json.loads(sys.argv[2]).items():
    with contextlib.redirect_stdout(io.StringIO()) as said:
        assert run(argv) == 0, argv
    out[name] = said.getvalue()
json.dump(out, sys.stdout)
"""


@pytest.fixture(scope="module")
def told():
    """What every command says under one seed and under another."""
    return [
        json.loads(
            subprocess.run(
                [sys.executable, "-c", ALL, str(ROOT), json.dumps(ASKED)],
                env={**os.environ, "PYTHONHASHSEED": seed},
                capture_output=True,
                encoding="utf-8",
                check=True,
            ).stdout
        )
        for seed in ("1", "2")
    ]


@pytest.mark.parametrize("name", ASKED)
def test_two_seeds_give_the_same_words(told, name):
    """[identity] seed 1 hashes the names of the sums into another order than seed 2; the page lists every formula."""
    one, other = told
    assert one[name]
    assert one[name] == other[name]
